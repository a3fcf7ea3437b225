"""All that the posts of a rig can carry, without the ways to stack it: for ladders that nobody builds yet."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from steelyard.machine.model import FeltLaw, Machine
from steelyard.plates.grain import kilograms
from steelyard.plates.layout import State
from steelyard.plates.limits import CableLimit, Rig, pull, rig_of
from steelyard.plates.model import Inventory
from steelyard.plates.search import Ints, Search, Stage, beginning, followers, search_of, thinner
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
    return map(search.figures, without_order(search))


def without_order(search: Search) -> set[int]:
    """All that the posts can carry, found with states that do not tell how it is stacked."""
    layout, thinning = search.layout, thinner(search)
    ordering = (1 << layout.carried) - (1 << layout.ordered)
    states = [state & ~ordering for state in beginning(search)]
    for number, stage in enumerate(search.stages, 1):
        for each in stage.hangings:
            states = thinning.before(states, each.most)
            states = followers(search, stage, each._replace(added=each.added & ~ordering), states)
        if number < len(search.stages):
            states = list(set(alike(search, stage, states)))
    return {state >> layout.carried for state in thinning.after(states)}


def alike(search: Search, stage: Stage, states: Iterable[State]) -> Iterator[State]:
    """The states, equal where they go on alike.

    Room that the kinds to come can't use up any more decides nothing, so what is taken of it is not told apart;
    but on a post where place counts, what is taken tells where the next plate hangs.
    """
    layout, along = search.layout, search.rig.along
    told_apart = [
        (layout.lengths[post], floor)
        for post, floor in zip(search.tight, stage.floor, strict=True)
        if post not in along
    ]
    untold = [layout.lengths[post] for post in range(search.posts) if post not in along]
    clear = ~(layout.used.mask | sum(place.mask << place.first for place in untold))
    for state in states:
        kept = state & clear
        for place, floor in told_apart:
            if place.of(state) > floor:
                kept |= state & place.mask << place.first
        yield kept
