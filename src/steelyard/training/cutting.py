"""What to leave out when the time runs out: that which costs the plan least for the time it saves.

A set is worth what it adds to the muscles that it works, and the more sets a muscle has had, the less another
adds: growth goes with the square root of the weekly sets (Pelland and others 2024; the shape is from memory). What
follows a last set saves its time first. At least one work set stays.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from steelyard.plates.model import Loading
from steelyard.training.leaving import left_out_words
from steelyard.training.model import Exercise, PreparedSession, PreparedSet, Role
from steelyard.training.prepare import Task, prepare_task
from steelyard.training.rules import fractional_sets

EXTRA = 0.5
"""A drop or a pause after a last set counts for half a set (a choice: in trials it saves time, no more)."""
MOST_ROUNDS = 12


@dataclass(frozen=True, slots=True)
class Cut:
    """A session that ends in time, if it can, and what was left out of it, in words and as slots."""

    session: PreparedSession
    left_out: tuple[str, ...]
    slots: frozenset[str]


@dataclass(frozen=True, slots=True)
class _Part:
    """Sets that are left out together: their slots, how long they take, and what they are worth."""

    exercise: str
    role: Role
    slots: frozenset[str]
    seconds: float
    worth: float


def cut_to(task: Task, on_horns: Loading, limit_s: float) -> Cut:
    """The session that remains of a task, with as little left out as makes it end in so much time. [s]"""
    session = prepare_task(task, on_horns)
    gone: frozenset[str] = frozenset()
    for _ in range(MOST_ROUNDS):
        over_s = session.lasts_s - limit_s
        if over_s <= 0:
            break
        parts = _cheapest(session, task.gym.exercises, over_s)
        if not parts:
            break
        gone |= {slot for part in parts for slot in part.slots}
        session = prepare_task(replace(task, left_out=task.left_out | gone), on_horns)
    return Cut(session, left_out_words(gone, task.outline_today, task.gym.exercises), gone)


def _cheapest(session: PreparedSession, exercises: Mapping[str, Exercise], over_s: float) -> list[_Part]:
    """The parts to leave out first, until they save enough."""
    kept, found, saved_s = list(session.sets), [], 0.0
    while saved_s < over_s:
        parts = _ends(kept, exercises)
        if not parts:
            break
        part = min(parts, key=lambda each: (round(each.worth / each.seconds, 9), sorted(each.slots)))
        found.append(part)
        saved_s += part.seconds
        kept = [one for one in kept if one.slot not in part.slots]
    return found


def _ends(sets: Sequence[PreparedSet], exercises: Mapping[str, Exercise]) -> list[_Part]:
    """What can be left out next of each exercise: what follows the last set, else the last set."""
    places = list(dict.fromkeys(one.slot.split(".")[0] for one in sets))
    work = [one for one in sets if one.role in (Role.WORK, Role.TEST)]
    found = []
    for place in places:
        own = [one for one in sets if one.slot.split(".")[0] == place]
        after = [one for one in own if one.role in (Role.DROP, Role.REST_PAUSE)]
        last = [one for one in own if one.role is Role.WORK]
        if after:
            found.append(_part(after, sets, exercises))
        elif last and len({one.slot.rsplit(".", 1)[0] if one.side != "both" else one.slot for one in work}) > 1:
            numbered = [one for one in last if one.number == last[-1].number]
            alone = len(numbered) == len(last)
            found.append(_part(own if alone else numbered, sets, exercises))
    return found


def _part(out: Sequence[PreparedSet], sets: Sequence[PreparedSet], exercises: Mapping[str, Exercise]) -> _Part:
    first = out[-1]
    exercise = exercises[first.exercise]
    worked: dict[str, float] = {}
    for one in sets:
        if one.role is Role.WORK and one.slot not in {each.slot for each in out}:
            for muscle, share in fractional_sets(exercises[one.exercise], one_side=one.side != "both").items():
                worked[muscle] = worked.get(muscle, 0.0) + share
    gains = (
        math.sqrt(worked.get(muscle, 0.0) + share) - math.sqrt(worked.get(muscle, 0.0))
        for muscle, share in fractional_sets(exercise).items()
    )
    seconds = math.fsum(one.rest_s + one.lasts_s for one in out)
    worth = math.fsum(gains) * (1.0 if first.role is Role.WORK else EXTRA)
    return _Part(exercise.id, first.role, frozenset(one.slot for one in out), max(seconds, 1.0), worth)
