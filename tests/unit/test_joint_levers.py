"""Curls and presses at a handle on the arm: where the joint is taken to be, and what is said of it."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from steelyard.errors import OutOfRange
from steelyard.machine.body import Body
from steelyard.machine.examples import example_text
from steelyard.machine.file import read_machine
from steelyard.machine.joint_levers import (
    STEPS,
    estimated_elbow,
    estimated_shoulder,
    hand_path,
    lever_curl,
    lever_press,
)
from steelyard.machine.joints import JointView
from steelyard.machine.model import AcrossArm, FixedDirection, Joint, JointPlace, Station

MACHINE = read_machine(example_text("boathouse"), "boathouse.toml")
CURL, PRESS = MACHINE.stations["curl"], MACHINE.stations["press"]
BODY = Body(1.80, 80.0)
TWENTY = {"tip": (20.0, 0.0)}


def curl(station: Station = CURL, body: Body = BODY) -> JointView:
    return lever_curl(MACHINE, station, body, TWENTY)


def flexions_deg(view: JointView) -> list[float]:
    return [math.degrees(point.flexion_rad) for point in view.points if point.flexion_rad is not None]


def test_a_view_follows_the_whole_lift() -> None:
    view = curl()
    assert len(view.points) == STEPS
    assert view.points[0].travel_m == 0.0
    assert view.points[-1].travel_m == pytest.approx(1.1804 * math.radians(24), abs=1e-3)


def test_a_measured_elbow_is_believed() -> None:
    view = curl()
    assert not view.estimated
    assert not any("estimated" in note for note in view.notes)


def test_a_curl_bends_the_elbow_all_the_way() -> None:
    degrees = flexions_deg(curl())
    assert degrees == sorted(degrees)
    assert degrees[0] == pytest.approx(10.0, abs=1.0)


def test_a_steeper_pad_bends_the_elbow_less_at_every_place() -> None:
    assert CURL.joint is not None
    steeper = replace(CURL, joint=replace(CURL.joint, upper_arm_rad=math.radians(-110)))
    assert [
        a - b for a, b in zip(flexions_deg(curl(steeper)), flexions_deg(curl()), strict=True)
    ] == pytest.approx([5.0] * STEPS)


def test_a_longer_forearm_bears_more_torque_from_the_same_force() -> None:
    short, tall = curl(body=Body(1.60, 80.0)), curl(body=Body(1.95, 80.0))
    assert [point.force_n for point in short.points] == [point.force_n for point in tall.points]
    assert all(a.torque_n_m < b.torque_n_m for a, b in zip(short.points, tall.points, strict=True))


def test_a_hundred_newtons_square_to_the_forearm_ask_32_newton_metres() -> None:
    # Worked by hand beforehand for 1.80 m: 100 N at 0.32 m.
    assert 100.0 * BODY.grip_m == pytest.approx(32, abs=0.5)


def test_a_path_that_is_no_circle_round_the_elbow_is_told() -> None:
    assert any("no circle round the elbow" in note and "7 cm" in note for note in curl().notes)


def test_without_a_place_the_elbow_is_estimated_and_the_view_says_so() -> None:
    view = curl(replace(CURL, joint=None))
    assert view.estimated
    assert "estimated" in view.notes[0]
    assert flexions_deg(view)[0] == pytest.approx(10.0)


def test_a_shoulder_in_the_file_says_nothing_of_the_elbow() -> None:
    other = replace(CURL, joint=JointPlace(Joint.SHOULDER, (1.0, 1.0)))
    assert curl(other).points == curl(replace(CURL, joint=None)).points


def test_an_estimated_elbow_lies_on_the_hinges_side_at_forearms_length() -> None:
    path = hand_path(MACHINE, CURL, TWENTY, one_arm=False)
    at_m = estimated_elbow(CURL, path, BODY).at_m
    assert math.dist(at_m, path.hands_m[0]) == pytest.approx(BODY.grip_m)
    assert math.dist(at_m, path.hands_m[-1]) == pytest.approx(BODY.grip_m)
    assert math.dist(at_m, path.hinge_m) < math.dist(path.hands_m[0], path.hinge_m)


def test_a_path_longer_than_the_forearm_reaches_is_refused_with_the_way_out() -> None:
    wide = replace(CURL, joint=None, to_rad=CURL.from_rad + math.radians(60))
    with pytest.raises(OutOfRange, match=r"the hand's path at station curl is 118 cm .* correct range_deg"):
        curl(wide)


def test_an_elbow_that_would_bend_backwards_is_refused_with_the_way_out() -> None:
    assert CURL.joint is not None
    wrong = replace(CURL, joint=replace(CURL.joint, upper_arm_rad=math.radians(-160)))
    with pytest.raises(OutOfRange, match=r"elbow flexion at station curl is -.* correct at_mm and upper_arm_deg"):
        curl(wrong)


def test_a_cable_is_no_handle_on_the_arm() -> None:
    with pytest.raises(OutOfRange, match="station low-pulley is a cable"):
        lever_curl(MACHINE, MACHINE.stations["low-pulley"], BODY, {})


def test_a_station_without_an_arm_is_refused() -> None:
    with pytest.raises(OutOfRange, match="station handle is without an arm"):
        lever_curl(MACHINE, MACHINE.stations["handle"], BODY, {})


@pytest.mark.parametrize("drive", [AcrossArm((1.0, 0.2)), FixedDirection((1.0, 0.2), math.radians(80))])
def test_the_hand_works_along_a_unit_vector_with_the_lift(drive: AcrossArm | FixedDirection) -> None:
    path = hand_path(MACHINE, replace(CURL, drive=drive), TWENTY, one_arm=False)
    for hand, push in zip(path.hands_m, path.push, strict=True):
        assert math.hypot(*push) == pytest.approx(1.0)
        lever = (hand[0] - path.hinge_m[0], hand[1] - path.hinge_m[1])
        assert lever[0] * push[1] - lever[1] * push[0] > 0.0


def test_a_fixed_direction_keeps_its_direction() -> None:
    drive = FixedDirection((1.0, 0.2), math.radians(80))
    path = hand_path(MACHINE, replace(CURL, drive=drive), TWENTY, one_arm=False)
    assert set(path.push) == {(math.cos(math.radians(80)), math.sin(math.radians(80)))}


def test_a_press_has_torque_and_no_capacity_and_says_so() -> None:
    view = lever_press(MACHINE, PRESS, BODY, TWENTY)
    assert {point.capacity for point in view.points} == {None}
    assert {point.flexion_rad for point in view.points} == {None}
    assert any("torque only" in note for note in view.notes)


def test_a_measured_shoulder_is_believed_and_an_estimated_one_is_told() -> None:
    measured = lever_press(MACHINE, PRESS, BODY, TWENTY)
    estimated = lever_press(MACHINE, replace(PRESS, joint=None), BODY, TWENTY)
    assert (measured.estimated, estimated.estimated) == (False, True)
    assert "estimated" in estimated.notes[0]


def test_an_estimated_shoulder_lies_in_line_with_a_nearly_straight_arm() -> None:
    path = hand_path(MACHINE, PRESS, TWENTY, one_arm=False)
    at_m, start, end = estimated_shoulder(path, BODY), path.hands_m[0], path.hands_m[-1]
    assert math.dist(at_m, end) == pytest.approx(0.95 * BODY.arm_m)
    along, reach = (end[0] - start[0], end[1] - start[1]), (end[0] - at_m[0], end[1] - at_m[1])
    assert along[0] * reach[1] - along[1] * reach[0] == pytest.approx(0.0, abs=1e-12)


def test_a_shoulder_below_the_hand_bears_no_torque_of_a_straight_pull_up() -> None:
    station = replace(
        PRESS,
        drive=FixedDirection((0.95, 0.0), math.radians(90)),
        joint=JointPlace(Joint.SHOULDER, (0.0, 0.5)),
    )
    path = hand_path(MACHINE, station, TWENTY, one_arm=False)
    under = replace(station, joint=JointPlace(Joint.SHOULDER, (path.hands_m[0][0], 0.5)))
    assert lever_press(MACHINE, under, BODY, TWENTY).points[0].torque_n_m == pytest.approx(0.0, abs=1e-9)


def test_an_arm_that_turns_the_other_way_counts_its_own_way() -> None:
    # The see-saw's front end goes down in the lift.
    machine = read_machine(example_text("counterbeam"), "counterbeam.toml")
    assert hand_path(machine, machine.stations["pulldown"], {}, one_arm=False).sense == -1
    assert hand_path(machine, machine.stations["press"], {}, one_arm=False).sense == 1


def test_the_whole_arm_hangs_at_dempsters_centre_between_shoulder_and_hand() -> None:
    assert PRESS.joint is not None
    path = hand_path(MACHINE, PRESS, TWENTY, one_arm=False)
    reach_m = path.hands_m[0][0] - PRESS.joint.at_m[0]
    own_n_m = lever_press(MACHINE, PRESS, BODY, TWENTY).points[0].own_n_m
    assert own_n_m == pytest.approx(0.050 * 80.0 * 9.80665 * 0.530 * reach_m)
