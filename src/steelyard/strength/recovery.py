"""How the reps of a set come back during a rest: one person's parameters, and those of people at large.

Two pools hold what reps have cost, a fast and a slow one, and each empties exponentially (docs/model-fatigue.md).
After a set to failure the share of its reps that is back is the same at every load.

Source: constants fitted for this project to published rest-interval studies, authorities/rest_studies.csv, by
builders/fit_recovery.py.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from steelyard.errors import OutOfRange
from steelyard.strength.curve import HALF_REP, REPS_SCALE


@dataclass(frozen=True, slots=True)
class Recovery:
    """How one person recovers between sets.

    fast_share: share of a rep's cost that goes to the fast pool, above 0 and below 1.
    fast_s:     time constant of the fast pool, above 0. [s]
    slow_s:     time constant of the slow pool, above 0. [s]

    Raises: OutOfRange.
    """

    fast_share: float
    fast_s: float
    slow_s: float

    def __post_init__(self) -> None:
        if not 0.0 < self.fast_share < 1.0:
            raise OutOfRange("fast share", self.fast_share, "above 0 and below 1")
        for name, seconds in (("fast time constant", self.fast_s), ("slow time constant", self.slow_s)):
            if not (math.isfinite(seconds) and seconds > 0.0):
                raise OutOfRange(name, seconds, "above 0, in seconds")


MEN = Recovery(fast_share=0.333, fast_s=18.3, slow_s=196.0)
"""The typical man: the median of every parameter."""
WOMEN = Recovery(fast_share=0.333, fast_s=18.3, slow_s=71.0)
"""The typical woman."""
ADOLESCENTS = Recovery(fast_share=0.333, fast_s=18.3, slow_s=49.0)
"""The typical adolescent."""
SE_LOGIT_FAST_SHARE = 0.26
"""Standard error of the population's logit fast share."""
SE_LN_SLOW_S = 0.12
"""Standard error of ln slow_s of men."""
SD_LOGIT_FAST_SHARE = 0.75
"""Standard deviation between people of the logit of the fast share."""
SD_LN_SLOW_S = 0.57
"""Standard deviation between people of ln slow_s."""


def recovered(seconds: float, recovery: Recovery) -> float:
    """Reps of a second set to failure as a share of the first at the same load, after a rest. [1]

    seconds: rest, 0 or more. [s]

    Raises: OutOfRange.

    >>> round(recovered(60, MEN), 1), round(recovered(180, MEN), 1)
    (0.5, 0.7)
    """
    if not (math.isfinite(seconds) and seconds >= 0):
        raise OutOfRange("rest", seconds, "0 or more")
    fast = recovery.fast_share * math.exp(-seconds / recovery.fast_s)
    slow = (1.0 - recovery.fast_share) * math.exp(-seconds / recovery.slow_s)
    return 1.0 - fast - slow


def typical_reps(load_share: float, sets: int, rest_s: float, recovery: Recovery) -> tuple[float, ...]:
    """Expected reps of each of several sets to failure at one load, for someone who recovers just so. [1]

    load_share: load as a share of the fresh maximum, above 0 and below 1.
    sets:       1 or more.
    rest_s:     rest between them, 0 or more. [s]

    Raises: OutOfRange.

    >>> [round(reps, 1) for reps in typical_reps(0.74, 3, 120, MEN)]
    [10.0, 6.2, 5.5]
    """
    if not 0.0 < load_share < 1.0:
        raise OutOfRange("load share", load_share, "above 0 and below 1")
    if sets < 1:
        raise OutOfRange("sets", sets, "1 or more")
    fast = slow = 0.0
    reps: list[float] = []
    for _ in range(sets):
        able = max(0.0, REPS_SCALE * ((1.0 - fast - slow) / load_share - 1.0))
        reps.append(max(0.0, able - HALF_REP))
        cost = able * load_share / REPS_SCALE
        fast = (fast + recovery.fast_share * cost) * math.exp(-rest_s / recovery.fast_s)
        slow = (slow + (1.0 - recovery.fast_share) * cost) * math.exp(-rest_s / recovery.slow_s)
    return tuple(reps)
