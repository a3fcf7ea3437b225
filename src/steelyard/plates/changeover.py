"""Which plates, in which order: the loadings of a whole session that together cost least.

One currency: seconds of plate work, and what missing a wanted load is worth in them. The rules are those of the
horns: only the outermost plate moves, posts that belong together carry the same, nothing exceeds a limit, and no
plate is in two places. docs/model-changeover.md states the model in full.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache

from steelyard.machine.model import Machine
from steelyard.plates.apart import apart
from steelyard.plates.course import Searcher
from steelyard.plates.fillings import Rack, rack_of
from steelyard.plates.handling import Handling
from steelyard.plates.loading import felt_kg
from steelyard.plates.model import Inventory, Loading, Move
from steelyard.plates.moves import moves
from steelyard.plates.outlook import Outlook
from steelyard.plates.stages import Stage, rigs_of, stages_of
from steelyard.plates.unfolding import stacks
from steelyard.plates.wishes import Wish

PLANS_KEPT = 8
MOST_WORK = 200_000
"""Ways on looked at before the best course known is taken. The same on every device, so that all decide alike."""


@dataclass(frozen=True, slots=True)
class Change:
    """One set's loading, and how to get there from the set before.

    loading:  what must hang on the station's own horns. on_horns: all that hangs in the house then.
    felt_kg:  felt load of the loading. [kg]
    price_s:  what missing the wanted load costs. [s]
    handling_s: how long the moves take, every side counted. [s]
    """

    wish: Wish
    loading: Loading
    on_horns: Loading = field(repr=False)
    moves: tuple[Move, ...]
    felt_kg: float
    price_s: float
    handling_s: float


@dataclass(frozen=True, slots=True)
class Plan:
    """The loadings of a session, one change a set.

    cost_s: what it costs in all: plate work, in a hurry counted by its haste, and the price of missing loads. [s]
    gap_s:  how much less another plan could cost at most; 0 once this one is proven best. All that it costs where
            a well stocked house makes so many loadings that only some were looked at. [s]
    """

    changes: tuple[Change, ...]
    cost_s: float
    gap_s: float

    @property
    def handling_s(self) -> float:
        """Plate work of the whole session. [s]"""
        return round(sum(change.handling_s for change in self.changes), 3)

    @property
    def price_s(self) -> float:
        """What missing the wanted loads costs. [s]"""
        return round(sum(change.price_s for change in self.changes), 3)


def within_work(work: int) -> bool:
    """Whether the search may still go on."""
    return work <= MOST_WORK


def changeover(
    machine: Machine,
    inventory: Inventory,
    wishes: Sequence[Wish],
    *,
    on_horns: Loading | None = None,
    handling: Handling | None = None,
    may_go_on: Callable[[int], bool] = within_work,
) -> Plan:
    """The loadings for all these sets, in their order, that together cost least.

    inventory: all plates of the house, those on the horns included.
    on_horns:  what hangs on the machine now, stacks innermost first; empty if None.
    may_go_on: asked now and then with the work done so far; once it says no, the best plan found is given with
               its gap. A plan is always given.

    Raises: UnknownName for a horn that the machine lacks; LimitExceeded if more plates hang there than are owned,
    or a station can't be loaded at all, so that even empty it breaks a limit.
    """
    loaded = {name: stack for name, stack in (on_horns or {}).items() if stack}
    handling = handling or inventory.handling
    rigs = rigs_of(machine, wishes, tuple(loaded))
    rack = rack_of(tuple(rigs.values()), inventory, handling, loaded)
    kept = plans_of(rack)
    known = kept.found(wishes, loaded) if may_go_on is within_work else None
    if known is not None:
        return known
    stages = stages_of(wishes, rack, rigs, held=rack.code(loaded))
    start = tuple(rack.chain(post, loaded.get(name, ())) for name, post in rack.posts.items())
    course, least = apart(rack, stages, start)
    if course is None:
        searcher = Searcher(rack, stages, Outlook(stages, rack.weights))
        course = searcher.cheapest(start, may_go_on, least=least)
    steps = [loaded, *stacks(rack, course.trail)[1:]]
    changes = tuple(_changes(machine, stages, steps, handling))
    looked_at_all = all(stage.horns.some is None for stage in stages)
    plan = Plan(changes, course.cost / 1000, (course.cost - (course.least if looked_at_all else 0)) / 1000)
    if may_go_on is within_work:
        kept.keep(wishes, loaded, plan)
    return plan


class Plans:
    """Plans made lately with one rack: a warm-up that goes as planned asks for the very same once more."""

    def __init__(self, rack: Rack) -> None:
        self.rack = rack
        self._plans: tuple[tuple[list[Wish], Loading, Plan], ...] = ()

    def found(self, wishes: Sequence[Wish], loaded: Loading) -> Plan | None:
        """The plan for these wishes from what hangs there, if it is among those kept."""
        asked = list(wishes)
        return next((plan for known, held, plan in self._plans if known == asked and held == loaded), None)

    def keep(self, wishes: Sequence[Wish], loaded: Loading, plan: Plan) -> None:
        """Keep a plan in place of the oldest one."""
        self._plans = (*self._plans[1 - PLANS_KEPT :], (list(wishes), loaded, plan))


@lru_cache(maxsize=32)
def plans_of(rack: Rack) -> Plans:
    """What was planned lately with a rack."""
    return Plans(rack)


def _changes(
    machine: Machine, stages: Sequence[Stage], steps: Sequence[Loading], handling: Handling
) -> Iterator[Change]:
    """One change for every set; those after the first of a stage change nothing."""
    for stage, before, after in zip(stages, steps, steps[1:], strict=False):
        names = [post.horn.name for post in stage.horns.posts]
        loading = {name: after[name] for name in names if name in after}
        felt = felt_kg(stage.wish.law, loading)
        price_s = stage.wish.price_ms(round(felt * 1000)) / 1000
        lightening = [share.horn.name for share in stage.wish.law.shares if share.per_kg < 0]
        moved = moves(before, after, machine.horns, lightening=lightening)
        first = Change(stage.wish, loading, after, moved, felt, price_s, handling.seconds(moved))
        yield first
        yield from [replace(first, moves=(), handling_s=0.0)] * (stage.sets - 1)
