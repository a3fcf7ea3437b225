"""Sets per muscle and week, indirect work counted by half.

The counting rule and its source are `rules.fractional_sets`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from steelyard.journal.fold import LoggedSet
from steelyard.training.exercises import MUSCLES
from steelyard.training.model import Exercise, Role, Side
from steelyard.training.rules import fractional_sets, volume_label


@dataclass(frozen=True, slots=True)
class MuscleWeek:
    """Hard sets of one muscle in seven days, indirect ones counted by half, and what that amount usually does."""

    muscle: str
    name: str
    sets: float
    label: str


def muscle_weeks(
    exercises: Mapping[str, Exercise], sets: Sequence[LoggedSet], *, now: datetime
) -> tuple[MuscleWeek, ...]:
    """The last seven days, most worked muscle first; muscles without a set are left out.

    Work sets count, drops and rest-pauses after them do not; a set whose effort nobody said counts as hard.
    """
    totals: dict[str, float] = {}
    for logged in sets:
        done = logged.done
        if done.role == Role.WORK and done.reps > 0 and timedelta(0) <= now - logged.at < timedelta(days=7):
            one_side = done.side != Side.BOTH
            added = fractional_sets(exercises[done.exercise], rir=done.rir, one_side=one_side)
            for muscle, part in added.items():
                totals[muscle] = totals.get(muscle, 0.0) + part
    ordered = sorted(totals, key=lambda muscle: (-totals[muscle], muscle))
    return tuple(MuscleWeek(one, MUSCLES[one], totals[one], volume_label(totals[one])) for one in ordered)
