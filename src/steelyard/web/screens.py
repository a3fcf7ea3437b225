"""Screens worked out lately, and what else decides for them."""

from __future__ import annotations

from starlette.requests import Request

from steelyard.live.screen import Screen, screen
from steelyard.live.surroundings import Surroundings
from steelyard.service import Steelyard

SCREENS_KEPT = 8


class Screens:
    """Screens worked out lately, so that a page that only asks whether anything is new costs next to nothing."""

    def __init__(self, steelyard: Steelyard) -> None:
        self._steelyard = steelyard
        self._kept: dict[tuple[object, ...], Screen] = {}
        self._around: dict[tuple[str, ...], Surroundings] = {}

    def screen(self, sessions: tuple[str, ...]) -> Screen:
        """The screen as it is now. Raises: UnknownName."""
        known, now, revision = self._steelyard, self._steelyard.now(), self._steelyard.revision
        key = (sessions, revision, now.date(), id(known.home))
        if key not in self._kept:
            made = screen(known, sessions)
            if known.revision != revision:  # another program wrote meanwhile: parts are of two moments
                return self.screen(sessions)
            while len(self._kept) >= SCREENS_KEPT:
                self._kept.pop(next(iter(self._kept)))
            self._kept[key] = made
        return self._kept[key] | {"now": round(now.timestamp(), 3)}

    def around(self, sessions: tuple[str, ...]) -> str:
        """What else decides, under a short name; see `Surroundings`. Raises: UnknownName."""
        if sessions not in self._around:
            while len(self._around) >= SCREENS_KEPT:
                self._around.pop(next(iter(self._around)))
            self._around[sessions] = Surroundings(sessions)
        return self._around[sessions].name(self._steelyard)


def screens_of(request: Request) -> Screens:
    """The screens of this server."""
    screens: Screens = request.app.state.screens
    return screens
