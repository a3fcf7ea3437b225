"""Masses, forces and statures: exact where the definition is exact, and in the unit a person chose.

Inside, everything is SI. Plates keep the unit cast into them; lifters choose kg or lb for display.
Sources: international pound 0.45359237 kg exactly (international yard and pound agreement, 1959; NIST SP 811,
appendix B.8); standard gravity 9.80665 m/s² exactly (3rd CGPM, 1901).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from steelyard.errors import OutOfRange

KG_PER_LB = Decimal("0.45359237")
STANDARD_GRAVITY = 9.80665
"""Standard acceleration of free fall. [m/s²]"""

_MASS = re.compile(r"\s*([+-]?\d+(?:[.,]\d{1,6})?)\s*(kgs?|lbs?|kilos?|pounds?)?\s*", re.IGNORECASE)

_LENGTH = re.compile(r"\s*(\d{1,5}(?:[.,]\d{1,6})?)\s*(mm|cm|m|inches|inch|in|\"|″)\s*", re.IGNORECASE)
_FEET = re.compile(
    r"\s*(\d{1,2})\s*(?:ft|feet|foot|'|′)\s*(?:(\d{1,2}(?:[.,]\d{1,6})?)\s*(?:inches|inch|in|\"|″)?)?\s*",
    re.IGNORECASE,
)
METRES_PER_INCH = Decimal("0.0254")
"""Exactly: the yard is 0.9144 m. Source: international yard and pound agreement, 1959. [m]"""
_METRES = {"mm": Decimal("0.001"), "cm": Decimal("0.01"), "m": Decimal(1)}


class Unit(StrEnum):
    """A unit of mass that plates are cast in and lifters read."""

    KG = "kg"
    LB = "lb"

    @property
    def in_kg(self) -> Decimal:
        """One of this unit. [kg]"""
        return KG_PER_LB if self is Unit.LB else Decimal(1)


@dataclass(frozen=True, slots=True)
class Mass:
    """A mass as written by a person: an exact amount in its own unit."""

    amount: Decimal
    unit: Unit

    @property
    def kg(self) -> float:
        """The same mass. [kg]"""
        return float(self.amount * self.unit.in_kg)

    @property
    def grams(self) -> int:
        """The same mass in whole grams, the grain in which loads are compared. [g]"""
        return round(self.amount * self.unit.in_kg * 1000)

    def __str__(self) -> str:
        return f"{plain(self.amount)} {self.unit}"


def parse_mass(text: str, default: Unit = Unit.KG) -> Mass:
    """Read a mass such as ``45 lb``, ``20 kg`` or ``1.25``.

    text:    an amount and, optionally, kg or lb; a decimal comma is taken as a point.
    default: the unit meant when the text names none.

    Raises: OutOfRange if the text is not a mass, or the mass is negative.

    >>> parse_mass("45 lb").kg
    20.41165665
    >>> str(parse_mass("1,25"))
    '1.25 kg'
    """
    accepted = "a mass such as 20 kg, 45 lb or 1.25"
    found = _MASS.fullmatch(text)
    if found is None:
        raise OutOfRange("mass", f"'{text}'", accepted)
    amount, unit = Decimal(found[1].replace(",", ".")), (found[2] or "").lower()
    if amount < 0:
        raise OutOfRange("mass", f"'{text}'", "0 or more")
    if not unit:
        return Mass(amount, default)
    return Mass(amount, Unit.LB if unit.startswith(("l", "p")) else Unit.KG)


def parse_length(text: str) -> float:
    """Read a length such as a stature: ``180 cm``, ``1.80 m``, ``71 in`` or ``5 ft 11 in``. [m]

    text: an amount with its unit, or feet and inches; a decimal comma is taken as a point.

    Raises: OutOfRange if the text is no length.

    >>> parse_length("5 ft 11 in"), parse_length("1,80 m")
    (1.8034, 1.8)
    """
    if found := _LENGTH.fullmatch(text):
        amount, unit = Decimal(found[1].replace(",", ".")), found[2].lower()
        return float(amount * _METRES.get(unit, METRES_PER_INCH))
    if found := _FEET.fullmatch(text):
        inches = Decimal((found[2] or "0").replace(",", "."))
        if inches < 12:
            return float((12 * int(found[1]) + inches) * METRES_PER_INCH)
    raise OutOfRange("length", f"'{text}'", "a length such as 180 cm, 1.80 m, 71 in or 5 ft 11 in")


def plain(amount: Decimal) -> str:
    """A decimal without exponent or idle zeros.

    >>> plain(Decimal("20.00"))
    '20'
    """
    text = f"{amount:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def in_unit(mass_kg: float, unit: Unit) -> float:
    """A mass in the unit a lifter reads. [kg or lb]

    >>> round(in_unit(100.0, Unit.LB), 3)
    220.462
    """
    return mass_kg / float(unit.in_kg)


def show_mass(mass_kg: float, unit: Unit, places: int = 1) -> str:
    """A mass for display, with its unit.

    >>> show_mass(20.41165665, Unit.LB)
    '45.0 lb'
    """
    return f"{in_unit(mass_kg, unit):.{places}f} {unit}"


def newtons(felt_kg: float) -> float:
    """The force that a felt load stands for. [N]"""
    return felt_kg * STANDARD_GRAVITY


def felt_kg(force_n: float) -> float:
    """The felt load that a force stands for. [kg]"""
    return force_n / STANDARD_GRAVITY


def show_share(share: float, *, places: int = 0, signed: bool = False) -> str:
    """A share in per cent, as it is shown everywhere.

    >>> show_share(0.3), show_share(-0.0123, places=1, signed=True)
    ('30 %', '-1.2 %')
    """
    return f"{100 * share:{'+' if signed else ''}.{places}f} %"
