"""How near a session comes to what the machine is rated for, in words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from steelyard.machine.model import FeltLaw, Machine
from steelyard.plates.closeness import NEAR, Closeness, Kind, closeness, nearest_limit, user_closeness
from steelyard.plates.model import Loading
from steelyard.training.model import Exercise, PreparedSet

WORTH_SAYING = 0.1
"""A session that stays below this share of every rating need not say so (a choice)."""


def nearest_rating(machine: Machine, law: FeltLaw, loading: Loading) -> Closeness | None:
    """The rating that a loading comes nearest to; None if none is stated. A full horn strains nothing."""
    ratings = (each for each in closeness(machine, law, loading) if each.kind is not Kind.ROOM)
    return nearest_limit(tuple(ratings))


def near_words(one: PreparedSet) -> str:
    """How near a set comes to a rating, such as ``tip horn at 86 % of its rating``; empty if it is not near."""
    return one.nearest.words if one.nearest is not None and one.nearest.share >= NEAR else ""


def closest_words(
    sets: Iterable[PreparedSet], exercises: Mapping[str, Exercise], machine: Machine, body_mass_kg: float | None
) -> str:
    """Which set comes nearest to a rating, and how near the lifter does if that is near; empty if all are far.

    body_mass_kg: the lifter's, if known. [kg]
    """
    return " ".join(_closest(sets, exercises, machine, body_mass_kg))


def _closest(
    sets: Iterable[PreparedSet], exercises: Mapping[str, Exercise], machine: Machine, body_mass_kg: float | None
) -> Iterator[str]:
    near = ((one, one.nearest) for one in sets if one.nearest is not None)
    rated = [(one, nearest) for one, nearest in near if nearest.share >= WORTH_SAYING]
    if rated:
        one, nearest = max(rated, key=lambda each: each[1].share)
        yield f"Closest to a rating: {exercises[one.exercise].name}, {nearest.words}."
    user = user_closeness(machine, body_mass_kg) if body_mass_kg is not None else None
    if user is not None and user.share >= NEAR:
        yield f"The machine carries its {user.words}."
