"""The shipped machines: of three kinds, of a size a person can use, and worth copying from."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from steelyard.errors import OutOfRange, UnknownName
from steelyard.machine.cable import strands_between
from steelyard.machine.examples import example_names, example_text
from steelyard.machine.felt import felt_law
from steelyard.machine.file import read_machine, write_machine
from steelyard.machine.model import Axis, Cable, Machine, Station
from steelyard.units import newtons

MACHINES = {name: read_machine(example_text(name), name) for name in example_names()}
ON_ARMS = [
    (machine, station) for machine in MACHINES.values() for station in machine.stations.values() if station.arm
]
PAGE = Path(__file__).parents[2] / "docs" / "machine-file.md"
REACH = pytest.mark.parametrize(("machine", "station"), ON_ARMS, ids=[each.name for _, each in ON_ARMS])


def test_the_examples_differ_in_kind_and_have_many_stations() -> None:
    arms = [arm for machine in MACHINES.values() for arm in machine.arms.values()]
    horns = [horn for machine in MACHINES.values() for horn in machine.horns.values()]
    assert any(arm.paired for arm in arms)
    assert any(arm.counterweight for arm in arms)
    assert any(horn.axis is Axis.ALONG for horn in horns)
    assert len(ON_ARMS) >= 10


@REACH
def test_a_kilogram_on_a_post_is_felt_as_a_third_to_one_and_a_fifth(machine: Machine, station: Station) -> None:
    shares = [share.per_kg for share in felt_law(machine, station).shares]
    assert all(0.28 <= share <= 1.2 for share in shares)


@REACH
def test_a_repetition_is_one_a_person_can_make(machine: Machine, station: Station) -> None:
    least = 0.08 if station.name == "calf" else 0.34
    assert least <= felt_law(machine, station).stroke_m <= 0.70


@REACH
def test_the_empty_machine_starts_light(machine: Machine, station: Station) -> None:
    assert 0.0 < felt_law(machine, station).base_kg < 15.0


def test_every_limit_of_an_example_is_stated() -> None:
    for machine in MACHINES.values():
        assert machine.rated_user_kg is not None
        assert all(arm.rated_plates_kg is not None for arm in machine.arms.values())
        assert all(horn.rated_kg is not None for horn in machine.horns.values())
    cables = [station.drive for _, station in ON_ARMS if isinstance(station.drive, Cable)]
    assert all(cable.rated_n and newtons(120) < cable.rated_n < newtons(255) for cable in cables)


def test_every_example_says_that_it_is_invented_and_points_to_the_label() -> None:
    for name in example_names():
        assert "Invented" in example_text(name)
        assert "maker's manual" in example_text(name)


def test_an_unknown_example_is_offered_the_nearest() -> None:
    with pytest.raises(UnknownName, match="example machine 'boathose' is not known; did you mean boathouse"):
        example_text("boathose")


@pytest.mark.parametrize("name", example_names())
def test_every_key_of_a_written_machine_stands_in_the_page(name: str) -> None:
    page = PAGE.read_text(encoding="utf-8")
    data = tomllib.loads(write_machine(MACHINES[name]))
    tables = [data["machine"]]
    for kind in ("arm", "horn", "station"):
        tables.extend(data[kind].values())
    nested = [value for table in tables for value in table.values() if isinstance(value, dict)]
    keys = {key for table in (*tables, *nested) for key, value in table.items() if not isinstance(value, dict)}
    assert [key for key in sorted(keys) if f"| `{key}` |" not in page] == []


def test_wheels_that_overlap_leave_no_room_for_a_cable() -> None:
    with pytest.raises(OutOfRange, match="distance between two cable points is 50 mm; it must be more than 60 mm"):
        strands_between([0.0], [0.05], 0.06)
