"""The nouns of plates: a plate, the house's inventory, a loading and a move."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from steelyard.errors import UnknownName
from steelyard.plates.handling import Handling
from steelyard.units import Mass


@dataclass(frozen=True, slots=True)
class Plate:
    """One kind of plate. Two plates of a kind are interchangeable.

    name:     what the lifter calls it, such as ``20 kg`` or ``45 lb iron``; unique in the house.
    nominal:  the mass cast into it, in its own unit.
    weighed:  the mass a scale showed, if it was ever weighed.
    thickness_m: what it takes up on a horn. [m]
    diameter_m: outer diameter. [m]
    hole_m:   hole diameter. [m]
    """

    name: str
    nominal: Mass
    thickness_m: float
    weighed: Mass | None = None
    diameter_m: float = 0.45
    hole_m: float = 0.051

    @property
    def mass(self) -> Mass:
        """The mass to reckon with: weighed if known, else nominal."""
        return self.weighed or self.nominal


@dataclass(frozen=True, slots=True)
class Inventory:
    """The plates in the house: how many of each kind, in the order of the file, and how long one takes in hand."""

    counts: Mapping[Plate, int] = field(hash=False)
    handling: Handling = field(default_factory=Handling)

    def plate(self, name: str) -> Plate:
        """The kind of this name. Raises: UnknownName."""
        for plate in self.counts:
            if plate.name == name:
                return plate
        raise UnknownName("plate", name, (plate.name for plate in self.counts))


Stack = tuple[Plate, ...]
"""The plates on one post, innermost first; posts of a horn with two sides carry the same stack."""

Loading = Mapping[str, Stack]
"""Stacks by horn name; a horn that is missing is empty."""


def plate_names(loading: Loading) -> dict[str, tuple[str, ...]]:
    """A loading as the journal keeps it: plate names by horn, innermost first, without empty horns."""
    return {horn: tuple(plate.name for plate in stack) for horn, stack in loading.items() if stack}


@dataclass(frozen=True, slots=True)
class Move:
    """One plate, off or on, at every side of a horn."""

    on: bool
    plate: Plate
    horn: str
    sides: int


BUILDS_KEPT = 8


@dataclass(frozen=True, slots=True)
class Rung:
    """One load of a station's ladder and the ways to build it, each with the heaviest plate innermost.

    builds: at most `BUILDS_KEPT`, fewest plates first.
    """

    felt_kg: float
    builds: Sequence[Loading] = field(hash=False)

    @property
    def loading(self) -> Loading:
        """The build with the fewest plates."""
        return self.builds[0]
