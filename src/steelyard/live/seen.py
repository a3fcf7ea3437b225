"""Which events a screen follows from, so that two devices can tell whether they know the same."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from hashlib import sha256

from steelyard.journal.events import Event
from steelyard.journal.happened import Happened, subjects


def session_events(events: Iterable[Event], sessions: Sequence[str]) -> list[Event]:
    """The events that make these sessions, in the order (at, id): their own, and what was said of those later."""
    if not isinstance(events, Happened):
        happened = Happened()
        happened.take(events)
        events = happened
    return sorted(events.of(*sessions), key=lambda event: (event.at, event.id))


def is_of(event: Event, sessions: Sequence[str]) -> bool:
    """Whether something happened in one of these sessions, or joined it with others."""
    return not set(subjects(event)).isdisjoint(sessions)


def fingerprint(events: Iterable[Event]) -> str:
    """A short name of exactly these events; any order of them has the same.

    >>> fingerprint([]) == fingerprint([])
    True
    """
    return sha256(" ".join(sorted(event.id for event in events)).encode()).hexdigest()[:32]
