"""What sets say: which count, in which order each arm did them, and which one is named."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from gyms import NOW, boathouse, lifter, logged
from steelyard.journal.fold import LoggedSet
from steelyard.strength.belief import learn, newcomer, outlook, rested
from steelyard.training import history
from steelyard.training.exercises import exercises
from steelyard.training.history import (
    UNTIMED_REST_S,
    Evidence,
    Knowledge,
    Learned,
    evidence,
    knowledge,
    name_of,
    rest_since,
    sets_at,
)
from steelyard.training.model import Role
from steelyard.training.priors import lift_of

MINUTE = 1 / 1440
ROW = lift_of(exercises()["lever_row_chest"], "row-chest", boathouse().machine.name, 70.0)
MONTHS = 24 + 100 / 30.44
"""Ida's years of training when she joined and the hundred days since."""


def seen(*sets: LoggedSet) -> Evidence:
    return evidence(sorted(sets, key=lambda each: each.at), now=NOW)


def known(*sets: LoggedSet) -> Knowledge:
    past = sorted(sets, key=lambda each: each.at)
    return knowledge(exercises(), lifter(), past, [ROW], now=NOW)


def maximum(*sets: LoggedSet) -> float:
    return outlook(known(*sets).rested(NOW), ROW.name).one_rm_kg


def capacity(*sets: LoggedSet, side: str = "both") -> float:
    told = known(*sets)
    return outlook(rested(told.at(NOW), told.rest_s(NOW)), ROW.name, side=side).capacity


def test_no_set_says_nothing() -> None:
    assert seen() == Evidence(None, None)
    assert known() == Knowledge(newcomer([ROW], training_months=MONTHS), (), None, NOW)


def test_only_one_exercise_at_one_station_of_one_machine_counts() -> None:
    here = logged(40.0, 8)
    others = [
        logged(40.0, 8, exercise="other"),
        logged(40.0, 8, station="other"),
        logged(40.0, 8, machine="other"),
    ]
    assert sets_at([here, *others], "lever_row_chest", "row-chest", here.done.machine) == (here,)


def test_warm_ups_say_nothing() -> None:
    warm = logged(20.0, 8, 2, role=Role.WARM_UP, days_ago=7 + 5 * MINUTE)
    assert seen(warm) == seen()
    assert known(warm) == known()
    assert known(warm, logged(40.0, 8, 2)) == known(logged(40.0, 8, 2))


@pytest.mark.parametrize("role", [Role.TEST, Role.DROP, Role.REST_PAUSE])
def test_tests_and_what_follows_a_last_set_tell_strength(role: Role) -> None:
    assert known(logged(40.0, 8, 2, role=role)).belief == known(logged(40.0, 8, 2)).belief


def test_five_or_more_is_only_a_least_figure() -> None:
    told, empty = logged(40.0, 10, 1), logged(1.0, 1, None, days_ago=3)
    nothing_new = maximum(told, empty)
    assert maximum(told, logged(20.0, 8, 5, days_ago=3)) == pytest.approx(nothing_new, rel=1e-6)
    assert maximum(told, logged(48.0, 10, 5, days_ago=3)) > 1.02 * nothing_new


def test_a_set_of_an_exercise_that_is_no_longer_known_is_passed_over() -> None:
    assert known(logged(40.0, 8, exercise="gone"), logged(40.0, 8)).belief == known(logged(40.0, 8)).belief


def test_another_exercise_is_believed_in_as_soon_as_it_was_done() -> None:
    curl = logged(15.0, 10, 1, exercise="curl_lever", station="curl-pad")
    told = known(curl).belief
    assert set(told.lifts.place) == {ROW.name, name_of(curl.done)}


def test_a_set_that_is_hard_to_believe_is_kept_to_be_asked_about() -> None:
    usual = [logged(40.0, 10, 1, days_ago=days) for days in (14, 11, 7)]
    slip = logged(40.0, 1, 1, days_ago=3)
    (odd,) = known(*usual, slip).odd
    assert odd.logged == slip
    assert odd.low <= 10 <= odd.high
    assert known(*usual).odd == ()


def test_a_row_of_bad_sets_on_one_day_is_not_all_asked_about() -> None:
    usual = [logged(40.0, 10, 0, days_ago=days) for days in (14, 11, 7)]
    bad = [logged(40.0, 6, 0, days_ago=1 - 10 * MINUTE * n, rest_s=600.0) for n in range(4)]
    assert len(known(*usual, *bad).odd) < 4


def arms(**changes: Any) -> list[LoggedSet]:
    """Left then right, to failure, within a minute."""
    return [
        logged(20.0, 10, 0, side="left", days_ago=2 * MINUTE, **changes),
        logged(20.0, 10, 0, side="right", days_ago=1 * MINUTE, **changes),
    ]


def test_arms_tire_separately() -> None:
    usual = [logged(20.0, 10, 0, days_ago=days) for days in (14, 11, 8)]
    one_after_the_other = maximum(*usual, *arms())
    same_arm_twice = maximum(*usual, *(logged(20.0, 10, 0, days_ago=(2 - n) * MINUTE) for n in range(2)))
    assert one_after_the_other == pytest.approx(maximum(*usual, arms()[0]), rel=0.01)
    assert same_arm_twice > 1.003 * one_after_the_other  # the second set was done tired, and yet as good


def test_an_arm_that_has_not_begun_is_fresh() -> None:
    left, right = arms()
    assert capacity(left, side="right") == 1.0
    assert capacity(left, right, side="right") < 0.9


def test_yesterdays_sets_tire_nobody() -> None:
    assert capacity(logged(40.0, 10, 0, days_ago=1)) == 1.0
    assert capacity(logged(40.0, 10, 0, days_ago=MINUTE)) < 0.9


def test_todays_latest_set_leaves_one_tired_and_a_day_later_rested() -> None:
    told = known(logged(40.0, 10, 0, days_ago=MINUTE))
    assert outlook(told.at(NOW), ROW.name).capacity < 0.8
    assert outlook(told.rested(NOW), ROW.name).capacity == 1.0


def test_rest_runs_from_the_end_of_the_latest_set() -> None:
    assert known(logged(40.0, 10, days_ago=2 * MINUTE)).rest_s(NOW) == pytest.approx(120.0)
    assert known().rest_s(NOW) == 0.0


def test_a_recorded_rest_counts_before_the_clock() -> None:
    first = logged(40.0, 10, 0, days_ago=4 * MINUTE)
    by_clock = logged(40.0, 6, 0, days_ago=1 * MINUTE)
    recorded = logged(40.0, 6, 0, days_ago=1 * MINUTE, rest_s=30.0)
    assert maximum(first, recorded) > 1.02 * maximum(first, by_clock)


def test_rest_by_the_clock_leaves_the_reps_out() -> None:
    first = logged(40.0, 10, 0, days_ago=4 * MINUTE)
    by_clock, recorded = (logged(40.0, 6, 0, days_ago=MINUTE, rest_s=rest) for rest in (None, 180.0 - 6 * 4.0))
    assert maximum(first, by_clock) == pytest.approx(maximum(first, recorded), rel=1e-9)


def test_a_warm_up_in_between_makes_the_noted_rest_that_since_the_warm_up() -> None:
    first, warm = (
        logged(40.0, 10, 0, days_ago=6 * MINUTE),
        logged(20.0, 8, 5, role=Role.WARM_UP, days_ago=2 * MINUTE),
    )
    again = logged(40.0, 6, 0, days_ago=MINUTE, rest_s=40.0)
    by_clock = replace(again, done=replace(again.done, rest_s=300.0 - 6 * 4.0))
    assert maximum(first, warm, again) == pytest.approx(maximum(first, by_clock), rel=1e-9)
    assert maximum(first, warm, again) != pytest.approx(maximum(first, again), rel=1e-4)


def test_a_set_noted_by_itself_was_rested_for() -> None:
    first, noted = logged(40.0, 10, 0, days_ago=2 * MINUTE), logged(40.0, 6, 0, days_ago=MINUTE)
    within = replace(noted, done=replace(noted.done, session="today"))
    assert rest_since(first, noted, noted=True) == UNTIMED_REST_S
    assert rest_since(first, within, noted=True) == pytest.approx(60.0 - 6 * 4.0)


def test_todays_latest_set_is_named() -> None:
    earlier, latest = logged(40.0, 9, days_ago=10 * MINUTE), logged(38.0, 8, days_ago=MINUTE)
    assert seen(logged(50.0, 3), earlier, latest).last == latest


def test_else_the_first_work_set_of_the_latest_day_is_named() -> None:
    first, second = logged(40.0, 9, days_ago=7), logged(38.0, 8, days_ago=7 - 3 * MINUTE)
    tested = logged(30.0, 8, 5, role=Role.TEST, days_ago=7 + 3 * MINUTE)
    assert seen(logged(50.0, 3, days_ago=14), tested, first, second).last == first


def test_a_day_of_tests_alone_names_the_last_one() -> None:
    one, two = (logged(30.0, 8, 5, role=Role.TEST, days_ago=7 - n * MINUTE) for n in range(2))
    assert seen(one, two).last == two


def test_drops_are_never_named() -> None:
    work = logged(40.0, 9, days_ago=2 * MINUTE)
    assert seen(work, logged(26.0, 6, role=Role.DROP, days_ago=MINUTE)).last == work
    assert seen(logged(26.0, 6, role=Role.DROP)).last is None


def test_the_heaviest_is_that_of_the_latest_day_with_work() -> None:
    old, light, heavy = logged(60.0, 5, days_ago=14), logged(38.0, 8), logged(40.0, 9, days_ago=7 - MINUTE)
    assert seen(old, light, heavy).heaviest_kg == 40.0
    assert seen(old, logged(30.0, 8, 5, role=Role.TEST)).heaviest_kg == 60.0
    assert seen(old, logged(90.0, 0, 0)).heaviest_kg == 60.0


def test_going_on_from_what_was_kept_is_to_begin_anew() -> None:
    kept = Learned()
    sets = [logged(40.0, 8 + number % 3, number % 4, days_ago=60 - number / 2) for number in range(110)]
    otherwise = [*sets[:70], replace(sets[70], done=replace(sets[70].done, reps=3)), *sets[71:]]
    for past in (sets[:60], sets[:61], sets[:60], sets, otherwise, sets[:40], [*sets[:40], *sets[41:]]):
        assert told(past, kept) == told(past, Learned())


def test_another_beginning_is_not_gone_on_from() -> None:
    kept, sets = Learned(), [logged(40.0, 8, 2, days_ago=3), logged(40.0, 8, 2, days_ago=1)]
    told(sets, kept)
    assert told(sets[1:], kept) == told(sets[1:], Learned())


def test_only_what_follows_a_change_is_learnt_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    kept = Learned()
    sets = [logged(40.0, 8, 2, days_ago=60 - number / 2) for number in range(100)]
    told(sets[:99], kept)
    learnt = []
    monkeypatch.setattr(history, "learn", lambda belief, seen: learnt.append(seen) or learn(belief, seen))
    told(sets, kept)
    assert len(learnt) == 1


def told(past: list[LoggedSet], kept: Learned) -> Knowledge:
    return knowledge(exercises(), lifter(), past, [ROW], now=NOW, learned=kept)
