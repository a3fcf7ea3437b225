"""The search behind every ladder: kind by kind, heaviest first, over all horns of a station at once.

A partial loading is a row of whole numbers, its state, and every kind of plate adds to it. Two states with the
same masses on the same posts go on alike, so of those only the best few by rule can be among the best in the end;
one that takes up less room than better ones is kept too, for it may go on where they can't.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import product
from operator import add, gt, le, mul

from steelyard.plates.grain import FELT_PER_GRAM, felt_units, grains, kilograms, microns, share_units
from steelyard.plates.limits import Limits
from steelyard.plates.model import BUILDS_KEPT, Inventory, Loading, Plate, Stack

Ints = tuple[int, ...]
State = Ints
"""What is limited: mass on each post, mass on one arm [grains], room taken on each post [microns]. Then the felt
load [felt units]. Then what orders builds by rule: plates and kinds used, as one number, and for each post a code,
lower the more heavy plates hang there, which alone tells the stack."""
RELIEF_MARGIN_N = 0.001
"""So that a rounding error in what may still follow never cuts off a loading that is allowed; the end is exact."""


@dataclass(frozen=True, slots=True)
class Choice:
    """So many plates of one kind on each post: what that adds to a state.

    turning: for each post where place counts, the felt load that comes with each micron already taken up.
    """

    added: Ints
    turning: Ints


@dataclass(frozen=True, slots=True)
class Stage:
    """One kind of plate, and what the kinds after it can still do.

    floor:    room taken up to which a tight post can't run out of room any more. [microns]
    relief_n: by how much later plates can lower the tension at each angle, 0 or less. [N]
    """

    plate: Plate
    choices: tuple[Choice, ...]
    floor: Ints
    relief_n: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Search:
    """The limits of a station and the kinds of plate, heaviest first.

    tight: the posts that all plates together would overfill; only there room decides anything.
    along: the posts where a plate counts by its place.
    base:  the base of the codes' digits, one for each kind: one more than the most plates of a kind.
    """

    limits: Limits
    stages: tuple[Stage, ...]
    tight: Ints
    along: Ints
    base: int
    stacks: dict[int, Stack] = field(default_factory=dict, compare=False)

    @property
    def posts(self) -> int:
        """How many different posts there are, one for each horn."""
        return len(self.limits.rooms)

    @property
    def felt(self) -> int:
        """Where the felt load stands in a state; what orders it follows."""
        return 2 * self.posts + 1

    def lengths(self, state: State, posts: Ints) -> Ints:
        """The room taken on these posts. [microns]"""
        first = self.posts + 1
        return tuple([state[first + post] for post in posts])

    def order(self, state: State) -> Ints:
        """What orders a state among others by rule, lower is better."""
        return state[self.felt + 1 :]

    def loading(self, order: Ints) -> Loading:
        """The loading that an order stands for; horns in the order of the law, empty ones left out."""
        found: dict[str, Stack] = {}
        for share, code in zip(self.limits.law.shares, order[1:], strict=True):
            if code not in self.stacks:
                self.stacks[code] = self.stack(code)
            if self.stacks[code]:
                found[share.horn.name] = self.stacks[code]
        return found

    def stack(self, code: int) -> Stack:
        """The stack that a code stands for, heaviest first."""
        outermost_first: list[Plate] = []
        for stage in reversed(self.stages):
            code, digit = divmod(code, self.base)
            outermost_first.extend([stage.plate] * (self.base - 1 - digit))
        return tuple(reversed(outermost_first))


def search_of(limits: Limits, inventory: Inventory) -> Search:
    """The search for a station with these plates."""
    shares = limits.law.shares
    kinds = [(plate, count) for plate, count in inventory.counts.items() if count > 0]
    kinds.sort(key=lambda kind: (-grains(kind[0].mass), kind[0].name))
    base = 1 + max((count for _, count in kinds), default=0)
    tight = tuple(post for post, room in enumerate(limits.rooms) if rest(limits, kinds, post)[1] > room)
    stages = []
    for number, (plate, count) in enumerate(kinds):
        later = [rest(limits, kinds[number + 1 :], post) for post in range(len(shares))]
        choices = choices_of(limits, plate, count, (len(kinds) + 1, base, base ** (len(kinds) - 1 - number)))
        floor = tuple(limits.rooms[post] - later[post][1] for post in tight)
        stages.append(Stage(plate, choices, floor, relief(limits, [mass for mass, _ in later])))
    along = tuple(post for post, share in enumerate(shares) if share_units(share)[1])
    return Search(limits, tuple(stages), tight, along, base)


def rest(limits: Limits, kinds: Sequence[tuple[Plate, int]], post: int) -> tuple[int, int]:
    """The most that plates of these kinds can put on a post. [grains], [microns]"""
    sides = limits.law.shares[post].horn.sides
    mass = sum(count // sides * grains(plate.mass) for plate, count in kinds)
    return mass, sum(count // sides * microns(plate.thickness_m) for plate, count in kinds)


def choices_of(limits: Limits, plate: Plate, count: int, digits: tuple[int, int, int]) -> tuple[Choice, ...]:
    """Every way to put plates of one kind on the posts.

    digits: worth of a plate in the order, base of the codes, worth of this kind's digit in them.
    """
    plate_worth, base, worth = digits
    sides = [share.horn.sides for share in limits.law.shares]
    per_turn = [share_units(share)[1] for share in limits.law.shares]
    found = []
    for counts in product(*(range(count // side + 1) for side in sides)):
        used = sum(map(mul, counts, sides))
        if used > count:
            continue
        masses = [grains(plate.mass) * number for number in counts]
        lengths = [microns(plate.thickness_m) * number for number in counts]
        felt = felt_units(limits.law, masses, list(map(mul, masses, lengths))) - felt_units(limits.law)
        codes = ((base - 1 - number) * worth for number in counts)
        added = (*masses, limits.arm_mass(masses), *lengths, felt, used * plate_worth + any(counts), *codes)
        turning = (2 * mass * per for mass, per in zip(masses, per_turn, strict=True) if per)
        found.append(Choice(added, tuple(turning)))
    return tuple(found)


def relief(limits: Limits, masses: Sequence[int]) -> tuple[float, ...]:
    """By how much plates still to come can lower the tension at each angle. [grains] → [N]"""
    loads = [kilograms(mass) for mass in masses]
    lowered = [
        sum(min(0.0, each) * load for each, load in zip(per, loads, strict=True)) for _, per in limits.angles
    ]
    return tuple(relief_n - RELIEF_MARGIN_N if relief_n else 0.0 for relief_n in lowered)


def climb(search: Search) -> dict[int, list[Ints]]:
    """Felt loads in whole grams, ascending, and the orders of the best builds of each, best first."""
    states: Iterable[State] = beginning(search)
    for stage in search.stages[:-1]:
        groups = grouped(search, followers(search, stage, states))
        states = [state for group in groups for state in best(search, stage, group)]
    if search.stages:
        states = followers(search, search.stages[-1], states)
    rungs: defaultdict[int, list[Ints]] = defaultdict(list)
    felt = search.felt
    for state in states:
        rungs[(state[felt] + FELT_PER_GRAM // 2) // FELT_PER_GRAM].append(state[felt + 1 :])
    return {felt: sorted(rungs[felt])[:BUILDS_KEPT] for felt in sorted(rungs) if felt >= 0}


def beginning(search: Search) -> list[State]:
    """The empty station, if it is allowed with what may follow."""
    limits = search.limits
    empty = (0,) * search.felt + (felt_units(limits.law),) + (0,) * (1 + search.posts)
    if search.stages:  # the first stage checks it, for it may need plates to relieve the cable
        return [empty]
    fits = all(room >= 0 for room in limits.rooms)
    return [empty] if fits and limits.bears(empty, [0.0] * len(limits.angles)) else []


def followers(search: Search, stage: Stage, states: Iterable[State]) -> Iterator[State]:
    """Every state that comes from these by a choice of this stage and breaks no limit."""
    limits, felt = search.limits, search.felt
    most = (*limits.caps, limits.arm_cap, *limits.rooms)
    for state in states:
        taken = search.lengths(state, search.along)
        for choice in stage.choices:
            new = tuple(map(add, state, choice.added))
            if any(map(gt, new, most)) or (limits.angles and not limits.bears(new, stage.relief_n)):
                continue
            if taken:
                new = (*new[:felt], new[felt] + sum(map(mul, choice.turning, taken)), *new[felt + 1 :])
            yield new


def grouped(search: Search, states: Iterable[State]) -> Iterable[list[State]]:
    """States by what decides their felt load, now and after any more plates."""
    deciding = search.felt + 1 if search.along else search.posts
    groups: defaultdict[Ints, list[State]] = defaultdict(list)
    for state in states:
        groups[state[:deciding]].append(state)
    return groups.values()


def best(search: Search, stage: Stage, states: list[State]) -> list[State]:
    """Those of a group that may be among the best in the end.

    One is dropped once `BUILDS_KEPT` better ones take up no more room on any post: whatever can still follow it
    can follow each of them, at the same felt load and with a better place in the order.
    """
    if len(states) <= BUILDS_KEPT:
        return states
    states.sort(key=search.order)
    if not search.tight:
        return states[:BUILDS_KEPT]
    kept: list[State] = []
    rooms: list[Ints] = []
    for state in states:
        taken = tuple(map(max, search.lengths(state, search.tight), stage.floor))
        if sum(all(map(le, other, taken)) for other in rooms) < BUILDS_KEPT:
            kept.append(state)
            rooms.append(taken)
    return kept


def every(search: Search) -> Iterator[Loading]:
    """Every loading that is allowed; the lightest plates vary first."""
    for state in ends(search, 0, beginning(search)):
        if state[search.felt] + FELT_PER_GRAM // 2 >= 0:
            yield search.loading(search.order(state))


def ends(search: Search, number: int, states: list[State]) -> Iterator[State]:
    """Every full state that comes from these by the stages from this number on."""
    if number == len(search.stages):
        yield from states
        return
    for state in followers(search, search.stages[number], states):
        yield from ends(search, number + 1, [state])
