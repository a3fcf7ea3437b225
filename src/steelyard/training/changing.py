"""What a lifter's changes of mind make of a session: other exercises, another order, fewer plates and stations."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import chain

from steelyard.errors import SteelyardError
from steelyard.journal.changed import Changed
from steelyard.journal.fold import LoggedSet
from steelyard.machine.model import Station
from steelyard.training.exercises import MUSCLES
from steelyard.training.gym import Gym
from steelyard.training.leaving import left_out_words
from steelyard.training.model import Exercise, Outline, OutlineItem, PreparedSet
from steelyard.training.past import past_of
from steelyard.training.rules import PAIN_CAUTION, SIGN_CAUTION, fractional_sets

MOST_NAMED = 3
"""So many swaps are named in a note; the rest are there for the asking (a choice)."""
ONE_ARM_LESS = 0.3
"""How much less alike an exercise is that is done one side at a time, where the other is not (a choice)."""


def swapped(outline: Outline, changed: Changed, gym: Gym) -> Outline:
    """The outline with the exercises that its places are now; what is not known here stays as it was."""
    items = (
        replace(item, exercise=changed.exercises[place]) if changed.exercises.get(place) in gym.exercises else item
        for place, item in enumerate(outline.items, start=1)
    )
    return replace(outline, items=tuple(items)) if changed.exercises else outline


def blocks(places: Sequence[int], items: Sequence[OutlineItem]) -> tuple[tuple[int, ...], ...]:
    """The places in their order, those together that alternate.

    >>> row, curl = (OutlineItem(name, 8, 8, (1,), 60.0) for name in ("row", "curl"))
    >>> blocks((3, 1, 2), (row, replace(curl, superset=True), row))
    ((3,), (1, 2))
    """
    found: list[tuple[int, ...]] = []
    for place in places:
        if found and items[place - 1].superset and found[-1][-1] == place - 1:
            found[-1] = (*found[-1], place)
        else:
            found.append((place,))
    return tuple(found)


def put_off(
    places: Sequence[int], items: Sequence[OutlineItem], postponed: Iterable[tuple[int, int]]
) -> tuple[int, ...]:
    """The places with each of those put off done after another one; what alternates stays together.

    postponed: each a place and the one that it is done after, in the order they were said. What comes later
    already stays, and so does what is no place.

    >>> row = OutlineItem("row", 8, 8, (1,), 60.0)
    >>> put_off((1, 2, 3), (row, row, row), [(1, 2), (3, 1), (9, 1)])
    (2, 1, 3)
    """
    order = list(blocks(places, items))
    for place, after in postponed:
        at, to = (next((n for n, block in enumerate(order) if each in block), None) for each in (place, after))
        if at is not None and to is not None and at < to:
            order.insert(to, order.pop(at))
    return tuple(place for block in order for place in block)


def swaps(
    gym: Gym, exercise: Exercise, taken: Iterable[str], *, closed: frozenset[str], body_mass_kg: float | None
) -> tuple[Exercise, ...]:
    """Exercises of the same movement pattern that an open station serves, the most alike first.

    taken: exercises that the session has already. closed: stations out of order. body_mass_kg: the lifter's. [kg]
    """
    found = [
        other
        for other in gym.exercises.values()
        if other.pattern == exercise.pattern
        and other.id not in (exercise.id, *taken)
        and any(
            station.name not in closed and _can_load(gym, other, station.name, body_mass_kg)
            for station in gym.stations_for(other.id)
        )
    ]
    return tuple(sorted(found, key=lambda other: (-likeness(exercise, other), other.name, other.id)))


def stations_in_turn(gym: Gym, exercise: str, past: Sequence[LoggedSet]) -> Iterator[Station]:
    """The stations that serve an exercise: first where it was done latest, then as the machine has them.

    The past is looked through no further than it is asked.

    past: the lifter's sets, in order of time; those of other exercises don't matter.
    """
    stations = {station.name: station for station in gym.stations_for(exercise)}
    used = (logged.done.station for logged in reversed(past_of(past).of(exercise)))
    for name in chain(used, tuple(stations)):
        station = stations.pop(name, None)
        if station is not None:
            yield station
        if not stations:
            return


def _can_load(gym: Gym, exercise: Exercise, station: str, body_mass_kg: float | None) -> bool:
    try:
        gym.loads(gym.machine.stations[station], one_arm=exercise.one_arm, body_mass_kg=body_mass_kg)
    except SteelyardError:  # it needs a body mass that is not known, or is over its rating even empty
        return False
    return True


def likeness(one: Exercise, other: Exercise) -> float:
    """How much of the work of two exercises falls on the same muscles, from 0 to 1; less if one is one-armed.

    >>> from steelyard.training.exercises import exercises
    >>> known = exercises()
    >>> likeness(known["curl_cable"], known["curl_lever"]) > likeness(known["curl_cable"], known["pulldown_front"])
    True
    """
    first, second = fractional_sets(one), fractional_sets(other)
    shared = math.fsum(min(first.get(muscle, 0.0), second.get(muscle, 0.0)) for muscle in MUSCLES)
    most = math.fsum(max(first.get(muscle, 0.0), second.get(muscle, 0.0)) for muscle in MUSCLES)
    return round(shared / most - ONE_ARM_LESS * (one.one_arm != other.one_arm), 6)


def instead_words(found: Sequence[Exercise]) -> str:
    """What could be done instead, as the end of a note."""
    names = [exercise.name for exercise in found[:MOST_NAMED]]
    return f" Instead: {' or '.join(names)}." if names else ""


def in_turn_words(alternating: Sequence[Exercise]) -> str:
    """How exercises alternate, in a sentence."""
    names = [exercise.name for exercise in alternating]
    return f"{' and '.join(names)} alternate: straight on from one to the next, and rest before the first again."


def changed_words(outline: Outline, changed: Changed, gym: Gym, sets: Sequence[PreparedSet]) -> Iterator[str]:
    """What is otherwise, in sentences; the cautions come first.

    outline: as it is now. sets: those that are left.
    """
    yield from _ended_words(outline, changed, gym.exercises, sets)
    unknown = [name for place, name in changed.exercises.items() if name not in gym.exercises]
    for name in (*unknown, *gym.misread(changed.missing)):
        yield f"{name} is not known here; nothing was changed for it."
    missing = [name for name in changed.missing if name not in gym.misread(changed.missing)]
    if missing:
        yield f"Without {', '.join(missing)}."
    if changed.left_out:
        words = left_out_words(changed.left_out, outline, gym.exercises)
        yield " ".join([f"For want of time, with {changed.minutes} min left:", *words])


def _ended_words(
    outline: Outline, changed: Changed, exercises: Mapping[str, Exercise], sets: Sequence[PreparedSet]
) -> Iterator[str]:
    """What to heed after pain, or a sign to stop."""
    if changed.stopped:
        yield SIGN_CAUTION
    hurt = []
    for place, why in sorted(changed.ended.items()):
        if place > len(outline.items):
            continue
        exercise = exercises[outline.items[place - 1].exercise]
        if why == "pain":
            yield PAIN_CAUTION.format(exercise=exercise.name)
            hurt.append(exercise)
    yield from _same_muscles_words(hurt, [exercises[name] for name in dict.fromkeys(one.exercise for one in sets)])


def _same_muscles_words(hurt: Sequence[Exercise], left: Iterable[Exercise]) -> Iterator[str]:
    """Which exercises still to come work what hurt."""
    for exercise in left:
        both = same_muscles(hurt, exercise)
        if both:
            yield f"{exercise.name} works the same muscles ({', '.join(both)}): leave it out if it hurts too."


def same_muscles(hurt: Iterable[Exercise], other: Exercise) -> tuple[str, ...]:
    """The muscles, by name, that an exercise works as those that hurt do; none if it works others.

    >>> from steelyard.training.exercises import exercises
    >>> known = exercises()
    >>> same_muscles([known["curl_cable"]], known["curl_lever"])
    ('Elbow flexors', 'Forearms')
    """
    muscles = {muscle for exercise in hurt for muscle in fractional_sets(exercise)}
    return tuple(MUSCLES[muscle] for muscle in fractional_sets(other) if muscle in muscles)
