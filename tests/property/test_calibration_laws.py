"""Calibration on machines drawn at random, whose truth is known: intervals hold, slips are found, nothing else is.

A smaller version of builders/calibration_study.py, with fixed seeds. The bounds are what chance allows at that
number of machines around the figures asked for: three standard deviations of a binomial share, where each machine
counts once, since its loads err together.
"""

from __future__ import annotations

import math
from functools import cache
from random import Random
from statistics import fmean, median

import pytest

from simulated_scales import SLIPS, Outcome, World, drawn_case, judged, protocol, readings_of, two_stops, with_slip
from steelyard.machine.fit import fit_readings
from steelyard.machine.reading import Creep, Reading

MACHINES, SLIPPED = 80, 30
FACTS = World()


def chance(share: float, count: int) -> float:
    """What chance may take from a share of so many machines, or give to it."""
    return 3.0 * math.sqrt(share * (1.0 - share) / count)


@cache
def outcomes(kind: str) -> tuple[Outcome, ...]:
    """What calibration makes of each machine, read as far as the kind says."""
    found = []
    for seed in range(MACHINES):
        random = Random(f"{kind} {seed}")
        case = drawn_case(random, FACTS)
        stops = protocol(case, repeats=1) if kind == "protocol" else two_stops(case, Creep(kind))
        found.append(judged(case, readings_of(random, case, stops, FACTS), FACTS))
    return tuple(found)


@pytest.mark.parametrize("load", range(4))
def test_intervals_of_the_read_station_hold_the_truth_as_often_as_they_say(load: int) -> None:
    share = fmean(outcome.held["read"][load] for outcome in outcomes("protocol"))
    assert 0.93 - chance(0.95, MACHINES) < share < 0.97 + chance(0.95, MACHINES)


@pytest.mark.parametrize("kind", ["protocol", "up", "held"])
def test_intervals_of_stations_that_were_not_read_hold_too(kind: str) -> None:
    share = fmean(held for one in outcomes(kind) for name in ("other", "third") for held in one.held[name])
    assert 0.93 - chance(0.96, MACHINES) < share


@pytest.mark.parametrize("kind", ["up", "held"])
def test_two_readings_give_wide_bounds_that_hold(kind: str) -> None:
    share = fmean(held for one in outcomes(kind) for held in one.held["read"])
    assert 0.93 - chance(0.95, MACHINES) < share


def test_the_estimate_is_within_six_tenths_of_a_percent_half_the_time() -> None:
    assert median(off for one in outcomes("protocol") for off in one.off["read"]) <= 0.006


def test_more_readings_give_narrower_bounds() -> None:
    widths = [
        median(half for one in outcomes(kind) for half in one.half["read"]) for kind in ("protocol", "up", "held")
    ]
    assert widths == sorted(widths)
    assert widths[0] < 0.02
    assert widths[2] < 0.10


def test_sound_readings_are_hardly_ever_called_wrong() -> None:
    flagged = fmean(bool(one.fit.suspects) for one in outcomes("protocol"))
    assert flagged <= 0.02 + chance(0.02, MACHINES)


def slipped(seed: int, slip: str) -> tuple[str, set[str]]:
    """The reading that is wrong, and those found to be."""
    random = Random(f"slip {seed}")
    case = drawn_case(random, FACTS)
    readings: list[Reading] = readings_of(random, case, protocol(case, repeats=1), FACTS)
    row = random.randrange(len(readings))
    fit = fit_readings(case.described, with_slip(readings, row, slip))
    return readings[row].id, {suspect.reading.id for suspect in fit.suspects}


@pytest.mark.parametrize("slip", SLIPS)
def test_one_wrong_reading_is_found_and_it_is_that_one(slip: str) -> None:
    found = fmean(wrong in suspects for wrong, suspects in (slipped(seed, slip) for seed in range(SLIPPED)))
    assert found >= 0.95 - chance(0.95, SLIPPED)
