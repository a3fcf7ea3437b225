"""A calibration killed in the middle of the conversation loses no reading that it said was saved."""

from __future__ import annotations

import re
import subprocess
import sys
from contextlib import closing
from pathlib import Path
from random import Random

import pytest

from scale_person import Person
from steelyard.home import make_home
from steelyard.journal.events import ScaleRead
from steelyard.journal.sqlite import SqliteJournal


def begun(home: Path) -> subprocess.Popen[str]:
    """The conversation, its cautions confirmed."""
    command = [sys.executable, "-u", "-m", "steelyard", "--home", str(home), "machine", "calibrate", "row"]
    talk = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
    assert talk.stdin is not None
    talk.stdin.write("yes\n" + "\n".join(Person().protocol()) + "\n")
    talk.stdin.flush()
    return talk


def saved_before_the_kill(talk: subprocess.Popen[str], count: int) -> list[str]:
    """The short ids that were said to be saved, killed right after so many."""
    said: list[str] = []
    with talk:
        assert talk.stdout is not None
        for line in talk.stdout:
            said += re.findall(r"Saved ([0-9a-f]{8})", line)
            if len(said) == count:
                talk.kill()
    return said


@pytest.mark.parametrize("seed", range(3))
def test_every_reading_said_to_be_saved_is_on_disk(tmp_path: Path, seed: int) -> None:
    make_home(tmp_path / "gym")
    said: list[str] = []
    for count in (1, Random(seed).randint(2, 6)):
        said += saved_before_the_kill(begun(tmp_path / "gym"), count)
    with closing(SqliteJournal(tmp_path / "gym" / "journal.db")) as journal:
        kept = [event.id[:8] for event in journal.events() if isinstance(event.body, ScaleRead)]
    assert len(said) >= 3
    assert set(said) <= set(kept)
    assert len(kept) == len(set(kept))
