"""Whether another order of exercises saves plate work, within the rules of order.

An order is offered, never taken. An exercise may pass another only if that breaks none of the usual rules: those
of several joints before those of one, and of large muscles before small ones (American College of Sports Medicine,
position stand 2009, as in `rules`); and none passes another that works a muscle which it tires: a triceps
extension done last instead of first lost a third of its reps (doi 10.1080/15438627.2013.825794).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from steelyard.journal.fold import LoggedSet
from steelyard.plates.model import Loading
from steelyard.training.changing import blocks
from steelyard.training.choosing import choose_plates
from steelyard.training.model import Exercise
from steelyard.training.prepare import Task, asked_of, prepared_with

LARGE = frozenset({"lats", "mid_back", "chest", "chest_upper", "glutes", "quads", "hamstrings", "erectors"})
"""Muscles that count as large: those that move the trunk, the hip and the whole arm (common practice)."""
MOST_ORDERS = 40
WORTH_S = 30.0
"""A shorter saving is not worth speaking of (a choice). [s]"""
MOST_OFFERS = 3


Block = tuple[int, ...]
"""The places of exercises that alternate; of one that goes alone, that one."""


@dataclass(frozen=True, slots=True)
class Offer:
    """Another order of the exercises.

    places:     of the outline's exercises, in the order offered; names: of those that remain, in it.
    saved_s:    how much sooner the session is over. handling_saved_s: how much less plate work it has. [s]
    """

    places: tuple[int, ...]
    names: tuple[str, ...]
    saved_s: float
    handling_saved_s: float


def offers(task: Task, on_horns: Loading) -> tuple[Offer, ...]:
    """The orders that save most, best first; empty if none saves enough, or none is allowed.

    Exercises begun keep their places: only those of which nothing was done may change.
    """
    usual = _figures(task, on_horns)
    found = []
    for places in allowed_orders(task):
        other = _figures(replace(task, order=places), on_horns)
        offer = Offer(places, other.names, round(usual.lasts_s - other.lasts_s, 3), _less(usual, other))
        if (
            max(offer.saved_s, offer.handling_saved_s) >= WORTH_S
            and min(offer.saved_s, offer.handling_saved_s) >= 0
        ):
            found.append(offer)
    found.sort(key=lambda offer: (-offer.saved_s - offer.handling_saved_s, offer.places))
    return tuple(found[:MOST_OFFERS])


@dataclass(frozen=True, slots=True)
class _Figures:
    lasts_s: float
    handling_s: float
    names: tuple[str, ...]


def _figures(task: Task, on_horns: Loading) -> _Figures:
    chosen = choose_plates(task.gym_today, asked_of(task), on_horns)
    session = prepared_with(task, chosen)
    names = dict.fromkeys(task.gym.exercises[one.exercise].name for one in session.sets)
    return _Figures(session.lasts_s, chosen.handling_s, tuple(names))


def _less(usual: _Figures, other: _Figures) -> float:
    return round(usual.handling_s - other.handling_s, 3)


def allowed_orders(task: Task) -> Iterator[tuple[int, ...]]:
    """Orders other than the task's own that break no rule, the nearest to it first, at most `MOST_ORDERS`.

    Exercises that alternate stay together.
    """
    begun = {int(logged.done.slot.split(".")[0]) for logged in _done(task) if logged.done.slot}
    items = task.outline_today.items
    exercises = {place: task.gym.exercises[items[place - 1].exercise] for place in task.places}
    order = blocks(task.places, items)
    held = [place for block in order if begun & set(block) for place in block]
    free = tuple(block for block in order if not begun & set(block))
    seen, ahead = {free}, [free]
    while ahead and len(seen) <= MOST_ORDERS:
        for other in neighbours(ahead.pop(0), exercises):
            if other not in seen:
                seen.add(other)
                ahead.append(other)
                yield (*held, *(place for block in other for place in block))


def _done(task: Task) -> Sequence[LoggedSet]:
    return task.today.sets if task.today else ()


def neighbours(order: Sequence[Block], exercises: Mapping[int, Exercise]) -> Iterator[tuple[Block, ...]]:
    """The orders in which one block of exercises passes the one before it, where all of it may."""
    for number in range(1, len(order)):
        earlier, later = order[number - 1], order[number]
        if all(may_pass(exercises[one], exercises[other]) for one in later for other in earlier):
            yield (*order[: number - 1], later, earlier, *order[number + 1 :])


def may_pass(later: Exercise, earlier: Exercise) -> bool:
    """Whether an exercise may come before one that it follows.

    >>> from steelyard.training.exercises import exercises
    >>> known = exercises()
    >>> row = known["lever_row_chest"]
    >>> may_pass(known["curl_lever"], row), may_pass(known["squat_belt"], row)
    (False, True)
    """
    if earlier.compound and not later.compound:
        return False
    if is_large(earlier) and not is_large(later):
        return False
    return not (set(later.primary) | set(later.secondary)) & (set(earlier.primary) | set(earlier.secondary))


def is_large(exercise: Exercise) -> bool:
    """Whether it works a large muscle directly."""
    return not LARGE.isdisjoint(exercise.primary)
