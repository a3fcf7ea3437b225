"""The engine inside the page: the same Python, opened from what the server sent, deciding without it.

It holds a gym, its files and what happened before the sessions shown. What happened in these the page says each
time, whole, so that an event can also be taken back. Nothing is kept here.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path
from random import Random
from typing import Any

from steelyard.errors import OutOfRange, SteelyardError
from steelyard.home import read_home
from steelyard.journal.codec import event_from_plain
from steelyard.journal.events import Event
from steelyard.journal.memory import MemoryJournal
from steelyard.live.laws import read_laws
from steelyard.live.minds import Offer, wished
from steelyard.live.screen import Screen, screen
from steelyard.live.seen import session_events
from steelyard.service import Steelyard

ORIGIN = "engine"
"""It records nothing, so no event carries this."""


class Engine:
    """One gym inside the page."""

    def __init__(self, opened: Mapping[str, Any], folder: Path) -> None:
        """Read what the server sent.

        opened: as `live.opening.opening` makes it. folder: an empty one, for the files of the home.

        Raises: DamagedFile; DamagedJournal; OutOfRange for a file outside of the folder.
        """
        self.sessions: tuple[str, ...] = tuple(opened["sessions"])
        self._zone = timezone(timedelta(seconds=opened["offset_s"]))
        self._now: float | None = None
        self._read: dict[str, tuple[Mapping[str, Any], Event]] = {}
        write_home(folder, opened["files"])
        events = list(map(self._event, opened["events"]))
        own = {event.id for event in session_events(events, self.sessions)}
        before = [event for event in events if event.id not in own]
        journal, random = MemoryJournal(events), Random(0)
        self.steelyard = Steelyard(read_home(folder), journal, clock=self._clock, random=random, origin=ORIGIN)
        self.steelyard.gym.take_over(read_laws(self.steelyard.gym.machine, opened["laws"]))
        self._before = self.steelyard.supposing(before)

    def _clock(self) -> datetime:
        """The moment that is asked about, else now, where the server's clock hangs."""
        if self._now is not None:
            return datetime.fromtimestamp(self._now, self._zone)
        return datetime.now(UTC).astimezone(self._zone)

    def _event(self, plain: Mapping[str, Any]) -> Event:
        """An event, read once: the page says the same ones again and again."""
        known = self._read.get(plain["id"])
        if known is None or known[0] != plain:
            known = plain, event_from_plain(plain, "the page's events")
            self._read[plain["id"]] = known
        return known[1]

    def screen(
        self, events: Iterable[Mapping[str, Any]], *, sessions: Sequence[str] = (), now: float | None = None
    ) -> Screen:
        """The screen once these are the events of the sessions shown, and there are no others of them.

        sessions: those shown; as opened if empty. now: seconds since 1970; the clock's if None. [s]

        Raises: DamagedJournal for an event that can't be read; UnknownName for a session that none begins.
        """
        known = self._supposing(events)
        self._now = now
        try:
            return screen(known, tuple(sessions) or self.sessions)
        finally:
            self._now = None

    def wish(self, events: Iterable[Mapping[str, Any]], minutes: int) -> list[Offer]:
        """What ends the sessions in so many minutes, after these events. Raises: as `minds.wished`."""
        return wished(self._supposing(events), self.sessions[0], minutes)

    def _supposing(self, events: Iterable[Mapping[str, Any]]) -> Steelyard:
        return self._before.besides(map(self._event, events))


def write_home(folder: Path, files: Mapping[str, str]) -> None:
    """Write the files of a home, by their path inside it. Raises: OutOfRange for one that would lie outside."""
    for name, text in files.items():
        path = folder / name
        if not path.resolve().is_relative_to(folder.resolve()):
            raise OutOfRange("file of the home", f"'{name[:80]}'", "a path inside the home folder")
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")


class Desk:
    """Takes the worker's questions as text and answers as text: only text crosses between the languages."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._homes = 0
        self._engine: Engine | None = None

    def answer(self, question: str) -> str:
        """JSON for JSON: ``{"open": …}`` ``{"events": […], "sessions": […], "now": …}``
        or ``{"events": […], "minutes": …}``.

        The answer holds the screen, or in words why there is none.
        """
        try:
            return json.dumps(self._answered(json.loads(question)))
        except SteelyardError as problem:
            return json.dumps({"refused": str(problem)})

    def _answered(self, asked: dict[str, Any]) -> dict[str, Any]:
        if "open" in asked:
            self._homes += 1
            self._engine = Engine(asked["open"], self._folder / str(self._homes))
            return {"sessions": self._engine.sessions}
        if self._engine is None:
            raise OutOfRange("the question", "one before anything was opened", "asked after opening")
        if "minutes" in asked:
            return {"wish": self._engine.wish(asked["events"], asked["minutes"])}
        now, sessions = asked.get("now"), asked.get("sessions") or ()
        return {"screen": self._engine.screen(asked["events"], sessions=sessions, now=now)}
