"""Several lifters in turn on one machine: their sets interleaved, and plates chosen for all at once.

It can be asked anew after every set, in the middle of their sessions: what remains is laid out from what was done.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import inf

from steelyard.errors import OutOfRange
from steelyard.journal.fold import LoggedSet
from steelyard.plates.changeover import Change
from steelyard.plates.model import Loading
from steelyard.plates.moves import replay
from steelyard.training.changing import blocks
from steelyard.training.choosing import Chosen, choose_plates
from steelyard.training.gym import Gym
from steelyard.training.laying import Asked
from steelyard.training.model import PreparedSession, PreparedSet
from steelyard.training.prepare import Task, asked_of, prepared_with
from steelyard.training.turn_taking import Standing, Taken, taken_in_turn

MOST_LIFTERS = 4
"""More would rest longer than any outline asks for (a choice)."""


@dataclass(frozen=True, slots=True)
class Turn:
    """One lifter's set on the common clock, which starts now.

    one:      the set; its `rest_s` is the lifter's own rest before it, its `starts_s` is on the common clock.
    session:  whose set it is; empty while none has begun.
    free_s:   when the machine is free and the plates are on. [s]
    rested_s: when the lifter's own rest is over; below 0 if it already is, 0 for who has done nothing yet. [s]
    at_once:  it goes on with the set before it, the same lifter's: nobody has a turn in between.
    """

    lifter: str
    one: PreparedSet
    session: str = ""
    free_s: float = 0.0
    rested_s: float = 0.0
    at_once: bool = False

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


def run_sheet(tasks: Sequence[Task], on_horns: Loading, *, ahead: int | None = None) -> RunSheet:
    """The sets that several lifters have left in turn, each with their own loads, at least cost in plates for all.

    tasks:    one a lifter, all of one gym; who has done nothing yet begins in their order. See `taken_in_turn`.
    on_horns: what hangs on the machine now.
    ahead:    plates are chosen looking so many sets ahead, which is much faster, and enough where it is asked anew
              after every set; if None, all sets at once.

    Raises: OutOfRange if there is no lifter, or one twice.
    """
    names = [task.lifter.lifter for task in tasks]
    if not names or len(set(names)) < len(names):
        raise OutOfRange("lifters in turn", ", ".join(names) or "none", "different ones")
    wanted = [{one.slot: one for one in asked_of(task)} for task in tasks]
    order = list(taken_in_turn([_standing(task, asked) for task, asked in zip(tasks, wanted, strict=True)]))
    before = (_latest_of(tasks), *(one.number for one in order))
    asked = [
        _named(wanted[one.number][one.slot], one.number, alone=one.number == previous)
        for one, previous in zip(order, before, strict=False)
    ]
    chosen = _chosen(tasks[0].gym_today, asked, on_horns, ahead or len(asked))
    sessions = tuple(prepared_with(task, _share(chosen, number)) for number, task in enumerate(tasks))
    prepared = [{one.slot: one for one in session.sets} for session in sessions]
    sets = [prepared[one.number][one.slot] for one in order]
    turns = tuple(_clocked(tasks, order, sets, [chosen.changes[one.slot].handling_s for one in asked]))
    lasts_s = max((turn.one.starts_s + turn.one.lasts_s for turn in turns), default=0.0)
    return RunSheet(sessions, turns, lasts_s, chosen.handling_s, chosen.notes)


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
    return replace(one, slot=f"{number} {one.slot}", ramped=one.ramped and alone)


def _chosen(gym: Gym, asked: Sequence[Asked], on_horns: Loading, ahead: int) -> Chosen:
    """The plates of all sets, chosen looking so many ahead, at least 2; of each look the first half is kept."""
    if len(asked) <= ahead:
        return choose_plates(gym, asked, on_horns)
    changes: dict[str, Change] = {}
    notes: list[str] = []
    gap_s = 0.0
    while len(changes) < len(asked):
        look = asked[len(changes) : len(changes) + ahead]
        found = choose_plates(gym, look, on_horns)
        last = len(changes) + ahead >= len(asked)
        for one in look if last else look[: max(1, ahead // 2)]:
            changes[one.slot] = found.changes[one.slot]
            on_horns = replay(on_horns, changes[one.slot].moves)
        notes, gap_s = notes or list(found.notes), gap_s + found.gap_s
    return Chosen(changes, tuple(notes), sum(change.handling_s for change in changes.values()), gap_s)


def _share(chosen: Chosen, number: int) -> Chosen:
    """One lifter's part of the plates chosen."""
    mine = f"{number} "
    changes = {slot.removeprefix(mine): each for slot, each in chosen.changes.items() if slot.startswith(mine)}
    return Chosen(changes, (), sum(change.handling_s for change in changes.values()), chosen.gap_s)


def _clocked(
    tasks: Sequence[Task], order: Sequence[Taken], sets: Sequence[PreparedSet], handling_s: Sequence[float]
) -> Iterator[Turn]:
    """The sets on one clock: nobody begins before the machine is ready, nor before their own rest is over."""
    stations = tasks[0].gym.machine.stations
    ended_s = {number: _ended_s(task) for number, task in enumerate(tasks)}
    latest = _latest_of(tasks)
    last = _latest(tasks[latest]) if latest is not None else None
    station, free_s = last.done.station if last is not None else None, 0.0
    for taken, one, plates_s in zip(order, sets, handling_s, strict=True):
        task, before_s = tasks[taken.number], ended_s[taken.number]
        walk_s = stations[one.station].setup_s if one.station != station else 0.0
        ready_s = free_s + walk_s + plates_s
        rested_s = before_s + one.rest_s if before_s > -inf else 0.0
        starts_s = max(ready_s, rested_s)
        session = task.today.session if task.today is not None else ""
        placed = replace(one, starts_s=starts_s)
        yield Turn(task.lifter.lifter, placed, session, ready_s, rested_s, taken.at_once)
        free_s, station = starts_s + one.lasts_s, one.station
        ended_s[taken.number] = free_s


def _ended_s(task: Task) -> float:
    """When the lifter's latest set of the session ended, on a clock that starts now; -inf if none did. [s]"""
    latest = _latest(task)
    return min(0.0, (latest.at - task.now).total_seconds()) if latest is not None else -inf


def _latest_of(tasks: Sequence[Task]) -> int | None:
    """The number of the lifter who did the latest set; None if nobody did any."""
    done = [(latest.at, -number) for number, task in enumerate(tasks) if (latest := _latest(task)) is not None]
    return -max(done)[1] if done else None
