"""The search behind every ladder: kind by kind, heaviest first, over all horns of a rig at once.

It knows no felt law and no cable: those ask only for what the posts carry, which is what the search finds. A
partial loading is one whole number, its state, and every plate adds to it. Two states with the same masses (and
moments, where place counts) on the same posts go on alike, so of those only the best few by rule can be among the
best in the end; one that takes up less room than better ones is kept too, for it may go on where they can't. What
a house makes that is so well stocked that this would take too long is thinned out, see `plates.thinning`.
"""

from __future__ import annotations

from bisect import insort
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from operator import le
from typing import NamedTuple

from steelyard.plates.grain import grains, microns
from steelyard.plates.layout import Kinds, Layout, Place, State, layout_of, levers_of, slope_of
from steelyard.plates.limits import Rig
from steelyard.plates.model import BUILDS_KEPT, Inventory, Loading, Plate, Stack
from steelyard.plates.thinning import BOUNDS, Bounds, Thinning

Ints = tuple[int, ...]
MOST_ALIKE = 250
"""States with the same masses that are kept for the room they leave on several posts."""


class Hanging(NamedTuple):
    """One more plate of a kind on a post.

    added:   what it adds to a state. most: so many fit there.
    turning: what it adds for each micron already taken up there; 0 where place does not count.
    """

    added: State
    most: int
    turning: State
    length: Place


@dataclass(frozen=True, slots=True)
class Stage:
    """One kind of plate, and what the kinds after it can still do.

    slack: fills every limited figure up to its limit, so that its guard bit tells when it is broken.
    floor: room taken up to which a tight post can't run out of room any more. [microns]
    """

    plate: Plate
    hangings: tuple[Hanging, ...]
    slack: State
    floor: Ints


@dataclass(frozen=True, slots=True)
class Search:
    """The horns of a rig and the kinds of plate, heaviest first.

    guards: the guard bits.
    tight:  the posts that all plates together would overfill; only there room decides anything.
    """

    rig: Rig
    stages: tuple[Stage, ...]
    layout: Layout
    guards: State
    tight: Ints
    stacks: dict[tuple[int, int], Stack] = field(default_factory=dict, compare=False)

    @property
    def posts(self) -> int:
        """How many different posts there are, one for each horn."""
        return len(self.rig.horns)

    def figures(self, carried: int) -> Ints:
        """Mass on each post, then the moment of each post where place counts, of what is carried."""
        shifted = carried << self.layout.carried
        return tuple([place.of(shifted) for place in (*self.layout.masses, *self.layout.moments)])

    def lengths(self, state: State, posts: Ints) -> Ints:
        """The room taken on these posts. [microns]"""
        return tuple([self.layout.lengths[post].of(state) for post in posts])

    def loading(self, order: int) -> Loading:
        """The loading that an order stands for; horns in the order of the rig, empty ones left out."""
        found = {horn.name: self._stack(order, post) for post, horn in enumerate(self.rig.horns)}
        return {name: stack for name, stack in found.items() if stack}

    def _stack(self, order: int, post: int) -> Stack:
        """The stack that an order has on a post, heaviest first; the same one for the same code."""
        key = post, self.layout.codes[post].of(order << self.layout.ordered)
        if key not in self.stacks:
            hung = self.layout.hung(order, post)
            self.stacks[key] = tuple(plate for kind, count in hung for plate in [self.stages[kind].plate] * count)
        return self.stacks[key]


def search_of(rig: Rig, inventory: Inventory) -> Search:
    """The search for a rig with these plates."""
    kinds = [(plate, count) for plate, count in inventory.counts.items() if count > 0]
    kinds.sort(key=lambda kind: (-grains(kind[0].mass), kind[0].name))
    posts = range(len(rig.horns))
    fitting = [[most_on(rig, post, plate, count) for plate, count in kinds] for post in posts]
    layout = layout_of(rig, kinds, fitting)
    tight = tuple(post for post, room in enumerate(rig.rooms) if longest(rig, kinds, post) > room)
    bare = Search(rig, (), layout, sum(place.guard for place in layout.limited), tight)
    stages = []
    for number, (plate, count) in enumerate(kinds):
        hangings = (hanging(bare, (number, plate), post, fitting[post][number]) for post in posts)
        floor = tuple(rig.rooms[post] - longest(rig, kinds[number + 1 :], post) for post in tight)
        slack = slack_of(rig, layout) | layout.used.slack(count)
        stages.append(Stage(plate, tuple(each for each in hangings if each.most), slack, floor))
    return replace(bare, stages=tuple(stages))


def most_on(rig: Rig, number: int, plate: Plate, owned: int) -> int:
    """How many plates of one kind a horn of a rig can carry at most."""
    room = max(0, rig.rooms[number]) // microns(plate.thickness_m)
    borne = min(rig.caps[number], rig.arm_cap // max(1, rig.on_arm[number])) // grains(plate.mass)
    return min(owned // rig.horns[number].sides, room, borne)


def longest(rig: Rig, kinds: Kinds, post: int) -> int:
    """The most room that plates of these kinds can take up on a post. [microns]"""
    return sum(count // rig.horns[post].sides * microns(plate.thickness_m) for plate, count in kinds)


def slack_of(rig: Rig, layout: Layout) -> State:
    """What fills up the figures that have the same limits at every stage."""
    limits = zip((layout.arm, *layout.lengths, *layout.masses), (rig.arm_cap, *rig.rooms, *rig.caps), strict=True)
    return sum(place.slack(max(0, min(most, place.mask))) for place, most in limits)


def hanging(search: Search, kind: tuple[int, Plate], post: int, most: int) -> Hanging:
    """One more plate of a kind, which is given with its number, on a post where so many fit."""
    rig, layout = search.rig, search.layout
    mass, length, sides = grains(kind[1].mass), microns(kind[1].thickness_m), rig.horns[post].sides
    place = layout.lengths[post]
    added = mass << layout.masses[post].first | rig.on_arm[post] * mass << layout.arm.first
    added += (sides << layout.used.first) + (sides << layout.plates.first) + (length << place.first)
    added += (mass * levers_of(rig)[post] << layout.pull.first) - (1 << layout.digits[post][kind[0]].first)
    if post in search.tight:
        added += length << layout.room.first
    if post not in rig.along:
        return Hanging(added, most, 0, place)
    # The centre of the new plate lies at what is taken plus half its thickness, in half microns.
    moment = 1 << layout.moments[rig.along.index(post)].first
    moment += slope_of(rig, post) << layout.pull.first
    return Hanging(added + mass * length * moment, most, 2 * mass * moment, place)


def climb(search: Search, bounds: Bounds) -> tuple[dict[int, list[int]], bool]:
    """All that the posts can carry, with the orders of the best builds of each, best first.

    With it comes whether something was left out; see `plates.thinning`.
    """
    layout, states, thinning = search.layout, beginning(search), thinner(search, bounds)
    for number, stage in enumerate(search.stages, 1):
        for hanging in stage.hangings:
            states = followers(search, stage, hanging, thinning.before(states, hanging.most))
        states = counted(layout, states)
        if number < len(search.stages) and not thinning.thinned:
            states = [state for group in grouped(search, states) for state in best(search, stage, group)]
    found: defaultdict[int, list[int]] = defaultdict(list)
    for state in thinning.after(states):
        found[state >> layout.carried].append(layout.order(state))
    return {carried: sorted(orders)[:BUILDS_KEPT] for carried, orders in found.items()}, thinning.thinned


def thinner(search: Search, bounds: Bounds = BOUNDS) -> Thinning:
    """What keeps a search within bounds."""
    return Thinning(search.layout, sum(len(stage.hangings) for stage in search.stages), bool(search.tight), bounds)


def beginning(search: Search) -> list[State]:
    """The empty rig, unless a collar leaves no room even for nothing."""
    return [search.layout.empty] if all(room >= 0 for room in search.rig.rooms) else []


def followers(search: Search, stage: Stage, hanging: Hanging, states: Iterable[State]) -> list[State]:
    """Every state that comes from these by any number of plates more on one post, and breaks no limit."""
    guards, slack = search.guards, stage.slack
    added, _, turning, (first, mask) = hanging
    found: list[State] = []
    for state in states:
        new = state
        while True:
            found.append(new)
            new += added + turning * (new >> first & mask) if turning else added
            if new + slack & guards:
                break
    return found


def counted(layout: Layout, states: Iterable[State]) -> list[State]:
    """The states once a kind is done with: one more kind if any of it is used."""
    used, kind = layout.used.mask, 1 << layout.kinds.first
    return [state - (state & used) + kind if state & used else state for state in states]


def grouped(search: Search, states: Iterable[State]) -> Iterable[list[State]]:
    """States by what decides all that can be carried, now and after any more plates."""
    layout, groups = search.layout, defaultdict(list)
    if not search.rig.along:
        for state in states:
            groups[state >> layout.carried].append(state)
        return groups.values()
    decides = (-1 << layout.carried) | sum(place.mask << place.first for place in layout.lengths)
    for state in states:
        groups[state & decides].append(state)
    return groups.values()


def best(search: Search, stage: Stage, states: list[State]) -> list[State]:
    """Those of a group that may be among the best in the end.

    One is dropped once `BUILDS_KEPT` better ones take up no more room on any post: whatever can still follow it
    can follow each of them, to carry the same and with a better place in the order.
    """
    if len(states) <= BUILDS_KEPT:
        return states
    states.sort(key=search.layout.order)
    if not search.tight:
        return states[:BUILDS_KEPT]
    kept: list[State] = []
    rooms: list[Ints] = []
    for state in states:
        taken = tuple(map(max, search.lengths(state, search.tight), stage.floor))
        if len(taken) == 1:
            if len(rooms) < BUILDS_KEPT or taken < rooms[-1]:
                kept.append(state)
                insort(rooms, taken)
                del rooms[BUILDS_KEPT:]
        elif len(rooms) < MOST_ALIKE and sum(all(map(le, other, taken)) for other in rooms) < BUILDS_KEPT:
            kept.append(state)
            rooms.append(taken)
    return kept


def every(search: Search) -> Iterator[int]:
    """Every full state; the lightest plates vary first."""
    return ends(search, 0, 0, beginning(search))


def ends(search: Search, number: int, post: int, states: Sequence[State]) -> Iterator[State]:
    """Every full state that comes from these by the stages from this number on, and of it from this post on."""
    if number == len(search.stages):
        yield from states
        return
    stage = search.stages[number]
    for state in states:
        if post == len(stage.hangings):
            yield from ends(search, number + 1, 0, counted(search.layout, [state]))
        else:
            yield from ends(search, number, post + 1, followers(search, stage, stage.hangings[post], [state]))
