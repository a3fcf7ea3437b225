"""Plates in whole numbers: masses in grains and lengths in microns, so that no sum depends on its order.

A grain is 1e-14 kg: kilograms and pounds (0.45359237 kg) with up to six decimals are whole numbers of it.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from steelyard.machine.model import FeltLaw, HornShare
from steelyard.plates.model import Stack
from steelyard.units import Mass

GRAINS_PER_KG = 10**14
GRAINS_PER_GRAM = 10**11
MICRONS_PER_M = 10**6
SHARE_GRAIN = 10**12
"""Shares are rounded to whole multiples of its inverse: far below what anybody can measure."""
HALF_MICRONS_PER_M = 2 * MICRONS_PER_M
FELT_PER_GRAM = GRAINS_PER_GRAM * SHARE_GRAIN * HALF_MICRONS_PER_M
"""Felt units in a gram. They are so fine that felt load is a whole-number sum over plates, in any order."""


class Carried(NamedTuple):
    """What one post carries.

    mass:   in grains.
    length: what the plates take up. [microns]
    moment: sum of plate mass times the distance of its centre from the inner face. [grains × half microns]
    """

    mass: int
    length: int
    moment: int

    def plus(self, mass: int, length: int, count: int) -> Carried:
        """The same post with so many equal plates more, on the outside. [grains], [microns]"""
        # The centre of new plate j lies at length + (j + 1/2) thicknesses: the sum over j, in half microns.
        moment = mass * count * (2 * self.length + length * count)
        return Carried(self.mass + mass * count, self.length + length * count, self.moment + moment)


EMPTY = Carried(0, 0, 0)


@lru_cache(maxsize=1024)
def grains(mass: Mass) -> int:
    """A mass in grains."""
    return round((mass.amount * mass.unit.in_kg).scaleb(14))


def microns(length_m: float) -> int:
    """A length in microns."""
    return round(length_m * MICRONS_PER_M)


def carried(stack: Stack) -> Carried:
    """What a post with this stack carries."""
    post = EMPTY
    for plate in stack:
        post = post.plus(grains(plate.mass), microns(plate.thickness_m), 1)
    return post


def kilograms(mass: int) -> float:
    """Grains in kilograms, correctly rounded. [kg]"""
    return mass / GRAINS_PER_KG


def most_grains(rated_kg: float) -> int:
    """The most grains that, in whole grams, still do not exceed a rated mass. [kg]"""
    return round(rated_kg * 1000) * GRAINS_PER_GRAM + GRAINS_PER_GRAM // 2 - 1


@lru_cache(maxsize=1024)
def share_units(share: HornShare) -> tuple[int, int]:
    """What a horn's plates add: felt units per grain on one post, and per grain × half micron of moment."""
    per_kg = round(Fraction(share.per_kg) * share.sides * SHARE_GRAIN)
    return per_kg * HALF_MICRONS_PER_M, round(Fraction(share.per_kg_m) * share.sides * SHARE_GRAIN)


def base_units(law: FeltLaw) -> int:
    """Felt load of the empty station. [felt units]"""
    return round(Fraction(law.base_kg) * 1000 * FELT_PER_GRAM)


def whole_grams(felt: int) -> int:
    """Felt units in whole grams, in which loads are compared; half a gram goes up. [g]"""
    return (felt + FELT_PER_GRAM // 2) // FELT_PER_GRAM


def felt_grams(law: FeltLaw, posts: Sequence[Carried]) -> int:
    """Felt load of what the posts carry, in the order of the law's shares, in whole grams. [g]"""
    felt = base_units(law)
    for share, post in zip(law.shares, posts, strict=True):
        per_grain, per_moment = share_units(share)
        felt += per_grain * post.mass + per_moment * post.moment
    return whole_grams(felt)
