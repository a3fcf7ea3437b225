"""A journal in memory: for the engine inside the page, which has no disk, and for supposing what never was."""

from __future__ import annotations

from collections.abc import Iterable
from threading import Lock

from steelyard.errors import JournalConflict
from steelyard.journal.events import Event


class MemoryJournal:
    """Events kept for as long as the program runs; `journal.port` says what each call does."""

    def __init__(self, events: Iterable[Event] = ()) -> None:
        """Raises: JournalConflict."""
        self._events: dict[str, Event] = {}
        self._stored: list[Event] = []
        self._lock = Lock()
        self.append(events)

    def copy(self) -> MemoryJournal:
        """Another journal with the same events, to suppose some more in."""
        other = MemoryJournal()
        with self._lock:
            other._events, other._stored = self._events.copy(), self._stored.copy()
        return other

    def append(self, events: Iterable[Event]) -> int:
        """Keep events; returns how many were new. Raises: JournalConflict; nothing is kept then."""
        with self._lock:
            new: dict[str, Event] = {}
            for event in events:
                known = self._events.get(event.id) or new.setdefault(event.id, event)
                if known is not event and known != event:
                    raise JournalConflict(
                        f"event {event.id} is already there with other contents, from {known.origin}; "
                        "an id must belong to one event: log it again so that it gets an id of its own"
                    )
            self._events.update(new)
            self._stored.extend(new.values())
            return len(new)

    def events(self) -> list[Event]:
        """All events, in the order (at, id)."""
        return sorted(self._stored, key=lambda event: (event.at, event.id))

    def revision(self) -> int:
        """How many events there are."""
        return len(self._stored)

    def events_since(self, revision: int) -> tuple[int, list[Event]]:
        """The revision now, and the events kept after the one given."""
        with self._lock:
            return len(self._stored), self._stored[revision:]

    def close(self) -> None:
        """There is nothing to release."""
