"""Readings: what can't have been taken is refused; heights and travels become arm angles."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from steelyard.errors import OutOfRange, UnknownName
from steelyard.machine.examples import example_text
from steelyard.machine.file import read_machine
from steelyard.machine.model import Station
from steelyard.machine.reading import Creep, Reading, angle_at_height, angle_at_travel, check_reading
from steelyard.machine.statics import from_hinge, handle_travel, mechanism_of

BOATHOUSE = read_machine(example_text("boathouse"), "boathouse.toml")
ON_ARMS = [station for station in BOATHOUSE.stations.values() if station.arm]
GOOD = Reading("a", "row", 0.0, Creep.UP, {"tip": (20.0, 0.4)}, 21.5)


def test_a_good_reading_and_a_check_of_the_scale_pass() -> None:
    check_reading(BOATHOUSE, GOOD)
    check_reading(BOATHOUSE, Reading("b", "", 0.0, Creep.HELD, {}, 20.1, hung_kg=20.0))


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        (replace(GOOD, scale_kg=0.0), "scale is 0 kg; it must be above 0 kg"),
        (replace(GOOD, scale_kg=math.nan), "scale is nan kg"),
        (replace(GOOD, plates_sd=1.0), "relative error of the plates is 1; it must be 0 or more and below 1"),
        (replace(GOOD, station=""), "mass hung on the scale is 0 kg; it must be above 0 kg"),
        (replace(GOOD, station="handle"), "station handle is without an arm"),
        (replace(GOOD, angle_rad=4.0), "arm angle is 229.183 degrees; it must be between -180 and 180"),
        (replace(GOOD, loads={"tip": (-1.0, 0.0)}), "mass on horn tip is -1 kg; it must be 0 kg or more"),
    ],
)
def test_a_reading_that_cannot_be_is_refused_with_what_is_accepted(wrong: Reading, message: str) -> None:
    with pytest.raises(OutOfRange) as caught:
        check_reading(BOATHOUSE, wrong)
    assert str(caught.value).startswith(message)


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        (replace(GOOD, station="rwo"), "station 'rwo' is not known; did you mean row?"),
        (replace(GOOD, loads={"pin": (20.0, 0.0)}), "horn 'pin' is not known; known: tip"),
    ],
)
def test_an_unknown_station_or_a_horn_that_it_does_not_feel_is_named(wrong: Reading, message: str) -> None:
    with pytest.raises(UnknownName) as caught:
        check_reading(BOATHOUSE, wrong)
    assert str(caught.value).startswith(message)


@pytest.mark.parametrize("name", ["row", "squat", "press-shoulder"])
@pytest.mark.parametrize("share", [0.0, 0.3, 1.0])
def test_the_angle_at_a_height_puts_the_grip_there(name: str, share: float) -> None:
    station = BOATHOUSE.stations[name]
    mechanism = mechanism_of(BOATHOUSE, station)
    angle = mechanism.from_rad + share * (mechanism.to_rad - mechanism.from_rad)
    height_m = mechanism.arm.pivot_m[1] + from_hinge(station.drive.hand_m, angle)[1]  # type: ignore[union-attr]
    assert angle_at_height(BOATHOUSE, name, height_m) == pytest.approx(angle, abs=1e-9)


def test_a_height_that_the_grip_does_not_pass_names_those_it_does() -> None:
    with pytest.raises(OutOfRange, match="grip height is 1500 mm; it must be from 257 to 765 mm at station row"):
        angle_at_height(BOATHOUSE, "row", 1.5)


def test_the_height_of_a_cable_handle_is_the_hands_own() -> None:
    with pytest.raises(OutOfRange, match="the travel of the handle instead"):
        angle_at_height(BOATHOUSE, "high-pulley", 1.5)


@pytest.mark.parametrize("station", ON_ARMS, ids=lambda station: station.name)
def test_the_angle_at_a_travel_is_where_the_handle_has_gone_so_far(station: Station) -> None:
    mechanism = mechanism_of(BOATHOUSE, station)
    travel_m = 0.4 * handle_travel(mechanism, mechanism.to_rad)
    angle = angle_at_travel(BOATHOUSE, station.name, travel_m)
    assert handle_travel(mechanism, angle) == pytest.approx(travel_m, abs=1e-9)


def test_the_lift_begins_at_travel_zero() -> None:
    assert angle_at_travel(BOATHOUSE, "row", 0.0) == pytest.approx(BOATHOUSE.stations["row"].from_rad)


def test_a_travel_beyond_the_stroke_names_the_stroke() -> None:
    with pytest.raises(OutOfRange, match="handle travel is 900 mm; it must be from 0 to 513 mm at station row"):
        angle_at_travel(BOATHOUSE, "row", 0.9)
