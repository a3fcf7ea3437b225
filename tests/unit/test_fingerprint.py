"""The fingerprint changes with what scale readings speak of, and with nothing else."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from gyms import boathouse
from steelyard.machine.examples import example_names, example_text
from steelyard.machine.file import read_machine, write_machine
from steelyard.machine.fingerprint import fingerprint
from steelyard.machine.model import Cable, Machine

MACHINE = boathouse().machine


def with_part(kind: str, name: str, **changes: Any) -> Machine:
    """The boathouse with one arm, horn or station changed."""
    parts = getattr(MACHINE, kind)
    return replace(MACHINE, **{kind: parts | {name: replace(parts[name], **changes)}})


def with_cable(**changes: Any) -> Machine:
    drive = MACHINE.stations["low-pulley"].drive
    assert isinstance(drive, Cable)
    return with_part("stations", "low-pulley", drive=replace(drive, **changes))


@pytest.mark.parametrize("name", example_names())
def test_a_machine_written_and_read_again_keeps_its_fingerprint(name: str) -> None:
    machine = read_machine(example_text(name), name)
    assert fingerprint(read_machine(write_machine(machine), name)) == fingerprint(machine)


def test_the_examples_differ() -> None:
    assert len({fingerprint(read_machine(example_text(name), name)) for name in example_names()}) == 3


@pytest.mark.parametrize(
    "changed",
    [
        with_part("arms", "main", mass_kg=16.001),
        with_part("arms", "main", hinge_torque_n_m=2.5),
        with_part("horns", "tip", at_m=(0.901, 0.04)),
        with_part("stations", "row", drive=MACHINE.stations["row-chest"].drive),
        with_cable(efficiency=0.96),
        with_cable(dead_end=None),
    ],
)
def test_it_changes_with_what_the_scale_feels(changed: Machine) -> None:
    assert fingerprint(changed) != fingerprint(MACHINE)


@pytest.mark.parametrize(
    "changed",
    [
        replace(MACHINE, name="Another", notes="", rated_user_kg=None),
        with_part("arms", "main", rated_plates_kg=100.0, inertia_kg_m2=9.0),
        with_part("horns", "tip", rated_kg=None, length_m=0.3),
        with_part("horns", "vest", length_m=0.4),
        with_part("stations", "row", title="Row", exercises=(), setup_s=1.0, from_rad=-0.2),
        with_cable(rated_n=None),
    ],
)
def test_it_stays_for_what_the_scale_does_not_feel(changed: Machine) -> None:
    assert fingerprint(changed) == fingerprint(MACHINE)
