"""What sets cost and what rest gives back, inside one session.

Every rep at a load costs load / (maximum · scale) of the fresh maximum, scale being that of the load-repetition
curve; a set to failure ends where the load is all that is left. A share of each cost is repaid quickly, the rest
slowly (`recovery`). Straight sets, drop sets and rest-pause are all the same recursion. docs/model-fatigue.md has
the sources, the figures and the known failures.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

LEAST_LEFT = 1e-9
"""Less than this of any set is nothing. [kg]"""
FARTHEST = 20.0
"""No two time constants are so far apart that they differ by more than this power of e in what is left."""


@dataclass(frozen=True, slots=True)
class Pools:
    """What a lift's sets have cost so far, in any one unit, with both time constants as they are believed now.

    fast, slow: what is left of it if all of it were repaid quickly, or all of it slowly.
    age_s:    how long ago that was done, on average over what is left of `slow`. [s]
    """

    fast: float = 0.0
    slow: float = 0.0
    age_s: float = 0.0

    def after_set(self, cost: float) -> Pools:
        """After a set that cost so much, 0 or more."""
        slow = self.slow + cost
        return Pools(self.fast + cost, slow, self.age_s * self.slow / slow if slow else 0.0)

    def after_rest(self, seconds: float, fast_s: float, slow_s: float) -> Pools:
        """After a rest, with time constants above 0. [s]

        >>> Pools(0.25, 0.25).after_rest(0.0, 19.8, 198.0)
        Pools(fast=0.25, slow=0.25, age_s=0.0)
        """
        return Pools(
            self.fast * math.exp(-seconds / fast_s), self.slow * math.exp(-seconds / slow_s), self.age_s + seconds
        )

    def slow_at(self, slow_s: float, other_s: float) -> float:
        """What `slow` would be with another slow time constant. [s]

        Exact for one set, to second order for several.

        >>> round(Pools(1.0, math.exp(-0.5), 100.0).slow_at(200.0, 100.0), 6) == round(math.exp(-1.0), 6)
        True
        """
        if self.slow < LEAST_LEFT:
            return 0.0
        return self.slow * math.exp(min(FARTHEST, self.age_s * (1.0 / slow_s - 1.0 / other_s)))

    def at(self, slow_s: float, other_s: float) -> Pools:
        """The same sets once another slow time constant is believed. [s]"""
        return Pools(self.fast, self.slow_at(slow_s, other_s), self.age_s)

    def missing(self, fast_share: float) -> float:
        """What is missing, with this share repaid quickly."""
        return fast_share * self.fast + (1.0 - fast_share) * self.slow
