"""How fine a ladder is where a lifter works: its steps within a range of loads, and what exceeds a fine one."""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

from steelyard.plates.loading import Gap

FINE_PERCENT = 2.5
"""A step that costs about one rep of a set of ten: by Epley's equation 30 (40/30 / 1.025 - 1) = 9.0 are left. What
is finer is hidden by the day's form, which is 2 to 3 %. [%]"""
COARSE_PERCENT = 5.0
"""What two reps to spare pay for, the usual sign to go up: by the same equation (1 + 12/30) / (1 + 10/30) = 1.05
times the load. A step above it has to be waited for. [%]"""
WORKING_FROM = 0.3
"""Where nobody's loads are known, work is taken to begin at this share of the heaviest load (a choice)."""
LIGHTER, HEAVIER = 0.9, 1.2
"""How far the working range reaches below the lightest and above the heaviest load used: a light day, and the
months to come (a choice)."""

Span = tuple[float, float]
"""A range of felt loads. [kg]"""


@dataclass(frozen=True, slots=True)
class Steps:
    """The steps of a ladder that a working range meets.

    largest:         the largest as a share of its lower load, the lowest of equals.
    typical_percent: the step in which a load wanted at random in the range lies, on average. [%]
    excess_percent:  by how much that step exceeds `FINE_PERCENT`, on average; 0 if none does. [%]
    wide:            the steps above `FINE_PERCENT`, ascending.
    """

    largest: Gap
    typical_percent: float
    excess_percent: float
    wide: tuple[Gap, ...]

    @property
    def coarse(self) -> tuple[Gap, ...]:
        """The steps above `COARSE_PERCENT`, ascending."""
        return tuple(gap for gap in self.wide if gap.percent > COARSE_PERCENT)


def working_range(felt_kg: Sequence[float], used_kg: Span | None = None) -> Span | None:
    """The loads between which steps matter, cut to the ladder; None if nothing of it is left. [kg]

    felt_kg: the ladder, ascending.
    used_kg: lightest and heaviest load used; the upper part of the ladder without one.
    """
    low, high = (LIGHTER * used_kg[0], HEAVIER * used_kg[1]) if used_kg else (WORKING_FROM * felt_kg[-1], math.inf)
    low, high = max(low, felt_kg[0]), min(high, felt_kg[-1])
    return (low, high) if low < high else None


def steps_within(felt_kg: Sequence[float], working: Span) -> Steps:
    """The steps of a ladder that a range meets. A step that only reaches into the range counts in full.

    A load wanted is taken to be as likely in every per cent of the range: shares are of its logarithm. More loads
    can only make each figure smaller.

    felt_kg: above 0, ascending, beginning and ending not inside the range. [kg]

    >>> steps = steps_within((40.0, 42.0, 50.0), (40.0, 50.0))
    >>> steps.largest.step_kg, round(steps.typical_percent, 1)
    (8.0, 16.0)
    """
    low, high = working
    first, last = bisect_right(felt_kg, low) - 1, bisect_left(felt_kg, high)
    largest = typical = excess = 0.0
    place, wide = first, []
    for number in range(first, last):
        below, above = felt_kg[number], felt_kg[number + 1]
        percent = 100 * round(above - below, 3) / below  # as `Gap.percent`
        weight = math.log(min(above, high) / max(below, low))
        typical += weight * percent
        if percent > FINE_PERCENT:
            excess += weight * (percent - FINE_PERCENT)
            wide.append(Gap(below, above))
        if percent > largest:
            largest, place = percent, number
    across = math.log(high / low)
    return Steps(Gap(felt_kg[place], felt_kg[place + 1]), typical / across, excess / across, tuple(wide))


def closed(felt_kg: Sequence[float], gaps: Sequence[Gap], percent: float) -> tuple[Gap, ...]:
    """Those of some steps that a finer ladder divides so that no part is above so many per cent of its lower load.

    felt_kg: a ladder that has the ends of every step, and more. [kg]
    """
    return tuple(gap for gap in gaps if _is_divided(felt_kg, gap, percent))


def _is_divided(felt_kg: Sequence[float], gap: Gap, percent: float) -> bool:
    first, last = bisect_left(felt_kg, gap.below_kg), bisect_left(felt_kg, gap.above_kg)
    parts = (Gap(felt_kg[number], felt_kg[number + 1]) for number in range(first, last))
    return all(part.percent <= percent for part in parts)
