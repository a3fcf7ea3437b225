"""How to build a felt load at a station, with the plates that are there today."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from steelyard.errors import NoLoading
from steelyard.plates.loading import around, build_exactly, told_apart
from steelyard.plates.model import Rung
from steelyard.service import Steelyard
from steelyard.training.gym import StationLoads
from steelyard.units import Unit, show_share


@dataclass(frozen=True, slots=True)
class Build:
    """One way to come near the load that was asked for.

    felt: its felt load in the lifter's unit. off: how far off it is, such as ``1.3 % less``; empty if it is not.
    """

    rung: Rung
    felt: str
    off: str


@dataclass(frozen=True, slots=True)
class Answer:
    """How to build a felt load.

    builds:  the nearest, or where none lies within the tolerance those just below and just above.
    refusal: why it can't be built then.
    """

    builds: tuple[Build, ...]
    refusal: NoLoading | None = None


def loads_without(
    steelyard: Steelyard, station: str, missing: Sequence[str], *, lifter: str | None = None, one_arm: bool = False
) -> StationLoads:
    """The loads of a station without plates that are missing today.

    lifter: whose body mass counts.

    Raises: UnknownName for a station, plate or lifter; OutOfRange if a body mass is needed or a count is wrong.
    """
    gym = steelyard.gym.without(tuple(missing))
    body_mass_kg = steelyard.lifter(lifter).body_mass_kg if lifter else None
    return gym.loads(gym.machine.station(station), one_arm=one_arm, body_mass_kg=body_mass_kg)


def build(ladder: Sequence[Rung], wanted_kg: float, within_kg: float, unit: Unit) -> Answer:
    """How to build a felt load [kg], within a tolerance [kg], told in the lifter's unit.

    Raises: OutOfRange if a figure is no number or a negative tolerance.
    """
    try:
        found, refusal = [build_exactly(ladder, wanted_kg, within_kg, unit=unit)], None
    except NoLoading as problem:
        found, refusal = list(around(ladder, wanted_kg)), problem
    felt = told_apart([wanted_kg, *(rung.felt_kg for rung in found)], unit)[1:]
    builds = (
        Build(rung, text, off_words(rung.felt_kg, wanted_kg)) for rung, text in zip(found, felt, strict=True)
    )
    return Answer(tuple(builds), refusal)


def off_words(felt_kg: float, wanted_kg: float) -> str:
    """How far a felt load is from the one asked for; empty where a tenth of a per cent does not show it.

    >>> off_words(60.2, 61.0), off_words(61.01, 61.0), off_words(5.0, 0.0)
    ('1.3 % less', '', '')
    """
    share = felt_kg / wanted_kg - 1 if wanted_kg else 0.0
    if abs(share) < 0.0005:
        return ""
    return f"{show_share(abs(share), places=1)} {'more' if share > 0 else 'less'}"
