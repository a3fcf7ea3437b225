"""What to do with the time there is: exercises begin as the outline has them, and the sets worth most stay.

A set is worth what it adds to the muscles that it works, and the more sets a muscle has had, the less another
adds: growth goes with the square root of the weekly sets (Pelland and others 2024; the shape is from memory). The
first set of an exercise takes the time of its warm-up and of its plates too. What follows a last set saves time,
so it fills what no work set fits in any more. At least one work set stays.

No minute more leaves fewer work sets: where a long warm-up would push out more sets than it brings, they stay.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from steelyard.plates.model import Loading
from steelyard.training.leaving import left_out_words
from steelyard.training.model import Exercise, PreparedSession, PreparedSet, Role
from steelyard.training.prepare import Task, prepare_task
from steelyard.training.rules import fractional_sets
from steelyard.training.slots import read_slot

EXTRA = 0.5
"""A drop or a pause after a last set counts for half a set (a choice: in trials it saves time, no more)."""
AFTERWARDS = (Role.DROP, Role.REST_PAUSE)


@dataclass(frozen=True, slots=True)
class Cut:
    """A session that ends in time, if it can, and what was left out of it, in words and as slots."""

    session: PreparedSession
    left_out: tuple[str, ...]
    slots: frozenset[str]


@dataclass(frozen=True, slots=True)
class _Part:
    """Sets that are left out together: all sides of a work set, with the warm-up before it, or what follows.

    place: of its exercise, as it is done. seconds: how long it takes in the whole session, plates included.
    shares: sets of each muscle that it counts for.
    """

    place: int
    afterwards: bool
    slots: frozenset[str]
    seconds: float
    shares: Mapping[str, float]


_Queues = dict[int, list[_Part]]


@dataclass(frozen=True, slots=True)
class _Trials:
    """What sessions with only some of their parts come to. lasts_s: of what was tried, by the slots left out."""

    task: Task
    on_horns: Loading
    parts: Sequence[_Part]
    lasts_s: dict[frozenset[str], float] = field(default_factory=dict)

    def without(self, kept: Sequence[_Part]) -> frozenset[str]:
        """The slots left out where only these parts are kept."""
        stay = {slot for part in kept for slot in part.slots}
        return frozenset(slot for part in self.parts for slot in part.slots if slot not in stay)

    def session(self, kept: Sequence[_Part]) -> PreparedSession:
        """The session with only these parts."""
        task = replace(self.task, left_out=self.task.left_out | self.without(kept))
        return prepare_task(task, self.on_horns)

    def fits(self, kept: Sequence[_Part], limit_s: float) -> bool:
        """Whether the session ends in time with these parts. [s]"""
        gone = self.without(kept)
        if gone not in self.lasts_s:
            self.lasts_s[gone] = round(self.session(kept).lasts_s, 9)
        return self.lasts_s[gone] <= round(limit_s, 9)

    def queues(self, kept: Sequence[_Part], *, afterwards: bool) -> _Queues:
        """What can still be kept of each place, in its order; what follows a last set needs a set before it."""
        to_begin = {part.place for part in self.parts if not part.afterwards}
        begun = {part.place for part in kept} | {part.place for part in self.parts if part.place not in to_begin}
        found = _Queues()
        for part in self.parts:
            if part.afterwards == afterwards and part not in kept and (not afterwards or part.place in begun):
                found.setdefault(part.place, []).append(part)
        return found


def cut_to(task: Task, on_horns: Loading, limit_s: float) -> Cut:
    """The session that remains of a task, with as much of it as ends in so much time. [s]"""
    session = prepare_task(task, on_horns)
    parts = list(_parts(session.sets, task.gym.exercises))
    if round(session.lasts_s, 9) <= round(limit_s, 9) or not parts:
        return Cut(session, (), frozenset())
    trials = _Trials(task, on_horns, parts)
    kept = _kept(trials, limit_s)
    if not kept and not any(one.role is Role.TEST for one in session.sets):
        heads = [queue[0] for queue in trials.queues((), afterwards=False).values()]
        kept = (min(heads, key=lambda part: (round(part.seconds, 9), part.place)),)
    gone = trials.without(kept)
    return Cut(trials.session(kept), left_out_words(gone, task.outline_today, task.gym.exercises), gone)


def _kept(trials: _Trials, limit_s: float) -> tuple[_Part, ...]:
    """The parts that fit, minute after minute, so that none leaves fewer work sets than the one before. [s]"""
    kept: tuple[_Part, ...] = ()
    for upto_s in (*(60.0 * minute for minute in range(1, math.ceil(limit_s / 60.0))), limit_s):
        afresh = _filled(trials, (), upto_s)
        kept = afresh if _work_sets(afresh) >= _work_sets(kept) else _filled(trials, kept, upto_s)
    return kept


def _work_sets(kept: Sequence[_Part]) -> int:
    return sum(1 for part in kept if not part.afterwards)


def _filled(trials: _Trials, kept: tuple[_Part, ...], limit_s: float) -> tuple[_Part, ...]:
    """These parts and all that fits besides them, the best first: work sets, then what follows a last set. [s]"""
    for afterwards in (False, True):
        before = None
        while before != kept:  # what did not fit before may do so beside plates that came since
            before, kept = kept, _with_more(trials, kept, limit_s, afterwards=afterwards)
    return kept


def _with_more(trials: _Trials, kept: tuple[_Part, ...], limit_s: float, *, afterwards: bool) -> tuple[_Part, ...]:
    """These parts and those of one kind that fit besides them; a place is done with once its next does not. [s]"""
    closed: set[int] = set()
    while True:
        queues = trials.queues(kept, afterwards=afterwards)
        order = _in_order(kept, {place: queue for place, queue in queues.items() if place not in closed})
        fitting = _how_many_fit(trials, kept, order, limit_s)
        kept = (*kept, *order[:fitting])
        if fitting == len(order):
            return kept
        closed.add(order[fitting].place)


def _how_many_fit(trials: _Trials, kept: tuple[_Part, ...], order: Sequence[_Part], limit_s: float) -> int:
    """How many of these fit besides, from the first on: sought in steps that double, then halve. [s]"""
    fitting, step = 0, 1
    while fitting + step <= len(order) and trials.fits((*kept, *order[: fitting + step]), limit_s):
        fitting, step = fitting + step, 2 * step
    while step > 1:
        step //= 2
        if fitting + step <= len(order) and trials.fits((*kept, *order[: fitting + step]), limit_s):
            fitting += step
    return fitting


def _in_order(kept: Sequence[_Part], open_: _Queues) -> list[_Part]:
    """All that could still be kept, the best for its time first; no exercise begins before those ahead of it."""
    queues = {place: list(queue) for place, queue in open_.items()}
    worked: dict[str, float] = {}
    begun = {part.place for part in kept}
    for part in kept:
        _count(part, worked)
    found: list[_Part] = []
    while queues:
        ahead = [place for place in queues if place not in begun][:1]
        free = [place for place in queues if place in begun] + ahead
        place = min(free, key=lambda at: (-_worth(queues[at][0], worked), at))
        part = queues[place].pop(0)
        queues = {at: queue for at, queue in queues.items() if queue}
        begun.add(place)
        _count(part, worked)
        found.append(part)
    return found


def _count(part: _Part, worked: dict[str, float]) -> None:
    for muscle, share in part.shares.items():
        worked[muscle] = worked.get(muscle, 0.0) + share


def _worth(part: _Part, worked: Mapping[str, float]) -> float:
    """What a part adds for each second that it takes, to muscles that have worked so many sets."""
    gains = (
        math.sqrt(worked.get(muscle, 0.0) + share) - math.sqrt(worked.get(muscle, 0.0))
        for muscle, share in part.shares.items()
    )
    return round(math.fsum(gains) / max(part.seconds, 1.0), 9)


def _parts(sets: Sequence[PreparedSet], exercises: Mapping[str, Exercise]) -> Iterator[_Part]:
    """What can be left out, place by place as they are done. Light test sets stay: others follow from them."""
    ends = [0.0, *(one.starts_s + one.lasts_s for one in sets)]
    takes_s = {one.slot: end - before for one, before, end in zip(sets, ends, ends[1:], strict=False)}
    groups: dict[tuple[int, bool, int], list[PreparedSet]] = {}
    ramps: dict[int, list[PreparedSet]] = {}
    for one in sets:
        place = _place(one)
        if one.role is Role.WARM_UP:
            ramps.setdefault(place, []).append(one)
        elif one.role is not Role.TEST:
            afterwards = one.role in AFTERWARDS
            number = 0 if afterwards else one.number
            groups.setdefault((place, afterwards, number), []).extend([*ramps.pop(place, []), one])
    for (place, afterwards, _), own in groups.items():
        counts = EXTRA if afterwards else 1.0
        shares = fractional_sets(exercises[own[-1].exercise])
        slots, seconds = frozenset(one.slot for one in own), math.fsum(takes_s[one.slot] for one in own)
        yield _Part(
            place, afterwards, slots, seconds, {muscle: counts * share for muscle, share in shares.items()}
        )


def _place(one: PreparedSet) -> int:
    slot = read_slot(one.slot)
    assert slot is not None  # a set that was prepared has a place
    return slot.place
