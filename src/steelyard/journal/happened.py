"""Every event once, found by what it is about.

A tap is read with the events of its own session, and not with those of all the years before it. What is said of
another event later, a correction or a deletion, goes with what it is said of, whichever of them arrives first.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from itertools import chain

from steelyard.journal.events import Event, EventDeleted, SessionsJoined, SetCorrected

Subject = str | type
"""A session, by its id; of what belongs to no session, the kind of event."""


class Happened(Collection[Event]):
    """Events, by what they are about. before: what happened before these; it must not grow any more."""

    def __init__(self, before: Happened | None = None) -> None:
        self._before = before
        self._events: dict[str, Event] = {}
        self._of: dict[Subject, list[Event]] = {}
        self._later: dict[str, list[Event]] = {}

    def __len__(self) -> int:
        """How many there are."""
        return len(self._events) + (len(self._before) if self._before is not None else 0)

    def __iter__(self) -> Iterator[Event]:
        """All of them, in the order in which they came to be known."""
        return chain(self._before or (), self._events.values())

    def __contains__(self, event: object) -> bool:
        """Whether this very event is among them."""
        return isinstance(event, Event) and self.event(event.id) == event

    def event(self, event_id: str) -> Event | None:
        """The event of an id; None if it is not known."""
        found = self._events.get(event_id)
        return self._before.event(event_id) if found is None and self._before is not None else found

    def take(self, events: Iterable[Event]) -> set[Subject]:
        """Take in events, each once; returns what they bear on."""
        touched: set[Subject] = set()
        for event in events:
            if self.event(event.id) is not None:
                continue
            self._events[event.id] = event
            target = target_of(event)
            if target:
                self._later.setdefault(target, []).append(event)
            for subject in () if target else subjects(event):
                self._of.setdefault(subject, []).append(event)
            touched.update(self.borne_on(event))
        return touched

    def borne_on(self, event: Event) -> tuple[Subject, ...]:
        """What an event is about in the end, known or not; nothing while what it is said of is not known."""
        root: Event | None = event
        seen: set[str] = set()
        while root is not None and (target := target_of(root)):
            if target in seen:  # deletions that delete one another
                return ()
            seen.add(target)
            root = self.event(target)
        return () if root is None else subjects(root)

    def of(self, *about: Subject) -> list[Event]:
        """The events about these subjects and all that was said of them later, each once, in no order."""
        found = {event.id: event for subject in about for event in self._directly(subject)}
        left = list(found)
        while left:
            for event in self._said_of(left.pop()):
                if event.id not in found:
                    found[event.id] = event
                    left.append(event.id)
        return list(found.values())

    def _directly(self, subject: Subject) -> Iterator[Event]:
        if self._before is not None:
            yield from self._before._directly(subject)
        yield from self._of.get(subject, ())

    def _said_of(self, event_id: str) -> Iterator[Event]:
        if self._before is not None:
            yield from self._before._said_of(event_id)
        yield from self._later.get(event_id, ())


def subjects(event: Event) -> tuple[Subject, ...]:
    """What an event is about that is said of no other: its session, the sessions it joins, or else its kind."""
    body = event.body
    if isinstance(body, SessionsJoined):
        return (*body.sessions, SessionsJoined)
    return (getattr(body, "session", "") or type(body),)


def target_of(event: Event) -> str:
    """The event that another one is said of; empty for one that stands by itself."""
    return event.body.target if isinstance(event.body, SetCorrected | EventDeleted) else ""
