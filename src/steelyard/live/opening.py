"""What the engine inside the page is opened with: the files of the home, and of what happened what it needs."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime, timedelta
from typing import Any

from steelyard.home import home_files
from steelyard.journal.codec import plain_event
from steelyard.journal.events import Event, EventDeleted, MachineCalibrated, ScaleRead, SetCorrected, SetDone
from steelyard.live.laws import plain_laws
from steelyard.service import PLATES_STAY, Steelyard

LEEWAY = timedelta(hours=1)
"""What clocks may differ by, so that no plates on the horns are forgotten."""


def opening(steelyard: Steelyard, sessions: Sequence[str]) -> dict[str, Any]:
    """Plain data from which `live.engine.Engine` decides as this Steelyard does.

    sessions: those shown; all that their lifters ever did goes along, of others only what may still hang on the
    horns.

    Raises: UnknownName for a session that is not known.
    """
    lifters = {steelyard.session_lifter(session).lifter for session in sessions}
    now = steelyard.now()
    offset = now.utcoffset() or timedelta()
    return {
        "sessions": list(sessions),
        "files": home_files(steelyard.home.folder),
        "events": [plain_event(event) for event in needed(steelyard, lifters)],
        "laws": plain_laws(steelyard.gym),
        "now": round(now.timestamp(), 3),
        "offset_s": offset.total_seconds(),
    }


def needed(steelyard: Steelyard, lifters: set[str]) -> list[Event]:
    """The events that decide for these lifters, in the order (at, id)."""
    since = steelyard.now() - PLATES_STAY - LEEWAY
    machine = steelyard.gym.machine.name
    theirs = {session.session for session in steelyard.state.sessions.values() if session.lifter in lifters}
    events = steelyard.events
    found = {event.id: event for event in events if counts(event, lifters, theirs, machine, since)}
    found.update((event.id, event) for event in _said_later(events, found))
    return sorted(found.values(), key=lambda event: (event.at, event.id))


def counts(event: Event, lifters: set[str], sessions: set[str], machine: str, since: datetime) -> bool:
    """Whether an event decides for these lifters, whose these sessions are; what corrects or deletes does not.

    since: sets of others before that hang no more.
    """
    body = event.body
    if isinstance(body, ScaleRead | SetCorrected | EventDeleted):
        return False
    if isinstance(body, MachineCalibrated):
        return body.machine == machine
    if getattr(body, "lifter", "") in lifters or getattr(body, "session", "") in sessions:
        return True
    if any(session in sessions for session in getattr(body, "sessions", ())):
        return True
    return isinstance(body, SetDone) and body.machine == machine and event.at >= since


def _said_later(events: Iterable[Event], found: dict[str, Event]) -> Iterator[Event]:
    """Corrections and deletions of what was found, and deletions of those in turn."""
    later = [event for event in events if isinstance(event.body, SetCorrected | EventDeleted)]
    known = set(found)
    grown = True
    while grown:
        about = [event for event in later if event.id not in known and _target(event) in known]
        known.update(event.id for event in about)
        yield from about
        grown = bool(about)


def _target(event: Event) -> str:
    return event.body.target if isinstance(event.body, SetCorrected | EventDeleted) else ""
