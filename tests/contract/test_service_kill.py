"""Someone logs sets and is killed 100 times at random moments; no set acknowledged is lost, none is doubled."""

from __future__ import annotations

from contextlib import closing
from pathlib import Path
from random import Random

import pytest

from contract.test_kill import KILLS, Killer
from steelyard.home import make_home
from steelyard.journal.events import SetDone
from steelyard.journal.fold import fold
from steelyard.journal.sqlite import SqliteJournal

MOST_SETS = 9
"""A logger prepares what is left after every set, so it writes more slowly than a bare journal is written."""
LOGGER = Path(__file__).with_name("set_logger.py")
CURLS = 'name = "curls"\n[[exercise]]\ndo = "curl_lever"\nreps = 10\nsets = 3\nrir = 2\nrest = "60 s"\n'


@pytest.fixture(scope="module")
def survived(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, list[str]]:
    folder = tmp_path_factory.mktemp("kill") / "gym"
    make_home(folder)
    (folder / "outlines" / "curls.toml").write_text(CURLS)
    acknowledged = Killer(LOGGER, folder, Random(20260304), MOST_SETS).acknowledged()
    return folder / "journal.db", acknowledged


def test_every_acknowledged_set_is_there(survived: tuple[Path, list[str]]) -> None:
    path, acknowledged = survived
    with closing(SqliteJournal(path)) as journal:
        stored = {event.id for event in journal.events()}
    assert len(acknowledged) > 3 * KILLS  # the loggers were in the middle of it
    assert set(acknowledged) <= stored


def test_no_set_is_doubled(survived: tuple[Path, list[str]]) -> None:
    path, acknowledged = survived
    with closing(SqliteJournal(path)) as journal:
        events = journal.events()
    assert len({event.id for event in events}) == len(events)
    assert len(events) - len(acknowledged) <= KILLS  # at most the one of each kill that was not yet said
    assert all(not session.repeats for session in fold(events).sessions.values())


def test_every_kill_left_a_whole_state(survived: tuple[Path, list[str]]) -> None:
    path, _ = survived
    with closing(SqliteJournal(path)) as journal:
        events = journal.events()
    state = fold(events)
    sets = [event for event in events if isinstance(event.body, SetDone)]
    assert len(list(state.sets())) == len(sets)
    assert {event.body.lifter for event in sets if isinstance(event.body, SetDone)} <= set(state.lifters)
