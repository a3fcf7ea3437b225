"""What the page says of a station's plates: what is on it, what the smallest adds, how fine the steps are."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from statistics import median

from steelyard.drawing.side_words import plates_words
from steelyard.machine.model import Axis, FeltLaw, HornShare, Machine, Station
from steelyard.plates.loading import gaps
from steelyard.plates.model import Inventory, Loading, Plate, Rung
from steelyard.units import Unit, show_mass

UNLIKE = 0.05
"""Horns whose kilograms count more than this apart give steps that neither gives alone."""


def plates_of(machine: Machine, station: Station, loading: Loading) -> str:
    """The plates on a station's horns, innermost first; empty without horns."""
    return "; ".join(plates_words(horn, loading.get(horn.name, ())) for horn in machine.horns_of(station))


def increments(law: FeltLaw, ladder: Sequence[Rung], inventory: Inventory, unit: Unit) -> tuple[str, ...]:
    """What the smallest plates add on each horn, and how fine the steps of the ladder are."""
    said = [words for share in law.shares for words in _of_horn(share, inventory, unit)]
    steps = [gap.step_kg for gap in gaps(ladder)]
    if not steps:
        return tuple(said)
    half = f"half of the steps between its loads are {show_mass(median(steps), unit)} or less"
    counted = [share.per_kg for share in law.shares]
    if len(counted) > 1 and max(counted) - min(counted) > UNLIKE:
        return (*said, f"The horns lie at different distances, so the same plate makes different steps: {half}.")
    return (*said, f"{half[0].upper()}{half[1:]}.")


def _of_horn(share: HornShare, inventory: Inventory, unit: Unit) -> Iterator[str]:
    plate = _smallest(inventory, share.horn.sides)
    if plate is None:
        return
    many = "one" if share.horn.sides == 1 else "a pair of"
    where = f"on the {share.horn.name} horn" if share.horn.sides == 1 else f"on the {share.horn.name} horns"
    least, most = (show_mass(each, unit, 2) for each in _felt(share, plate))
    if share.horn.axis is Axis.ALONG and least != most:
        yield (
            f"{many} {plate.name} {where} is felt as {least} at its root and {most} at its end".capitalize() + "."
        )
    else:
        yield f"{many} {plate.name} {where} is felt as {least}".capitalize() + "."


def _felt(share: HornShare, plate: Plate) -> tuple[float, float]:
    """What a plate on each post adds, at the root of its horn and at the end. [kg]"""
    reach = max(share.horn.length_m - share.horn.collar_m - plate.thickness_m / 2, 0.0)
    sides = share.sides * plate.mass.kg
    return sides * (share.per_kg + share.per_kg_m * plate.thickness_m / 2), sides * (
        share.per_kg + share.per_kg_m * reach
    )


def _smallest(inventory: Inventory, sides: int) -> Plate | None:
    """The lightest plate that there is for every side."""
    enough = [plate for plate, count in inventory.counts.items() if count >= sides]
    return min(enough, key=lambda plate: plate.mass.grams, default=None)
