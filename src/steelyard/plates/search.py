"""The search behind every ladder: kind by kind, heaviest first, over all horns of a rig at once.

It knows no felt law and no cable: those ask only for what the posts carry, which is what the search finds. A
partial loading is a row of whole numbers, its state, and every kind of plate adds to it. Two states with the same
masses (and moments, where place counts) on the same posts go on alike, so of those only the best few by rule can
be among the best in the end; one that takes up less room than better ones is kept too, for it may go on where they
can't.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import product
from operator import add, gt, le, mul

from steelyard.plates.grain import EMPTY, grains, microns
from steelyard.plates.limits import Rig
from steelyard.plates.model import BUILDS_KEPT, Inventory, Loading, Plate, Stack

Ints = tuple[int, ...]
State = Ints
"""What is limited: mass on each post, mass on one arm [grains], room taken on each post [microns]. Then the moment
of each post where place counts [grains × half microns]. Then what orders builds by rule: plates and kinds used, as
one number, and for each post a code, lower the more heavy plates hang there, which alone tells the stack."""


@dataclass(frozen=True, slots=True)
class Choice:
    """So many plates of one kind on each post: what that adds to a state.

    turning: for each post where place counts, the moment that comes with each micron already taken up.
    """

    added: Ints
    turning: Ints


@dataclass(frozen=True, slots=True)
class Stage:
    """One kind of plate, and what the kinds after it can still do.

    floor: room taken up to which a tight post can't run out of room any more. [microns]
    """

    plate: Plate
    choices: tuple[Choice, ...]
    floor: Ints


@dataclass(frozen=True, slots=True)
class Search:
    """The horns of a rig and the kinds of plate, heaviest first.

    tight: the posts that all plates together would overfill; only there room decides anything.
    base:  the base of the codes' digits, one for each kind: one more than the most plates of a kind.
    """

    rig: Rig
    stages: tuple[Stage, ...]
    tight: Ints
    base: int
    stacks: dict[int, Stack] = field(default_factory=dict, compare=False)

    @property
    def posts(self) -> int:
        """How many different posts there are, one for each horn."""
        return len(self.rig.horns)

    @property
    def limited(self) -> int:
        """How many figures of a state are limited; the moments follow them."""
        return 2 * self.posts + 1

    @property
    def told(self) -> int:
        """How many figures of a state tell what is carried; what orders it follows them."""
        return self.limited + len(self.rig.along)

    def carried(self, state: State) -> Ints:
        """Mass on each post, then the moment of each post where place counts."""
        return state[: self.posts] + state[self.limited : self.told]

    def lengths(self, state: State, posts: Ints) -> Ints:
        """The room taken on these posts. [microns]"""
        first = self.posts + 1
        return tuple([state[first + post] for post in posts])

    def order(self, state: State) -> Ints:
        """What orders a state among others by rule, lower is better."""
        return state[self.told :]

    def loading(self, order: Ints) -> Loading:
        """The loading that an order stands for; horns in the order of the rig, empty ones left out."""
        found: dict[str, Stack] = {}
        for horn, code in zip(self.rig.horns, order[1:], strict=True):
            if code not in self.stacks:
                self.stacks[code] = self.stack(code)
            if self.stacks[code]:
                found[horn.name] = self.stacks[code]
        return found

    def stack(self, code: int) -> Stack:
        """The stack that a code stands for, heaviest first."""
        outermost_first: list[Plate] = []
        for stage in reversed(self.stages):
            code, digit = divmod(code, self.base)
            outermost_first.extend([stage.plate] * (self.base - 1 - digit))
        return tuple(reversed(outermost_first))


def search_of(rig: Rig, inventory: Inventory) -> Search:
    """The search for a rig with these plates."""
    kinds = [(plate, count) for plate, count in inventory.counts.items() if count > 0]
    kinds.sort(key=lambda kind: (-grains(kind[0].mass), kind[0].name))
    base = 1 + max((count for _, count in kinds), default=0)
    tight = tuple(post for post, room in enumerate(rig.rooms) if longest(rig, kinds, post) > room)
    stages = []
    for number, (plate, count) in enumerate(kinds):
        choices = choices_of(rig, plate, count, (len(kinds) + 1, base, base ** (len(kinds) - 1 - number)))
        floor = tuple(rig.rooms[post] - longest(rig, kinds[number + 1 :], post) for post in tight)
        stages.append(Stage(plate, choices, floor))
    return Search(rig, tuple(stages), tight, base)


def longest(rig: Rig, kinds: Sequence[tuple[Plate, int]], post: int) -> int:
    """The most room that plates of these kinds can take up on a post. [microns]"""
    return sum(count // rig.horns[post].sides * microns(plate.thickness_m) for plate, count in kinds)


def choices_of(rig: Rig, plate: Plate, count: int, digits: tuple[int, int, int]) -> tuple[Choice, ...]:
    """Every way to put plates of one kind on the posts.

    digits: worth of a plate in the order, base of the codes, worth of this kind's digit in them.
    """
    plate_worth, base, worth = digits
    mass, length = grains(plate.mass), microns(plate.thickness_m)
    sides = [horn.sides for horn in rig.horns]
    found = []
    for counts in product(*(range(count // side + 1) for side in sides)):
        used = sum(map(mul, counts, sides))
        if used > count:
            continue
        posts = [EMPTY.plus(mass, length, number) for number in counts]
        masses = [post.mass for post in posts]
        lengths, moments = [post.length for post in posts], [posts[number].moment for number in rig.along]
        codes = ((base - 1 - number) * worth for number in counts)
        order = (used * plate_worth + any(counts), *codes)
        added = (*masses, rig.arm_mass(masses), *lengths, *moments, *order)
        found.append(Choice(added, tuple(2 * masses[number] for number in rig.along)))
    return tuple(found)


def climb(search: Search) -> dict[Ints, list[Ints]]:
    """All that the posts can carry, and the orders of the best builds of each, best first."""
    states: Iterable[State] = beginning(search)
    for stage in search.stages[:-1]:
        groups = grouped(search, followers(search, stage, states))
        states = [state for group in groups for state in best(search, stage, group)]
    if search.stages:
        states = followers(search, search.stages[-1], states)
    found: defaultdict[Ints, list[Ints]] = defaultdict(list)
    for state in states:
        found[search.carried(state)].append(search.order(state))
    return {carried: sorted(orders)[:BUILDS_KEPT] for carried, orders in found.items()}


def beginning(search: Search) -> list[State]:
    """The empty rig, unless a collar leaves no room even for nothing."""
    empty = (0,) * (search.told + 1 + search.posts)
    return [empty] if all(room >= 0 for room in search.rig.rooms) else []


def followers(search: Search, stage: Stage, states: Iterable[State]) -> Iterator[State]:
    """Every state that comes from these by a choice of this stage and breaks no limit."""
    rig, limited, told = search.rig, search.limited, search.told
    most = (*rig.caps, rig.arm_cap, *rig.rooms)
    for state in states:
        taken = search.lengths(state, rig.along)
        for choice in stage.choices:
            new = tuple(map(add, state, choice.added))
            if any(map(gt, new, most)):
                continue
            if taken:
                turned = map(add, new[limited:told], map(mul, choice.turning, taken))
                new = (*new[:limited], *turned, *new[told:])
            yield new


def grouped(search: Search, states: Iterable[State]) -> Iterable[list[State]]:
    """States by what decides all that can be carried, now and after any more plates."""
    deciding = search.told if search.rig.along else search.posts
    groups: defaultdict[Ints, list[State]] = defaultdict(list)
    for state in states:
        groups[state[:deciding]].append(state)
    return groups.values()


def best(search: Search, stage: Stage, states: list[State]) -> list[State]:
    """Those of a group that may be among the best in the end.

    One is dropped once `BUILDS_KEPT` better ones take up no more room on any post: whatever can still follow it
    can follow each of them, to carry the same and with a better place in the order.
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


def every(search: Search) -> Iterator[State]:
    """Every full state; the lightest plates vary first."""
    return ends(search, 0, beginning(search))


def ends(search: Search, number: int, states: list[State]) -> Iterator[State]:
    """Every full state that comes from these by the stages from this number on."""
    if number == len(search.stages):
        yield from states
        return
    for state in followers(search, search.stages[number], states):
        yield from ends(search, number + 1, [state])
