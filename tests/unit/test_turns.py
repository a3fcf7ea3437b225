"""The protocol as it is walked: for every station of every example, and with the plates in the house."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from random import Random

import pytest

from gyms import NOW, boathouse, outlines, steelyard
from steelyard.errors import SteelyardError, UnknownName
from steelyard.home import Home
from steelyard.journal.sqlite import SqliteJournal
from steelyard.machine.examples import example_names, example_text
from steelyard.machine.file import read_machine
from steelyard.machine.model import Machine
from steelyard.plates.model import Inventory
from steelyard.service import Steelyard
from steelyard.training.gym import Gym
from steelyard.workshop.calibrating import logged_readings, take
from steelyard.workshop.fitting import keep, report_of, symmetric
from steelyard.workshop.taking import Asked
from steelyard.workshop.turns import middle_stacks, station_to_calibrate, turns
from unit.test_believed import heavier

GYM = boathouse()
PLATE = {plate.name: plate for plate in GYM.inventory.counts}


def on(machine: Machine) -> Steelyard:
    """The use cases on a machine, with the boathouse's plates."""
    home = Home(Path("nowhere"), Gym(machine, GYM.inventory, GYM.exercises), outlines())
    return Steelyard(home, SqliteJournal.memory(), clock=lambda: NOW, random=Random(5), origin="test")


def example(name: str) -> Machine:
    return read_machine(example_text(name), name)


STATIONS = [
    (name, station.name)
    for name in example_names()
    for station in example(name).stations.values()
    if station.arm is not None
]


@pytest.mark.parametrize(("name", "station"), STATIONS)
def test_every_station_can_be_read_as_the_protocol_asks(name: str, station: str) -> None:
    use = on(example(name))
    place = use.gym.machine.stations[station]
    asked = turns(use, place)
    for turn in asked:
        if turn.expected_kg > 0.5:
            take(use, f"{turn.expected_kg:.2f}", turn.asked)
    report = report_of(use)
    assert report is not None
    assert report.fit.suspects == ()
    low, best, high = report.felt(station).empty_kg
    assert low < best < high
    assert all(turn.done for turn in turns(use, place) if turn.expected_kg > 0.5)


def test_a_reading_near_the_angle_asked_for_is_the_one_asked_for() -> None:
    use = steelyard()
    take(use, "row -12 deg down empty 8 kg", Asked())
    done = [turn.number for turn in turns(use, GYM.machine.stations["row"]) if turn.done]
    assert done == [2]


def test_one_reading_does_not_stand_for_two() -> None:
    use = steelyard()
    calf = GYM.machine.stations["calf"]  # nine degrees in all: the angles asked for lie close together
    take(use, "calf 47 deg up empty 8 kg", Asked())
    assert sum(turn.done for turn in turns(use, calf)) == 1


def test_the_scale_is_expected_to_show_what_is_believed_now() -> None:
    use = steelyard()
    row = GYM.machine.stations["row"]
    before = turns(use, row)[0].expected_kg
    use.record(heavier(0.3))
    assert turns(use, row)[0].expected_kg > before + 1


def test_a_weighed_plate_of_middle_mass_is_taken() -> None:
    assert middle_stacks(GYM, GYM.machine.stations["row"]) == {"tip": (PLATE["45 lb old"],)}


def test_without_a_weighed_one_a_middle_plate_is_taken() -> None:
    cast = Gym(GYM.machine, Inventory({PLATE[name]: 2 for name in ("20 kg", "15 kg", "5 kg")}), GYM.exercises)
    assert middle_stacks(cast, GYM.machine.stations["row"]) == {"tip": (PLATE["15 kg"],)}


def test_a_plate_too_heavy_for_half_the_label_is_not_asked_for() -> None:
    horns = GYM.machine.horns | {"tip": replace(GYM.machine.horns["tip"], rated_kg=24.0)}
    light = Gym(replace(GYM.machine, horns=horns), GYM.inventory, GYM.exercises)
    assert middle_stacks(light, light.machine.stations["row"]) == {"tip": (PLATE["25 lb old"],)}


def test_without_plates_the_empty_arm_alone_is_read() -> None:
    bare = Gym(GYM.machine, Inventory({PLATE["20 kg"]: 1}), GYM.exercises)
    assert middle_stacks(bare, GYM.machine.stations["row"]) == {}


def test_the_station_read_last_is_gone_on_with() -> None:
    use = steelyard()
    assert station_to_calibrate(use).name == "row"
    take(use, "curl 10 deg up empty 8 kg", Asked())
    take(use, "check 20 kg 20.1 kg", Asked())
    assert station_to_calibrate(use).name == "curl"
    assert station_to_calibrate(use, "press").name == "press"
    with pytest.raises(UnknownName, match="station with an arm 'handle' is not known"):
        station_to_calibrate(use, "handle")


def test_a_machine_without_an_arm_has_nothing_to_read() -> None:
    free = {name: one for name, one in GYM.machine.stations.items() if one.arm is None}
    with pytest.raises(SteelyardError, match="without any arm"):
        station_to_calibrate(on(replace(GYM.machine, stations=free)))


def test_what_is_kept_says_which_readings_stand_behind_it() -> None:
    use = steelyard()
    for turn in turns(use, GYM.machine.stations["row"]):
        take(use, f"{turn.expected_kg:.2f} kg", turn.asked)
    wrong = take(use, "row 3 deg up empty 19.5 kg", Asked())
    keep(use)
    made = use.state.calibrations[GYM.machine.name][-1].made
    assert made.suspects == (wrong,)
    assert set(made.readings) | {wrong} == {logged.id for logged in logged_readings(use)}
    assert made.covariance == symmetric(made.covariance)


def test_without_readings_there_is_nothing_to_keep() -> None:
    use = steelyard()
    assert report_of(use) is None
    with pytest.raises(SteelyardError, match="the number of readings is 0; it must be 1 or more"):
        keep(use)
