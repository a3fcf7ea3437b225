"""How the stacks on the horns of a rack can change, each way worked out once and kept for the next search."""

from __future__ import annotations

from functools import lru_cache
from itertools import product
from typing import NamedTuple, Self

from steelyard.plates.fillings import Code, Post, Rack, Weights
from steelyard.plates.nesting import Chain, common_start, end, in_order, keeps, with_more
from steelyard.plates.outlook import OFF_AGAINST_ADDING

MOST_KEPT = 60_000
"""Ways of each sort that are kept from one search to the next; beyond it they are worked out anew."""

Chains = tuple[Chain, ...]
"""The stacks of all horns, in the order of the rack's posts."""


class Step(NamedTuple):
    """What a horn's stack becomes, what stays of it, and what that costs beyond the outlook's reckoning. [ms]"""

    lost: int
    chain: Chain
    kept: Code


class Freed(NamedTuple):
    """Ways to strip some horns that leave plates enough, least lost first; of so many that were looked at. [ms]

    Those that leave only part of what a cheaper one leaves are not among them.
    """

    looked_at: int
    ways: list[tuple[int, Chains]]


class Ways:
    """What can be done on a rack. Horns are named by their number among the rack's posts."""

    def __init__(self, rack: Rack) -> None:
        self.rack = rack
        self._posts: tuple[Post, ...] = tuple(rack.posts.values())
        self._owned: dict[Code, bool] = {}
        self._steps: dict[tuple[int, Chain, Code], list[Step]] = {}
        self._strips: dict[tuple[int, Chain], list[Chain]] = {}
        self._freed: dict[tuple[Code, tuple[int, ...], Chains], Freed] = {}
        self._restackings: dict[tuple[Chain, Chain], int] = {}

    def tidied(self) -> Self:
        """The same, with room to keep more."""
        for kept in (self._owned, self._steps, self._strips, self._freed, self._restackings):
            if len(kept) > MOST_KEPT:
                kept.clear()
        return self

    def steps(self, horn: int, chain: Chain, target: Code, *, adding: bool) -> list[Step]:
        """Every way to come from one horn's stack to what a filling has on it, least lost first."""
        target &= self._posts[horn].mask
        key = (horn if not adding else ~horn, chain, target)
        known = self._steps.get(key)
        if known is None:
            known = self._steps[key] = self._steps_to(self._posts[horn], chain, target, adding=adding)
        return known

    def _steps_to(self, post: Post, chain: Chain, target: Code, *, adding: bool) -> list[Step]:
        if post.along:
            return [self._in_order(post, chain, target, adding=adding)]
        best = (end(chain) & target).bit_count()
        return sorted(
            Step(2 * lost + against(best, way, adding=adding), with_more(way, target), end(way))
            for lost, way in keeps(post, chain, target, self.rack.weights)
        )

    def _in_order(self, post: Post, chain: Chain, target: Code, *, adding: bool) -> Step:
        """The one way on a horn where place counts: heaviest innermost, and what does not hang so comes off."""
        whole, tidy = in_order(self.rack, post, target), in_order(self.rack, post, end(chain))
        best, kept = common_start(tidy, whole), common_start(common_start(chain, tidy), whole)
        lost = self.rack.weights[end(best)] - self.rack.weights[end(kept)]
        return Step(2 * lost + against(end(best).bit_count(), kept, adding=adding), whole, end(kept))

    def strips(self, horn: int, chain: Chain) -> list[Chain]:
        """Every inner part of a stack; on a horn where place counts, those with the plates in order."""
        known = self._strips.get((horn, chain))
        if known is None:
            known = self._strips[horn, chain] = self._strips_of(self._posts[horn], chain)
        return known

    def _strips_of(self, post: Post, chain: Chain) -> list[Chain]:
        if not post.along:
            return [way for _, way in keeps(post, chain, end(chain), self.rack.weights)]
        inner = (chain[:count] for count in range(len(chain), -1, -1))
        return [way for way in inner if not way or way == in_order(self.rack, post, way[-1])]

    def is_owned(self, code: Code) -> bool:
        """Whether there are plates enough for what hangs everywhere."""
        known = self._owned.get(code)
        if known is None:
            known = self._owned[code] = self.rack.is_owned(code)
        return known

    def freed(self, code: Code, horns: tuple[int, ...], held: Chains) -> Freed:
        """The ways to strip some horns that leave plates enough for all that hangs. held: their stacks."""
        key = (code, horns, held)
        known = self._freed.get(key)
        if known is None:
            known = self._freed[key] = self._freed_by(code, horns, held)
        return known

    def _freed_by(self, code: Code, horns: tuple[int, ...], held: Chains) -> Freed:
        on_them = sum(map(end, held))
        bare, whole = code & ~on_them, self.rack.weights[on_them]
        looked_at, found = 0, []
        for ways in product(*map(self.strips, horns, held)):
            looked_at += 1
            left = sum(map(end, ways))
            if self.is_owned(bare | left):
                found.append((whole - self.rack.weights[left], ways))
        kept: list[tuple[int, Chains]] = []
        fillings: list[Code] = []
        for lost, ways in sorted(found):
            left = sum(map(end, ways))
            if not any(left & ~more == 0 for more in fillings):
                fillings.append(left)
                kept.append((lost, ways))
        return Freed(looked_at, kept)

    def restacking_ms(self, mine: Chain, its: Chain) -> int:
        """What it takes to make one stack as open as another of the same plates. [ms]"""
        known = self._restackings.get((mine, its))
        if known is None:
            known = self._restackings[mine, its] = restacking_ms(mine, its, self.rack.weights)
        return known


@lru_cache(maxsize=32)
def ways_of(rack: Rack) -> Ways:
    """What can be done on a rack."""
    return Ways(rack)


def against(best: int, kept: Chain, *, adding: bool) -> int:
    """What it costs to take off plates that could stay where plates should only be added. [ms]"""
    return OFF_AGAINST_ADDING * (best - end(kept).bit_count()) if adding else 0


def restacking_ms(mine: Chain, its: Chain, weights: Weights) -> int:
    """What it takes to make one stack as open as another of the same plates, some off and on again. [ms]

    Nothing only if it is so open as it is: where handling costs nothing, it is still a millisecond.
    """
    inner: Code = 0
    for block in mine:
        if block not in its:
            inner = max((bound for bound in its if inner & ~bound == 0 and bound & ~block == 0), default=inner)
            return max(1, 2 * (weights[end(mine)] - weights[inner]))
        inner = block
    return 0
