"""What an elbow can give, and how the points of a lift are ranked."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from steelyard.machine.joints import CAPACITY, JointPoint, JointView, capacity_share, cross, wrapped
from steelyard.machine.model import Joint


def point(flexion_deg: float | None, torque_n_m: float) -> JointPoint:
    """A point of a lift; a shoulder's without a flexion."""
    flexion = None if flexion_deg is None else math.radians(flexion_deg)
    share = None if flexion is None else capacity_share(flexion)
    return JointPoint(flexion, 0.1, 100.0, torque_n_m, 2.0, share)


def view(*points: JointPoint, joint: Joint = Joint.ELBOW) -> JointView:
    return JointView("curl", "Curl pad", joint, points, False, ())


@pytest.mark.parametrize(("flexion_deg", "share"), CAPACITY)
def test_the_rows_are_met_exactly(flexion_deg: float, share: float) -> None:
    assert capacity_share(math.radians(flexion_deg)) == pytest.approx(share, abs=1e-9)


@given(st.floats(0.0, 130.0))
def test_a_share_lies_between_those_of_its_neighbours(flexion_deg: float) -> None:
    share = capacity_share(math.radians(flexion_deg))
    below = max(row for row in CAPACITY if row[0] <= flexion_deg + 1e-6)
    above = min(row for row in CAPACITY if row[0] >= flexion_deg - 1e-6)
    assert share is not None
    assert min(below[1], above[1]) - 1e-9 <= share <= max(below[1], above[1]) + 1e-9


@pytest.mark.parametrize("flexion_deg", [-0.1, 130.1, 180.0, -90.0])
def test_outside_the_table_nothing_is_said(flexion_deg: float) -> None:
    assert capacity_share(math.radians(flexion_deg)) is None


def test_where_little_can_be_given_the_same_torque_is_harder() -> None:
    lift = view(point(10, 30.0), point(85, 30.0))
    assert lift.ranked[0].flexion_rad == pytest.approx(math.radians(10))
    assert lift.hardness(lift.points[1]) == pytest.approx(
        (capacity_share(math.radians(10)) or 0.0) / 1.0, abs=0.001
    )


def test_the_hardest_point_is_all_of_it_hard() -> None:
    lift = view(point(10, 30.0), point(85, 90.0))
    assert lift.hardness(lift.ranked[0]) == 1.0


def test_a_place_outside_the_table_is_not_ranked() -> None:
    lift = view(point(20, 30.0), point(140, 300.0))
    assert len(lift.ranked) == 1
    assert lift.hardness(lift.points[1]) is None


def test_of_equals_the_earlier_comes_first() -> None:
    lift = view(point(85.354, 30.0), point(85.354, 30.0))
    assert lift.ranked[0] is lift.points[0]


def test_a_load_that_asks_nothing_has_no_hardest_place() -> None:
    lift = view(point(20, -5.0), point(60, 0.0))
    assert [lift.hardness(each) for each in lift.points] == [None, None]


def test_a_view_wholly_outside_the_table_has_no_ranking() -> None:
    lift = view(point(140, 10.0), point(150, 20.0))
    assert lift.ranked == ()
    assert lift.hardness(lift.points[0]) is None


def test_a_shoulder_is_ranked_by_bare_torque_whichever_way() -> None:
    lift = view(point(None, -30.0), point(None, 20.0), joint=Joint.SHOULDER)
    assert lift.ranked[0].torque_n_m == -30.0
    assert lift.hardness(lift.points[1]) == pytest.approx(2 / 3)


def test_a_quarter_turn_counter_clockwise_is_positive() -> None:
    assert cross((1.0, 0.0), (0.0, 1.0)) == 1.0
    assert cross((0.0, 1.0), (1.0, 0.0)) == -1.0


@given(st.floats(-20.0, 20.0))
def test_a_wrapped_angle_is_the_same_direction(angle_rad: float) -> None:
    same = wrapped(angle_rad)
    assert -math.pi <= same <= math.pi
    assert math.cos(same - angle_rad) == pytest.approx(1.0)
