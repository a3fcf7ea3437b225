"""What a season of advice is worth: a tally for each lifter, and scores over all of them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields

from steelyard.proving.baselines import chart_share
from steelyard.proving.protocol import Answer, Ask
from steelyard.strength.model import Ended

MOST_OFF = 20
"""An expectation can be off by so many reps at the most: beyond, the count was mistyped."""


@dataclass(slots=True)
class Tally:
    """Counts of one lifter's season under one policy; sums, so that tallies add up.

    left: sum over `left_sets` of the share of load left on the table; gained: sum over `gains` exercises of the
    logarithm of strength gained.
    """

    sets: int = 0
    inside: int = 0
    below: int = 0
    failed_below: int = 0
    held: int = 0
    intervals: int = 0
    off: float = 0.0
    points: int = 0
    left: float = 0.0
    left_sets: int = 0
    gained: float = 0.0
    gains: int = 0

    def count(self, ask: Ask, answer: Answer) -> None:
        """Count a work set."""
        self.sets += 1
        self.inside += ask.reps_low <= answer.reps <= ask.reps_high
        if answer.reps < ask.reps_low:
            self.below += 1
            self.failed_below += answer.ended == Ended.FAILURE

    def count_forecast(self, interval: tuple[int, int] | None, expected: float | None, reps: int) -> None:
        """Count what was said of a set before it was done; None was not said."""
        if interval is not None:
            self.intervals += 1
            self.held += interval[0] <= reps <= interval[1]
        if expected is not None:
            self.points += 1
            self.off += min(abs(expected - reps), MOST_OFF)

    def count_load(self, ask: Ask, best_kg: float) -> None:
        """Count the load of a first set of the day. best_kg: the lifter's true maximum then. [kg]"""
        self.left_sets += 1
        self.left += load_left(ask, best_kg)

    def count_gain(self, first_kg: float, last_kg: float) -> None:
        """Count one exercise's true maximum at the first and the last session. [kg]"""
        self.gains += 1
        self.gained += math.log(last_kg / first_kg)


@dataclass(frozen=True, slots=True)
class Scores:
    """What one policy came to over all lifters; None where nothing was told or said.

    sets:         work sets.
    inside:       share of them whose counted reps lie in the range.
    inside_error: standard error of that share, from the differences between lifters; 0 for a single one.
    below:        share under the range; failed_below: share that failed there.
    left:         mean share of load left on the table, see `load_left`.
    gained:       mean growth of the true maximum from the first session to the last, as a share.
    held:         share of 80 % intervals that held the count.
    off:          mean absolute error of the expected count. [reps]
    """

    sets: int
    inside: float
    inside_error: float
    below: float
    failed_below: float
    left: float | None
    gained: float | None
    held: float | None
    off: float | None


def load_left(ask: Ask, best_kg: float) -> float:
    """Share of load left on the table by the first set of an exercise on a day: 1 - felt / could.

    ask:     the set, with the load chosen.
    best_kg: the true one-rep maximum then. [kg]

    "Could" is the load that the NSCA chart allows for the least reps wanted and the reserve wanted, of the
    lifter's true maximum: one ruler for all lifters, whatever their own curve, so that it compares policies
    and not people. Below 0: heavier than that.

    >>> round(load_left(Ask("curl_cable", 0.0, 66.5, None, 10, 12, 2, "straight"), 100.0), 3)
    0.05
    """
    return 1 - ask.felt_kg / (best_kg * chart_share(ask.reps_low + ask.rir))


def total(tallies: Sequence[Tally]) -> Tally:
    """All tallies added up, in their order."""
    added = Tally()
    for name in (each.name for each in fields(Tally)):
        setattr(added, name, sum(getattr(tally, name) for tally in tallies))
    return added


def scores(tallies: Sequence[Tally]) -> Scores:
    """The scores of one policy from its tallies, one for each lifter."""
    every = total(tallies)
    return Scores(
        sets=every.sets,
        inside=every.inside / every.sets,
        inside_error=_standard_error([tally.inside / tally.sets for tally in tallies]),
        below=every.below / every.sets,
        failed_below=every.failed_below / every.sets,
        left=_mean(every.left, every.left_sets),
        gained=math.expm1(every.gained / every.gains) if every.gains else None,
        held=_mean(every.held, every.intervals),
        off=_mean(every.off, every.points),
    )


def _mean(added: float, count: int) -> float | None:
    return added / count if count else None


def _standard_error(shares: Sequence[float]) -> float:
    if len(shares) < 2:
        return 0.0
    mean = math.fsum(shares) / len(shares)
    return math.sqrt(math.fsum((share - mean) ** 2 for share in shares) / (len(shares) - 1) / len(shares))
