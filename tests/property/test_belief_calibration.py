"""Simulation-based calibration: people drawn from the model that a belief states are believed as they should be.

Where the truth lies in the posterior must be uniform over people: Talts and others 2018, arXiv 1804.06788. Over
300 people and ten equal bins, chi-square with 9 degrees of freedom exceeds 27.88 once in a thousand runs.
STEELYARD_SEED draws other people.
"""

from __future__ import annotations

import os
from functools import cache

import pytest

from belief_people import LIFTS, History, trained
from steelyard.strength.state import CANDOUR, CURVE, FAST, FIRST_LIFT, SLOW

PEOPLE, BINS, LIMIT = 300, 10, 27.88
SEED = os.environ.get("STEELYARD_SEED", "0")
PLACES = {"curve": CURVE, "fast share": FAST, "slow time constant": SLOW, "candour": CANDOUR} | {
    lift.name: FIRST_LIFT + place for place, lift in enumerate(LIFTS)
}


@cache
def people() -> tuple[History, ...]:
    """Everyone, after five sessions."""
    return tuple(trained(f"{SEED} {number}", sessions=5) for number in range(PEOPLE))


@pytest.mark.parametrize("name", PLACES)
def test_the_truth_lies_anywhere_in_the_posterior_alike(name: str) -> None:
    counts = [0] * BINS
    for one in people():
        counts[min(BINS - 1, int(BINS * one.below(PLACES[name])))] += 1
    expected = PEOPLE / BINS
    assert sum((count - expected) ** 2 / expected for count in counts) < LIMIT


@pytest.mark.parametrize("name", PLACES)
def test_a_ninety_percent_interval_holds_about_as_many(name: str) -> None:
    """Within what 300 people leave open, and two points for what one normal can't say."""
    inside = sum(0.05 < one.below(PLACES[name]) < 0.95 for one in people()) / PEOPLE
    assert inside == pytest.approx(0.9, abs=0.02 + 3 * (0.09 / PEOPLE) ** 0.5)
