"""What a lift promises: reps at a load, loads for reps, and how sure both are."""

from __future__ import annotations

import math
from dataclasses import replace
from statistics import fmean

import pytest

from gyms import promising
from lessons import known, new
from steelyard.errors import OutOfRange
from steelyard.strength import population as people
from steelyard.strength.belief import outlook
from steelyard.strength.outlook import MOST_COUNTED, Outlook, near_max_doubt

KNOWN = promising(100.0)
"""Ten reps are expected of 74.07 kg."""
TEN_KG = 100.0 * 30.0 / 40.5


def width(of: Outlook, reps: int, *, rir: int = 0) -> float:
    """How far apart the loads are that give so many reps seldom and mostly."""
    return math.log(of.load_for(reps, 0.2, rir=rir) / of.load_for(reps, 0.8, rir=rir))


def mean_reps(of: Outlook, load_kg: float) -> float:
    return math.fsum(reps * chance for reps, chance in enumerate(of.chances(load_kg)))


def test_expected_reps_are_the_mean_of_those_promised() -> None:
    assert KNOWN.expected_reps(TEN_KG) == pytest.approx(10.0)
    assert mean_reps(KNOWN, TEN_KG) == pytest.approx(10.0, abs=0.1)


def test_no_reps_are_certain_and_too_heavy_a_load_gives_none() -> None:
    assert KNOWN.chance_of_reps(300.0, 0) == 1.0
    assert KNOWN.chance_of_reps(300.0, 1) < 1e-3
    assert KNOWN.expected_reps(300.0) == 0.0


def test_a_load_that_just_gives_reps_gives_them_in_half_of_all_sets() -> None:
    load_kg = 100.0 * 30.0 / (30.0 + 10.0)
    assert KNOWN.chance_of_reps(load_kg, 10) == 0.5
    assert KNOWN.load_for(10, 0.5) == pytest.approx(load_kg, rel=1e-6)


def test_more_confidence_means_less_load() -> None:
    loads = [KNOWN.load_for(10, chance) for chance in (0.05, 0.5, 0.8, 0.95)]
    assert loads == sorted(loads, reverse=True)


def test_a_load_that_a_single_stops_at_is_the_maximum() -> None:
    assert KNOWN.load_for(1, 0.5) == pytest.approx(KNOWN.one_rm_kg, rel=1e-6)


def test_who_is_less_known_is_promised_less_surely() -> None:
    assert width(promising(100.0, sd_log=0.1), 10) > 1.5 * width(KNOWN, 10)


@pytest.mark.parametrize(("reps", "chance"), [(0, 0.8), (10, 0.96), (10, 0.04), (10, math.nan)])
def test_a_load_for_the_impossible_is_refused(reps: int, chance: float) -> None:
    with pytest.raises(OutOfRange, match=r"it must be (at least 1|from 0\.05 to 0\.95)"):
        KNOWN.load_for(reps, chance)


# ---- reps in reserve ----


def test_reps_to_be_left_are_reps_not_done() -> None:
    assert KNOWN.expected_reps(TEN_KG, rir=3) == pytest.approx(7.0)
    assert KNOWN.load_for(8, 0.5, rir=2) == pytest.approx(KNOWN.load_for(10, 0.5))


def test_candour_takes_more_reps_off_the_more_are_to_be_left() -> None:
    modest = replace(KNOWN, candour=1.0)
    lost = [KNOWN.expected_reps(TEN_KG, rir=rir) - modest.expected_reps(TEN_KG, rir=rir) for rir in (0, 1, 3)]
    assert lost == pytest.approx([0.0, 1.0, 2.0])


def test_reps_to_be_left_make_a_set_less_sure() -> None:
    widths = [width(KNOWN, 12 - rir, rir=rir) for rir in (0, 1, 2, 4)]
    assert widths == sorted(widths)
    assert width(replace(KNOWN, candour_sd=1.0), 8, rir=4) > widths[-1]


def test_reps_to_be_left_of_a_long_set_are_less_sure_still() -> None:
    assert width(KNOWN, 13, rir=2) > 1.2 * width(KNOWN, 12, rir=2)


# ---- how sure ----


def test_someone_known_is_less_sure_far_from_the_reps_seen() -> None:
    of = outlook(known(reps=10), "row")
    assert width(of, 10) < width(of, 30)
    assert width(of, 10) < width(of, 2)


def test_a_set_scatters_by_as_many_reps_whatever_the_lifters_own_curve() -> None:
    flat, steep = (replace(KNOWN, scale=scale, variance=1e-9) for scale in (20.0, 45.0))
    reps = [(20.0 + 10.0) * width(flat, 10), (45.0 + 10.0) * width(steep, 10)]
    assert reps[0] == pytest.approx(reps[1], rel=0.01)


def test_an_odd_set_leaves_a_tail_that_a_usual_one_does_not() -> None:
    """Far above what can be lifted nearly all of the chance is that of an odd set."""
    load_kg = 1.2 * TEN_KG
    margin = math.log(100.0 / load_kg) - math.log1p(10.0 / 30.0)
    usual_sd = math.hypot(0.03, people.SET_SD)
    odd_sd = math.hypot(usual_sd, people.ODD_SD)
    tail = people.ODD_SHARE * 0.5 * math.erfc(-margin / odd_sd / math.sqrt(2.0))
    assert KNOWN.chance_of_reps(load_kg, 10) == pytest.approx(tail, abs=2e-6)


@pytest.mark.parametrize(
    ("reps", "missing", "doubted"), [(3.0, 0.2, False), (10.0, 0.2, False), (1.0, 0.0, False), (1.0, 0.2, True)]
)
def test_only_a_tired_lift_near_its_maximum_is_doubted(reps: float, missing: float, doubted: bool) -> None:
    assert (near_max_doubt(reps, missing, 1.0 - missing) > 0.0) is doubted


def test_that_doubt_grows_towards_the_maximum_and_with_what_is_missing() -> None:
    near = [near_max_doubt(reps, 0.2, 0.8) for reps in (2.0, 1.0, 0.0, -1.0)]
    assert near[0] < near[1] < near[2] == near[3]
    assert near_max_doubt(1.0, 0.1, 0.9) < near[1]


# ---- runs of reps ----


@pytest.mark.parametrize("share", [0.5, 0.8, 0.9])
def test_an_interval_holds_its_share_as_nearly_as_whole_reps_can(share: float) -> None:
    held = []
    for load_kg in range(50, 95):
        low, high = KNOWN.interval(load_kg, share)
        held.append(math.fsum(list(KNOWN.chances(load_kg))[low : high + 1]))
    assert fmean(held) == pytest.approx(share, abs=0.05)


def test_an_interval_lies_about_the_reps_expected() -> None:
    low, high = KNOWN.interval(TEN_KG, 0.8)
    assert low <= KNOWN.median_reps(TEN_KG) == 10 <= high
    assert high - low <= 5


def test_a_load_that_is_hardly_any_stops_at_the_most_that_is_counted() -> None:
    assert KNOWN.median_reps(0.001) == MOST_COUNTED
    assert math.fsum(KNOWN.chances(0.001)) == pytest.approx(1.0)


def test_of_someone_unknown_every_number_of_reps_is_possible() -> None:
    chances = list(outlook(new(), "row").chances(30.0))
    assert max(chances[1:30]) < 0.1
    assert min(chances[1:30]) > 0.005
