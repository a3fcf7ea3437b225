"""Whether another order of exercises saves plate work, within the rules of order.

An order is offered, never taken. An exercise may pass another only if that breaks none of the usual rules: those
of several joints before those of one, and of large muscles before small ones (American College of Sports Medicine,
position stand 2009, as in `rules`); and none passes another that works a muscle which it tires: a triceps
extension done last instead of first lost a third of its reps (doi 10.1080/15438627.2013.825794).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from steelyard.plates.model import Loading
from steelyard.training.choosing import choose_plates
from steelyard.training.model import Exercise
from steelyard.training.prepare import Task, asked_of, prepared_with

LARGE = frozenset({"lats", "mid_back", "chest", "chest_upper", "glutes", "quads", "hamstrings", "erectors"})
"""Muscles that count as large: those that move the trunk, the hip and the whole arm (common practice)."""
MOST_ORDERS = 40
WORTH_S = 30.0
"""A shorter saving is not worth speaking of (a choice). [s]"""
MOST_OFFERS = 3


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
    """Orders other than the task's own that break no rule, the nearest to it first, at most `MOST_ORDERS`."""
    begun = (
        {int(logged.done.slot.split(".")[0]) for logged in task.today.sets if logged.done.slot}
        if task.today
        else ()
    )
    exercises = {place: task.gym.exercises[task.outline.items[place - 1].exercise] for place in task.places}
    held = tuple(place for place in task.places if place in begun)
    free = tuple(place for place in task.places if place not in begun)
    seen, ahead = {free}, [free]
    while ahead and len(seen) <= MOST_ORDERS:
        order = ahead.pop(0)
        for other in neighbours(order, exercises):
            if other not in seen:
                seen.add(other)
                ahead.append(other)
                yield (*held, *other)


def neighbours(order: Sequence[int], exercises: Mapping[int, Exercise]) -> Iterator[tuple[int, ...]]:
    """The orders in which one exercise passes the one before it, where it may."""
    for number in range(1, len(order)):
        if may_pass(exercises[order[number]], exercises[order[number - 1]]):
            yield (*order[: number - 1], order[number], order[number - 1], *order[number + 1 :])


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
