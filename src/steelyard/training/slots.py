"""The name of a set's place in a prepared session, such as ``2.work.1.left``, and what it says."""

from __future__ import annotations

from dataclasses import dataclass

MOST_PLACES = 1000
"""More exercises than any outline has, and the most that an event of one can name."""


@dataclass(frozen=True, slots=True)
class Slot:
    """place: of the exercise in the outline, from 1. number: of the set in its role. side: empty for both."""

    place: int
    role: str
    number: int
    side: str = ""

    @property
    def whole(self) -> str:
        """The set with both its sides."""
        return f"{self.place}.{self.role}.{self.number}"


def read_slot(text: str) -> Slot | None:
    """What a slot says; None for a text that is none, which an old or foreign journal may hold.

    >>> read_slot("2.work.1.left")
    Slot(place=2, role='work', number=1, side='left')
    >>> read_slot("warm") is None
    True
    """
    place, role, number, side, *rest = [*text.split("."), "", "", ""][: max(4, text.count(".") + 1)]
    if rest or not (place.isdecimal() and number.isdecimal() and 1 <= int(place) <= MOST_PLACES):
        return None
    return Slot(int(place), role, int(number), side)
