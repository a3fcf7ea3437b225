"""The least that the rest of a session can cost, if plates could be taken from under one another.

Leaving out the order on the horns leaves a shortest way from filling to filling, set by set: a bound for what the
stacks really cost, and a close one, for stacks seldom stand in their own way. Where place counts, plates hang in
one order only, and what they cost is known exactly. Each rig is looked at by itself.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from heapq import nsmallest
from operator import and_

from steelyard.plates.fillings import Code, Weights
from steelyard.plates.nesting import parts
from steelyard.plates.stages import Stage
from steelyard.plates.wishes import BEYOND_S_PER_G, Way

MOST_FILLINGS = 4000
"""Fillings of a stage that are all looked at; more of them only on several long horns with many plates."""
OF_TOO_MANY = 300
"""Fillings looked at where there are more."""
DEEPEST = 40
"""Strips looked through in a row; beyond this nothing is claimed of what follows, which is still a bound."""
OFF_AGAINST_ADDING = round(1000 * BEYOND_S_PER_G)
"""A plate off before a set that wants plates only added, over and above its handling. [ms]"""

NEVER = 10**15
"""Longer than any session. [ms]"""


class Outlook:
    """Bounds for the rest of a session, each worked out when it is first asked for. All times in whole ms.

    complete: whether every filling is looked at, so that the bounds hold for all courses.
    floor:    what any course costs at least, in any case: the least prices of all stages. [ms]
    """

    def __init__(self, stages: Sequence[Stage], weights: Weights) -> None:
        self.stages = stages
        self.weights = weights
        self.complete = True
        self.floor = 0
        self.following = following(stages)
        self.coming = coming(stages)
        self._values: list[list[tuple[int, int, int, Code]]] = [[] for _ in stages]
        self._toward: list[dict[Code, int]] = [{} for _ in stages]
        self._deep = strips_before(stages, self.following)
        for number in reversed(range(len(stages))):
            stage, then = stages[number], self.following[number]
            if stage.wish.way is not Way.STRIP:
                self._values[number] = sorted(
                    (price + self.after(then, code), weights[code], price, code)
                    for code, price in self._looked_at(stage.candidates())
                )

    def _looked_at(self, candidates: Mapping[Code, int]) -> Sequence[tuple[Code, int]]:
        """Fillings with their prices; of too many those with the least price and plate work."""
        self.floor += min(candidates.values())
        if len(candidates) <= MOST_FILLINGS:
            return list(candidates.items())
        self.complete = False
        return nsmallest(
            OF_TOO_MANY, candidates.items(), key=lambda each: (each[1] + self.weights[each[0]], each[0])
        )

    def after(self, then: int | None, code: Code) -> int:
        """The least from holding a filling to the end; then: the next stage of its rig, None if there is none."""
        return 0 if then is None else self.toward(then, code)

    def toward(self, number: int, code: Code) -> int:
        """The least from holding a filling before a stage of its rig to the end, that stage included."""
        known = self._toward[number]
        if code not in known:
            stripped = self.stages[number].wish.way is Way.STRIP
            known[code] = self._stripping(number, code) if stripped else self._changing(number, code)
        return known[code]

    def _changing(self, number: int, code: Code) -> int:
        weights, held = self.weights, self.weights[code]
        stage = self.stages[number]
        adding = stage.wish.way is Way.ADD
        stays = stage.horns.stays if stage.horns.rig.along else and_
        best: int | None = None
        for value, weight, _, target in self._values[number]:
            if best is not None and value >= best:
                break
            kept = stays(code, target)
            cost = value + held + weight - 2 * weights[kept]
            if adding and kept != code:
                cost += OFF_AGAINST_ADDING * (code & ~kept).bit_count()
            if best is None or cost < best:
                best = cost
        return best or 0

    def _stripping(self, number: int, code: Code) -> int:
        if self._deep[number] > DEEPEST:
            return 0
        stage, then = self.stages[number], self.following[number]
        ways = sorted(
            (price + strip_ms(stage, self.weights, code, left), left)
            for left in parts(stage.horns.posts, 0, code)
            if (price := stage.price(left)) is not None
        )
        best: int | None = None
        for cost, left in ways:
            if best is not None and cost >= best:
                break
            whole = cost + self.after(then, left)
            if best is None or whole < best:
                best = whole
        return best or 0

    def targets(self, number: int, code: Code) -> list[tuple[int, int, Code]]:
        """What may follow a filling at a stage that does not strip: bound for the rest, cost of the step, filling.

        The step is the price and the plates that must move at least.
        """
        stage = self.stages[number]
        weights, held, adding = self.weights, self.weights[code], stage.wish.way is Way.ADD
        stays = stage.horns.stays if stage.horns.rig.along else and_
        found = []
        for value, weight, price, target in self._values[number]:
            kept = stays(code, target)
            step = held + weight - 2 * weights[kept]
            if adding:
                step += OFF_AGAINST_ADDING * (code & ~kept).bit_count()
            found.append((value + step, price + step, target))
        found.sort()
        return found


def strip_ms(stage: Stage, weights: Weights, code: Code, left: Code) -> int:
    """What it costs to strip a filling to what is left of it, in haste. [ms]"""
    return off_ms(stage, weights, code) - off_ms(stage, weights, left)


def off_ms(stage: Stage, weights: Weights, code: Code) -> int:
    """What it costs to take all of a filling off before a stage. [ms]"""
    wish = stage.wish
    if wish.way is Way.ADD:
        return weights[code] + OFF_AGAINST_ADDING * code.bit_count()
    return weights[code] if wish.haste == 1 else round(wish.haste * weights[code])


def following(stages: Sequence[Stage]) -> list[int | None]:
    """For each stage the next one on the same horns."""
    found: list[int | None] = []
    last: dict[Code, int] = {}
    for number in reversed(range(len(stages))):
        found.append(last.get(stages[number].mask))
        last[stages[number].mask] = number
    return found[::-1]


def coming(stages: Sequence[Stage]) -> list[list[tuple[int, Code]]]:
    """For each stage, of every rig that is still used, the first stage from there on, and the rig's bits."""
    found: list[list[tuple[int, Code]]] = []
    nearest: dict[Code, int] = {}
    for number in reversed(range(len(stages))):
        nearest = {**nearest, stages[number].mask: number}
        found.append([(later, mask) for mask, later in nearest.items()])
    return found[::-1] or [[]]


def strips_before(stages: Sequence[Stage], following: Sequence[int | None]) -> list[int]:
    """For each stage how many strips in a row follow it on the same horns, itself included."""
    found = [0] * len(stages)
    for number in reversed(range(len(stages))):
        then = following[number]
        if stages[number].wish.way is Way.STRIP:
            found[number] = 1 + (found[then] if then is not None else 0)
    return found
