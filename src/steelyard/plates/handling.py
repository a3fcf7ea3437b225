"""What plate work costs in time: seconds for one plate in hand, by its mass."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from steelyard.errors import OutOfRange

if TYPE_CHECKING:  # the inventory of plates.model holds a handling
    from steelyard.plates.model import Move, Plate

LONGEST_S = 60.0
"""No plate takes longer than this; a stopwatch that says so was started too early. [s]"""


@dataclass(frozen=True, slots=True)
class Handling:
    """How long one plate takes, off or on, at one side: the same for every plate, and more for every kilogram.

    plate_s: for a plate of no mass: the grip, the step, the collar. [s]
    kg_s:    for every kilogram more. [s/kg]

    No published figure was found. The usual ones are a guess: 4 s for a small plate, 7 s for 20 kg, about 6 s for
    the plates of a rack on average. A stopwatch tells it better; see docs/plates-file.md.

    Raises: OutOfRange if a figure is negative, or a plate of 25 kg would take longer than `LONGEST_S`.
    """

    plate_s: float = 4.0
    kg_s: float = 0.15

    def __post_init__(self) -> None:
        """Refuse figures that no hand is slow enough for."""
        for name, figure in (("seconds for a plate", self.plate_s), ("seconds for a kilogram", self.kg_s)):
            if not figure >= 0:
                raise OutOfRange(name, f"{figure:g}", "0 or more")
        if self.plate_s + 25 * self.kg_s > LONGEST_S:
            raise OutOfRange(
                "seconds for a plate of 25 kg", f"{self.plate_s + 25 * self.kg_s:g}", f"{LONGEST_S:g} or less"
            )

    def plate_ms(self, plate: Plate) -> int:
        """One plate at one side, in whole milliseconds, so that no sum depends on its order. [ms]

        >>> from steelyard.plates.model import Plate
        >>> from steelyard.units import parse_mass
        >>> Handling().plate_ms(Plate("20 kg", parse_mass("20 kg"), 0.03))
        7000
        """
        return round(1000 * (self.plate_s + self.kg_s * plate.mass.kg))

    def seconds(self, moves: Iterable[Move]) -> float:
        """How long moves take, one pair of hands, every side counted. [s]"""
        return sum(move.sides * self.plate_ms(move.plate) for move in moves) / 1000


def timed(small_kg: float, small_s: float, large_kg: float, large_s: float) -> Handling:
    """The handling of someone who timed a small and a large plate. [kg], [s] at one side

    Raises: OutOfRange if the large plate is not heavier, was quicker, or a figure makes no sense.

    >>> timed(2.5, 4.0, 20.0, 7.5)
    Handling(plate_s=3.5, kg_s=0.2)
    """
    if not large_kg > small_kg:
        raise OutOfRange(
            "mass of the large plate", f"{large_kg:g} kg", f"more than {small_kg:g} kg, the small one"
        )
    kg_s = (large_s - small_s) / (large_kg - small_kg)
    if not kg_s >= 0:
        raise OutOfRange("time of the large plate", f"{large_s:g} s", f"{small_s:g} s or more, as the small one")
    return Handling(round(small_s - kg_s * small_kg, 6), round(kg_s, 6))


def slowest_s(small_kg: float, small_s: float, large_kg: float) -> float:
    """The longest that a large plate can be said to take beside a small one. [kg], [s]

    Nothing is slower than in proportion to its mass, or no time would be left for a plate of no mass.

    >>> slowest_s(2.5, 4.0, 20.0), slowest_s(2.5, 15.0, 25.0)
    (32.0, 60.0)
    """
    kg_s = small_s / small_kg
    if small_kg < 25:
        kg_s = min(kg_s, (LONGEST_S - small_s) / (25 - small_kg))
    return small_s + kg_s * (large_kg - small_kg)
