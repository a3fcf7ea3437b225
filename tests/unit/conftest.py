"""The demo home, made once; and use cases on a copy of it, for the tests of the page."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from random import Random

import pytest

from steelyard.demo import ensure_demo
from steelyard.home import read_home
from steelyard.journal.sqlite import SqliteJournal
from steelyard.service import Steelyard

EVENING = datetime(2026, 3, 5, 18, 30, tzinfo=UTC)
"""A Thursday, after six weeks of the demo."""


@pytest.fixture(scope="session")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("demo") / "home"
    ensure_demo(folder, EVENING)
    return folder


@pytest.fixture
def steelyard(demo: Path, tmp_path: Path) -> Iterator[Steelyard]:
    shutil.copytree(demo, tmp_path / "home")
    home = read_home(tmp_path / "home")
    journal = SqliteJournal(home.journal)
    yield Steelyard(home, journal, clock=lambda: EVENING, random=Random(3), origin="test")
    journal.close()
