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
    rir:      reps said to be left; 0 at failure; None if nobody said, which makes reps a lower bound. With an
              ending unsaid, at least so many were left ("five or more"), and reps + rir is the lower bound.
    days_ago: age of the set. [days]
    rest_s:   rest before it; None for the first hard set of its muscles in the session. [s]
    capacity: share of the fresh maximum left before it, as `session.read_session` works it out.
    """

    felt_kg: float
    reps: int
    rir: int | None
    ended: Ended
    days_ago: float
    rest_s: float | None = None
    capacity: float = 1.0


@dataclass(frozen=True, slots=True)
class Estimate:
    """Today's fresh maximum on one station, as felt load, with its error.

    one_rm_kg: median of the maximum that the load-repetition curve has, which is the unit of all its shares. A
               single goes up at about 3 % less, as with Epley's equation, so it promises no single. [kg]
    sd_log:    standard deviation of its logarithm, about the relative error, for reps near reps_seen.
    sets:      how many sets it rests on.
    newest_days: age of the newest of them. [days]
    reps_seen: reps to failure at which it was seen, on average; `estimate.error_at` says how the error grows away
               from there.
    """

    one_rm_kg: float
    sd_log: float
    sets: int
    newest_days: float
    reps_seen: float
