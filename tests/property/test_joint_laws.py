"""Laws that the joint torques must keep on any machine: virtual work, weight and height, mirrors, shares.

Integrals by Simpson's rule over the 25 points of a view, which are even in flexion for a curl at a cable.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from machines_at_random import machines, mirrored, tenths
from steelyard.errors import OutOfRange
from steelyard.machine.body import Body, Table
from steelyard.machine.examples import example_text
from steelyard.machine.felt import loaded_moment
from steelyard.machine.file import read_machine
from steelyard.machine.joint_cables import cable_curl
from steelyard.machine.joint_levers import lever_curl, lever_press
from steelyard.machine.joints import JointView
from steelyard.machine.model import AcrossArm, Cable, FixedDirection, Joint, JointPlace, Machine, Station
from steelyard.machine.statics import angles_at_travels, gravity_torque, mechanism_of, potential_energy
from steelyard.machine.trunk import trunk_load
from steelyard.units import STANDARD_GRAVITY

BOATHOUSE = read_machine(example_text("boathouse"), "boathouse.toml")
bodies = st.builds(Body, st.floats(1.45, 2.10), st.floats(45.0, 140.0), st.sampled_from(Table))
loads = st.fixed_dictionaries({"tip": st.tuples(st.floats(0.0, 60.0), st.just(0.0))})


@st.composite
def low_pulleys(draw: st.DrawFn) -> tuple[Machine, Station]:
    """The boathouse's low pulley without friction and attachments, its geometry drawn afresh."""
    old = BOATHOUSE.stations["low-pulley"]
    assert isinstance(old.drive, Cable)
    at_m = (draw(tenths(-20, 20)) / 10, draw(tenths(0, 40)) / 100)
    cable = replace(
        old.drive,
        arm_m=(draw(tenths(60, 110)) / 100, draw(tenths(-5, 5)) / 100),
        wheel=replace(old.drive.wheel, radius_m=draw(tenths(0, 7)) / 100),
        dead_end=draw(st.sampled_from([old.drive.dead_end, None])),
        exit_rad=math.radians(draw(tenths(45, 135))),
        more_wheels=1,
        more_wheels_m=(at_m,),
        efficiency=1.0,
    )
    start = math.radians(draw(tenths(-20, -5)))
    station = replace(old, drive=cable, attachments=(), from_rad=start, to_rad=start + 0.6)
    arm = replace(BOATHOUSE.arms["main"], hinge_torque_n_m=0.0)
    return replace(BOATHOUSE, arms={"main": arm}, stations={"low-pulley": station}), station


def simpson(view: JointView, values: list[float]) -> float:
    """The integral over flexion of values at the points of a view."""
    first, last = view.points[0].flexion_rad, view.points[-1].flexion_rad
    assert first is not None and last is not None
    step = (last - first) / (len(values) - 1)
    return (
        step
        / 3
        * math.fsum([values[0], values[-1], *(4 * v for v in values[1::2]), *(2 * v for v in values[2:-1:2])])
    )


def pull_torques(view: JointView) -> list[float]:
    """What the handle's force asks of the joint, the arm's own weight left out. [N m]"""
    return [point.torque_n_m - point.own_n_m for point in view.points]


@given(low_pulleys(), bodies, loads, st.floats(0.05, 0.6))
def test_the_elbows_work_at_a_cable_is_the_height_energy_that_the_arm_gains(
    made: tuple[Machine, Station], body: Body, on: Any, off_m: float
) -> None:
    machine, station = made
    view = cable_curl(machine, station, body, on, one_arm=True, stands_off_m=off_m)
    mechanism = mechanism_of(machine, station)
    moment = loaded_moment(mechanism, machine.horns_of(station), on, 0.0)
    (end,) = angles_at_travels(mechanism, [view.points[-1].travel_m])
    gained_j = potential_energy(moment, end) - potential_energy(moment, mechanism.from_rad)
    assert simpson(view, pull_torques(view)) == pytest.approx(gained_j, rel=1e-4, abs=1e-3)


@given(low_pulleys(), bodies, loads)
def test_the_elbows_work_at_a_cable_is_force_times_travel(
    made: tuple[Machine, Station], body: Body, on: Any
) -> None:
    view = cable_curl(*made, body, on)
    pairs = zip(view.points, view.points[1:], strict=False)
    worked_j = math.fsum((b.travel_m - a.travel_m) * (a.force_n + b.force_n) / 2 for a, b in pairs)
    assert simpson(view, pull_torques(view)) == pytest.approx(worked_j, rel=2e-3, abs=1e-2)


@given(low_pulleys(), bodies, loads)
def test_carrying_the_forearm_costs_its_weight_times_its_rise(
    made: tuple[Machine, Station], body: Body, on: Any
) -> None:
    view = cable_curl(*made, body, on)
    first, last = view.points[0].flexion_rad, view.points[-1].flexion_rad
    assert first is not None and last is not None
    weight_n_m = STANDARD_GRAVITY * body.forearm_moment_kg_m
    risen_j = weight_n_m * (math.cos(first) - math.cos(last))
    assert simpson(view, [point.own_n_m for point in view.points]) == pytest.approx(risen_j, rel=1e-5)


@given(low_pulleys(), bodies, loads)
def test_a_cable_curl_never_goes_beyond_the_machines_range(
    made: tuple[Machine, Station], body: Body, on: Any
) -> None:
    machine, station = made
    view, mechanism = cable_curl(machine, station, body, on), mechanism_of(machine, station)
    (end,) = angles_at_travels(mechanism, [view.points[-1].travel_m])
    assert mechanism.from_rad <= end <= mechanism.to_rad
    told = [note for note in view.notes if "range ends" in note]
    assert bool(told) == (abs(end - mechanism.to_rad) < 1e-6)


def with_elbow_at_the_hinge(machine: Machine, hand_m: float, upper_arm_rad: float) -> tuple[Machine, Station]:
    """A handle that the forearm carries round the very hinge of the arm."""
    old = machine.stations["curl"]
    place = JointPlace(Joint.ELBOW, machine.arms["main"].pivot_m, upper_arm_rad)
    station = replace(old, drive=AcrossArm((hand_m, 0.0)), joint=place)
    arm = replace(machine.arms["main"], hinge_torque_n_m=0.0)
    return replace(machine, arms={"main": arm}, stations={"curl": station}), station


@given(bodies, loads, st.floats(-0.3, -0.05))
def test_an_elbow_at_the_hinge_bears_the_arms_own_torque(body: Body, on: Any, start_rad: float) -> None:
    machine, station = with_elbow_at_the_hinge(BOATHOUSE, body.grip_m, start_rad)
    view, mechanism = lever_curl(machine, station, body, on, one_arm=True), mechanism_of(machine, station)
    moment = loaded_moment(mechanism, machine.horns_of(station), on, 0.0)
    asked = [gravity_torque(moment, angle) for angle in mechanism.angles(len(view.points))]
    assert pull_torques(view) == pytest.approx(asked, rel=1e-9)
    assert not [note for note in view.notes if "no circle" in note]


@given(bodies, loads)
def test_two_arms_share_what_one_would_bear(body: Body, on: Any) -> None:
    for make, name in ((lever_curl, "curl"), (lever_press, "press"), (cable_curl, "low-pulley")):
        station = BOATHOUSE.stations[name]
        both = make(BOATHOUSE, station, body, on)
        one = make(BOATHOUSE, station, body, on, one_arm=True)
        assert [2 * pull for pull in pull_torques(both)] == pytest.approx(pull_torques(one), rel=1e-9, abs=1e-9)


@given(bodies, st.floats(0.0, 30.0))
def test_torque_grows_evenly_with_the_plates(body: Body, step_kg: float) -> None:
    for make, name in ((lever_curl, "curl"), (lever_press, "press"), (cable_curl, "low-pulley")):
        station = BOATHOUSE.stations[name]
        none, some, more = (
            [point.torque_n_m for point in make(BOATHOUSE, station, body, {"tip": (n * step_kg, 0.0)}).points]
            for n in range(3)
        )
        steps = [b - a for a, b in zip(none, some, strict=True)]
        assert steps == pytest.approx([b - a for a, b in zip(some, more, strict=True)], rel=1e-6, abs=1e-6)


def without_joints(machine: Machine) -> Machine:
    return replace(machine, stations={name: replace(one, joint=None) for name, one in machine.stations.items()})


def courses(view: JointView) -> list[float]:
    return [
        value for point in view.points for value in (point.flexion_rad or 0.0, point.torque_n_m, point.own_n_m)
    ]


@given(bodies, loads)
def test_the_machine_in_a_mirror_asks_the_same(body: Body, on: Any) -> None:
    # With the joints where the file says, and where they are estimated.
    for machine in (BOATHOUSE, without_joints(BOATHOUSE)):
        told_alike(machine, mirrored(machine), body, on)


def told_alike(machine: Machine, other: Machine, body: Body, on: Any) -> None:
    for make, name in ((lever_curl, "curl"), (lever_press, "press"), (cable_curl, "low-pulley")):
        here, there = (make(one, one.stations[name], body, on) for one in (machine, other))
        assert courses(here) == pytest.approx(courses(there), rel=1e-7, abs=1e-7)
        assert here.notes == there.notes


@given(machines(), bodies)
def test_an_estimated_elbow_agrees_with_the_forearm_at_both_ends(machine: Machine, body: Body) -> None:
    station = machine.stations["only"]
    assume(isinstance(station.drive, AcrossArm | FixedDirection))
    try:
        view = lever_curl(machine, station, body, {})
    except OutOfRange as refused:
        assert "the hand's path" in str(refused) or "elbow flexion" in str(refused)
        return
    first, last = view.points[0], view.points[-1]
    assert view.estimated
    assert first.flexion_rad == pytest.approx(math.radians(10.0))
    assert last.flexion_rad is not None and first.flexion_rad is not None
    # The forearm turns by the angle that the chord of the path spans at its length.
    chord_m = 2 * math.hypot(*station.drive.hand_m) * math.sin((station.to_rad - station.from_rad) / 2)
    assert last.flexion_rad - first.flexion_rad == pytest.approx(
        2 * math.asin(chord_m / 2 / body.grip_m), abs=1e-9
    )


@given(bodies, st.floats(0.0, 1500.0), st.floats(0.0, 80.0))
def test_more_pull_and_a_flatter_trunk_ask_more_of_the_back(body: Body, force_n: float, trunk_deg: float) -> None:
    load = trunk_load(body, force_n, math.radians(trunk_deg))
    flatter = trunk_load(body, force_n, math.radians(trunk_deg / 2))
    heavier = trunk_load(body, force_n + 100.0, math.radians(trunk_deg))
    assert load.own_n_m <= load.moment_n_m <= flatter.moment_n_m
    assert load.compression_n[0] <= load.compression_n[1] < heavier.compression_n[1]
