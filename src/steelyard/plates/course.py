"""The search for the cheapest course of stacks through a session: set by set, ever wider, until it is proven.

It goes through the stages in order and keeps the most promising ways of having got there, by what they have cost
and what the outlook says must still come. A narrow pass finds a course; wider ones leave out only what can't be
cheaper, or note how cheap what they left out could be. Once that is no less than what was found, it is proven.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from heapq import heappush, heapreplace
from itertools import chain, product, takewhile
from typing import NamedTuple

from steelyard.errors import NoLoading
from steelyard.plates.fillings import Code, Rack
from steelyard.plates.nesting import end
from steelyard.plates.outlook import NEVER, OFF_AGAINST_ADDING, Outlook, strip_ms
from steelyard.plates.stages import Stage
from steelyard.plates.ways import Chains, Ways, ways_of
from steelyard.plates.wishes import Way

PASSES = ((10, 4), (60, 6), (300, 10), (NEVER, NEVER))
"""Trails kept at a stage, and ways on looked at of each, pass by pass."""
COMPARED = 8
"""Trails compared with one another that are as much work as one way on."""


class Trail(NamedTuple):
    """A way of having got to a stage. bound: what the session costs at least; spent: what it has cost. [ms]"""

    bound: int
    spent: int
    code: Code
    chains: Chains
    before: Trail | None


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
    ways: Ways = field(init=False)
    _own: list[tuple[int, ...]] = field(default_factory=list)
    _restacked: list[tuple[int, ...]] = field(default_factory=list)
    _rising: list[Callable[[Code], bool] | None] = field(default_factory=list)
    _targets: dict[tuple[int, Code], list[tuple[int, int, Code]]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Number the horns of each stage among all."""
        self.ways = ways_of(self.rack).tidied()
        numbers = {post.horn.name: number for number, post in enumerate(self.rack.posts.values())}
        self._own = [tuple(numbers[post.horn.name] for post in stage.horns.posts) for stage in self.stages]
        self._rising = [stage.horns.rising for stage in self.stages]
        self._restacked = [
            self._own[number] if self._may_restack(number) else () for number in range(len(self.stages))
        ]

    def _may_restack(self, number: int) -> bool:
        """Whether plates of a stage's horns may come off and go on again before the next stage on them."""
        then = self.outlook.following[number]
        return then is None or (self.stages[then].wish.way is Way.FREE and not self._rising[then])

    def cheapest(self, start: Chains, may_go_on: Callable[[int], bool], *, least: int = 0) -> Course:
        """The cheapest course from these stacks.

        least: what is known that any course costs. [ms]
        may_go_on: asked with the work so far; once a course is known and it says no, that course is the answer.

        Raises: NoLoading if no part of a stack that must be stripped is allowed at its station.
        """
        begin = self.begin(start)
        best: Trail | None = None
        known, least = least, max(least, begin.bound)
        for width, ways in PASSES:
            limit = NEVER if best is None else best.bound
            if least >= limit:
                break
            found, left_out = self._pass(begin, width, ways, limit, may_go_on if best else always)
            if found is not None:
                best = found
            least = max(least, min(left_out, NEVER if best is None else best.bound))
        if best is None:
            raise NoLoading("a set for which plates only come off", ())
        if not self.outlook.complete:
            least = max(known, self.outlook.floor)
        return Course(best, best.bound, min(least, best.bound))

    def begin(self, chains: Chains) -> Trail:
        """Where the session begins."""
        code = sum(map(end, chains))
        bound = sum(self.outlook.toward(number, code & mask) for number, mask in self.outlook.coming[0])
        return Trail(bound, 0, code, chains, None)

    def _pass(
        self, begin: Trail, width: int, ways: int, limit: int, may_go_on: Callable[[int], bool]
    ) -> tuple[Trail | None, int]:
        """The cheapest course below a limit that one pass finds, and how cheap those left out could be. [ms]"""
        trails, left_out = [begin], NEVER
        for number in range(len(self.stages)):
            found: defaultdict[Code, list[Trail]] = defaultdict(list)
            for trail in trails:
                self.work += 1
                if not may_go_on(self.work):
                    return None, 0
                few = Few(ways, limit)
                self._follow(number, trail, few)
                left_out = min(left_out, few.left_out)
                for new in few.trails():
                    found[new.code].append(new)
            kept = (self._kept(number, alike) for alike in found.values())
            trails = sorted(chain.from_iterable(kept), key=rank)
            left_out = min(left_out, *(each.bound for each in trails[width : width + 1]), NEVER)
            del trails[width:]
        return min(trails, key=rank, default=None), left_out

    def _kept(self, number: int, alike: list[Trail]) -> list[Trail]:
        """Of trails that hold the same plates those that no other one can stand for, as cheaply."""
        alike.sort(key=lambda trail: (trail.spent, trail.chains))
        kept: list[Trail] = []
        for new in alike:
            self.work += len(kept) // COMPARED
            if not any(self._stands_for(number, one, new) for one in kept):
                kept.append(new)
        return kept

    def _stands_for(self, number: int, one: Trail, other: Trail) -> bool:
        """Whether one trail, as it is or restacked at its own cost, is as good as another in every future."""
        spare, ways, own = other.spent - one.spent, self.ways, self._restacked[number]
        for horn, (mine, its) in enumerate(zip(one.chains, other.chains, strict=True)):
            if mine != its:
                cost = ways.restacking_ms(mine, its)
                spare -= cost if horn in own or not cost else NEVER
                if spare < 0:
                    return False
        return True

    def _follow(self, number: int, trail: Trail, few: Few) -> None:
        """Look at every way on from a trail through a stage whose bound is low enough."""
        stage, code = self.stages[number], trail.code
        elsewhere = trail.spent + sum(
            self.outlook.toward(later, code & mask)
            for later, mask in self.outlook.coming[number]
            if mask != stage.mask
        )
        if stage.wish.way is Way.STRIP:
            self._strip(number, trail, elsewhere, few)
            return
        for ahead, step, target in self._targets_of(number, code & stage.mask):
            self.work += 1
            bound = elsewhere + ahead
            if bound >= few.limit:
                break
            new = code & ~stage.mask | target
            for lost, chains in self._onto(number, trail, target, few.limit - bound):
                if bound + lost < few.limit:
                    made = Trail(bound + lost, trail.spent + step + lost, new, chains, trail)
                    self._with_plates(number, made, few)

    def _targets_of(self, number: int, code: Code) -> list[tuple[int, int, Code]]:
        key = (number, code)
        if key not in self._targets:
            self._targets[key] = self.outlook.targets(number, code)
        return self._targets[key]

    def _onto(self, number: int, trail: Trail, target: Code, spare: int) -> Iterable[tuple[int, Chains]]:
        """Every way to come from the trail's stacks to a filling that loses less than there is to spare. [ms]"""
        if len(self._own[number]) == 1 and self._rising[number] is None:
            return self._onto_one(number, trail.chains, target, spare)
        return self._onto_several(number, trail, target, spare)

    def _onto_one(self, number: int, chains: Chains, target: Code, spare: int) -> list[tuple[int, Chains]]:
        """The same where the station has one horn, which most have."""
        horn, adding = self._own[number][0], self.stages[number].wish.way is Way.ADD
        found = []
        for step in self.ways.steps(horn, chains[horn], target, adding=adding):
            if step.lost >= spare:
                break
            found.append((step.lost, (*chains[:horn], step.chain, *chains[horn + 1 :])))
        self.work += len(found)
        return found

    def _onto_several(self, number: int, trail: Trail, target: Code, spare: int) -> Iterator[tuple[int, Chains]]:
        """The same where the station has several horns, or the plates could lift its arm."""
        adding = self.stages[number].wish.way is Way.ADD
        rising = self._rising[number]
        for lost, kept, steps in self._together(number, trail, target, spare, adding=adding):
            against = OFF_AGAINST_ADDING if rising and rising(kept) else 0
            if lost + against < spare:
                chains = list(trail.chains)
                for horn, stack in zip(self._own[number], steps, strict=True):
                    chains[horn] = stack
                yield lost + against, tuple(chains)

    def _together(
        self, number: int, trail: Trail, target: Code, spare: int, *, adding: bool
    ) -> list[tuple[int, Code, Chains]]:
        """Steps of all horns of a stage that together lose less than there is to spare, and what stays."""
        found: list[tuple[int, Code, Chains]] = [(0, 0, ())]
        for horn in self._own[number]:
            steps = self.ways.steps(horn, trail.chains[horn], target, adding=adding)
            found = [
                (lost + step.lost, kept | step.kept, (*chains, step.chain))
                for lost, kept, chains in found
                for step in takewhile(lambda step, most=spare - lost: step.lost < most, steps)  # type: ignore[misc]
            ]
            self.work += len(found)
        return found

    def _strip(self, number: int, trail: Trail, elsewhere: int, few: Few) -> None:
        """Look at every way on that only takes plates off the outside."""
        stage, own, weights = self.stages[number], self._own[number], self.rack.weights
        then = self.outlook.following[number]
        for ways in product(*(self.ways.strips(horn, trail.chains[horn]) for horn in own)):
            left = sum(map(end, ways))
            price = stage.price(left)
            if price is None:
                continue
            step = price + strip_ms(stage, weights, trail.code & stage.mask, left)
            bound = elsewhere + step + self.outlook.after(then, left)
            self.work += 1
            if bound < few.limit:
                chains = list(trail.chains)
                for horn, stack in zip(own, ways, strict=True):
                    chains[horn] = stack
                code = trail.code & ~stage.mask | left
                few.add(Trail(bound, trail.spent + step, code, tuple(chains), trail))

    def _with_plates(self, number: int, trail: Trail, few: Few) -> None:
        """Look at the trail if there are plates enough, else with as few as needed taken from other horns."""
        if self.ways.is_owned(trail.code):
            few.add(trail)
            return
        others = tuple(horn for horn, chain in enumerate(trail.chains) if chain and horn not in self._own[number])
        freed = self.ways.freed(trail.code, others, tuple(trail.chains[horn] for horn in others))
        self.work += freed.looked_at
        for lost, ways in freed.ways:
            self._strip_elsewhere(number, trail, others, (lost, ways), few)

    def _strip_elsewhere(
        self, number: int, trail: Trail, others: Sequence[int], freed: tuple[int, Chains], few: Few
    ) -> None:
        """Look at the trail with other horns stripped like this, if its bound is low enough."""
        lost, ways = freed
        chains = list(trail.chains)
        for horn, stack in zip(others, ways, strict=True):
            chains[horn] = stack
        code = sum(map(end, chains))
        mask, toward = self.stages[number].mask, self.outlook.toward
        bound = trail.bound + lost
        for later, its in self.outlook.coming[number]:
            if its != mask and (code ^ trail.code) & its:
                bound += toward(later, code & its) - toward(later, trail.code & its)
        if bound < few.limit:
            few.add(Trail(bound, trail.spent + lost, code, tuple(chains), trail.before))


def always(work: int) -> bool:
    """Go on, however much work it was."""
    return work >= 0


def rank(trail: Trail) -> tuple[int, int, Code, Chains]:
    """The order in which trails are followed: the most promising first, then by rule."""
    return trail[:4]


class Few:
    """The so many most promising trails seen.

    limit: what the bound of a further one must be below; it falls when there are enough.
    left_out: how cheap one that was left out for want of room could be. [ms]
    """

    __slots__ = ("_heap", "_seen", "_ways", "left_out", "limit")

    def __init__(self, ways: int, limit: int) -> None:
        self._ways = ways
        self._heap: list[tuple[int, int, Trail]] = []
        self._seen = 0
        self.limit = limit
        self.left_out = NEVER

    def add(self, trail: Trail) -> None:
        """Take in a trail whose bound is below the limit; the worst goes if there are too many."""
        self._seen += 1
        entry = (-trail.bound, -self._seen, trail)
        if len(self._heap) < self._ways:
            heappush(self._heap, entry)
        else:
            heapreplace(self._heap, entry)
        if len(self._heap) == self._ways:
            self.limit = self.left_out = min(self.limit, -self._heap[0][0])

    def trails(self) -> list[Trail]:
        """The trails, in no order that matters."""
        return [trail for _, _, trail in self._heap]
