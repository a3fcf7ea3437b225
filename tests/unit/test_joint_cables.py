"""A curl at a low pulley: where the lifter stands, where it begins and ends, and what is refused."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from steelyard.errors import OutOfRange
from steelyard.machine.body import Body
from steelyard.machine.examples import example_text
from steelyard.machine.file import read_machine
from steelyard.machine.joint_cables import (
    LOW_WHEEL_M,
    Standing,
    cable_curl,
    standing_at,
    tensions_n,
    turned_where,
)
from steelyard.machine.model import Attachment, Cable, Joint, JointPlace, Station
from steelyard.machine.statics import angles_at_travels, handle_travel, mechanism_of
from steelyard.units import STANDARD_GRAVITY

MACHINE = read_machine(example_text("boathouse"), "boathouse.toml")
PULLEY = MACHINE.stations["low-pulley"]
BODY = Body(1.80, 80.0)
TWENTY = {"tip": (20.0, 0.0)}


def cable_of(station: Station) -> Cable:
    assert isinstance(station.drive, Cable)
    return station.drive


def with_cable(**changes: object) -> Station:
    return replace(PULLEY, drive=replace(cable_of(PULLEY), **changes))


def standing(station: Station = PULLEY, off_m: float = 0.2) -> Standing:
    return standing_at(station, mechanism_of(MACHINE, station), BODY, off_m)[0]


def test_the_lifter_stands_off_the_wheel_with_a_hanging_arm() -> None:
    found, wheel_m = standing(), cable_of(PULLEY).last_wheel_m
    assert found.elbow_m == pytest.approx((wheel_m[0] + 0.2, BODY.elbow_height_m))
    assert found.forearm(0.0) == pytest.approx((0.0, -1.0))


def test_the_lifter_faces_the_wheel() -> None:
    found = standing()
    half_way = found.forearm(math.radians(90))
    assert half_way == pytest.approx((-1.0, 0.0))
    assert found.wheel_m[0] < found.elbow_m[0]


def test_a_cable_that_leaves_backward_is_curled_from_behind_it() -> None:
    backward = standing(with_cable(exit_rad=math.radians(100)))
    assert backward.elbow_m[0] < backward.wheel_m[0]
    assert backward.sense == 1


def test_straight_up_counts_as_leaving_forward() -> None:
    assert standing(with_cable(exit_rad=math.radians(90))).sense == -1


def test_a_last_wheel_that_nobody_measured_is_put_near_the_floor_and_told() -> None:
    view = cable_curl(MACHINE, with_cable(more_wheels_m=()), BODY, TWENTY)
    assert any("was not measured" in note and "10 cm" in note for note in view.notes)
    assert standing(with_cable(more_wheels_m=())).wheel_m[1] == LOW_WHEEL_M


def test_the_curl_begins_where_the_cable_first_gets_longer() -> None:
    near, far = standing(off_m=0.05), standing(off_m=0.6)
    assert near.first_longer() == pytest.approx(math.radians(10))
    assert far.first_longer() > math.radians(20)
    assert far.lever_m(far.first_longer()) == pytest.approx(0.0, abs=1e-12)


def test_the_lever_is_the_slope_of_the_reach() -> None:
    found, turn, step = standing(), 1.1, 1e-6
    slope = (found.reach_m(turn + step) - found.reach_m(turn - step)) / (2 * step)
    assert found.lever_m(turn) == pytest.approx(slope, rel=1e-6)


def test_the_farther_the_lifter_stands_the_less_is_asked_early() -> None:
    near = cable_curl(MACHINE, PULLEY, BODY, TWENTY, stands_off_m=0.05).points[3]
    far = cable_curl(MACHINE, PULLEY, BODY, TWENTY, stands_off_m=0.5).points[3]
    assert far.torque_n_m < near.torque_n_m


def test_a_full_curl_ends_at_130_degrees() -> None:
    view = cable_curl(MACHINE, PULLEY, BODY, TWENTY)
    last = view.points[-1]
    assert last.flexion_rad == pytest.approx(math.radians(130))
    assert last.capacity is not None


def test_a_short_range_ends_the_curl_and_the_view_says_where() -> None:
    short = replace(PULLEY, to_rad=PULLEY.from_rad + math.radians(8))
    view = cable_curl(MACHINE, short, BODY, TWENTY)
    mechanism = mechanism_of(MACHINE, short)
    assert view.points[-1].travel_m == pytest.approx(handle_travel(mechanism, mechanism.to_rad))
    assert any("the machine's range ends at" in note for note in view.notes)


def test_an_elbow_in_the_file_is_believed() -> None:
    pad = replace(PULLEY, joint=JointPlace(Joint.ELBOW, (2.1, 1.0), math.radians(-120)))
    view = cable_curl(MACHINE, pad, BODY, TWENTY)
    assert not view.estimated
    assert not any("standing" in note for note in view.notes)
    assert standing(pad).elbow_m == (2.1, 1.0)


def test_standing_is_an_estimate() -> None:
    assert cable_curl(MACHINE, PULLEY, BODY, TWENTY).estimated


def test_what_is_clipped_on_is_carried_by_the_hand_and_not_by_the_cable() -> None:
    bare, laden = replace(PULLEY, attachments=()), replace(PULLEY, attachments=(Attachment("bar", 4.0),))
    without, with_bar = (cable_curl(MACHINE, each, BODY, TWENTY).points[12] for each in (bare, laden))
    assert without.flexion_rad is not None
    assert with_bar.force_n == pytest.approx(without.force_n)
    lever_m = BODY.grip_m * math.sin(without.flexion_rad)
    more = with_bar.torque_n_m - without.torque_n_m
    assert more == pytest.approx(4.0 * STANDARD_GRAVITY / 2 * lever_m)


def test_one_arm_bears_the_whole_cable() -> None:
    mechanism = mechanism_of(MACHINE, PULLEY)
    angles = list(mechanism.angles(3))
    two, one = (tensions_n(MACHINE, PULLEY, angles, TWENTY, one_arm=one_arm) for one_arm in (False, True))
    assert [2 * each for each in two] == pytest.approx(one)


@pytest.mark.parametrize("share", [0.0, 0.1, 0.5, 0.99, 1.0])
def test_the_arms_angle_is_found_back_from_the_travel(share: float) -> None:
    mechanism = mechanism_of(MACHINE, PULLEY)
    angle = mechanism.from_rad + share * (mechanism.to_rad - mechanism.from_rad)
    assert angles_at_travels(mechanism, [handle_travel(mechanism, angle)]) == pytest.approx([angle], abs=1e-12)


def test_halving_finds_where_a_rising_measure_reaches_a_value() -> None:
    assert turned_where(lambda x: x * x, 2.0, 0.0, 2.0) == pytest.approx(math.sqrt(2), abs=1e-12)


def test_a_high_pulley_is_no_low_one() -> None:
    with pytest.raises(OutOfRange, match="station high-pulley is no low pulley"):
        cable_curl(MACHINE, MACHINE.stations["high-pulley"], BODY, TWENTY)


def test_a_handle_on_the_arm_is_no_low_pulley() -> None:
    with pytest.raises(OutOfRange, match="station curl is no low pulley"):
        cable_curl(MACHINE, MACHINE.stations["curl"], BODY, TWENTY)


def test_a_wheel_over_the_hanging_hand_is_refused() -> None:
    with pytest.raises(OutOfRange, match="the last wheel of station low-pulley is 120 cm high; it must be below"):
        cable_curl(MACHINE, with_cable(more_wheels_m=((1.6, 1.2), (1.7, 1.2))), BODY, TWENTY)


@pytest.mark.parametrize("off_m", [-0.1, 2.1, math.nan])
def test_a_distance_that_is_none_is_refused(off_m: float) -> None:
    with pytest.raises(OutOfRange, match="distance from the wheel"):
        cable_curl(MACHINE, PULLEY, BODY, TWENTY, stands_off_m=off_m)


def test_a_curl_that_the_cable_would_do_by_itself_is_refused() -> None:
    high = replace(PULLEY, joint=JointPlace(Joint.ELBOW, (2.5, 0.1), -math.pi / 2))
    over = with_cable(more_wheels_m=((1.6, 2.0), (1.7, 2.1)))
    with pytest.raises(OutOfRange, match=r"beginning at .* degrees of flexion; it must be beginning before 130"):
        cable_curl(MACHINE, replace(over, joint=high.joint), BODY, TWENTY)
