"""From typed parts to a recorded reading: what is taken from the step asked for, and what is refused."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest

from gyms import boathouse
from steelyard.errors import LimitExceeded, SteelyardError
from steelyard.journal.events import ScaleRead
from steelyard.machine.examples import example_text
from steelyard.machine.file import read_machine
from steelyard.machine.reading import Creep
from steelyard.training.gym import Gym
from steelyard.workshop.taking import Asked, plates_sd, reading_from, reading_in, scale_caution
from steelyard.workshop.typed import read_line

GYM = boathouse()
PLATE = {plate.name: plate for plate in GYM.inventory.counts}
ROW = Asked("row", math.radians(5), "down", {"tip": (PLATE["10 kg"],)})


def take(text: str, asked: Asked = ROW, gym: Gym = GYM, **options: Any) -> ScaleRead:
    return reading_from(read_line(text, gym), asked, gym, as_typed=text, **options)


def twin_arms() -> Gym:
    machine = read_machine(example_text("twin-arms"), "twin-arms")
    return Gym(machine, GYM.inventory, GYM.exercises)


def test_what_is_left_out_is_taken_from_the_step() -> None:
    read = take("12 kg")
    assert (read.station, read.angle_rad, read.creep) == ("row", math.radians(5), "down")
    assert read.plates == {"tip": ("10 kg",)}
    assert read.loads == {"tip": (10.0, pytest.approx(0.14))}


def test_what_is_said_goes_before_the_step() -> None:
    read = take("row-chest 2 deg up empty 306 N")
    assert (read.station, read.creep, read.loads, read.unit) == ("row-chest", "up", {}, "N")
    assert math.degrees(read.angle_rad) == pytest.approx(2)
    assert read.scale_kg == pytest.approx(31.203, abs=1e-3)
    assert read.as_typed == "row-chest 2 deg up empty 306 N"


def test_plates_stack_outwards() -> None:
    read = take("tip=20 kg,10 kg 40 kg")
    assert read.loads["tip"] == (30.0, pytest.approx(20 * 0.018 + 10 * (0.036 + 0.014)))


def test_weighed_plates_are_known_better_than_cast_ones() -> None:
    assert take("tip=45 lb old 30 kg").plates_sd == 0.002
    assert take("tip=20 kg 30 kg").plates_sd == 0.015
    assert 0.002 < plates_sd((PLATE["20 kg"], PLATE["45 lb old"])) < 0.015


def test_a_grip_height_and_a_travel_become_an_angle() -> None:
    by_height, by_travel = take("height 55 cm 12 kg"), take("travel 20 cm 12 kg")
    station = GYM.machine.stations["row"]
    assert station.from_rad < by_height.angle_rad < station.to_rad
    assert by_travel.angle_rad == pytest.approx(station.from_rad + 0.2 / math.hypot(1.05, 0.04))


def test_a_check_of_the_scale_needs_no_station() -> None:
    read = take("check 20 kg 20.1 kg")
    assert (read.station, read.creep, read.hung_kg, read.scale_kg) == ("", "held", 20.0, 20.1)
    assert take("check 45 lb old 20 kg").hung_kg == pytest.approx(44.1 * 0.45359237)
    assert take("20.1 kg", Asked("", hung=PLATE["20 kg"])).hung_kg == 20.0


def test_a_recorded_reading_reads_as_the_machine_room_wants_it() -> None:
    reading = reading_in("abc", take("12 kg"))
    assert (reading.id, reading.creep, reading.loads["tip"][0]) == ("abc", Creep.DOWN, 10.0)


def test_on_paired_arms_one_plate_is_enough() -> None:
    gym = twin_arms()
    station = next(station for station in gym.machine.stations.values() if station.arm is not None)
    horn = gym.machine.horns_of(station)[0].name
    odd = replace(gym.inventory, counts={PLATE["20 kg"]: 1})
    alone = Gym(gym.machine, odd, gym.exercises)
    middle = (station.from_rad + station.to_rad) / 2
    assert take(f"{horn}=20 kg 30 kg", Asked(station.name, middle, "up"), alone).loads[horn][0] == 20.0


WRONG = [
    ("up", "what the scale showed is missing; it must be there, with its unit"),
    ("0 kg", "what the scale showed is 0 kg; it must be above 0"),
    ("-3 kg", "what the scale showed is -3 kg; it must be above 0"),
    ("9000 kg", "what the scale showed is 9000 kg; it must be above 0 and at most 500 kg"),
    ("inverted-row 30 kg", "station with an arm 'inverted-row' is not known; "),
    ("handle 30 kg", "station with an arm 'handle' is not known; "),
    ("80 deg 30 kg", "the arm angle is 80.0 degrees; it must be from -29 to 29 degrees at station row"),
    ("height 3 m 30 kg", "grip height is 3000 mm; it must be from"),
    ("low-pulley height 1 m 30 kg", "grip height is asked at cable station low-pulley; it must be the travel"),
    ("travel 4 m 30 kg", "handle travel is 4000 mm; it must be from 0 to"),
    ("vest=5 kg 30 kg", "horn at station row 'vest' is not known"),
    (
        "tip=3x20 kg 30 kg",
        "mass on one post of horn tip would be 60 kg; it must not exceed 45 kg, half of its label",
    ),
    ("tip=2x15 kg 30 kg", "plates named 15 kg in use would be 4; it must not exceed 2, all there are"),
    ("check 30 kg", "what the scale showed is missing"),
]


@pytest.mark.parametrize(("text", "told"), WRONG, ids=[text for text, _ in WRONG])
def test_what_cannot_or_must_not_be_is_refused(text: str, told: str) -> None:
    with pytest.raises(SteelyardError) as problem:
        take(text)
    assert told in str(problem.value)


def described(old: str, new: str) -> Gym:
    """The boathouse with a line of its description changed."""
    text = example_text("boathouse")
    assert old in text
    return Gym(read_machine(text.replace(old, new, 1), "boathouse"), GYM.inventory, GYM.exercises)


def test_more_plates_than_fit_are_refused() -> None:
    short = described("length_mm = 260", "length_mm = 60")
    with pytest.raises(LimitExceeded, match=r"plates on horn tip would be .*; it must not exceed 20 mm"):
        take("tip=2x10 kg 30 kg", ROW, short)


def test_a_cable_carries_half_of_its_label_at_most() -> None:
    light = described('rated = "180 kg"', 'rated = "25 kg"')
    asked = Asked("low-pulley", 0.0, "up")
    assert take("empty 9 kg", asked, light).loads == {}
    with pytest.raises(LimitExceeded, match=r"cable tension would be .*, half of its label, while you calibrate"):
        take("tip=20 kg 9 kg", asked, light)


def test_a_check_without_a_mass_is_refused() -> None:
    with pytest.raises(SteelyardError, match="what hangs on the scale is missing"):
        take("20 kg", Asked(""))


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("10 deg up empty 9 kg", "the station is missing; it must be one of row, row-chest"),
        ("row up empty 9 kg", "the arm angle is missing; it must be given for this station"),
        ("row 10 deg empty 9 kg", "the way of the handle is missing; it must be up, down or held"),
        ("row 10 deg up 9 kg", "the load at station row is missing; it must be said: empty, or plates"),
    ],
)
def test_without_a_step_a_line_must_say_everything(text: str, told: str) -> None:
    with pytest.raises(SteelyardError, match=told):
        take(text, Asked())


def test_no_scale_shows_more_than_its_range() -> None:
    with pytest.raises(SteelyardError, match="at most 40 kg, the scale's range"):
        take("41 kg", scale_range_kg=40.0)


def test_a_scale_near_its_end_is_warned_of() -> None:
    assert scale_caution(25.0, 40.0).startswith("25.0 kg is beyond 24.0 kg, 60 % of the scale's range")
    assert scale_caution(24.0, 40.0) == scale_caution(300.0, None) == ""
