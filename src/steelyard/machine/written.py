"""Writing numbers back in the units a person wrote them in, so that reading gives the very same float.

A millimetre, a degree or a pound is turned into SI by one rounding; the way back is searched, shortest first.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from decimal import Decimal

from steelyard.machine.model import Point
from steelyard.units import Mass, Unit

MASS_PLACES = 6


def in_mm(length_m: float) -> float | int:
    """A length as written in a file. [mm]

    >>> in_mm(1.05)
    1050
    """
    return written_as(length_m, length_m * 1000.0, lambda mm: mm / 1000.0)


def point_mm(point_m: Point) -> list[float | int]:
    """A point as written in a file. [mm]"""
    return [in_mm(part) for part in point_m]


def in_degrees(angle_rad: float) -> float | int:
    """An angle as written in a file. [degrees]

    >>> in_degrees(math.radians(-22.5))
    -22.5
    """
    return written_as(angle_rad, math.degrees(angle_rad), math.radians)


def written_as(value: float, near: float, read: Callable[[float], float]) -> float | int:
    """The shortest number that reads back as the value; the nearest one if none does.

    value: what reading must give.
    near:  the number to write, up to rounding.
    read:  what reading does to a number.
    """
    shortest = (round(near, places) for places in range(17))
    beside = (near, math.nextafter(near, math.inf), math.nextafter(near, -math.inf))
    for number in (*shortest, *beside):
        if read(number) == value:
            return tidy(number)
    return tidy(near)


def tidy(number: float) -> float | int:
    """Whole numbers without an idle point."""
    return int(number) if number.is_integer() and abs(number) < 1e15 else number


def mass_text(mass_kg: float, *, scale: float = 1.0) -> str:
    """A mass as written in a file, in kg or lb, whichever needs fewer places. [kg]

    scale: what reading multiplies the kilograms by to give mass_kg, for a force written as the mass it carries.

    >>> mass_text(Mass(Decimal(270), Unit.LB).kg)
    '270 lb'
    """
    for places in range(MASS_PLACES + 1):
        for unit in Unit:
            mass = Mass(nearest_amount(mass_kg / scale, unit, places), unit)
            if mass.kg * scale == mass_kg:
                return str(mass)
    return str(Mass(nearest_amount(mass_kg / scale, Unit.KG, MASS_PLACES), Unit.KG))


def nearest_amount(mass_kg: float, unit: Unit, places: int) -> Decimal:
    """The amount in a unit that is nearest to a mass, with so many decimal places."""
    return (Decimal(mass_kg) / unit.in_kg).quantize(Decimal(1).scaleb(-places))
