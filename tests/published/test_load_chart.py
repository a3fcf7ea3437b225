"""The training load chart of the National Strength and Conditioning Association (NSCA).

Read on a mirror of the chart, a second page agreeing: its row of percentages, one row of its cells, and worked
examples printed with it. Editions differ at 11 reps, so 11 is refused.
"""

from __future__ import annotations

import pytest

from steelyard.errors import OutOfRange
from steelyard.strength.curve import HALF_REP, REPS_SCALE, reps_to_failure
from steelyard.strength.equations import LOAD_CHART, percent_of_max

CELLS_OF_110 = {2: 104.5, 3: 102.3, 4: 99, 5: 95.7, 6: 93.5, 7: 91.3, 8: 88, 9: 84.7, 10: 82.5, 12: 77}
"""Loads in the chart's row for a maximum of 110, by reps."""


@pytest.mark.parametrize(("reps", "cell"), CELLS_OF_110.items())
def test_a_cell_of_the_chart(reps: int, cell: float) -> None:
    assert percent_of_max(reps) / 100 * 110 == pytest.approx(cell, abs=0.05 + 1e-9)


@pytest.mark.parametrize(
    ("load", "reps", "printed", "half_digit"), [(135, 10, 180.0, 0.05), (275, 9, 357.1, 0.05)]
)
def test_a_worked_maximum(load: float, reps: int, printed: float, half_digit: float) -> None:
    assert load / (percent_of_max(reps) / 100) == pytest.approx(printed, abs=half_digit)


def test_the_worked_twelve_reps_and_the_eight_that_follow() -> None:
    maximum = 135 / (percent_of_max(12) / 100)
    assert maximum == pytest.approx(192.857, abs=0.0005)
    assert maximum * percent_of_max(8) / 100 == pytest.approx(154.286, abs=0.0005)


@pytest.mark.parametrize("reps", [0, 11, 13])
def test_reps_without_a_row_are_refused(reps: int) -> None:
    with pytest.raises(OutOfRange, match=f"reps is {reps}; it must be from 1 to 10, or 12"):
        percent_of_max(reps)


def test_the_curve_is_no_further_from_the_chart_than_people_are_from_each_other() -> None:
    """Standard deviation 2.5 reps at 80 %, men, pulldown: Johnson 2009, doi 10.1519/JSC.0b013e3181a2d7f5, read.

    The chart counts in shares of a single, which the curve gives up at 30/31 of its maximum.
    """
    single = REPS_SCALE / (REPS_SCALE + 1)
    for reps, percent in LOAD_CHART.items():
        assert reps_to_failure(percent / 100 * single) - HALF_REP == pytest.approx(reps, abs=2.5)
