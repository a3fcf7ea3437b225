"""What a change of mind made of the session, in one sentence, to be read beside "Saved" at once after the tap."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from steelyard.journal.events import Body, ExercisePostponed, StationClosed
from steelyard.recording import SessionView
from steelyard.service import Steelyard
from steelyard.training.changing import stations_in_turn
from steelyard.training.model import Role
from steelyard.training.prepare import Task
from steelyard.training.slots import read_slot


def outcome(steelyard: Steelyard, views: Mapping[str, SessionView], body: Body) -> str:
    """What became of exercises whose station is broken or busy; empty for any other event.

    views: the sessions as they stand after it, by id.
    """
    match body:
        case StationClosed(_, station) if station in steelyard.gym.machine.stations:
            going_on = [view for view in views.values() if view.session.ended_at is None]
            fates = [fate for view in going_on for fate in _fates(steelyard, view, station)]
            said = "; ".join(dict.fromkeys(fates)) or "nothing that is left needs it"
            return f"{steelyard.gym.machine.stations[station].title} out of order: {said}"
        case ExercisePostponed(session, place, after) if session in views:
            return _order_words(steelyard.session_task(session), place, after)
    return ""


def _fates(steelyard: Steelyard, view: SessionView, station: str) -> Iterator[str]:
    """Where each exercise of a session goes that would be done at a station if that were open."""
    task = steelyard.session_task(view.session.session)
    now = {_place(one.slot): one.station for one in reversed(view.prepared.sets)}
    for place in task.places:
        item = task.outline_today.items[place - 1]
        name, done = task.gym.exercises[item.exercise].name, _done(task, place)
        if place in task.changed.ended or done >= item.sets or not _was_at(task, item.exercise, station):
            continue
        if place in now:
            yield f"{name} is done at {task.gym.machine.stations[now[place]].title}"
        else:
            yield f"the rest of {name} is left out" if done else f"{name} is left out"


def _place(slot: str) -> int:
    read = read_slot(slot)
    return read.place if read is not None else 0


def _done(task: Task, place: int) -> int:
    """How many work sets of a place are done, skipped or left out already."""
    today = task.today
    if today is None:
        return 0
    taken = (*(logged.done.slot for logged in today.sets), *today.skipped, *today.changed.left_out)
    read = [slot for slot in map(read_slot, taken) if slot is not None]
    return len({slot.number for slot in read if (slot.place, slot.role) == (place, Role.WORK)})


def _was_at(task: Task, exercise: str, station: str) -> bool:
    """Whether an exercise would be done at a station that is closed now."""
    closed = task.changed.closed - {station}
    open_ = [each for each in stations_in_turn(task.gym, exercise, task.past) if each.name not in closed]
    return bool(open_) and open_[0].name == station


def _order_words(task: Task, place: int, after: int) -> str:
    """Which exercise comes after which."""
    items = task.outline_today.items
    if not (1 <= place <= len(items) and 1 <= after <= len(items)):
        return ""
    name, other = (task.gym.exercises[items[each - 1].exercise].name for each in (place, after))
    return f"{name} comes after {other}"
