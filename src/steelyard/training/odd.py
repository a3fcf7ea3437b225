"""Sets that are hard to believe, asked about instead of being swallowed.

Belief hardly moves for such a set; whether it is right only the lifter knows.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime, timedelta

from steelyard.journal.fold import local_day
from steelyard.training.history import OddSet
from steelyard.training.model import Exercise
from steelyard.units import Unit, show_mass

ASKED_FOR = timedelta(days=14)
"""So long after it was done a set is asked about; then it is past remembering (a choice)."""
MOST_ASKED = 2


def questions(
    odd: Iterable[OddSet], exercises: Mapping[str, Exercise], unit: Unit, now: datetime
) -> Iterator[str]:
    """What to ask about the newest sets that are hard to believe, newest first."""
    recent = [each for each in odd if now - each.logged.at <= ASKED_FOR]
    for each in sorted(recent, key=lambda one: one.logged.at, reverse=True)[:MOST_ASKED]:
        done = each.logged.done
        day = local_day(each.logged.at, now)
        when = "today" if day == now.date() else f"on {day:%d %B}"
        likely = f"{each.low}" if each.low == each.high else f"{each.low} to {each.high}"
        yield (
            f"{exercises[done.exercise].name} {when}: {_reps(done.reps)} at {show_mass(done.felt_kg, unit)}, "
            f"where {likely} were likely. It hardly counts until more sets say the same; if wrong, correct it."
        )


def _reps(reps: int) -> str:
    return "1 rep" if reps == 1 else f"{reps} reps"
