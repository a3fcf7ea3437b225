"""What a set asks of the plates: a felt load, how near it must be, and what it costs to miss it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from steelyard.errors import OutOfRange
from steelyard.machine.model import FeltLaw

PRICE_S = 1000.0
"""Seconds of plate work that the whole load would be worth: ten seconds for one percent. See
docs/model-changeover.md for where it comes from. [s]"""
BEYOND_S_PER_G = 10_000.0
"""Each gram further than the tolerance costs this: such a load is taken only for want of a nearer one. [s/g]"""


class Way(StrEnum):
    """How the plates may change before a set.

    FREE:  any way.
    STRIP: plates only come off, as a drop set asks.
    ADD:   plates only go on, as a warm-up ramp likes; one that must come off all the same costs as a gram beyond.
    """

    FREE = "free"
    STRIP = "strip"
    ADD = "add"


@dataclass(frozen=True, slots=True)
class Wish:
    """What one set asks of the plates.

    law:          of the station where it is done; one-arm work and the lifter's body mass are in it.
    wanted_kg:    felt load wanted, above 0. [kg]
    tolerance_kg: how far below it a load may be, 0 or more. Loads beyond are taken only where there is none
                  within. A strip set takes what stripping leaves, whatever the tolerance. [kg]
    over_kg:      how far above it a load may be; as far as below if None. [kg]
    near_kg:      within so much of it a load is as good as wanted: missing costs nothing. [kg]
    price_s:      seconds of plate work that missing it by the whole load would be worth. [s]
    way:          how the plates may change before the set.
    haste:        what a second of plate work before the set counts; more than 1 only where plates are stripped,
                  which nothing can be done about beforehand.

    Raises: OutOfRange.
    """

    law: FeltLaw
    wanted_kg: float
    tolerance_kg: float
    over_kg: float | None = None
    near_kg: float = 0.0
    price_s: float = PRICE_S
    way: Way = Way.FREE
    haste: float = 1.0

    def __post_init__(self) -> None:
        """Refuse what is no load, and haste where it could have been avoided by working earlier."""
        if not (math.isfinite(self.wanted_kg) and self.wanted_grams > 0):
            raise OutOfRange("felt load wanted", f"{self.wanted_kg:g} kg", "at least a gram")
        for name, figure in (
            ("tolerance", self.tolerance_kg),
            ("tolerance above", self.over_kg or 0.0),
            ("what is near", self.near_kg),
            ("price of missing the load", self.price_s),
        ):
            if not figure >= 0:
                raise OutOfRange(name, f"{figure:g}", "0 or more")
        if not self.haste >= 1 or (self.haste > 1 and self.way is not Way.STRIP):
            raise OutOfRange("haste", f"{self.haste:g}", "1, or more where plates are only stripped")

    @property
    def wanted_grams(self) -> int:
        """The felt load wanted. [g]"""
        return round(self.wanted_kg * 1000)

    @property
    def least_grams(self) -> int:
        """The lightest load within the tolerance. [g]"""
        return self.wanted_grams - whole(self.tolerance_kg)

    @property
    def most_grams(self) -> int:
        """The heaviest load within the tolerance. [g]"""
        return self.wanted_grams + whole(self.tolerance_kg if self.over_kg is None else self.over_kg)

    def beyond_grams(self, grams: int) -> int:
        """How far a felt load lies beyond the tolerance; a strip set has none. [g]"""
        if self.way is Way.STRIP:
            return 0
        return max(0, self.least_grams - grams, grams - self.most_grams)

    def price_ms(self, grams: int) -> int:
        """What a felt load [g] costs for missing the wanted one. [ms]"""
        missed = max(0, abs(grams - self.wanted_grams) - whole(self.near_kg))
        price = round(1000 * self.price_s)
        beyond = round(1000 * BEYOND_S_PER_G) * self.beyond_grams(grams)
        return (2 * price * missed + self.wanted_grams) // (2 * self.wanted_grams) + beyond


def whole(kg: float) -> int:
    """A mass in whole grams, at most a thousand tonnes, so that an infinite one can be reckoned with. [g]"""
    return round(1000 * min(kg, 1e6))
