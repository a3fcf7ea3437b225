"""What sets cost and what rest gives back, inside one session.

Every rep at a load costs load / (maximum · scale) of the fresh maximum, scale being that of the load-repetition
curve; a set to failure ends where the load is all that is left. A share of each cost is repaid quickly, the rest
slowly (`recovery`). Straight sets, drop sets and rest-pause are all the same recursion. docs/model-fatigue.md has
the sources, the figures and the known failures.
"""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Pools:
    """What a lift's sets have cost so far, in shares of its fresh maximum.

    fast, slow: all costs as they would be if everything were repaid quickly, or everything slowly.
    slowing:    how fast `slow` grows with the logarithm of the slow time constant.
    """

    fast: float = 0.0
    slow: float = 0.0
    slowing: float = 0.0

    def after_set(self, cost: float) -> Pools:
        """After a set that cost so much, 0 or more."""
        return Pools(self.fast + cost, self.slow + cost, self.slowing)

    def after_rest(self, seconds: float, fast_s: float, slow_s: float) -> Pools:
        """After a rest, with time constants above 0. [s]

        >>> Pools(0.25, 0.25).after_rest(0.0, 19.8, 198.0)
        Pools(fast=0.25, slow=0.25, slowing=0.0)
        """
        kept = math.exp(-seconds / slow_s)
        return Pools(
            self.fast * math.exp(-seconds / fast_s),
            self.slow * kept,
            (self.slowing + self.slow * seconds / slow_s) * kept,
        )

    def missing(self, fast_share: float) -> float:
        """Share of the fresh maximum that is missing."""
        return fast_share * self.fast + (1.0 - fast_share) * self.slow
