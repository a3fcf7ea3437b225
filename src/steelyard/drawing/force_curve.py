"""What a loaded station asks of the hands over its travel, as felt load, and what is to be said of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

from steelyard.machine.curve import resistance_curve
from steelyard.machine.model import FeltLaw, Machine, Station
from steelyard.machine.statics import mechanism_of
from steelyard.plates.discs import post_loads
from steelyard.plates.loading import felt_kg, lowering_kg, nearest
from steelyard.plates.model import Loading, Rung
from steelyard.units import Unit, show_mass, show_share
from steelyard.units import felt_kg as as_felt

ANGLES = 41
EVEN = 0.01
"""A curve that stays within this share of the felt load is called even: nobody feels less."""
NEAR = 8
"""So many rungs round the load asked for are looked at on each ladder."""
SAME = 0.01
"""Two felt loads this near to each other are called the same."""


@dataclass(frozen=True, slots=True)
class ForceCurve:
    """Handle force of one loaded station over the handle's travel, divided by standard gravity.

    travel_m:   from where the lift begins; all 0 if nobody measured the way. [m]
    share:      the same as a share of the whole travel.
    raising_kg, lowering_kg: at each place. [kg]
    felt_kg, lowered_kg: their means over the travel: the felt load, and the same while lowering. [kg]
    band_kg:    where the raising force lies with 95 % probability after a calibration, low and high; None without.
    """

    title: str
    travel_m: tuple[float, ...]
    share: tuple[float, ...]
    raising_kg: tuple[float, ...]
    lowering_kg: tuple[float, ...]
    felt_kg: float
    lowered_kg: float
    band_kg: tuple[tuple[float, ...], tuple[float, ...]] | None = None

    @property
    def has_friction(self) -> bool:
        """Whether the hands lower less than they raise."""
        return self.lowering_kg != self.raising_kg

    @property
    def peak_kg(self) -> float:
        """The largest force while raising. [kg]"""
        return max(self.raising_kg)

    @property
    def hardest_at(self) -> float:
        """Where that is, as a share of the travel."""
        return self.share[self.raising_kg.index(self.peak_kg)]

    @property
    def even(self) -> bool:
        """Whether raising feels the same all the way."""
        return self.peak_kg - min(self.raising_kg) <= EVEN * abs(self.felt_kg)


def curve_angles(machine: Machine, station: Station) -> tuple[float, ...]:
    """The arm angles at which a station's curve is drawn. [rad] Raises: OutOfRange for one without an arm."""
    return mechanism_of(machine, station).angles(ANGLES)


def curve_of(
    machine: Machine,
    law: FeltLaw,
    loading: Loading,
    *,
    one_arm: bool = False,
    band_n: tuple[Sequence[float], Sequence[float]] | None = None,
) -> ForceCurve:
    """The curve of a station with these plates; level for body weight and free weights.

    law:     of the station, for the same one_arm and body mass.
    band_n:  low and high of the raising force at `curve_angles`, as a calibration gives them. [N]

    Raises: UnknownName if the loading names a horn that the station does not feel.
    """
    station, felt, lowered = law.station, felt_kg(law, loading), lowering_kg(law, loading)
    if station.arm is None:
        return ForceCurve(station.title, (0.0, law.stroke_m), (0.0, 1.0), (felt, felt), (felt, felt), felt, felt)
    angles = curve_angles(machine, station)
    found = resistance_curve(machine, station, angles, post_loads(loading), one_arm=one_arm)
    raising, lowering = (tuple(map(as_felt, forces_n)) for forces_n in (found.raising_n, found.lowering_n))
    share = tuple(travel / found.travel_m[-1] for travel in found.travel_m)
    band = (tuple(map(as_felt, band_n[0])), tuple(map(as_felt, band_n[1]))) if band_n else None
    return ForceCurve(station.title, found.travel_m, share, raising, lowering, felt, lowered, band)


def matched(first: Sequence[Rung], second: Sequence[Rung], wanted_kg: float) -> tuple[Rung, Rung]:
    """A rung of each ladder, both near to a felt load and as near to each other as the plates allow. [kg]

    Raises: OutOfRange if the felt load is no number.
    """
    pairs = product(nearest(first, wanted_kg, count=NEAR), nearest(second, wanted_kg, count=NEAR))
    return min(pairs, key=lambda pair: _unlike(pair[0].felt_kg, pair[1].felt_kg, wanted_kg))


def _unlike(first_kg: float, second_kg: float, wanted_kg: float) -> float:
    """How badly a pair of loads serves a comparison: their own difference counts most."""
    return 4 * abs(first_kg - second_kg) + abs(first_kg - wanted_kg) + abs(second_kg - wanted_kg)


def told_hardest(curve: ForceCurve, unit: Unit) -> str:
    """Where a curve is hardest.

    >>> told_hardest(ForceCurve("Row", (0.0, 0.5), (0.0, 1.0), (44.0, 40.0), (36.0, 33.0), 42.0, 34.5), Unit.KG)
    'hardest at the start (44.0 kg)'
    """
    if curve.even:
        return f"even all the way ({show_mass(curve.felt_kg, unit)})"
    place = curve.hardest_at
    words = (
        "at the start"
        if place <= 0.1
        else "at the end"
        if place >= 0.9
        else f"after {show_share(place)} of the way"
    )
    return f"hardest {words} ({show_mass(curve.peak_kg, unit)})"


def told_friction(curve: ForceCurve) -> str:
    """What friction does to the way down.

    >>> told_friction(ForceCurve("Row", (0.0, 0.5), (0.0, 1.0), (44.0, 40.0), (36.0, 33.0), 42.0, 34.5))
    'the hands lower 82 % of what they raise'
    """
    if not curve.has_friction:
        return "no friction is known of, so the hands lower what they raise"
    if curve.lowered_kg <= 0.0:
        return "friction alone holds it up, so the hands must push it down"
    percent = round(100 * curve.lowered_kg / curve.felt_kg)
    if percent >= 100:
        return "friction is hardly felt, the hands lower nearly all that they raise"
    return f"the hands lower {percent} % of what they raise"


def told_curve(curve: ForceCurve, unit: Unit) -> str:
    """A curve in two sentences."""
    said = f"{curve.title} at {show_mass(curve.felt_kg, unit)} felt is {told_hardest(curve, unit)}."
    friction = told_friction(curve)
    return f"{said} {friction[0].upper()}{friction[1:]}."


def told_comparison(first: ForceCurve, second: ForceCurve, unit: Unit) -> str:
    """Two curves against each other, in words."""
    mean = (first.felt_kg + second.felt_kg) / 2
    hard = [told_hardest(curve, unit) for curve in (first, second)]
    if abs(first.felt_kg - second.felt_kg) <= SAME * abs(mean):
        load = show_mass(mean, unit)
        said = f"At the same {load} felt, {first.title} is {hard[0]}, {second.title} {hard[1]}."
    else:
        loads = [show_mass(curve.felt_kg, unit) for curve in (first, second)]
        said = f"As near to each other as the plates allow, {first.title} at {loads[0]} felt is {hard[0]}, "
        said += f"{second.title} at {loads[1]} felt {hard[1]}."
    friction = [told_friction(curve) for curve in (first, second)]
    if friction[0] == friction[1]:
        return f"{said} At both {friction[0]}."
    return f"{said} At {first.title} {friction[0]}; at {second.title} {friction[1]}."
