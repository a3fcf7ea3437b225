"""Plates that shops sell: the usual masses, and how thick one would be that nobody has measured yet."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from itertools import pairwise

from steelyard.machine.written import in_mm
from steelyard.plates.file import USUAL_HOLE_MM, usual_diameter_mm
from steelyard.plates.model import Inventory, Plate
from steelyard.units import Mass, Unit, parse_mass

USUAL_MASSES = {
    Unit.KG: ("0.5 kg", "1 kg", "1.25 kg", "2 kg", "2.5 kg", "5 kg", "10 kg", "15 kg", "20 kg", "25 kg"),
    Unit.LB: ("1.25 lb", "2.5 lb", "5 lb", "10 lb", "25 lb", "35 lb", "45 lb"),
}
"""What plates are cast in. Common practice, from memory; what a shop has differs."""

USUAL_THICKNESS_MM = ((0.5, 9.0), (1.25, 12.0), (2.5, 16.0), (5.0, 20.0), (10.0, 28.0), (15.0, 30.0), (25.0, 42.0))
"""Thickness of a solid iron plate for a 50 mm sleeve, by its mass [kg], [mm]. From memory, no source; between two
rows in proportion."""


def usual_plates(inventory: Inventory, units: Sequence[Unit] = tuple(Unit)) -> tuple[Plate, ...]:
    """One plate of each usual mass in these units, lightest first: a kind of the house where there is one.

    A kind that was weighed is not taken: what comes new from a shop is what its casting says, as far as anybody
    knows.

    >>> [plate.name for plate in usual_plates(Inventory({}), [Unit.LB])][:3]
    ['1.25 lb', '2.5 lb', '5 lb']
    """
    masses = sorted((parse_mass(text) for unit in units for text in USUAL_MASSES[unit]), key=lambda mass: mass.kg)
    return tuple(usual_plate(mass, inventory) for mass in masses)


def usual_plate(mass: Mass, inventory: Inventory) -> Plate:
    """A plate of this mass as one would buy it: as those of the house if there are any, else as thick as they."""
    same = (plate for plate in inventory.counts if plate.mass == mass)
    return next(same, None) or new_plate(mass, inventory)


def new_plate(mass: Mass, inventory: Inventory) -> Plate:
    """A kind of plate that is not in the house, its thickness guessed from those that are."""
    taken = {plate.name.casefold() for plate in inventory.counts}
    return Plate(
        name=next(name for name in (str(mass), f"new {mass}", f"bought {mass}") if name.casefold() not in taken),
        nominal=mass,
        thickness_m=likely_thickness_mm(mass.kg, inventory) / 1000.0,
        diameter_m=usual_diameter_mm(mass) / 1000.0,
        hole_m=likely_hole_mm(inventory) / 1000.0,
    )


def likely_thickness_mm(mass_kg: float, inventory: Inventory) -> float:
    """How thick a plate would be if it were like those of the house, to a millimetre. [kg] → [mm]

    The house's plates are compared with usual ones; the ratio is interpolated by mass and kept beyond the ends.

    >>> likely_thickness_mm(2.0, Inventory({}))
    14.0
    """
    ratios: dict[float, list[float]] = {}
    for plate in inventory.counts:
        ratios.setdefault(plate.mass.kg, []).append(1000.0 * plate.thickness_m / usual_thickness_mm(plate.mass.kg))
    known = [(kg, sum(found) / len(found)) for kg, found in sorted(ratios.items())] or [(1.0, 1.0)]
    return float(max(3, round(usual_thickness_mm(mass_kg) * between(known, mass_kg))))


def usual_thickness_mm(mass_kg: float) -> float:
    """How thick a solid iron plate usually is. [kg] → [mm]"""
    return between(USUAL_THICKNESS_MM, mass_kg)


def between(known: Sequence[tuple[float, float]], place: float) -> float:
    """A value between known ones, in proportion; that of the nearest end beyond them."""
    if place <= known[0][0]:
        return known[0][1]
    for (low, first), (high, second) in pairwise(known):
        if place <= high:
            return first + (second - first) * (place - low) / (high - low)
    return known[-1][1]


def likely_hole_mm(inventory: Inventory) -> float:
    """The hole of most plates of the house. [mm]"""
    holes: Counter[float] = Counter()
    for plate, count in inventory.counts.items():
        holes[float(in_mm(plate.hole_m))] += count
    return max(holes, key=lambda hole: (holes[hole], hole), default=USUAL_HOLE_MM)
