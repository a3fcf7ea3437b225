"""Several lifters in turn on one machine: their sets interleaved, and plates chosen for all at once."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby, zip_longest

from steelyard.errors import OutOfRange
from steelyard.plates.model import Loading
from steelyard.training.choosing import Chosen, choose_plates
from steelyard.training.laying import Asked
from steelyard.training.model import PreparedSession, PreparedSet, Role
from steelyard.training.prepare import Task, asked_of, prepared_with

MOST_LIFTERS = 4
FOLLOWS_AT_ONCE = (Role.DROP, Role.REST_PAUSE)
"""What goes on with the set before it: nobody else has a turn in between."""


@dataclass(frozen=True, slots=True)
class Turn:
    """One lifter's set on the common clock."""

    lifter: str
    one: PreparedSet


@dataclass(frozen=True, slots=True)
class RunSheet:
    """A session of several lifters.

    sessions:   of each lifter, in the order of their turns; their own clocks run as if each were alone.
    turns:      all sets in order, with `starts_s` on the common clock.
    lasts_s:    from now to the end. handling_s: plate work of all. [s]
    notes:      what to know of the plates.
    """

    sessions: tuple[PreparedSession, ...]
    turns: tuple[Turn, ...]
    lasts_s: float
    handling_s: float
    notes: tuple[str, ...]


def run_sheet(tasks: Sequence[Task], on_horns: Loading) -> RunSheet:
    """The sets of several lifters in turn, each with their own loads, at least cost in plates for all.

    tasks:    one a lifter, in the order of their turns, all of one gym.
    on_horns: what hangs on the machine now.

    Raises: OutOfRange if they are not two to `MOST_LIFTERS` different lifters.
    """
    names = [task.lifter.lifter for task in tasks]
    if not 2 <= len(set(names)) == len(names) <= MOST_LIFTERS:
        raise OutOfRange("lifters in turn", ", ".join(names) or "none", f"2 to {MOST_LIFTERS} different ones")
    order = list(_in_turn([_turns(asked_of(task)) for task in tasks]))
    asked = [replace(one, slot=f"{number} {one.slot}", ramped=False) for number, one in order]
    chosen = choose_plates(tasks[0].gym, asked, on_horns)
    sessions = tuple(prepared_with(task, _share(chosen, number)) for number, task in enumerate(tasks))
    prepared = [{one.slot: one for one in session.sets} for session in sessions]
    sets = [(number, prepared[number][one.slot]) for number, one in order]
    turns = tuple(_clocked(tasks, sets, [chosen.changes[one.slot].handling_s for one in asked]))
    lasts_s = max((turn.one.starts_s + turn.one.lasts_s for turn in turns), default=0.0)
    return RunSheet(sessions, turns, lasts_s, chosen.handling_s, chosen.notes)


def _turns(asked: Sequence[Asked]) -> list[list[list[Asked]]]:
    """A lifter's sets by exercise, and in each by turn: both arms and what follows at once make one turn."""
    found = []
    for _, items in groupby(asked, key=lambda one: one.slot.split(".")[0]):
        turns: list[list[Asked]] = []
        before = ""
        for one in items:
            _, role, number, *_ = one.slot.split(".")
            if turns and (role in FOLLOWS_AT_ONCE or (role, number) == tuple(before.split("."))):
                turns[-1].append(one)
            else:
                turns.append([one])
            before = f"{role}.{number}"
        found.append(turns)
    return found


def _in_turn(lifters: Sequence[list[list[list[Asked]]]]) -> Iterator[tuple[int, Asked]]:
    """The number of the lifter and the set, turn by turn: exercise by exercise, so that all stay together."""
    for exercises in zip_longest(*lifters, fillvalue=[]):
        for turns in zip_longest(*exercises, fillvalue=[]):
            for number, turn in enumerate(turns):
                for one in turn:
                    yield number, one


def _share(chosen: Chosen, number: int) -> Chosen:
    """One lifter's part of the plates chosen."""
    mine = f"{number} "
    changes = {slot.removeprefix(mine): each for slot, each in chosen.changes.items() if slot.startswith(mine)}
    return Chosen(changes, (), sum(change.handling_s for change in changes.values()), chosen.gap_s)


def _clocked(
    tasks: Sequence[Task], sets: Sequence[tuple[int, PreparedSet]], handling_s: Sequence[float]
) -> Iterator[Turn]:
    """The sets on one clock: nobody begins before the machine is ready, nor before their own rest is over."""
    stations = tasks[0].gym.machine.stations
    free_s, station = 0.0, None
    rested_from: dict[int, float] = {}
    for (number, one), plates_s in zip(sets, handling_s, strict=True):
        walk_s = stations[one.station].setup_s if one.station != station else 0.0
        ready_s = free_s + walk_s + plates_s
        own_s = rested_from[number] + one.rest_s if number in rested_from else 0.0
        starts_s = max(ready_s, own_s)
        yield Turn(tasks[number].lifter.lifter, replace(one, starts_s=starts_s))
        free_s, station = starts_s + one.lasts_s, one.station
        rested_from[number] = free_s
