"""A writer is killed 100 times at random moments; nothing it acknowledged is lost, nothing is doubled."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
import time
from collections import Counter
from contextlib import closing
from pathlib import Path
from random import Random

import pytest

from steelyard.journal.sqlite import SqliteJournal

WRITER = Path(__file__).with_name("journal_writer.py")
KILLS = 100
BATCH = 2


def written_until_killed(
    program: Path, path: Path, seed: int, moment: Random, *, within_s: float = 0.05
) -> list[str]:
    """The ids a writer acknowledged before it was killed: most while it writes, some while it opens the file."""
    writer = subprocess.Popen([sys.executable, program, path, str(seed)], stdout=subprocess.PIPE)
    assert writer.stdout is not None
    first = writer.stdout.readline() if seed % 4 else b""
    time.sleep(moment.uniform(0, within_s if first else 2 * within_s))
    writer.kill()  # SIGKILL on POSIX: no handler runs, no buffer is flushed
    rest, _ = writer.communicate()
    return [line.decode() for line in (first + rest).split(b"\n")[:-1]]


@pytest.fixture(scope="module")
def survived(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, list[str]]:
    path = tmp_path_factory.mktemp("kill") / "home.journal"
    moment = Random(20260302)
    return path, [id_ for seed in range(KILLS) for id_ in written_until_killed(WRITER, path, seed, moment)]


def test_nothing_acknowledged_is_lost(survived: tuple[Path, list[str]]) -> None:
    path, acknowledged = survived
    with closing(SqliteJournal(path)) as journal:
        stored = {kept.id for kept in journal.events()}
    assert len(acknowledged) > 10 * KILLS  # the writers were in the middle of it
    assert set(acknowledged) <= stored


def test_no_more_is_there_than_each_kill_can_have_left_unsaid(survived: tuple[Path, list[str]]) -> None:
    path, acknowledged = survived
    with closing(SqliteJournal(path)) as journal:
        events = journal.events()
    assert len({kept.id for kept in events}) == len(events)
    assert len(events) - len(acknowledged) <= KILLS * BATCH


def test_no_append_is_there_in_part(survived: tuple[Path, list[str]]) -> None:
    path, _ = survived
    with closing(SqliteJournal(path)) as journal:
        sizes = Counter(kept.origin for kept in journal.events())
    assert all(size % BATCH == 0 for size in sizes.values())


def test_the_file_is_whole(survived: tuple[Path, list[str]]) -> None:
    path, _ = survived
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
