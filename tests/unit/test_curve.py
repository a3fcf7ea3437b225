"""Resistance curves: columns in the order of the angles, the same as one angle at a time."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from steelyard.errors import OutOfRange, UnknownName
from steelyard.machine.curve import resistance_curve
from steelyard.machine.examples import example_text
from steelyard.machine.felt import felt_law, loaded_moment
from steelyard.machine.file import read_machine
from steelyard.machine.model import Station
from steelyard.machine.statics import Way, gravity_torque, handle_force, handle_travel, mechanism_of

BOATHOUSE = read_machine(example_text("boathouse"), "boathouse.toml")
LEVERS_AND_CABLES = [station for station in BOATHOUSE.stations.values() if station.arm]
TEN = {"tip": (10.0, 0.0)}


@pytest.mark.parametrize("station", LEVERS_AND_CABLES, ids=lambda station: station.name)
def test_a_curve_is_the_force_at_each_angle_by_itself(station: Station) -> None:
    bare = replace(station, attachments=())
    mechanism = mechanism_of(BOATHOUSE, bare)
    curve = resistance_curve(BOATHOUSE, bare, mechanism.angles(7), TEN)
    moment = loaded_moment(mechanism, BOATHOUSE.horns_of(bare), TEN, 0.0)
    columns = zip(mechanism.angles(7), curve.raising_n, curve.lowering_n, curve.travel_m, strict=True)
    for angle, up, down, travel in columns:
        torque = gravity_torque(moment, angle)
        assert up == pytest.approx(handle_force(mechanism, torque, angle, way=Way.RAISING), rel=1e-13)
        assert down == pytest.approx(handle_force(mechanism, torque, angle, way=Way.LOWERING), rel=1e-13)
        assert travel == pytest.approx(handle_travel(mechanism, angle), abs=1e-13)


def test_columns_keep_the_order_of_the_angles() -> None:
    row = BOATHOUSE.stations["row"]
    there = resistance_curve(BOATHOUSE, row, (-0.2, 0.0, 0.2), TEN)
    back = resistance_curve(BOATHOUSE, row, (0.2, 0.0, -0.2), TEN)
    assert back.raising_n == there.raising_n[::-1]
    assert back.travel_m == there.travel_m[::-1]


def test_without_friction_lowering_is_raising() -> None:
    smooth = replace(BOATHOUSE, arms={"main": replace(BOATHOUSE.arms["main"], hinge_torque_n_m=0.0)})
    curve = resistance_curve(smooth, smooth.stations["row"], (0.0, 0.1), TEN)
    assert curve.lowering_n == curve.raising_n


def test_travel_over_the_range_is_the_stroke() -> None:
    pulley = BOATHOUSE.stations["low-pulley"]
    curve = resistance_curve(BOATHOUSE, pulley, (pulley.from_rad, pulley.to_rad), {})
    assert curve.travel_m == pytest.approx((0.0, felt_law(BOATHOUSE, pulley).stroke_m))


def test_an_attachment_on_a_rising_cable_is_felt_at_every_angle() -> None:
    pulley = BOATHOUSE.stations["low-pulley"]
    rope = resistance_curve(BOATHOUSE, pulley, (0.0,), {}, attachment="rope")
    cuff = resistance_curve(BOATHOUSE, pulley, (0.0,), {}, attachment="ankle cuff")
    assert rope.raising_n[0] - cuff.raising_n[0] == pytest.approx(0.4 * 9.80665 * math.sin(math.radians(80)))


def test_a_station_without_an_arm_has_no_curve() -> None:
    with pytest.raises(OutOfRange, match="station handle is without an arm"):
        resistance_curve(BOATHOUSE, BOATHOUSE.stations["handle"], (0.0,), {})


def test_an_unknown_horn_is_named() -> None:
    with pytest.raises(UnknownName, match="horn 'tap' is not known; did you mean tip"):
        resistance_curve(BOATHOUSE, BOATHOUSE.stations["row"], (0.0,), {"tap": (1.0, 0.0)})
