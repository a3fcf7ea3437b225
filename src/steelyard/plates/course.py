"""The search for the cheapest course of stacks through a session: set by set, ever wider, until it is proven.

It goes through the stages in order and keeps the most promising ways of having got there, by what they have cost
and what the outlook says must still come. A narrow pass finds a course; wider ones leave out only what can't be
cheaper, or note how cheap what they left out could be. Once that is no less than what was found, it is proven.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import product
from typing import NamedTuple

from steelyard.errors import NoLoading
from steelyard.plates.fillings import Code, Rack
from steelyard.plates.nesting import Chain, common_start, contains, end, in_order, keeps, with_more
from steelyard.plates.outlook import NEVER, OFF_AGAINST_ADDING, Outlook, strip_ms
from steelyard.plates.stages import Stage
from steelyard.plates.wishes import Way

PASSES = ((6, 15_000), (40, 40_000), (250, 100_000), (1500, NEVER), (10_000, NEVER), (10**9, NEVER))
"""Trails kept at a stage, and how much worse than the best a step may be to be looked at, pass by pass. [ms]"""
Chains = tuple[Chain, ...]
"""The stacks of all horns, in the order of the rack's posts."""


class Trail(NamedTuple):
    """A way of having got to a stage. bound: what the session costs at least; spent: what it has cost. [ms]"""

    bound: int
    spent: int
    code: Code
    chains: Chains
    before: Trail | None


class Step(NamedTuple):
    """What a horn's stack becomes, what stays of it, and what that costs beyond the outlook's reckoning. [ms]"""

    lost: int
    chain: Chain
    kept: Code


@dataclass(frozen=True, slots=True)
class Course:
    """The best course found. cost: what it costs; least: what any costs at least, equal once proven. [ms]"""

    trail: Trail
    cost: int
    least: int


@dataclass(eq=False, slots=True)
class Searcher:
    """One session's search; what it learns in one pass serves the next. work: trails followed so far."""

    rack: Rack
    stages: Sequence[Stage]
    outlook: Outlook
    work: int = 0
    _own: list[tuple[int, ...]] = field(default_factory=list)
    _steps: dict[tuple[int, Chain, Code], list[Step]] = field(default_factory=dict)
    _targets: dict[tuple[int, Code], list[tuple[int, int, Code]]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Number the horns of each stage among all."""
        numbers = {post.horn.name: number for number, post in enumerate(self.rack.posts.values())}
        self._own = [tuple(numbers[post.horn.name] for post in stage.horns.posts) for stage in self.stages]

    def cheapest(self, start: Chains, may_go_on: Callable[[int], bool]) -> Course:
        """The cheapest course from these stacks.

        may_go_on: asked with the work so far; once a course is known and it says no, that course is the answer.

        Raises: NoLoading if no part of a stack that must be stripped is allowed at its station.
        """
        begin = self.begin(start)
        best: Trail | None = None
        least = begin.bound
        for width, allowance in PASSES:
            limit = NEVER if best is None else best.bound
            if least >= limit:
                break
            found, left_out = self._pass(begin, width, allowance, limit, may_go_on if best else always)
            if found is not None:
                best = found
            least = max(least, min(left_out, NEVER if best is None else best.bound))
        if best is None:
            raise NoLoading("a set for which plates only come off", ())
        return Course(best, best.bound, min(least, best.bound))

    def begin(self, chains: Chains) -> Trail:
        """Where the session begins."""
        code = sum(map(end, chains))
        bound = sum(self.outlook.toward(number, code & mask) for number, mask in self.outlook.coming[0])
        return Trail(bound, 0, code, chains, None)

    def _pass(
        self, begin: Trail, width: int, allowance: int, limit: int, may_go_on: Callable[[int], bool]
    ) -> tuple[Trail | None, int]:
        """The cheapest course below a limit that one pass finds, and how cheap those left out could be. [ms]"""
        trails, left_out = [begin], NEVER
        for number in range(len(self.stages)):
            found: defaultdict[Code, list[Trail]] = defaultdict(list)
            for trail in trails:
                self.work += 1
                if not may_go_on(self.work):
                    return None, 0
                most = min(limit, trail.bound + allowance)
                if most < limit:
                    left_out = min(left_out, most)
                for new in self._followers(number, trail, most):
                    keep(found[new.code], new)
            trails = sorted((each for alike in found.values() for each in alike), key=rank)
            left_out = min(left_out, *(each.bound for each in trails[width : width + 1]), NEVER)
            del trails[width:]
        return min(trails, key=rank, default=None), left_out

    def _followers(self, number: int, trail: Trail, limit: int) -> Iterator[Trail]:
        """Every way on from a trail through a stage whose bound is below the limit."""
        stage, code = self.stages[number], trail.code
        elsewhere = trail.spent + sum(
            self.outlook.toward(later, code & mask)
            for later, mask in self.outlook.coming[number]
            if mask != stage.mask
        )
        if stage.wish.way is Way.STRIP:
            yield from self._stripped(number, trail, elsewhere, limit)
            return
        for ahead, step, target in self._targets_of(number, code & stage.mask):
            if elsewhere + ahead >= limit:
                break
            for lost, chains in self._onto(number, trail, target, limit - elsewhere - ahead):
                new = code & ~stage.mask | target
                made = Trail(elsewhere + ahead + lost, trail.spent + step + lost, new, chains, trail)
                yield from self._with_plates(number, made, limit)

    def _targets_of(self, number: int, code: Code) -> list[tuple[int, int, Code]]:
        key = (number, code)
        if key not in self._targets:
            self._targets[key] = self.outlook.targets(number, code)
        return self._targets[key]

    def _onto(self, number: int, trail: Trail, target: Code, spare: int) -> Iterator[tuple[int, Chains]]:
        """Every way to come from the trail's stacks to a filling that loses less than there is to spare. [ms]"""
        own = self._own[number]
        adding = self.stages[number].wish.way is Way.ADD
        lists = []
        for horn in own:
            every = self._steps_of(horn, trail.chains[horn], target, adding=adding)
            lists.append([step for step in every if step.lost < spare])
        rising = self.stages[number].horns.rising
        for steps in product(*lists):
            lost = sum(step.lost for step in steps)
            if rising and rising(sum(step.kept for step in steps)):
                lost += OFF_AGAINST_ADDING
            if lost < spare:
                chains = list(trail.chains)
                for horn, step in zip(own, steps, strict=True):
                    chains[horn] = step.chain
                yield lost, tuple(chains)

    def _steps_of(self, horn: int, chain: Chain, target: Code, *, adding: bool) -> list[Step]:
        """Every way to come from one horn's stack to what a filling has on it, least lost first."""
        post = tuple(self.rack.posts.values())[horn]
        target &= post.mask
        key = (horn if not adding else ~horn, chain, target)
        if key not in self._steps:
            if post.along:
                self._steps[key] = [self._in_order(horn, chain, target, adding=adding)]
            else:
                best = (end(chain) & target).bit_count()
                self._steps[key] = [
                    Step(2 * lost + self._against(best, way, adding=adding), with_more(way, target), end(way))
                    for lost, way in keeps(post, chain, target, self.rack.weights)
                ]
        return self._steps[key]

    def _in_order(self, horn: int, chain: Chain, target: Code, *, adding: bool) -> Step:
        """The one way on a horn where place counts, so that plates hang heaviest innermost."""
        post = tuple(self.rack.posts.values())[horn]
        whole = in_order(self.rack, post, target)
        kept, common, weights = common_start(chain, whole), end(chain) & target, self.rack.weights
        lost = weights[common] - weights[end(kept)]
        return Step(2 * lost + self._against(common.bit_count(), kept, adding=adding), whole, end(kept))

    @staticmethod
    def _against(best: int, kept: Chain, *, adding: bool) -> int:
        """What it costs to take off plates that could stay where plates should only be added. [ms]"""
        return OFF_AGAINST_ADDING * (best - end(kept).bit_count()) if adding else 0

    def _stripped(self, number: int, trail: Trail, elsewhere: int, limit: int) -> Iterator[Trail]:
        """Every way on that only takes plates off the outside."""
        stage, own, weights = self.stages[number], self._own[number], self.rack.weights
        then = self.outlook.following[number]
        for ways in product(*(self._strips_of(horn, trail.chains[horn]) for horn in own)):
            left = sum(map(end, ways))
            price = stage.price(left)
            if price is None:
                continue
            step = price + strip_ms(stage, weights, trail.code & stage.mask, left)
            bound = elsewhere + step + self.outlook.after(then, left)
            if bound < limit:
                chains = list(trail.chains)
                for horn, chain in zip(own, ways, strict=True):
                    chains[horn] = chain
                code = trail.code & ~stage.mask | left
                yield Trail(bound, trail.spent + step, code, tuple(chains), trail)

    def _strips_of(self, horn: int, chain: Chain) -> list[Chain]:
        """Every inner part of a stack; on a horn where place counts, those with the plates in order."""
        post = tuple(self.rack.posts.values())[horn]
        if not post.along:
            return [way for _, way in keeps(post, chain, end(chain), self.rack.weights)]
        inner = (chain[:count] for count in range(len(chain), -1, -1))
        return [way for way in inner if not way or way == in_order(self.rack, post, way[-1])]

    def _with_plates(self, number: int, trail: Trail, limit: int) -> Iterator[Trail]:
        """The trail itself if there are plates enough, else with as few as needed taken from other horns."""
        if self.rack.is_owned(trail.code):
            yield trail
            return
        others = [horn for horn, chain in enumerate(trail.chains) if chain and horn not in self._own[number]]
        kept: list[Code] = []
        for lost, ways in sorted(self._freed(trail, others)):
            left = sum(map(end, ways))
            if not any(left & ~more == 0 for more in kept):
                kept.append(left)
                yield from self._stripped_elsewhere(number, trail, others, (lost, ways), limit)

    def _freed(self, trail: Trail, others: Sequence[int]) -> Iterator[tuple[int, Chains]]:
        """Every way to strip other horns that leaves plates enough, and what it takes. [ms]"""
        held = [trail.chains[horn] for horn in others]
        bare = trail.code & ~sum(map(end, held))
        whole = self.rack.weights[sum(map(end, held))]
        for ways in product(*map(self._strips_of, others, held)):
            left = sum(map(end, ways))
            if self.rack.is_owned(bare | left):
                yield whole - self.rack.weights[left], ways

    def _stripped_elsewhere(
        self, number: int, trail: Trail, others: Sequence[int], freed: tuple[int, Chains], limit: int
    ) -> Iterator[Trail]:
        """The trail with other horns stripped like this, if its bound is below the limit."""
        lost, ways = freed
        chains = list(trail.chains)
        for horn, chain in zip(others, ways, strict=True):
            chains[horn] = chain
        code = sum(map(end, chains))
        mask, toward = self.stages[number].mask, self.outlook.toward
        bound = trail.bound + lost
        for later, its in self.outlook.coming[number]:
            if its != mask and (code ^ trail.code) & its:
                bound += toward(later, code & its) - toward(later, trail.code & its)
        if bound < limit:
            yield Trail(bound, trail.spent + lost, code, tuple(chains), trail.before)


def always(work: int) -> bool:
    """Go on, however much work it was."""
    return work >= 0


def rank(trail: Trail) -> tuple[int, int, Code, Chains]:
    """The order in which trails are followed: the most promising first, then by rule."""
    return trail[:4]


def keep(alike: list[Trail], new: Trail) -> None:
    """Add a trail to those that hold the same plates, unless one is as cheap and leaves as much open."""
    for each in alike:
        if each.spent <= new.spent and contains(new.chains, each.chains):
            return
    alike[:] = [each for each in alike if not (new.spent <= each.spent and contains(each.chains, new.chains))]
    alike.append(new)
