"""What sets say: which count, in which order each arm did them, and which one is named."""

from __future__ import annotations

from typing import Any

import pytest

from gyms import NOW, logged
from steelyard.journal.fold import LoggedSet
from steelyard.strength.fatigue import Fatigue
from steelyard.training.decide import Evidence
from steelyard.training.history import evidence, sets_at
from steelyard.training.model import Role

MINUTE = 1 / 1440


def seen(*sets: LoggedSet) -> Evidence:
    return evidence(sorted(sets, key=lambda each: each.at), now=NOW)


def maximum(*sets: LoggedSet) -> float:
    known = seen(*sets).estimate
    assert known is not None
    return known.one_rm_kg


def test_no_set_says_nothing() -> None:
    assert seen() == Evidence(None, None, None, Fatigue())


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
    assert seen(warm, logged(40.0, 8, 2)) == seen(logged(40.0, 8, 2))


@pytest.mark.parametrize("role", [Role.TEST, Role.DROP, Role.REST_PAUSE])
def test_tests_and_what_follows_a_last_set_tell_strength(role: Role) -> None:
    assert seen(logged(40.0, 8, 2, role=role)).estimate is not None


def test_five_or_more_is_only_a_least_figure() -> None:
    told = logged(40.0, 10, 1)
    assert seen(logged(30.0, 8, 5)).estimate is None
    assert maximum(told, logged(20.0, 8, 5, days_ago=3)) == pytest.approx(maximum(told), rel=1e-9)
    assert maximum(told, logged(48.0, 10, 5, days_ago=3)) > 1.02 * maximum(told)


def arms(**changes: Any) -> list[LoggedSet]:
    """Left then right, to failure, within a minute."""
    return [
        logged(20.0, 10, 0, side="left", days_ago=2 * MINUTE, **changes),
        logged(20.0, 10, 0, side="right", days_ago=1 * MINUTE, **changes),
    ]


def test_arms_tire_separately() -> None:
    one_after_the_other = maximum(*arms())
    same_arm_twice = maximum(*(logged(20.0, 10, 0, days_ago=(2 - n) * MINUTE) for n in range(2)))
    assert one_after_the_other == pytest.approx(maximum(arms()[0]), rel=0.01)
    assert same_arm_twice > 1.02 * one_after_the_other  # the second set was done tired, and yet as good


def test_an_arm_that_has_not_begun_is_fresh() -> None:
    left, right = arms()
    assert seen(left).fatigue == Fatigue()
    assert seen(left, right).fatigue.capacity < 0.9


def test_yesterdays_sets_tire_nobody() -> None:
    assert seen(logged(40.0, 10, 0, days_ago=1)).fatigue == Fatigue()
    assert seen(logged(40.0, 10, 0, days_ago=MINUTE)).fatigue.capacity < 0.9


def test_a_recorded_rest_counts_before_the_clock() -> None:
    first = logged(40.0, 10, 0, days_ago=4 * MINUTE)
    by_clock = logged(40.0, 6, 0, days_ago=1 * MINUTE)
    recorded = logged(40.0, 6, 0, days_ago=1 * MINUTE, rest_s=30.0)
    assert maximum(first, recorded) > 1.02 * maximum(first, by_clock)


def test_rest_by_the_clock_leaves_the_reps_out() -> None:
    first = logged(40.0, 10, 0, days_ago=4 * MINUTE)
    by_clock, recorded = (logged(40.0, 6, 0, days_ago=MINUTE, rest_s=rest) for rest in (None, 180.0 - 6 * 4.0))
    assert maximum(first, by_clock) == pytest.approx(maximum(first, recorded), rel=1e-9)


def test_one_arm_rests_while_the_other_works() -> None:
    left, right = arms()
    again = logged(20.0, 8, 0, side="left", rest_s=5.0, days_ago=-2 * MINUTE)
    by_clock = logged(20.0, 8, 0, side="left", days_ago=-2 * MINUTE)
    assert seen(left, right, again) == Evidence(**_fields(seen(left, right, by_clock), again))


def _fields(of: Evidence, last: LoggedSet) -> dict[str, Any]:
    return {"estimate": of.estimate, "last": last, "heaviest_kg": of.heaviest_kg, "fatigue": of.fatigue}


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
