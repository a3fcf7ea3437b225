"""The nouns of strength."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Ended(StrEnum):
    """Why a set ended: the next rep failed, the lifter said how many were left, form broke, or nobody said."""

    FAILURE = "failure"
    REPORTED = "reported"
    FORM = "form"
    UNSAID = "unsaid"


@dataclass(frozen=True, slots=True)
class Observation:
    """One set as strength sees it.

    lift:     name of the lift.
    felt_kg:  felt load, above 0. [kg]
    reps:     whole reps completed.
    rir:      reps said to be left; None if nobody said, which makes reps a lower bound. With an ending unsaid, at
              least so many were left ("five or more"), and reps + rir is the lower bound.
    day:      when, on any calendar of days that only grows. [days]
    rest_s:   rest since the end of the set before, of whatever lift; None if rested. [s]
    side:     both, left or right: one arm is not tired by the other.
    helped:   how many of the reps, the last ones, were helped or cut short; they count for fatigue only.
    load_sd:  relative standard deviation of the felt load, as against other loads of the lift.
    chosen:   the lifter chose the load, rather than being given it.
    aim_reps: reps that it was chosen for; None if not known. [reps]
    """

    lift: str
    felt_kg: float
    reps: int
    rir: int | None
    ended: Ended
    day: float
    rest_s: float | None = None
    side: str = "both"
    helped: int = 0
    load_sd: float = 0.0
    chosen: bool = False
    aim_reps: float | None = None
