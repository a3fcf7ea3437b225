"""What a novice, a returning and a steady lifter are allowed, and what a first day warns of."""

from __future__ import annotations

from datetime import timedelta

import pytest

from gyms import NOW, boathouse, lifter, logged, outline_of, strong
from steelyard.training.allowance import Allowance, allowance, days_off, is_first_day
from steelyard.training.model import Role
from steelyard.training.prepare import prepare
from steelyard.training.rules import BREAKDOWN

STEADY = [logged(40.0, 8, days_ago=days) for days in (21, 14, 7)]


def test_a_steady_lifter_gets_everything() -> None:
    assert allowance(lifter(), STEADY, NOW) == Allowance()


def test_a_novice_gets_no_techniques_and_is_told_why() -> None:
    allowed = allowance(lifter(training_months=0, joined_at=NOW - timedelta(days=8)), STEADY[2:], NOW)
    assert not allowed.techniques
    assert (allowed.load, allowed.sets) == (1.0, 1.0)
    assert BREAKDOWN in allowed.notes[0]


def test_a_month_on_record_makes_no_novice() -> None:
    assert allowance(lifter(training_months=0, joined_at=NOW - timedelta(days=31)), STEADY, NOW).techniques


def test_after_five_weeks_off_the_first_week_is_lighter_and_shorter() -> None:
    allowed = allowance(lifter(), [logged(40.0, 8, days_ago=42)], NOW)
    assert (allowed.techniques, allowed.load, allowed.sets) == (False, 0.8, 0.5)
    assert allowed.notes[0] == "42 days without training: 80 % of the load and fewer sets in the first week."


def test_after_three_weeks_off_techniques_stay() -> None:
    allowed = allowance(lifter(), [logged(40.0, 8, days_ago=21)], NOW)
    assert (allowed.techniques, allowed.load, allowed.sets) == (True, 0.9, 0.5)


def test_the_second_week_back_has_full_loads_but_no_techniques_yet() -> None:
    back = [logged(40.0, 8, days_ago=days) for days in (60, 10, 8, 3)]
    allowed = allowance(lifter(), back, NOW)
    assert (allowed.techniques, allowed.load) == (False, 1.0)


def test_four_weeks_back_all_is_as_usual() -> None:
    back = [logged(40.0, 8, days_ago=days) for days in (80, 30, 23, 16, 9, 2)]
    assert allowance(lifter(), back, NOW) == Allowance()


@pytest.mark.parametrize(
    ("planned", "left"), [((3, 2, 1), (3, 2)), ((2, 1), (2,)), ((1,), (1,)), ((3, 2, 2, 1), (3, 2))]
)
def test_the_easier_first_sets_remain(planned: tuple[int, ...], left: tuple[int, ...]) -> None:
    assert Allowance(sets=0.5).rirs(planned) == left


def test_someone_new_has_no_break() -> None:
    assert days_off([], NOW, within=7) == 0.0


def test_only_breaks_that_ended_lately_count() -> None:
    sets = [logged(40.0, 8, days_ago=days) for days in (40, 10, 9)]
    assert days_off(sets, NOW, within=7) == pytest.approx(9.0)
    assert days_off(sets, NOW, within=28) == pytest.approx(30.0)


def test_the_first_day_lasts_until_midnight() -> None:
    assert is_first_day([], NOW)
    assert is_first_day([logged(40.0, 8, days_ago=0.1)], NOW)
    assert not is_first_day(STEADY, NOW)


FOUR_SETS = outline_of('do = "lever_row_chest"\nreps = 12\nsets = 6\nrir = 2\nthen = "drop"')


def test_a_first_day_warns_of_too_much() -> None:
    notes = prepare(boathouse(), FOUR_SETS, lifter(), [], now=NOW).notes
    assert "6 sets are more than 3 in a first session." in notes[0]
    assert any("72 reps are more than 60" in note for note in notes)


def test_later_days_do_not() -> None:
    notes = prepare(boathouse(), FOUR_SETS, lifter(), strong(), now=NOW).notes
    assert not any("first session" in note for note in notes)


def test_a_novices_session_has_no_drop_and_says_so() -> None:
    novice = lifter(training_months=0, joined_at=NOW - timedelta(days=8))
    session = prepare(boathouse(), FOUR_SETS, novice, strong(), now=NOW)
    assert {one.role for one in session.sets} == {Role.WARM_UP, Role.WORK}
    assert any("Drop sets and rest-pause are left out" in note for note in session.notes)


def test_a_returning_lifters_session_is_lighter_and_shorter() -> None:
    usual = prepare(boathouse(), FOUR_SETS, lifter(), strong(), now=NOW)
    late = NOW + timedelta(days=33)
    back = prepare(boathouse(), FOUR_SETS, lifter(), strong(), now=late)
    work, eased = ([one for one in each.sets if one.role is Role.WORK] for each in (usual, back))
    assert (len(work), len(eased)) == (6, 3)
    assert 0.7 * work[0].felt_kg < eased[0].felt_kg < 0.83 * work[0].felt_kg
