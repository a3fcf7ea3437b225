"""What one lift says of another, and what it leaves another to feel."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from lessons import CURL, LIFTS, PRESS, ROW, SQUAT
from steelyard.strength.lifts import (
    ALIKE_SHARE,
    CARRIED,
    CARRIED_ANYWAY,
    COMMON_SHARE,
    Lift,
    carried,
    covariance,
    likeness,
    together,
)

UNKNOWN = Lift("unknown", 4.0, 0.4, 30.0)


def correlation(one: Lift, other: Lift) -> float:
    return covariance(one, other) / (one.sd_log * other.sd_log)


def test_a_lift_is_wholly_like_one_that_works_the_same_muscles() -> None:
    twin = replace(ROW, name="another row", muscles={muscle: 2.0 * work for muscle, work in ROW.muscles.items()})
    assert likeness(ROW, twin) == pytest.approx(1.0)
    assert correlation(ROW, twin) == pytest.approx(COMMON_SHARE + ALIKE_SHARE)


def test_lifts_without_a_shared_muscle_share_the_person() -> None:
    assert likeness(ROW, SQUAT) == 0.0
    assert correlation(ROW, SQUAT) == pytest.approx(COMMON_SHARE)


def test_lifts_are_the_more_alike_the_more_muscles_they_share() -> None:
    assert likeness(ROW, PRESS) < likeness(ROW, CURL) == likeness(CURL, ROW) < likeness(ROW, ROW)


def test_lifts_of_which_no_muscle_is_known_are_half_alike() -> None:
    assert likeness(UNKNOWN, ROW) == likeness(ROW, UNKNOWN) == likeness(UNKNOWN, UNKNOWN) == 0.5


def test_even_the_same_lift_elsewhere_has_a_part_of_its_own() -> None:
    """Felt loads of two stations differ by what neither shows."""
    assert correlation(ROW, ROW) < 1.0


def test_the_muscles_that_a_lift_works_directly_feel_what_others_did_to_them() -> None:
    twin = replace(ROW, name="another row")
    assert carried(ROW, twin) == pytest.approx(CARRIED)
    assert carried(CURL, ROW) == pytest.approx(CARRIED_ANYWAY + (CARRIED - CARRIED_ANYWAY) / 2)


def test_what_a_lift_works_by_the_way_carries_nothing_over() -> None:
    assert carried(ROW, CURL) == carried(ROW, SQUAT) == CARRIED_ANYWAY


def test_a_lift_without_a_direct_muscle_feels_only_what_everyone_does() -> None:
    assert carried(UNKNOWN, ROW) == CARRIED_ANYWAY


def test_a_muscle_worked_twice_over_is_not_more_than_fully_tired() -> None:
    hard = replace(ROW, name="hard row", muscles={"lats": 3.0, "mid_back": 3.0})
    assert carried(ROW, hard) == pytest.approx(CARRIED)


def test_a_lift_feels_all_of_its_own_fatigue_and_part_of_others() -> None:
    carry = together(LIFTS).carry
    for row, felt in enumerate(carry):
        assert felt[row] == 1.0
        assert max(share for column, share in enumerate(felt) if column != row) <= CARRIED


def test_lifts_are_found_by_name() -> None:
    lifts = together(LIFTS)
    assert [lifts.each[lifts.place[lift.name]] for lift in LIFTS] == list(LIFTS)


def test_a_lift_in_doubt_is_doubted_together_with_others() -> None:
    assert covariance(ROW, replace(CURL, sd_log=0.8)) == pytest.approx(2.0 * covariance(ROW, CURL))
    assert math.isclose(covariance(ROW, CURL), covariance(CURL, ROW))
