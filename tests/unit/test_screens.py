"""Screens that are kept: each belongs to one moment, also while another program writes."""

from __future__ import annotations

from random import Random

import pytest

from steelyard.journal.sqlite import SqliteJournal
from steelyard.live.screen import Screen, screen
from steelyard.service import Steelyard
from steelyard.web.screens import Screens


def test_what_another_program_writes_meanwhile_is_in_the_screen(
    steelyard: Steelyard, monkeypatch: pytest.MonkeyPatch
) -> None:
    session = steelyard.start_session("tove", "pull")
    journal = SqliteJournal(steelyard.home.journal)
    other = Steelyard(steelyard.home, journal, clock=steelyard.now, random=Random(8), origin="other")
    made: list[bool] = []

    def written_meanwhile(known: Steelyard, sessions: tuple[str, ...]) -> Screen:
        found = screen(known, sessions)
        if not made:
            other.end_session(session)
        made.append(found["ended"])
        return found

    monkeypatch.setattr("steelyard.web.screens.screen", written_meanwhile)
    assert Screens(steelyard).screen((session,))["ended"]
    assert made == [False, True]
    journal.close()
