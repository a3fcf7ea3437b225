"""What one gym's files and events add up to: read once, folded once, and kept for as long as it holds."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import datetime
from random import Random
from threading import RLock
from typing import Self

from steelyard.home import Home
from steelyard.journal.events import Event
from steelyard.journal.fold import LoggedSet, State, fold
from steelyard.journal.folding import folded_on
from steelyard.journal.happened import Happened
from steelyard.journal.memory import MemoryJournal
from steelyard.journal.port import Journal
from steelyard.training.believed import Believed, believed
from steelyard.training.gym import Gym
from steelyard.training.history import Learned
from steelyard.training.past import Past, shared_start


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
        self._happened = Happened()
        self._state = fold(())
        self._believed: Believed | None = None
        self._learned = Learned()
        self._past: dict[str, tuple[Believed, tuple[LoggedSet, ...], Past]] = {}

    def supposing(self, events: Iterable[Event]) -> Self:
        """The same gym with these events and no others, sharing all that was worked out and still holds.

        What is recorded there is kept in memory only, and known to nobody else.
        """
        return self._with(MemoryJournal(events))

    def besides(self, events: Iterable[Event]) -> Self:
        """The same gym with these events besides those it knows, which must not become more meanwhile.

        So what it knows is not added up anew. Else as `supposing`.
        """
        self._refresh()
        own = self._journal
        other = self._with(own.copy() if isinstance(own, MemoryJournal) else MemoryJournal(self._happened))
        other._revision, other._happened = other.revision, Happened(self._happened)
        other._state = self._state
        other._journal.append(events)
        return other

    def _with(self, journal: MemoryJournal) -> Self:
        other = type(self)(self.home, journal, clock=self._clock, random=self._random, origin=self._origin)
        other._believed, other._learned, other._past = self._believed, self._learned, self._past
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

    def past_of(self, lifter: str) -> Past:
        """All sets of a lifter as they are believed to weigh now, in order of time; what is new is added to it."""
        sets, known = self.state.sets_of(lifter), self.believed
        kept = self._past.get(lifter)
        if kept is None or kept[0] is not known:
            kept = known, (), Past()
        if kept[1] is not sets:
            alike = shared_start(kept[1], sets)
            kept = known, sets, kept[2].gone_on(alike, known.recounted(sets[alike:]))
        self._past[lifter] = kept
        return kept[2]

    def use(self, home: Home) -> None:
        """Go on with files that were changed; what happened stays as it is."""
        with self._lock:
            self.home = home

    def _refresh(self) -> None:
        with self._lock:
            if self._journal.revision() != self._revision:
                self._revision, new = self._journal.events_since(self._revision)
                self._state = folded_on(self._state, self._happened, self._happened.take(new))

    def now(self) -> datetime:
        """What the clock says, with its time zone."""
        return self._clock()

    @property
    def revision(self) -> int:
        """A whole number that grows with each event, so that what follows from the events can be kept."""
        return self._journal.revision()

    @property
    def events(self) -> Happened:
        """Every event of the journal, in no order."""
        self._refresh()
        return self._happened

    def knows(self, event_id: str | None) -> bool:
        """Whether an event of this id is in the journal."""
        self._refresh()
        return event_id is not None and self._happened.event(event_id) is not None
