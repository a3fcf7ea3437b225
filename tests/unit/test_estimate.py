"""How sets become an estimate: what raises it, what lowers it, and how sure it says it is."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from steelyard.errors import OutOfRange
from steelyard.strength.curve import maximum_for
from steelyard.strength.estimate import DAY_SD, chance_of_reps, error_at, estimate, expected_reps, load_for
from steelyard.strength.model import Ended, Estimate, Observation

FAILED = Observation(60.0, 10, 0, Ended.FAILURE, days_ago=3.0)
KNOWN = Estimate(100.0, 0.03, 4, 2.0, reps_seen=10.0)


def known_from(*sets: Observation) -> Estimate:
    known = estimate(sets)
    assert known is not None
    return known


@pytest.mark.parametrize(
    "useless",
    [
        replace(FAILED, days_ago=61.0),
        replace(FAILED, reps=31),
        replace(FAILED, felt_kg=0.0),
        replace(FAILED, ended=Ended.UNSAID, rir=None),
        replace(FAILED, reps=0),
    ],
    ids=["old", "long", "unloaded", "unsaid", "never moved"],
)
def test_without_a_telling_set_nothing_is_known(useless: Observation) -> None:
    assert estimate([useless]) is None


def test_reps_said_to_be_left_count_as_reps() -> None:
    known = known_from(replace(FAILED, reps=8, rir=2, ended=Ended.REPORTED))
    assert expected_reps(known, 60.0) == pytest.approx(10.0)


def test_a_report_is_less_sure_than_a_failure_and_the_less_the_more_is_left() -> None:
    errors = [known_from(replace(FAILED, reps=9 - rir, rir=rir, ended=Ended.REPORTED)).sd_log for rir in range(7)]
    assert errors == sorted(errors)
    assert known_from(replace(FAILED, reps=9)).sd_log < errors[0]


def test_reports_in_long_sets_count_for_less() -> None:
    short = known_from(replace(FAILED, reps=12, rir=2, ended=Ended.REPORTED))
    long = known_from(replace(FAILED, reps=13, rir=2, ended=Ended.REPORTED))
    assert long.sd_log > 1.3 * short.sd_log


def test_one_set_to_failure_is_known_to_about_four_per_cent() -> None:
    """Tested maxima repeat to 4.2 %, median (Grgic 2020, doi 10.1186/s40798-020-00260-z, read)."""
    assert known_from(FAILED).sd_log == pytest.approx(0.042, abs=0.006)


def test_age_makes_unsure() -> None:
    errors = [known_from(replace(FAILED, days_ago=days)).sd_log for days in (1.0, 7.0, 28.0, 60.0)]
    assert errors == sorted(errors)


def test_many_sets_of_one_day_do_not_pass_for_many_days() -> None:
    one_day = known_from(*[FAILED] * 50)
    ten_days = known_from(*(replace(FAILED, days_ago=3.0 + 2 * day) for day in range(10)))
    assert one_day.sd_log > math.sqrt(2) * DAY_SD
    assert ten_days.sd_log < one_day.sd_log


def test_the_newer_of_two_days_counts_more() -> None:
    old, new = replace(FAILED, felt_kg=50.0, days_ago=40.0), replace(FAILED, felt_kg=60.0, days_ago=1.0)
    middle = math.sqrt(maximum_for(50.0, 10) * maximum_for(60.0, 10))
    assert middle < known_from(old, new).one_rm_kg < maximum_for(60.0, 10)


def test_todays_set_moves_the_estimate_more_than_yesterdays() -> None:
    history = [replace(FAILED, days_ago=day) for day in (5.0, 8.0, 12.0, 15.0)]
    bad = replace(FAILED, reps=6)
    today = known_from(*history, replace(bad, days_ago=0.0)).one_rm_kg
    yesterday = known_from(*history, replace(bad, days_ago=1.0)).one_rm_kg
    assert maximum_for(60.0, 6) < today < yesterday < maximum_for(60.0, 10)


def test_a_set_nobody_judged_raises_only() -> None:
    easy = replace(FAILED, reps=6, rir=None, ended=Ended.UNSAID)
    hard = replace(FAILED, reps=14, rir=None, ended=Ended.UNSAID)
    alone = known_from(FAILED).one_rm_kg
    assert known_from(FAILED, easy).one_rm_kg == alone
    assert known_from(FAILED, hard).one_rm_kg > alone


def test_a_first_rep_that_failed_lowers_only() -> None:
    stuck = replace(FAILED, reps=0, felt_kg=70.0)
    alone = known_from(FAILED).one_rm_kg
    assert known_from(FAILED, stuck).one_rm_kg < alone
    assert known_from(FAILED, replace(stuck, felt_kg=90.0)).one_rm_kg == alone


def test_very_long_sets_are_used_but_less_sure() -> None:
    assert known_from(replace(FAILED, reps=28)).sd_log > known_from(replace(FAILED, reps=15)).sd_log


def test_a_tired_set_is_less_sure_and_stands_for_more() -> None:
    tired = known_from(replace(FAILED, capacity=0.8))
    assert tired.one_rm_kg == pytest.approx(known_from(FAILED).one_rm_kg / 0.8)
    assert tired.sd_log > known_from(FAILED).sd_log


def test_the_estimate_says_what_it_rests_on() -> None:
    known = known_from(FAILED, replace(FAILED, reps=6, days_ago=9.0), replace(FAILED, reps=99))
    assert (known.sets, known.newest_days) == (2, 3.0)
    assert 6 < known.reps_seen < 10


def test_a_prediction_far_from_the_reps_seen_is_less_sure() -> None:
    assert error_at(KNOWN, 10) < error_at(KNOWN, 6) < error_at(KNOWN, 3)
    near, far = (load_for(KNOWN, reps, 0.9) / load_for(KNOWN, reps, 0.5) for reps in (10, 2))
    assert far < near < 1


def test_more_confidence_means_less_load() -> None:
    loads = [load_for(KNOWN, 10, chance) for chance in (0.5, 0.8, 0.95)]
    assert loads == sorted(loads, reverse=True)


def test_no_reps_are_certain_and_too_heavy_a_load_gives_none() -> None:
    assert chance_of_reps(KNOWN, 300.0, 0) == 1.0
    assert chance_of_reps(KNOWN, 300.0, 1) == 0.0
    assert expected_reps(KNOWN, 300.0) == 0.0


@pytest.mark.parametrize(
    ("reps", "chance", "capacity"), [(0, 0.8, 1.0), (10, 1.0, 1.0), (10, 0.0, 1.0), (10, 0.8, 0.0)]
)
def test_a_load_for_the_impossible_is_refused(reps: int, chance: float, capacity: float) -> None:
    with pytest.raises(OutOfRange):
        load_for(KNOWN, reps, chance, capacity=capacity)
