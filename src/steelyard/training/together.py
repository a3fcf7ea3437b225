"""Several lifters in turn on one machine: their sets interleaved, and plates chosen for all at once.

It can be asked anew after every set, in the middle of their sessions: what remains is laid out from what was done.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from math import inf

from steelyard.errors import OutOfRange
from steelyard.journal.fold import LoggedSet
from steelyard.plates.changeover import within_work
from steelyard.plates.model import Loading
from steelyard.plates.wishes import Way
from steelyard.training.changing import blocks
from steelyard.training.choosing import Chosen, choose_plates
from steelyard.training.laying import Asked
from steelyard.training.model import PreparedSession, PreparedSet, Role
from steelyard.training.pauses import Pause, pause
from steelyard.training.prepare import Task, asked_of, prepared_with, with_usual
from steelyard.training.turn_taking import Standing, Taken, taken_in_turn

MOST_LIFTERS = 4
"""More would rest longer than any outline asks for (a choice)."""
MOMENTS_WORK = 5_000
"""Ways on looked at for the plates of several in turn while they train. On the shipped outlines the plate work of
an evening of two to four is within 2 % of what forty times the search comes to, and where the search is long a
screen is there in a fifth of the time (measured)."""


@dataclass(frozen=True, slots=True)
class Turn:
    """One lifter's set on the common clock, which starts now.

    one:      the set; its `rest_s` is the lifter's own rest before it, its `starts_s` is on the common clock.
    session:  whose set it is; empty while none has begun.
    free_s:   when the machine is free and the plates are on. [s]
    rested_s: when the lifter's own rest is over; below 0 if it already is, 0 for who has done nothing yet. [s]
    at_once:  it goes on with the set before it, the same lifter's: nobody has a turn in between.
    pause_s:  rest that its load was decided with, where others' turns make it longer than wanted; 0 else. [s]
    """

    lifter: str
    one: PreparedSet
    session: str = ""
    free_s: float = 0.0
    rested_s: float = 0.0
    at_once: bool = False
    pause_s: float = 0.0

    @property
    def rested(self) -> bool:
        """Whether the lifter's own rest is over when the machine is free."""
        return self.rested_s <= self.free_s

    @property
    def waits_s(self) -> float:
        """How long the machine waits for the lifter. [s]"""
        return max(0.0, self.rested_s - self.free_s)


@dataclass(frozen=True, slots=True)
class RunSheet:
    """A session of several lifters.

    sessions:   of each lifter, in the order of the tasks; their own clocks run as if each were alone.
    turns:      all sets left in order, with `starts_s` on the common clock.
    lasts_s:    from now to the end. handling_s: plate work of all. [s]
    notes:      what to know of the plates.
    """

    sessions: tuple[PreparedSession, ...]
    turns: tuple[Turn, ...]
    lasts_s: float
    handling_s: float
    notes: tuple[str, ...]


def within_a_moment(work: int) -> bool:
    """Whether the search for plates may still go on while people wait for it."""
    return work <= MOMENTS_WORK


def run_sheet(
    tasks: Sequence[Task], on_horns: Loading, *, may_go_on: Callable[[int], bool] = within_work
) -> RunSheet:
    """The sets that several lifters have left in turn, each with their own loads, at least cost in plates for all.

    tasks:    one a lifter, all of one gym; who has done nothing yet begins in their order. See `taken_in_turn`.
    on_horns: what hangs on the machine now.
    may_go_on: how long to look for plates, as for `plates.changeover`; `within_a_moment` is enough where it is
              asked anew after every set.

    How long each really rests depends on the plates, and the plates on the loads, which depend on the rests. So
    all is laid out once with the rests wanted, which tells the rests that come, and once more with those.

    Raises: OutOfRange if there is no lifter, or one twice.
    """
    names = [task.lifter.lifter for task in tasks]
    if not names or len(set(names)) < len(names):
        raise OutOfRange("lifters in turn", ", ".join(names) or "none", "different ones")
    tasks = [with_usual(task, on_horns) for task in tasks]
    look = may_go_on if len(tasks) == 1 else within_a_moment
    laid = _laid_out(tasks, on_horns, look)
    pauses = _pauses(tasks, laid)
    if any(pauses) or look is not may_go_on:
        tasks = [replace(task, pauses=each) for task, each in zip(tasks, pauses, strict=True)]
        laid = _laid_out(tasks, on_horns, may_go_on)
    turns = tuple(_turns(tasks, laid))
    lasts_s = max((turn.one.starts_s + turn.one.lasts_s for turn in turns), default=0.0)
    return RunSheet(laid.sessions, turns, lasts_s, laid.chosen.handling_s, laid.chosen.notes)


@dataclass(frozen=True, slots=True)
class _Laid:
    """Whose sets come in which order, with their plates. handling_s: of each. [s]"""

    order: tuple[Taken, ...]
    sessions: tuple[PreparedSession, ...]
    sets: tuple[PreparedSet, ...]
    handling_s: tuple[float, ...]
    chosen: Chosen


def _laid_out(tasks: Sequence[Task], on_horns: Loading, may_go_on: Callable[[int], bool]) -> _Laid:
    """The sets in turn, with one choice of plates for all, as the rests that are known allow."""
    wanted = [{one.slot: one for one in asked_of(task)} for task in tasks]
    order = tuple(taken_in_turn([_standing(task, asked) for task, asked in zip(tasks, wanted, strict=True)]))
    before = (_latest_of(tasks), *(one.number for one in order))
    asked = [
        _named(wanted[one.number][one.slot], one.number, alone=one.number == previous)
        for one, previous in zip(order, before, strict=False)
    ]
    chosen = choose_plates(tasks[0].gym_today, asked, on_horns, may_go_on=may_go_on)
    sessions = tuple(prepared_with(task, _share(chosen, number)) for number, task in enumerate(tasks))
    prepared = {(number, one.slot): one for number, session in enumerate(sessions) for one in session.sets}
    order = tuple(one for one in order if (one.number, one.slot) in prepared)  # a drop may find nothing to strip
    sets = tuple(prepared[one.number, one.slot] for one in order)
    handling_s = tuple(chosen.changes[f"{one.number} {one.slot}"].handling_s for one in order)
    return _Laid(order, sessions, sets, handling_s, chosen)


def _pauses(tasks: Sequence[Task], laid: _Laid) -> list[dict[str, Pause]]:
    """For each lifter the rests that others' turns make longer than wanted, by slot.

    A rest is counted until one's turn comes; one's own plates after that are not, as they are not for who trains
    alone. Clocks start at the latest set that anybody did, and not now, so that loads follow from what was done
    and nothing else: whoever looks, and whenever, finds the same. The rest before the set to do now hangs on no
    plan at all.
    """
    found: list[dict[str, Pause]] = [{} for _ in tasks]
    ends = [one.at for one in map(_latest, tasks) if one is not None]
    between = [_since(tasks, number) for number in range(len(tasks))]
    for place in _clocked(tasks, laid, max(ends, default=tasks[0].now)):
        number, slot = place.taken.number, place.one.slot
        seconds, others = place.comes_s - place.before_s, between[number]
        if place.one.role is Role.WORK and others and inf > seconds > place.one.rest_s:
            found[number][slot] = pause(seconds, [tasks[each].lifter.called for each in sorted(others)])
        for each in range(len(tasks)):
            between[each] = set() if each == number else between[each] | {number}
    return found


def _since(tasks: Sequence[Task], number: int) -> set[int]:
    """Those who did a set after the latest one of this lifter."""
    mine, latest = _latest(tasks[number]), [_latest(task) for task in tasks]
    return {each for each, one in enumerate(latest) if mine and one and one.at > mine.at}


def _standing(task: Task, left: dict[str, Asked]) -> Standing:
    """Where a lifter stands in the session in progress."""
    items, latest = task.outline_today.items, _latest(task)
    standing = Standing(
        exercises={place: items[place - 1].exercise for place in task.places},
        stages={place: stage for stage, block in enumerate(blocks(task.places, items)) for place in block},
        left=tuple(left),
        paired=frozenset(slot for slot, one in left.items() if one.paired),
        taken=task.today.skipped if task.today is not None else frozenset(),
    )
    if task.today is None or latest is None:
        return standing
    done = {logged.done.slot for logged in task.today.sets}
    return replace(standing, taken=standing.taken | done, latest=latest.done.slot, latest_at=latest.at.timestamp())


def _latest(task: Task) -> LoggedSet | None:
    """The latest set of the session in progress."""
    return task.today.sets[-1] if task.today is not None and task.today.sets else None


def _named(one: Asked, number: int, *, alone: bool) -> Asked:
    """What a lifter's set asks, under a name of its own among those of all.

    alone: the set before it is the same lifter's. Where another has a turn between, a ramp can't only add plates.
    """
    free = one.wish if alone or one.wish.way is not Way.ADD else replace(one.wish, way=Way.FREE)
    return replace(one, slot=f"{number} {one.slot}", wish=free, ramped=one.ramped and alone)


def _share(chosen: Chosen, number: int) -> Chosen:
    """One lifter's part of the plates chosen."""
    mine = f"{number} "
    changes = {slot.removeprefix(mine): each for slot, each in chosen.changes.items() if slot.startswith(mine)}
    return Chosen(changes, (), sum(change.handling_s for change in changes.values()), chosen.gap_s)


@dataclass(frozen=True, slots=True)
class _Place:
    """A set's place on a clock.

    before_s: when the lifter's set before ended, -inf if there is none. comes_s: when anybody's did. [s]
    """

    taken: Taken
    one: PreparedSet
    before_s: float
    comes_s: float
    free_s: float
    rested_s: float

    @property
    def starts_s(self) -> float:
        return max(self.free_s, self.rested_s)


def _clocked(tasks: Sequence[Task], laid: _Laid, since: datetime) -> Iterator[_Place]:
    """The sets on one clock: nobody begins before the machine is ready, nor before their own rest is over.

    since: when the clock starts; the machine is free from then on.
    """
    stations = tasks[0].gym.machine.stations
    ended_s = {number: _ended_s(task, since) for number, task in enumerate(tasks)}
    latest = _latest_of(tasks)
    last = _latest(tasks[latest]) if latest is not None else None
    station, free_s = last.done.station if last is not None else None, 0.0
    for taken, one, plates_s in zip(laid.order, laid.sets, laid.handling_s, strict=True):
        before_s = ended_s[taken.number]
        walk_s = stations[one.station].setup_s if one.station != station else 0.0
        rested_s = before_s + one.rest_s if before_s > -inf else 0.0
        place = _Place(taken, one, before_s, free_s, free_s + walk_s + plates_s, rested_s)
        yield place
        free_s, station = place.starts_s + one.lasts_s, one.station
        ended_s[taken.number] = free_s


def _turns(tasks: Sequence[Task], laid: _Laid) -> Iterator[Turn]:
    """The sets on the common clock, which starts now."""
    for place in _clocked(tasks, laid, tasks[0].now):
        task, slot = tasks[place.taken.number], place.taken.slot
        session = task.today.session if task.today is not None else ""
        longer = task.pauses.get(slot)
        yield Turn(
            task.lifter.lifter,
            replace(place.one, starts_s=place.starts_s),
            session,
            place.free_s,
            place.rested_s,
            place.taken.at_once,
            longer.seconds if longer is not None else 0.0,
        )


def _ended_s(task: Task, since: datetime) -> float:
    """When the lifter's latest set of the session ended, on a clock that starts then; -inf if none did. [s]"""
    latest = _latest(task)
    return min(0.0, (latest.at - since).total_seconds()) if latest is not None else -inf


def _latest_of(tasks: Sequence[Task]) -> int | None:
    """The number of the lifter who did the latest set; None if nobody did any."""
    done = [(latest.at, -number) for number, task in enumerate(tasks) if (latest := _latest(task)) is not None]
    return -max(done)[1] if done else None
