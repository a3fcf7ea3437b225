"""Reps in the lat pulldown at 80 % of the tested maximum.

Source: Johnson and others 2009, doi 10.1519/JSC.0b013e3181a2d7f5, abstract read: men 9.9 ± 2.5 (n = 35), women
10.0 ± 2.4 (n = 23). A loose check: one curve for all exercises should lie inside one standard deviation.
"""

from __future__ import annotations

import pytest

from steelyard.strength.estimate import expected_reps
from steelyard.strength.model import Estimate

TESTED = Estimate(100.0, 0.02, 1, 0.0, reps_seen=1.0)


@pytest.mark.parametrize(("mean", "sd"), [(9.9, 2.5), (10.0, 2.4)])
def test_reps_at_four_fifths_of_a_single_lie_among_those_seen(mean: float, sd: float) -> None:
    single_kg = TESTED.one_rm_kg * 30 / 31
    assert abs(expected_reps(TESTED, 0.8 * single_kg) - mean) < sd
