"""Changes of mind during a session: what may be changed, as the event that it would be.

Nothing here records anything; `Steelyard.record` does, once somebody has chosen.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import replace

from steelyard.errors import OutOfRange, UnknownName
from steelyard.journal.changed import Change
from steelyard.journal.events import (
    Event,
    ExercisePostponed,
    ExerciseSwapped,
    LoadChosen,
    PlatesMissing,
    TimeShortened,
)
from steelyard.journal.fold import counting
from steelyard.plates.missing import read_missing, without
from steelyard.service import Steelyard
from steelyard.training.changing import blocks, swaps
from steelyard.training.cutting import cut_to
from steelyard.training.decide import TELLABLE
from steelyard.training.gym import StationLoads
from steelyard.training.model import Exercise, PreparedSet, Role
from steelyard.training.prepare import Task
from steelyard.training.slots import read_slot
from steelyard.workshop.turns_live import joined_view

LONGEST_MIN = 1440


def swaps_for(steelyard: Steelyard, session: str, place: int) -> tuple[Exercise, ...]:
    """What could be done instead of an exercise, the most alike first.

    It has the same movement pattern, some open station serves it, and the session does not have it yet.

    place: in the outline, from 1.

    Raises: UnknownName; OutOfRange for a place that the outline does not have.
    """
    task = steelyard.session_task(session)
    exercise = task.gym.exercises[_exercise_at(task, place)]
    taken = [item.exercise for item in task.outline_today.items]
    return swaps(
        task.gym_today, exercise, taken, closed=task.changed.closed, body_mass_kg=task.lifter.body_mass_kg
    )


def swap(steelyard: Steelyard, session: str, place: int, exercise: str) -> ExerciseSwapped:
    """An exercise done instead of another; also one that is less alike, if an open station serves it.

    Raises: UnknownName for an exercise that is not known or has no station; OutOfRange for the place.
    """
    task = steelyard.session_task(session)
    _exercise_at(task, place)
    open_ = [
        name
        for name in task.gym.exercises
        if any(station.name not in task.changed.closed for station in task.gym.stations_for(name))
    ]
    if exercise not in open_:
        alike = [each.id for each in swaps_for(steelyard, session, place)]
        raise UnknownName("exercise with an open station", exercise, alike or sorted(open_))
    return ExerciseSwapped(session, place, exercise)


def _exercise_at(task: Task, place: int) -> str:
    items = task.outline_today.items
    if not 1 <= place <= len(items):
        raise OutOfRange("place in the outline", place, f"from 1 to {len(items)}")
    return items[place - 1].exercise


def put_off(
    steelyard: Steelyard, session: str, place: int, left: Iterable[PreparedSet]
) -> ExercisePostponed | None:
    """Somebody is at the station: the exercise after the next one that is done at another; None if there is none.

    What alternates with it waits with it. left: the sets of the session that are left, in their order.

    Raises: UnknownName; OutOfRange for the place.
    """
    task = steelyard.session_task(session)
    _exercise_at(task, place)
    own = next(block for block in blocks(task.places, task.outline.items) if place in block)
    stations: dict[int, set[str]] = {}
    for one in left:
        slot = read_slot(one.slot)
        if slot is not None:
            stations.setdefault(slot.place, set()).add(one.station)
    busy = stations.get(place, set())
    later = task.places[task.places.index(own[-1]) + 1 :]
    after = next((each for each in later if each in stations and not stations[each] & busy), None)
    return None if after is None else ExercisePostponed(session, place, after)


def heavier(steelyard: Steelyard, session: str, one: PreparedSet) -> LoadChosen | None:
    """The next load up that a hand could tell, for a set that is left; None if there is none.

    A light test set gets no heavier: those that follow climb by themselves. Drops and pauses go on as they are.

    Raises: UnknownName.
    """
    if one.role not in (Role.WORK, Role.WARM_UP):
        return None
    felt_kg = _loads(steelyard, session, one).felt_kg
    at = bisect_left(felt_kg, (1 + TELLABLE) * one.felt_kg)
    return LoadChosen(session, one.slot, felt_kg[at]) if at < len(felt_kg) else None


def lighter(steelyard: Steelyard, session: str, one: PreparedSet) -> LoadChosen | None:
    """The next load down that a hand could tell, for a set that is left; None if there is none.

    Raises: UnknownName.
    """
    if one.role in (Role.DROP, Role.REST_PAUSE):
        return None
    felt_kg = _loads(steelyard, session, one).felt_kg
    at = bisect_right(felt_kg, one.felt_kg / (1 + TELLABLE)) - 1
    return LoadChosen(session, one.slot, felt_kg[at]) if at >= 0 else None


def _loads(steelyard: Steelyard, session: str, one: PreparedSet) -> StationLoads:
    """What can be built today at the station of a set."""
    task = steelyard.session_task(session)
    station = task.gym.machine.station(one.station)
    one_arm = task.gym.exercises[one.exercise].one_arm
    return task.gym_today.loads(station, one_arm=one_arm, body_mass_kg=task.lifter.body_mass_kg)


def plates_that_may_be_missing(steelyard: Steelyard, session: str, one: PreparedSet) -> dict[str, PlatesMissing]:
    """For each kind of plate that goes on for a set, by its name, that one more of it is missing.

    One that hangs already is not missed: it was there when it was put on.

    Raises: UnknownName.
    """
    task = steelyard.session_task(session)
    inventory, left = task.gym.inventory, task.gym_today.inventory
    plates = dict.fromkeys(move.plate for move in one.moves if move.on)
    found = {}
    for plate in sorted(plates, key=lambda each: (-each.mass.kg, each.name)):
        known = inventory.plate(plate.name)
        gone = inventory.counts[known] - left.counts[known] + 1
        found[plate.name] = _missing(task, session, [f"{plate.name}*{gone}"])
    return found


def missing_too(steelyard: Steelyard, session: str, names: Sequence[str]) -> PlatesMissing:
    """Plates that are missing besides those said before; what was said of the same kind of plate is replaced.

    names: as `plates.missing.without` reads them.

    Raises: UnknownName for a plate that is not here; OutOfRange for a count that is none or too large.
    """
    task = steelyard.session_task(session)
    without(task.gym.inventory, names)
    return _missing(task, session, names)


def _missing(task: Task, session: str, names: Sequence[str]) -> PlatesMissing:
    inventory = task.gym.inventory
    now = {read_missing(inventory, name)[0] for name in names}
    misread = task.gym.misread(task.changed.missing)
    before = [name for name in task.changed.missing if name not in misread]
    kept = [name for name in before if read_missing(inventory, name)[0] not in now]
    return PlatesMissing(session, (*kept, *names))


def in_minutes(steelyard: Steelyard, session: str, minutes: int) -> TimeShortened:
    """What to leave out so that a session ends in so many minutes, as nearly as it can.

    With others in turn, it is so much of the session as falls to this lifter in that time.

    Raises: UnknownName; OutOfRange for less than a minute or more than a day.
    """
    if not 1 <= minutes <= LONGEST_MIN:
        raise OutOfRange("minutes left", minutes, f"from 1 to {LONGEST_MIN}")
    task = steelyard.session_task(session)
    assert task.today is not None  # a session's own task has it
    whole = replace(task.changed, minutes=None, left_out=frozenset())
    task = replace(task, today=replace(task.today, changed=whole))
    limit_s = 60.0 * minutes * _share_of_time(steelyard, session)
    cut = cut_to(task, steelyard.on_horns(), limit_s)
    return TimeShortened(session, minutes, tuple(sorted(cut.slots)))


def _share_of_time(steelyard: Steelyard, session: str) -> float:
    """How much faster a session would be over alone than in turn with others."""
    if not steelyard.state.sessions[session].joined:
        return 1.0
    sheet, views = joined_view(steelyard, session)
    return views[session].prepared.lasts_s / sheet.lasts_s if sheet.lasts_s else 1.0


def last_change(steelyard: Steelyard, session: str) -> Event | None:
    """The latest change of mind in a session that was not taken back; None if there is none."""
    found = (
        event
        for event in counting(steelyard.events)
        if isinstance(event.body, Change) and event.body.session == session
    )
    return max(found, key=lambda event: (event.at, event.id), default=None)
