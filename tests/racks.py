"""Stations and plates made by hand for the tests of plates, fixed and at random."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from hypothesis import strategies as st

from steelyard.machine.model import (
    AcrossArm,
    Arm,
    Axis,
    Cable,
    FeltLaw,
    Horn,
    HornShare,
    Machine,
    Station,
    Wheel,
)
from steelyard.plates.model import Inventory, Plate
from steelyard.units import parse_mass

THICKNESS_MM = {
    "25 kg": 42,
    "20 kg": 35,
    "45 lb": 38,
    "15 kg": 30,
    "10 kg": 28,
    "5 kg": 20,
    "2.5 kg": 16,
    "1.25 kg": 12,
}


Angles = tuple[tuple[float, tuple[float, ...]], ...]
"""Pull of a cable at several angles: empty, and per kilogram on one post of each horn. [N], [N/kg]"""


@dataclass(frozen=True)
class Gym:
    """A station with all that a ladder asks for."""

    machine: Machine
    law: FeltLaw
    inventory: Inventory

    def __iter__(self) -> Any:
        return iter((self.machine, self.law, self.inventory))


def plate_of(name: str, thickness_mm: float | None = None, *, mass: str | None = None) -> Plate:
    """A plate called by its mass."""
    return Plate(name, parse_mass(mass or name), (thickness_mm or THICKNESS_MM.get(name, 20)) / 1000)


def rack(counts: Mapping[str, int]) -> Inventory:
    """Plates by name, and how many of each."""
    return Inventory({plate_of(name): count for name, count in counts.items()})


def gym_of(
    horns: Sequence[Horn],
    counts: Mapping[str, int] | Inventory,
    *,
    per_kg: Sequence[float] = (0.8, 0.37),
    per_kg_m: Sequence[float] = (0.0, 0.0),
    base_kg: float = 6.0,
    arm: Mapping[str, Any] | None = None,
    cable_rated_n: float | None = None,
    peaks: Angles = (),
    moving: Angles = (),
) -> Gym:
    """A station on one arm with these horns; peaks and moving are its cable's pull, at rest and in a raise."""
    drive = AcrossArm((1.0, 0.0)) if cable_rated_n is None else _cable(cable_rated_n)
    station = Station("row", "Row", drive, arm="main")
    main = Arm("main", (0.0, 0.5), 15.0, (0.5, 0.0), **(arm or {}))
    machine = Machine("Test gym", {"main": main}, {horn.name: horn for horn in horns}, {"row": station})
    shares = tuple(
        HornShare(horn, 1 if main.paired else horn.sides, each, turn)
        for horn, each, turn in zip(horns, per_kg, per_kg_m, strict=False)
    )
    pulls = [
        tuple(part) for angles in (peaks, moving) for part in (zip(*angles, strict=True) if angles else ((), ()))
    ]
    law = FeltLaw(station, base_kg, shares, 0.5, *pulls)
    return Gym(machine, law, counts if isinstance(counts, Inventory) else rack(counts))


def _columns(angles: Angles) -> tuple[tuple[float, ...], tuple[tuple[float, ...], ...]]:
    return tuple(base for base, _ in angles), tuple(per_kg for _, per_kg in angles)


def _cable(rated_n: float) -> Cable:
    return Cable((1.0, 0.0), Wheel((1.0, 2.0), 0.05, -1), -1.57, rated_n=rated_n)


def post(name: str = "tip", length_mm: float = 260.0, **further: Any) -> Horn:
    """A horn on the arm, two posts unless told otherwise."""
    return Horn(name, "main", length_mm / 1000, **{"sides": 2, **further})


MASSES = st.sampled_from(["20 kg", "45 lb", "10 kg", "25 lb", "5 kg", "2.5 kg", "1.25 kg", "4.873 kg"])


@st.composite
def inventories(draw: st.DrawFn, most_kinds: int = 4) -> Inventory:
    """A few kinds of plate, some of equal mass and different thickness."""
    kinds = draw(st.lists(st.tuples(MASSES, st.integers(10, 60), st.integers(1, 4)), max_size=most_kinds))
    plates = ((plate_of(f"{mass} no {n}", mm, mass=mass), count) for n, (mass, mm, count) in enumerate(kinds))
    return Inventory(dict(plates))


@st.composite
def gyms(draw: st.DrawFn) -> Gym:
    """Stations with one or two horns, across or along, lifting or lightening the arm, with and without limits."""
    horns = [draw(_horns(name)) for name in ("tip", "back")[: draw(st.integers(1, 2))]]
    ratings = st.none() | st.integers(5, 60).map(float)
    arm = {
        "paired": all(horn.sides == 2 for horn in horns) and draw(st.booleans()),
        "rated_plates_kg": draw(ratings),
    }
    angles = st.tuples(st.floats(0, 100), st.tuples(*(st.floats(-2, 10) for _ in horns)))
    return gym_of(
        horns,
        draw(inventories()),
        per_kg=[draw(st.sampled_from([0.8, 0.37, 1.0, -0.1])) for _ in horns],
        per_kg_m=[draw(st.sampled_from([0.9, -0.4])) if horn.axis is Axis.ALONG else 0.0 for horn in horns],
        base_kg=draw(st.sampled_from([0.0, 6.0, 7.3125])),
        arm=arm,
        cable_rated_n=draw(st.none() | st.floats(100, 400)),
        peaks=tuple(draw(st.lists(angles, min_size=1, max_size=4))),
        moving=tuple(draw(st.lists(angles, max_size=3))),
    )


@st.composite
def _horns(draw: st.DrawFn, name: str) -> Horn:
    return post(
        name,
        draw(st.integers(40, 200)),
        sides=draw(st.sampled_from([1, 2])),
        collar_m=draw(st.sampled_from([0.0, 0.03])),
        rated_kg=draw(st.none() | st.integers(5, 50).map(float)),
        axis=draw(st.sampled_from(Axis)),
    )
