"""A writer is killed 100 times at random moments; nothing it acknowledged is lost, nothing is doubled."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
import time
from collections import Counter
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import IO

import pytest

from steelyard.journal.sqlite import SqliteJournal

WRITER = Path(__file__).with_name("journal_writer.py")
KILLS = 100
BATCH = 2
MOST_IDS = 30


@dataclass
class Killer:
    """Starts a writer again and again and kills it: mostly in the middle of its work, now and then while it opens.

    most_ids:  a writer is killed soon after it acknowledged from one to so many, drawn at random.
    opening_s: how long the latest took to its first; a slow disk or a busy machine makes all of it slow.
    """

    program: Path
    path: Path
    moment: Random
    most_ids: int
    opening_s: float = 0.0

    def acknowledged(self) -> list[str]:
        """What all of them acknowledged."""
        return [each for seed in range(1, KILLS + 1) for each in self._before_its_end(seed)]

    def _before_its_end(self, seed: int) -> list[str]:
        writer = subprocess.Popen([sys.executable, self.program, self.path, str(seed)], stdout=subprocess.PIPE)
        assert writer.stdout is not None
        said = self._some(writer.stdout) if seed % 4 else []
        if not said:
            time.sleep(self.moment.uniform(0, self.opening_s))
        writer.kill()  # SIGKILL on POSIX: no handler runs, no buffer is flushed
        rest, _ = writer.communicate()
        return [line.decode() for line in b"".join([*said, rest]).split(b"\n")[:-1]]

    def _some(self, told: IO[bytes]) -> list[bytes]:
        """The first ids; then a part of the time in which the next would follow."""
        begun = time.perf_counter()
        said = [told.readline()]
        first = time.perf_counter()
        said += [told.readline() for _ in range(self.moment.randrange(self.most_ids))]
        self.opening_s = first - begun
        time.sleep(self.moment.uniform(0, 2 * (time.perf_counter() - first) / len(said)))
        return said


@pytest.fixture(scope="module")
def survived(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, list[str]]:
    path = tmp_path_factory.mktemp("kill") / "home.journal"
    return path, Killer(WRITER, path, Random(20260302), MOST_IDS).acknowledged()


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
