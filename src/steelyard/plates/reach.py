"""All that the posts of a rig can carry, without the ways to stack it: for ladders that nobody builds yet."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from steelyard.machine.model import FeltLaw, Machine
from steelyard.plates.grain import kilograms
from steelyard.plates.limits import CableLimit, Rig, pull, rig_of
from steelyard.plates.model import Inventory
from steelyard.plates.search import Ints, Search, Stage, State, beginning, followers, search_of
from steelyard.plates.stackings import Reading, reading_of


def felt_loads(machine: Machine, laws: Sequence[FeltLaw], inventory: Inventory) -> list[tuple[float, ...]]:
    """The ladders of several stations as felt loads alone, the very ones that `ladder` finds. [kg]

    A station whose limits even the empty arm breaks has an empty ladder.
    """
    known: dict[Rig, Sequence[Ints]] = {}
    found = []
    for law in laws:
        rig = rig_of(machine, law)
        if rig not in known:
            known[rig] = tuple(carried(search_of(rig, inventory)))
        reading = unburdened(reading_of(law, rig), known[rig])
        grams = {grams for each in known[rig] if (grams := reading.grams(each)) is not None}
        found.append(tuple(each / 1000 for each in sorted(grams)))
    return found


def unburdened(reading: Reading, found: Sequence[Ints]) -> Reading:
    """The same reading without the cables that bear the fullest of every post at once: they refuse nothing."""
    fullest = [max((each[post] for each in found), default=0) for post in range(reading.posts)]
    cables = (cable for cable in reading.cables if not bears_even(cable, fullest))
    return replace(reading, cables=tuple(cables))


def bears_even(cable: CableLimit, masses: Sequence[int]) -> bool:
    """Whether a cable bears up to these masses on the posts, however much less hangs on any of them. [grains]"""
    base_n, per_kg = cable.roof
    raising = [max(0.0, share) for share in per_kg]
    return base_n + pull(raising, list(map(kilograms, masses))) < (cable.rated_mn - 1) / 1000


def carried(search: Search) -> Iterable[Ints]:
    """Mass on each post, then the moment of each where place counts: every combination that breaks no limit."""
    bare = without_order(search)
    states = {state[: search.told] for state in beginning(search)}
    for stage in bare.stages[:-1]:
        states = set(alike(bare, stage, followers(bare, stage, states)))
    for stage in bare.stages[-1:]:
        return {search.carried(state) for state in followers(bare, stage, states)}
    return {search.carried(state) for state in states}


def without_order(search: Search) -> Search:
    """The same search, but its states tell only what is carried and not how it is stacked."""
    stages = (
        replace(stage, choices=tuple({replace(each, added=each.added[: search.told]) for each in stage.choices}))
        for stage in search.stages
    )
    return replace(search, stages=tuple(stages))


def alike(search: Search, stage: Stage, states: Iterable[State]) -> Iterator[State]:
    """The states, equal where they go on alike.

    Room that the kinds to come can't use up any more decides nothing, so what is taken of it is not told apart;
    but on a post where place counts, what is taken tells where the next plate hangs.
    """
    first, posts = search.posts + 1, search.posts
    floors = dict(zip(search.tight, stage.floor, strict=True))
    floor = tuple(floors.get(post) for post in range(posts))
    for state in states:
        lengths = [
            taken if post in search.rig.along else 0 if least is None else max(taken, least)
            for post, (taken, least) in enumerate(zip(state[first : first + posts], floor, strict=True))
        ]
        yield (*state[:first], *lengths, *state[first + posts :])
