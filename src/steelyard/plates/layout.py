"""A partial loading as one whole number, in which every figure has its own bits, so that a plate more is one sum.

Whatever is limited has a guard bit above it. With a slack added that fills the figure up to its limit, the guard
turns up once the limit is broken, all limits looked at in one operation.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from steelyard.plates.grain import HALF_MICRONS_PER_M, grains, microns
from steelyard.plates.limits import Rig
from steelyard.plates.model import Plate

State = int
"""From the highest bits down: mass on each post [grains], and the moment of each where place counts [grains × half
microns]; then what orders builds by rule, which is plates used, kinds used, and for each post how many of each
kind do not hang there, heaviest first; then room taken on each post, and on all tight ones together [microns], the
pull, mass on one arm [grains], and how many of the kind at hand are used."""

Kinds = Sequence[tuple[Plate, int]]
"""Kinds of plate and how many there are, heaviest first."""

LEVER_GRAIN = 16
"""Levers are in this part of half a micron, so that the slope of a horn can be a whole number too."""


class Place(NamedTuple):
    """Where a figure stands in a state. mask: all its bits, once shifted down by the first."""

    first: int
    mask: int

    def of(self, state: State) -> int:
        """The figure."""
        return state >> self.first & self.mask

    @property
    def bits(self) -> State:
        """All its bits."""
        return self.mask << self.first

    @property
    def guard(self) -> State:
        """The bit above the figure."""
        return self.mask + 1 << self.first

    def slack(self, most: int) -> State:
        """What turns the guard bit up once it is added to a figure above this."""
        return self.mask - most << self.first


@dataclass(frozen=True, slots=True)
class Layout:
    """Where every figure of a state stands.

    pull:   about what the plates turn the arm with, whatever the station, by which loadings feel alike or not.
    room:   taken on all tight posts together. lengths, masses: one a post. moments: one a post where place counts.
    codes:  one a post, what hangs there; made up of digits, one a kind. at: the kind of each bit of a code.
    ordered, carried: the first bit of what orders builds, and of what is carried.
    """

    used: Place
    arm: Place
    pull: Place
    room: Place
    lengths: tuple[Place, ...]
    codes: tuple[Place, ...]
    digits: tuple[tuple[Place, ...], ...]
    at: tuple[tuple[int, ...], ...]
    kinds: Place
    plates: Place
    moments: tuple[Place, ...]
    masses: tuple[Place, ...]
    ordered: int
    carried: int

    @property
    def limited(self) -> Iterable[Place]:
        """All figures that have a guard bit."""
        return (self.used, self.arm, *self.lengths, *self.masses)

    @property
    def ordering(self) -> State:
        """All bits that order builds."""
        return (1 << self.carried) - (1 << self.ordered)

    @property
    def empty(self) -> State:
        """The empty rig: no plate of any kind hangs on any post, and nothing pulls either way."""
        return sum(code.bits for code in self.codes) | self.pull.mask // 2 << self.pull.first

    def order(self, state: State) -> int:
        """What orders a state among others by rule, lower is better."""
        return (state & self.ordering) >> self.ordered

    def hung(self, order: int, post: int) -> list[tuple[int, int]]:
        """The kinds that an order has on a post, heaviest first, and how many of each."""
        first, mask = self.codes[post]
        left, at, digits = mask & ~(order << self.ordered >> first), self.at[post], self.digits[post]
        found = []
        while left:
            kind = at[left.bit_length() - 1]
            low = digits[kind].first - first
            found.append((kind, left >> low))
            left &= (1 << low) - 1
        return found


class Bits:
    """Bits given out from the lowest up."""

    def __init__(self) -> None:
        self.first = 0

    def place(self, most: int, *, guarded: bool = False) -> Place:
        """Room for figures up to the most."""
        width = most.bit_length()
        place = Place(self.first, (1 << width) - 1)
        self.first += width + guarded
        return place

    def places(self, most: Iterable[int], *, guarded: bool = False) -> tuple[Place, ...]:
        """Room for several figures, the first of which counts most when states are compared."""
        return tuple([self.place(each, guarded=guarded) for each in reversed(list(most))][::-1])


def layout_of(rig: Rig, kinds: Kinds, fitting: Sequence[Sequence[int]]) -> Layout:
    """The layout for a rig with these plates. fitting: of each post, how many of each kind fit there at most."""
    bits = Bits()
    masses = [most_of((grains(plate.mass) for plate, _ in kinds), counts) for counts in fitting]
    lengths = [most_of((microns(plate.thickness_m) for plate, _ in kinds), counts) for counts in fitting]
    used = bits.place(max((count for _, count in kinds), default=0), guarded=True)
    arm = bits.place(rig.arm_mass(masses), guarded=True)
    pull, room = bits.place(2 * most_pull(rig, masses, lengths)), bits.place(sum(lengths))
    rooms = bits.places(lengths, guarded=True)
    ordered = bits.first
    found = [(bits.first, bits.places(counts), bits.first) for counts in reversed(fitting)][::-1]
    codes = tuple(Place(first, (1 << end - first) - 1) for first, _, end in found)
    digits = tuple(digits for _, digits, _ in found)
    at = tuple(kinds_of(each) for each in digits)
    used_kinds, plates = bits.place(len(kinds)), bits.place(sum(count for _, count in kinds))
    carried = bits.first
    moments = bits.places(2 * masses[post] * lengths[post] for post in rig.along)
    on_posts = bits.places(masses, guarded=True)
    return Layout(
        used, arm, pull, room, rooms, codes, digits, at, used_kinds, plates, moments, on_posts, ordered, carried
    )


def kinds_of(digits: Sequence[Place]) -> tuple[int, ...]:
    """The kind that each bit of a code tells of, lowest bit first; the last kind has the lowest."""
    kinds = reversed(list(enumerate(digits)))
    return tuple(kind for kind, digit in kinds for _ in range(digit.mask.bit_length()))


def most_of(figures: Iterable[int], counts: Sequence[int]) -> int:
    """What so many of each add up to."""
    return sum(figure * count for figure, count in zip(figures, counts, strict=True))


def most_pull(rig: Rig, masses: Sequence[int], lengths: Sequence[int]) -> int:
    """More than any loading pulls, one way or the other. [grains], [microns]"""
    places = zip(masses, lengths, levers_of(rig), rig.on_arm, strict=True)
    return sum(mass * (abs(lever) + 2 * LEVER_GRAIN * on_arm * length) for mass, length, lever, on_arm in places)


def levers_of(rig: Rig) -> list[int]:
    """How far forward of the hinge each horn is, times its posts on one arm; all alike if none is off it."""
    unit = LEVER_GRAIN * HALF_MICRONS_PER_M
    found = [round(unit * horn.at_m[0]) * posts for horn, posts in zip(rig.horns, rig.on_arm, strict=True)]
    return found if any(found) else [unit] * len(found)


def slope_of(rig: Rig, post: int) -> int:
    """What a plate that hangs further out on a horn along the plane adds to its lever."""
    return round(LEVER_GRAIN * math.cos(rig.horns[post].axis_angle_rad)) * rig.on_arm[post]
