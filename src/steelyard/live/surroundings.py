"""What decides for sessions beside what happens in them, so that a page can tell when it knows too little."""

from __future__ import annotations

import json
from collections.abc import Sequence
from hashlib import sha256
from itertools import islice

from steelyard.home import Home, home_files
from steelyard.journal.events import Event, EventDeleted, SetCorrected
from steelyard.live.opening import counts
from steelyard.live.seen import is_of
from steelyard.service import PLATES_STAY, Steelyard


class Surroundings:
    """The events of others that decide for these sessions, and the files of the home, under one short name.

    Another lifter's set changes the plates on the horns, a weighing what the body loads, a calibration every load.
    Asked again and again it looks only at what has been added since.
    """

    def __init__(self, sessions: Sequence[str]) -> None:
        self._sessions = tuple(sessions)
        self._read = 0
        self._known: set[str] = set()
        self._name = 0
        self._files: tuple[Home, str] | None = None

    def name(self, steelyard: Steelyard) -> str:
        """A short name of all that as it stands now; another one once any of it has changed."""
        lifters = {steelyard.session_lifter(session).lifter for session in self._sessions}
        for event in islice(steelyard.events, self._read, None):
            self._read += 1
            if self._decides(steelyard, event, lifters):
                self._known.add(event.id)
                self._name ^= int(event.id, 16)  # in whatever order they came
        return f"{self._files_named(steelyard.home)}{self._name:032x}"

    def _decides(self, steelyard: Steelyard, event: Event, lifters: set[str]) -> bool:
        body = event.body
        if isinstance(body, SetCorrected | EventDeleted):
            return body.target in self._known
        if is_of(event, self._sessions):
            return False
        return counts(event, lifters, set(), steelyard.gym.machine.name, steelyard.now() - PLATES_STAY)

    def _files_named(self, home: Home) -> str:
        if self._files is None or self._files[0] is not home:
            texts = json.dumps(home_files(home.folder), sort_keys=True)
            self._files = home, sha256(texts.encode()).hexdigest()[:16]
        return self._files[1]
