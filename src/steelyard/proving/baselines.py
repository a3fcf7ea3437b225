"""Advice that needs no model of the lifter, each as good as its own idea allows: what the software has to beat.

All four read the load-repetition relation off one published equation or chart, take what was said of reps left at
its word, and laugh off counts that can't be meant. Each aims at the middle of the range plus the reps in reserve
wanted; their few constants were tuned on the shipped lifters 10,000 to 10,039, for the share of sets inside the
range.
"""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from collections import defaultdict
from collections.abc import Sequence
from functools import cache

from steelyard.proving.protocol import Answer, Ask
from steelyard.strength.equations import LOAD_CHART, epley
from steelyard.strength.model import Ended
from steelyard.training.exercises import exercises
from steelyard.training.trial import LEG_MUSCLES

ABSURD = 3
"""More reps than so many times the range's top are a mistyped entry."""
BEYOND_CHART = 0.0312
"""Fall of the logarithm of the load per rep beyond the chart's last row: the slope through the chart itself."""
EPLEY_REPS = 30
DAYS_BETWEEN_TESTS = 28.0
SMALL_STEP, LARGE_STEP = 0.025, 0.05
"""What is added at a time, single-joint upper body and all else; common practice."""
REPS_A_STEP = 3
MOST_STEPS = 4
"""One more step for so many reps further from the range, and at most so many steps at once; tuned."""
UNKNOWN_KG = 1.0
"""The maximum taken where not even a test set could be read: it leads to the lightest load. [kg]"""
MORE_SETS = 0.91
"""By the chart, what a further set after a short rest carries of the one before; tuned."""
SET_DROP = 0.95
"""What a set's estimate is worth for the next, more tired one, as long as nothing is known of that; tuned."""


def chart_share(reps: float) -> float:
    """Share of the one-rep maximum that allows so many reps, by the NSCA load chart, between its rows by lines.

    >>> chart_share(10), round(chart_share(11), 3)
    (0.75, 0.725)
    """
    rows = sorted(LOAD_CHART)
    if reps >= rows[-1]:
        return LOAD_CHART[rows[-1]] / 100 * math.exp(-BEYOND_CHART * (reps - rows[-1]))
    above = next(place for place, row in enumerate(rows) if row > max(1.0, reps))
    low, high = rows[above - 1], rows[above]
    part = (max(1.0, reps) - low) / (high - low)
    return (LOAD_CHART[low] + part * (LOAD_CHART[high] - LOAD_CHART[low])) / 100


def chart_reps(share: float) -> float:
    """Reps that a share of the one-rep maximum allows, by the same chart.

    >>> round(chart_reps(0.725), 6)
    11.0
    """
    rows = sorted(LOAD_CHART)
    if share <= LOAD_CHART[rows[-1]] / 100:
        return rows[-1] + math.log(LOAD_CHART[rows[-1]] / 100 / max(share, 0.01)) / BEYOND_CHART
    above = next(row for row in rows if chart_share(row) < max(share, 0.0) or row == rows[-1])
    below = rows[max(0, rows.index(above) - 1)]
    if above == below:
        return float(above)
    return below + (chart_share(below) - min(share, 1.0)) / (chart_share(below) - chart_share(above)) * (
        above - below
    )


def to_failure(ask: Ask, answer: Answer) -> float | None:
    """Reps that the set would have come to at failure, by what was said; None if the entry can't be meant.

    Unsaid reps left are taken as those wanted.
    """
    if answer.ended == Ended.FAILURE and answer.reps == 0:
        return 0.0
    if answer.reps > ABSURD * ask.reps_high or answer.reps == 0:
        return None
    if answer.ended == Ended.FAILURE:
        return float(answer.reps)
    return float(answer.reps + (ask.rir if answer.rir is None else answer.rir))


def aim(ask: Ask) -> float:
    """Reps to failure to aim at: the middle of the range and the reserve wanted."""
    return (ask.reps_low + ask.reps_high) / 2 + ask.rir


def nearest(wanted_kg: float, loads_kg: Sequence[float]) -> float:
    """The load at hand nearest to the one wanted. [kg]"""
    return min(loads_kg, key=lambda load_kg: abs(load_kg - wanted_kg))


def epley_load(one_rm_kg: float, reps: float) -> float:
    """The load that allows so many reps, by Epley's equation. [kg]"""
    return one_rm_kg * EPLEY_REPS / (EPLEY_REPS + reps)


@cache
def is_small(exercise: str) -> bool:
    """Whether an exercise is a single-joint one of the upper body; a word that is not listed counts as small."""
    known = exercises().get(exercise)
    return known is None or not (known.compound or LEG_MUSCLES & set(known.primary))


class Baseline(ABC):
    """What all four do alike: count the sets of a day, and say nothing of intervals."""

    def __init__(self) -> None:
        self._day = -math.inf
        self._done: dict[str, int] = {}

    def begin(self, exercises: Sequence[str], training_months: float, body_mass_kg: float) -> None:  # noqa: B027
        """Nothing is made of who the lifter is."""

    def interval(self, ask: Ask) -> tuple[int, int] | None:
        """Say nothing."""
        return None

    def expected(self, ask: Ask) -> float | None:
        """By the equation that chose the load, less the reserve wanted."""
        return EPLEY_REPS * (self._one_rm_kg(ask, self._number(ask)) / ask.felt_kg - 1) - ask.rir

    def choose(self, ask: Ask, loads_kg: Sequence[float]) -> float:
        """The load that ought to lead to the middle of the range. [kg]"""
        return nearest(epley_load(self._one_rm_kg(ask, self._number(ask)), aim(ask)), loads_kg)

    def learn(self, ask: Ask, answer: Answer) -> None:
        """Take a set in, unless its entry can't be meant."""
        number = self._number(ask)
        if ask.technique != "test":
            self._done[ask.exercise] = number + 1
        reps = to_failure(ask, answer)
        if reps is not None:
            self._take(ask, number, reps)

    def _number(self, ask: Ask) -> int:
        """How many sets of this exercise were done that day before."""
        if ask.day != self._day:
            self._day, self._done = ask.day, {}
        return self._done.get(ask.exercise, 0)

    @abstractmethod
    def _take(self, ask: Ask, number: int, reps: float) -> None:
        """Note what a set would have come to at failure."""

    @abstractmethod
    def _one_rm_kg(self, ask: Ask, number: int) -> float:
        """The maximum believed for a set. [kg]"""


class PercentChart(Baseline):
    """Per cent of the maximum by the chart; the maximum is the best that sets showed, looked up every 4 weeks."""

    def __init__(self) -> None:
        super().__init__()
        self._shown: dict[str, list[tuple[float, float]]] = defaultdict(list)
        self._used: dict[str, tuple[float, float]] = {}

    def choose(self, ask: Ask, loads_kg: Sequence[float]) -> float:
        """The load that the chart gives. [kg]"""
        return nearest(self._one_rm_kg(ask, self._number(ask)) * chart_share(aim(ask)), loads_kg)

    def expected(self, ask: Ask) -> float | None:
        """By the chart."""
        share = ask.felt_kg / self._one_rm_kg(ask, self._number(ask))
        return chart_reps(share) - ask.rir

    def _take(self, ask: Ask, number: int, reps: float) -> None:
        self._shown[ask.exercise].append((ask.day, ask.felt_kg / chart_share(reps)))

    def _one_rm_kg(self, ask: Ask, number: int) -> float:
        as_of, one_rm_kg = self._used.get(ask.exercise, (-math.inf, UNKNOWN_KG))
        if ask.day - as_of >= DAYS_BETWEEN_TESTS:
            recent = [shown for day, shown in self._shown[ask.exercise] if day >= ask.day - DAYS_BETWEEN_TESTS]
            one_rm_kg = max(recent, default=one_rm_kg)
            self._used[ask.exercise] = ask.day, one_rm_kg
        return one_rm_kg * MORE_SETS**number


class LastSet(Baseline):
    """Epley's equation from the latest set of the exercise, straight on to the next."""

    def __init__(self) -> None:
        super().__init__()
        self._latest: dict[str, float] = {}

    def _take(self, ask: Ask, number: int, reps: float) -> None:
        self._latest[ask.exercise] = epley(ask.felt_kg, reps)

    def _one_rm_kg(self, ask: Ask, number: int) -> float:
        return self._latest.get(ask.exercise, UNKNOWN_KG)


class RunningAverage(Baseline):
    """Epley's equation from an average of all sets of the exercise, in which the newest weighs half."""

    def __init__(self) -> None:
        super().__init__()
        self._average: dict[str, float] = {}

    def _take(self, ask: Ask, number: int, reps: float) -> None:
        shown_kg = epley(ask.felt_kg, reps)
        before_kg = self._average.get(ask.exercise, shown_kg) if ask.technique != "test" else shown_kg
        self._average[ask.exercise] = (before_kg + shown_kg) / 2

    def _one_rm_kg(self, ask: Ask, number: int) -> float:
        return self._average.get(ask.exercise, UNKNOWN_KG)


class AddWhenOver(Baseline):
    """One load for all sets of a day; once they reach the top of the range on average, a step more the next time.

    Reps said to be left beyond those wanted count as done. Below the range it is a step less, and far from the
    range several steps at once.
    """

    def __init__(self) -> None:
        super().__init__()
        self._held: dict[str, float] = {}
        self._came_to: dict[str, list[float]] = {}
        self._tested: dict[str, float] = {}

    def choose(self, ask: Ask, loads_kg: Sequence[float]) -> float:
        """The load held, or a step from it, at least to the next load at hand. [kg]"""
        if self._number(ask) == 0:
            self._held[ask.exercise] = self._next_kg(ask, loads_kg)
            self._came_to[ask.exercise] = []
        return self._held[ask.exercise]

    def expected(self, ask: Ask) -> float | None:
        """The middle of the range."""
        return (ask.reps_low + ask.reps_high) / 2

    def _next_kg(self, ask: Ask, loads_kg: Sequence[float]) -> float:
        if ask.exercise not in self._held:
            return nearest(epley_load(self._one_rm_kg(ask, 0), aim(ask)), loads_kg)
        held_kg, steps = self._held[ask.exercise], self._steps(ask)
        step = SMALL_STEP if is_small(ask.exercise) else LARGE_STEP
        if steps > 0:
            further = [load_kg for load_kg in loads_kg if load_kg > held_kg]
        else:
            further = [load_kg for load_kg in loads_kg if load_kg < held_kg]
        return nearest(held_kg * (1 + steps * step), further if steps and further else loads_kg)

    def _steps(self, ask: Ask) -> int:
        """Steps up or down that the last session calls for."""
        came_to = self._came_to.get(ask.exercise)
        if not came_to:
            return 0
        reps = sum(came_to) / len(came_to)
        if reps >= ask.reps_high:
            return min(MOST_STEPS, 1 + int((reps - ask.reps_high) / REPS_A_STEP))
        if reps < ask.reps_low:
            return -min(MOST_STEPS, 1 + int((ask.reps_low - reps) / REPS_A_STEP))
        return 0

    def _take(self, ask: Ask, number: int, reps: float) -> None:
        if ask.technique == "test":
            self._tested[ask.exercise] = epley(ask.felt_kg, reps)
        else:
            self._came_to.setdefault(ask.exercise, []).append(reps - ask.rir)

    def _one_rm_kg(self, ask: Ask, number: int) -> float:
        return self._tested.get(ask.exercise, UNKNOWN_KG)
