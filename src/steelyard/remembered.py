"""What one gym's files and events add up to: read once, folded once, and kept for as long as it holds."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable
from datetime import datetime
from random import Random
from threading import RLock
from typing import Self

from steelyard.home import Home
from steelyard.journal.events import Event
from steelyard.journal.fold import LoggedSet, State, fold
from steelyard.journal.memory import MemoryJournal
from steelyard.journal.port import Journal
from steelyard.training.believed import Believed, believed
from steelyard.training.gym import Gym
from steelyard.training.history import Learned


class Remembered:
    """A home, a journal, a clock and a random source, with what follows from them."""

    def __init__(
        self, home: Home, journal: Journal, *, clock: Callable[[], datetime], random: Random, origin: str
    ) -> None:
        self.home = home
        self._journal = journal
        self._clock = clock
        self._random = random
        self._origin = origin
        self._lock = RLock()
        self._revision = 0
        self._events: dict[str, Event] = {}
        self._state = fold(())
        self._believed: Believed | None = None
        self._learned = Learned()
        self._past: tuple[State, Believed, dict[str, list[LoggedSet]]] | None = None

    def supposing(self, events: Iterable[Event]) -> Self:
        """The same gym with these events and no others, sharing all that was worked out and still holds.

        What is recorded there is kept in memory only, and known to nobody else.
        """
        journal = MemoryJournal(events)
        other = type(self)(self.home, journal, clock=self._clock, random=self._random, origin=self._origin)
        other._believed, other._learned = self._believed, self._learned
        return other

    @property
    def state(self) -> State:
        """All that the journal says, folded; kept until something is added, by whatever program."""
        self._refresh()
        return self._state

    @property
    def gym(self) -> Gym:
        """The machine as it was last calibrated, the plates and the exercises as they are known now."""
        return self.believed.gym

    @property
    def believed(self) -> Believed:
        """The gym as its files describe it and as it is calibrated; kept until either changes."""
        made, described = self.state.calibrations.get(self.home.gym.machine.name, ()), self.home.gym
        with self._lock:
            kept, latest = self._believed, made[-1] if made else None
            if kept is None or kept.described is not described or kept.latest != latest:
                kept = self._believed = believed(described, made)
            return kept

    def past_of(self, lifter: str) -> list[LoggedSet]:
        """All sets of a lifter as they are believed to weigh now, in order of time; kept until one is added."""
        state, known, kept = self.state, self.believed, self._past
        if kept is None or kept[0] is not state or kept[1] is not known:
            kept = self._past = state, known, {}
        if lifter not in kept[2]:
            kept[2][lifter] = known.recounted(state.sets_of(lifter))
        return kept[2][lifter]

    def use(self, home: Home) -> None:
        """Go on with files that were changed; what happened stays as it is."""
        with self._lock:
            self.home = home

    def _refresh(self) -> None:
        with self._lock:
            if self._journal.revision() != self._revision:
                self._revision, new = self._journal.events_since(self._revision)
                self._events.update((event.id, event) for event in new)
                self._state = fold(self._events.values())

    def now(self) -> datetime:
        """What the clock says, with its time zone."""
        return self._clock()

    @property
    def revision(self) -> int:
        """A whole number that grows with each event, so that what follows from the events can be kept."""
        return self._journal.revision()

    @property
    def events(self) -> Collection[Event]:
        """Every event of the journal, in no order."""
        self._refresh()
        return self._events.values()

    def knows(self, event_id: str | None) -> bool:
        """Whether an event of this id is in the journal."""
        self._refresh()
        return event_id in self._events
