"""What a journal can do, whatever keeps it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Protocol

from steelyard.journal.events import Event


class Journal(Protocol):
    """An append-only store of events."""

    def append(self, events: Iterable[Event]) -> int:
        """Store events; returns how many were new. On return they are on disk.

        An event already there is not stored again.

        Raises: JournalConflict if an id is already there with other contents; then nothing is stored.
        """
        ...

    def events(self) -> list[Event]:
        """All events, in the order (at, id)."""
        ...

    def revision(self) -> int:
        """A whole number that grows with each event stored, by whatever program; cheap, so callers can cache."""
        ...

    def events_since(self, revision: int) -> tuple[int, list[Event]]:
        """The revision now, and the events stored after the one given, in the order they were stored."""
        ...

    def close(self) -> None:
        """Release the store."""
        ...
