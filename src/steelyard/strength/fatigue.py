"""What a set costs and what rest gives back, inside one session: a fast and a slow pool that rest empties.

Every rep at a load costs load/30 of the capacity (see `curve`); a share of it goes to the fast pool, the rest to
the slow one, and each empties exponentially. Straight sets, drop sets and rest-pause are all the same recursion.

Source: constants fitted for this project to 25 published figures of 7 rest-interval studies (knee extension at 60
and 180 s, 2007, scielo S1517-86922007000500002; Faigenbaum and others, doi 10.1123/pes.20.4.457; Ratamess and
others, doi 10.1097/01.JSC.0000367200.49548.b1; Senna and others 2009, J Sports Sci Med 8:197; Eches
and others 2013, scielo S1980-65742013000700007; Richmond 2004, doi 10.1519/14833.1; Jambassi and others 2013,
J Sports Sci Med 12:138), root mean square error 0.8 reps of a three-set total. They
are those of men; between people the slow time constant varies by a factor of 1.8 either way (one standard
deviation), and the women and the adolescents of those studies recovered three to four times as fast.

Known failures: a second single 20 to 60 s after a maximal one is predicted to fail, yet 83 to 89 % succeed, so it
is not to be trusted above about 92 % of the maximum; it says nothing of what one exercise leaves of another; drop
sets and rest-pause are predictions for which no rep counts were found.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from steelyard.errors import OutOfRange
from steelyard.strength.curve import REPS_SCALE

FAST_SHARE = 0.333
"""Share of a rep's cost that goes to the fast pool (standard error of its logit 0.26)."""
FAST_S = 18.3
"""Time constant of the fast pool. [s]"""
SLOW_S = 196.0
"""Time constant of the slow pool, men. [s]"""
LEAST_CAPACITY = 0.05
"""Capacity is never taken to be less: beyond this the model is only arithmetic."""
DEFICIT_ERROR = 0.25
"""Relative error of the capacity missing, for someone of whom only the population is known: 95 % of men have 28 to
79 % back after 60 s, a standard deviation of 0.13 on the half that is missing."""


@dataclass(frozen=True, slots=True)
class Fatigue:
    """What earlier reps have taken, in shares of the fresh maximum: a fast and a slow pool, 0 or more."""

    fast: float = 0.0
    slow: float = 0.0

    @property
    def capacity(self) -> float:
        """What is left of the fresh maximum, from `LEAST_CAPACITY` to 1."""
        return max(LEAST_CAPACITY, 1.0 - self.fast - self.slow)

    def after_set(self, load_share: float, reps: float) -> Fatigue:
        """After so many reps, counted ones or the expected number, at a load.

        load_share: load as a share of the fresh maximum, 0 or more.

        Raises: OutOfRange.

        >>> round(Fatigue().after_set(0.75, 10).capacity, 6)
        0.75
        """
        _check("load share", load_share)
        _check("reps", reps)
        cost = reps * load_share / REPS_SCALE
        return Fatigue(self.fast + FAST_SHARE * cost, self.slow + (1.0 - FAST_SHARE) * cost)

    def after_rest(self, seconds: float) -> Fatigue:
        """After resting. seconds: 0 or more. [s]

        Raises: OutOfRange.

        >>> Fatigue(0.1, 0.2).after_rest(0.0)
        Fatigue(fast=0.1, slow=0.2)
        """
        _check("rest", seconds)
        return Fatigue(self.fast * math.exp(-seconds / FAST_S), self.slow * math.exp(-seconds / SLOW_S))


def recovered(seconds: float) -> float:
    """Reps of a second set to failure as a share of the first at the same load, after a rest. [s]

    It does not depend on the load, as was seen at 50 and 80 % (J Strength Cond Res 2006;20(2):396-399).

    Raises: OutOfRange.

    >>> round(recovered(60), 2)
    0.5
    """
    left = Fatigue(FAST_SHARE, 1.0 - FAST_SHARE).after_rest(seconds)
    return 1.0 - left.fast - left.slow


def capacity_error(capacity: float) -> float:
    """Relative error of a capacity that this model works out; 0 when fresh.

    >>> round(capacity_error(0.8), 4)
    0.0625
    """
    return DEFICIT_ERROR * (1.0 - capacity) / capacity


def _check(name: str, value: float) -> None:
    if not (math.isfinite(value) and value >= 0):
        raise OutOfRange(name, value, "0 or more")
