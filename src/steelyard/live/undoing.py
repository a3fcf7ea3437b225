"""What the latest thing a lifter did in a session was, so that it can be taken back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from steelyard.journal.events import Body, Event, EventDeleted, SetDone, SetSkipped
from steelyard.live import wording
from steelyard.units import Unit


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
    match body:
        case SetDone():
            return wording.done_words(body, units.get(body.lifter, Unit.KG))
        case SetSkipped():
            return "a set left out"
    return ""
