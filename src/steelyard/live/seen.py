"""Which events a screen follows from, so that two devices can tell whether they know the same."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from hashlib import sha256

from steelyard.journal.events import Event, EventDeleted, SetCorrected


def session_events(events: Iterable[Event], sessions: Sequence[str]) -> list[Event]:
    """The events that make these sessions, in the order (at, id): their own, and what was said of those later."""
    own, later = {}, []
    for event in events:
        if isinstance(event.body, SetCorrected | EventDeleted):
            later.append(event)
        elif is_of(event, sessions):
            own[event.id] = event
    found = True
    while found:  # a deletion may be deleted in turn
        about = [event for event in later if event.id not in own and _target(event) in own]
        own.update((event.id, event) for event in about)
        found = bool(about)
    return sorted(own.values(), key=lambda event: (event.at, event.id))


def is_of(event: Event, sessions: Sequence[str]) -> bool:
    """Whether something happened in one of these sessions, or joined it with others."""
    joined = getattr(event.body, "sessions", ())
    return getattr(event.body, "session", "") in sessions or any(each in sessions for each in joined)


def _target(event: Event) -> str:
    return event.body.target if isinstance(event.body, SetCorrected | EventDeleted) else ""


def fingerprint(events: Iterable[Event]) -> str:
    """A short name of exactly these events; any order of them has the same.

    >>> fingerprint([]) == fingerprint([])
    True
    """
    return sha256(" ".join(sorted(event.id for event in events)).encode()).hexdigest()[:32]
