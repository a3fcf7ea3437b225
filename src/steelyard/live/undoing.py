"""What the latest thing a lifter did in a session was, so that it can be taken back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

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
    ExerciseEnded: "an exercise ended",
    SetSkipped: "a set left out",
    StationClosed: "a station out of order",
    SessionsJoined: "training in turn",
    SessionEnded: "the end of the session",
}


def last_undoable(
    events: Sequence[Event], names: Mapping[str, str], units: Mapping[str, Unit]
) -> dict[str, str] | None:
    """The latest event that can be taken back, in words; None if there is none.

    events: of the sessions, in the order (at, id). names: of exercises. units: what each lifter reads.
    """
    gone = {event.body.target for event in events if isinstance(event.body, EventDeleted)}
    for event in reversed(events):
        words = "" if event.id in gone else undo_words(event.body, names, units)
        if words:
            return {"id": event.id, "words": words}
    return None


def undo_words(body: Body, names: Mapping[str, str], units: Mapping[str, Unit]) -> str:
    """What taking an event back is called; empty for one that isn't taken back by itself."""
    words = OTHERS.get(type(body), "")
    match body:
        case SetDone():
            words = wording.done_words(body, units.get(body.lifter, Unit.KG))
        case ExerciseSwapped(_, _, exercise):
            words = f"{names.get(exercise, exercise)} instead"
        case LoadChosen(_, _, load_kg):
            words = f"{show_mass(load_kg, next(iter(units.values()), Unit.KG))} wanted"
        case PlatesMissing(_, plates):
            words = f"missing: {', '.join(plates)}" if plates else "no plate missing"
        case TimeShortened(_, minutes):
            words = f"{minutes} min left"
    return words
