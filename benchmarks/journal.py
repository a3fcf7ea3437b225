"""What the journal costs: appends against a bare insert loop in the same run, and folding a hundred sessions.

Run it as ``python benchmarks/journal.py``. Figures of one machine compare with nothing but one another, so the
appends are given as a ratio to the bare loop, which forces the same bytes to the same disk.
"""

from __future__ import annotations

import sqlite3
import tempfile
import time
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random
from statistics import median

from steelyard.journal.codec import decode_line, encode_line
from steelyard.journal.events import Body, Event, SessionEnded, SessionStarted, SetDone, make_event
from steelyard.journal.fold import fold
from steelyard.journal.sqlite import SqliteJournal

APPENDS = 2000
SESSIONS = 100
SETS = 25


def sessions(count: int) -> list[Event]:
    """Sessions of 25 sets each, a day apart."""
    random, start = Random(1), datetime(2026, 3, 2, 18, 30, tzinfo=UTC)
    events = []
    for number in range(count):
        name = f"session-{number}"
        bodies: list[Body] = [SessionStarted(name, "ida", "pull", "boathouse"), *_sets(name), SessionEnded(name)]
        for minute, body in enumerate(bodies):
            at = start + timedelta(days=number, minutes=2 * minute)
            events.append(make_event(body, origin="benchmark", at=at, random=random))
    return events


def _sets(name: str) -> list[SetDone]:
    loading = {"tip": ("20 kg", "5 kg"), "base": ("10 kg",)}
    fixed = (name, "ida", "boathouse", "row", "seal-row")
    return [
        SetDone(*fixed, f"{n}.work.1", "work", "both", loading, 41.5, 8, 2, "reported", 120.0) for n in range(SETS)
    ]


def bare_appends_a_second(path: Path, rows: list[tuple[str, str]]) -> float:
    """Commits a second of a loop that does nothing but insert ready lines, just as durably."""
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("PRAGMA journal_mode = WAL")
        connection.execute("PRAGMA synchronous = FULL")
        connection.execute("CREATE TABLE event (id TEXT PRIMARY KEY, line TEXT NOT NULL) STRICT")
        began = time.perf_counter()
        for row in rows:
            connection.execute("INSERT INTO event VALUES (?, ?)", row)
        return len(rows) / (time.perf_counter() - began)


def appends_a_second(path: Path, events: list[Event]) -> float:
    """Appends a second, one event each."""
    with closing(SqliteJournal(path)) as journal:
        began = time.perf_counter()
        for event in events:
            journal.append([event])
        return len(events) / (time.perf_counter() - began)


def milliseconds(work: Callable[[], object]) -> float:
    """The median time of nine runs. [ms]"""
    times = []
    for _ in range(9):
        began = time.perf_counter()
        work()
        times.append(1000 * (time.perf_counter() - began))
    return median(times)


def main() -> None:
    """Measure and print."""
    events = sessions(SESSIONS)
    lines = [encode_line(event) for event in events]
    some = events[:APPENDS]
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        # bare, ours, bare: so that a disk that warms up or tires favours neither
        rows = [(event.id, line) for event, line in zip(some, lines, strict=False)]
        before = bare_appends_a_second(folder / "before.db", rows)
        ours = appends_a_second(folder / "ours.db", some)
        after = bare_appends_a_second(folder / "after.db", rows)
        with closing(SqliteJournal(folder / "all.db")) as journal:
            journal.append(events)
            reading = milliseconds(journal.events)
    bare = (before + after) / 2
    shuffled = Random(2).sample(events, len(events))
    print(f"appends a second        {ours:8.0f}   bare loop {bare:.0f}, ratio {ours / bare:.2f}")
    print(f"fold, {SESSIONS} sessions      {milliseconds(lambda: fold(events)):8.1f} ms   {len(events)} events")
    print(f"fold, shuffled          {milliseconds(lambda: fold(shuffled)):8.1f} ms")
    print(f"read all from the file  {reading:8.1f} ms")
    print(f"encode all              {milliseconds(lambda: [encode_line(e) for e in events]):8.1f} ms")
    print(f"decode all              {milliseconds(lambda: [decode_line(one, 'here') for one in lines]):8.1f} ms")


if __name__ == "__main__":
    main()
