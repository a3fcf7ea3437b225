"""What was read from a machine file is written and read again as the very same machine, float for float."""

from __future__ import annotations

import math
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from machines_at_random import machine_texts
from steelyard.machine.examples import example_names, example_text
from steelyard.machine.file import read_machine, write_machine
from steelyard.machine.written import in_degrees, in_mm, mass_text
from steelyard.units import STANDARD_GRAVITY, Mass, Unit, newtons, parse_mass


@given(machine_texts())
def test_a_machine_survives_writing(text: str) -> None:
    machine = read_machine(text, "random.toml")
    assert read_machine(write_machine(machine), "again.toml") == machine


@pytest.mark.parametrize("name", example_names())
def test_an_example_survives_writing_with_its_order(name: str) -> None:
    machine = read_machine(example_text(name), name)
    again = read_machine(write_machine(machine), "again.toml")
    assert again == machine
    assert [list(part) for part in (again.arms, again.horns, again.stations)] == [
        list(part) for part in (machine.arms, machine.horns, machine.stations)
    ]


@given(st.floats(-5000.0, 5000.0))
def test_any_millimetre_reads_back(mm: float) -> None:
    assert in_mm(mm / 1000.0) / 1000.0 == mm / 1000.0


@given(st.floats(-360.0, 360.0))
def test_any_degree_reads_back(degrees: float) -> None:
    assert math.radians(in_degrees(math.radians(degrees))) == math.radians(degrees)


@given(st.decimals(0, 3000, places=6), st.sampled_from(Unit))
def test_any_mass_and_any_rated_force_reads_back(amount: Decimal, unit: Unit) -> None:
    mass_kg = Mass(amount, unit).kg
    assert parse_mass(mass_text(mass_kg)).kg == mass_kg
    rated = mass_text(newtons(mass_kg), scale=STANDARD_GRAVITY)
    assert newtons(parse_mass(rated).kg) == newtons(mass_kg)


def test_a_label_in_pounds_is_written_in_pounds() -> None:
    assert mass_text(parse_mass("270 lb").kg) == "270 lb"
    assert mass_text(parse_mass("22.5 kg").kg) == "22.5 kg"
