"""What the latest thing a lifter did in a session was, so that it can be taken back."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from steelyard.journal.events import (
    Body,
    Event,
    EventDeleted,
    ExerciseEnded,
    ExercisePostponed,
    ExerciseSwapped,
    LoadChosen,
    PlatesMissing,
    SessionEnded,
    SessionsJoined,
    SetDone,
    SetSkipped,
    StationClosed,
    TimeShortened,
)
from steelyard.live import wording
from steelyard.units import Unit, show_mass

OTHERS: Mapping[type, str] = {
    ExercisePostponed: "another exercise first",
    SetSkipped: "a set left out",
    StationClosed: "a station out of order",
    SessionsJoined: "training in turn",
    SessionEnded: "the end of the session",
}
WHY_ENDED: Mapping[str, str] = {"pain": "it hurt", "sign": "a sign to stop", "enough": "no more of an exercise"}


def last_undoable(
    events: Sequence[Event],
    names: Mapping[str, str],
    units: Mapping[str, Unit],
    *,
    outcome: Callable[[Body], str] = lambda _: "",
) -> dict[str, Any] | None:
    """The latest thing that can be taken back: its events, and it in words; None if there is none.

    A set that was logged on two devices is one thing, and goes with both of its events.

    events: of the sessions, in the order (at, id). names: of exercises.
    units: what each lifter reads, by lifter and by session.
    outcome: what an event made of the session, in a sentence; empty where that need not be said.
    """
    gone = {event.body.target for event in events if isinstance(event.body, EventDeleted)}
    standing = [event for event in events if event.id not in gone]
    for event in reversed(standing):
        same = [other for other in standing if _is_same_set(other.body, event.body)] or [event]
        words = outcome(same[0].body) or undo_words(same[0].body, names, units)
        if words:
            return {"ids": [each.id for each in same], "words": words}
    return None


def _is_same_set(one: Body, other: Body) -> bool:
    if not isinstance(one, SetDone) or not isinstance(other, SetDone):
        return False
    return (one.session, one.slot) == (other.session, other.slot)


def _counted(plate: str) -> str:
    """A plate as the journal has it, "5 kg*1", as people read it: "1 × 5 kg"."""
    name, _, count = plate.rpartition("*")
    return f"{count} × {name}" if name else plate


def undo_words(body: Body, names: Mapping[str, str], units: Mapping[str, Unit]) -> str:
    """What taking an event back is called; empty for one that isn't taken back by itself."""
    words = OTHERS.get(type(body), "")
    match body:
        case SetDone():
            words = wording.done_words(body, units.get(body.lifter, Unit.KG))
        case ExerciseSwapped(_, _, exercise):
            words = f"{names.get(exercise, exercise)} instead"
        case LoadChosen(session, _, load_kg):
            words = f"{show_mass(load_kg, units.get(session, Unit.KG))} wanted"
        case ExerciseEnded(_, _, why):
            words = WHY_ENDED[why]
        case PlatesMissing(_, plates):
            words = f"missing: {', '.join(_counted(plate) for plate in plates)}" if plates else "no plate missing"
        case TimeShortened(_, minutes):
            words = f"{minutes} min left"
    return words
