"""The nouns of strength."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Ended(StrEnum):
    """Why a set ended: the next rep failed, the lifter said how many were left, or nobody said."""

    FAILURE = "failure"
    REPORTED = "reported"
    UNSAID = "unsaid"


@dataclass(frozen=True, slots=True)
class Observation:
    """One set as strength sees it.

    felt_kg:  felt load. [kg]
    reps:     whole reps completed.
    rir:      reps said to be left; 0 at failure; None if nobody said, which makes reps a lower bound.
    days_ago: age of the set. [days]
    rest_s:   rest before it; None for the first hard set of its muscles in the session. [s]
    """

    felt_kg: float
    reps: int
    rir: int | None
    ended: Ended
    days_ago: float
    rest_s: float | None = None


@dataclass(frozen=True, slots=True)
class Estimate:
    """Fresh one-rep maximum on one station, as felt load, with its error.

    one_rm_kg: median. [kg]
    sd_log:    standard deviation of its logarithm, about the relative error.
    sets:      how many sets it rests on.
    newest_days: age of the newest of them. [days]
    """

    one_rm_kg: float
    sd_log: float
    sets: int
    newest_days: float
