"""How long a tap takes once years have passed, beside the same tap after the demo's months. Processor time.

    python benchmarks/long_history.py [TIMES]

The demo's history is repeated TIMES over (12: some six years of two lifters), each time that much earlier. Figures
of one run on one machine; no test.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random

from steelyard.demo import ensure_demo
from steelyard.home import Home, read_home
from steelyard.journal.events import (
    Body,
    Event,
    EventDeleted,
    LifterJoined,
    MachineCalibrated,
    ScaleRead,
    SetCorrected,
    SetDone,
)
from steelyard.journal.memory import MemoryJournal
from steelyard.journal.sqlite import SqliteJournal
from steelyard.live.screen import screen
from steelyard.recording import planned_set
from steelyard.service import Steelyard

EVENING = datetime(2026, 3, 5, 18, 30, tzinfo=UTC)
SPAN = timedelta(days=196)
TAPS = 8
ONCE = (LifterJoined, ScaleRead, MachineCalibrated)


def renamed(event_id: str, time_over: int) -> str:
    """An id of its own for each repetition."""
    return f"{(int(event_id, 16) + 7919 * time_over) % 16**32:032x}"


def repeated(body: Body, time_over: int) -> Body:
    """What happened, in a session and of events of that repetition."""
    if isinstance(body, SetCorrected | EventDeleted):
        return replace(body, target=renamed(body.target, time_over))
    session = getattr(body, "session", "")
    return replace(body, session=renamed(session, time_over)) if session else body  # type: ignore[arg-type]


def history(home: Home, times: int) -> Iterator[Event]:
    """The demo's events so many times over."""
    journal = SqliteJournal(home.journal)
    events = journal.events()
    journal.close()
    yield from events
    for over in range(1, times):
        for event in events:
            if not isinstance(event.body, ONCE):
                at = event.at - over * SPAN
                yield Event(renamed(event.id, over), event.origin, at, repeated(event.body, over))


def told(home: Home, times: int) -> float:
    """The median time of a tap, printed with what goes before. [ms]"""
    events, now, random = list(history(home, times)), [EVENING], Random(2)
    gym = Steelyard(home, MemoryJournal(events), clock=lambda: now[0], random=random, origin="bench")
    began = time.process_time()
    done = sum(isinstance(event.body, SetDone) for event in gym.events)
    added = 1000 * (time.process_time() - began)
    session = gym.start_session("tove", "pull")
    began = time.process_time()
    shown = screen(gym, (session,))
    first = 1000 * (time.process_time() - began)
    taps = []
    for _ in range(TAPS):
        now[0] += timedelta(seconds=90)
        one = shown["cards"][0]
        reps = random.randint(one["low"] - 1, one["high"])
        rir = None if one["role"] == "warm-up" else 2
        gym.record(planned_set(gym.session(session), one["slot"], reps, rir=rir, failed=False, at=now[0]))
        began = time.process_time()
        shown = screen(gym, (session,))
        taps.append(1000 * (time.process_time() - began))
    tap = statistics.median(taps)
    print(f"{done:7} sets: added up {added:6.0f} ms, first screen {first:6.0f} ms, a tap {tap:5.1f} ms")
    return tap


def main() -> None:
    """Print both and the ratio."""
    times = int(sys.argv[1]) if len(sys.argv) > 1 else 12
    with tempfile.TemporaryDirectory() as place:
        ensure_demo(Path(place) / "demo", EVENING)
        home = read_home(Path(place) / "demo")
        short, long = told(home, 1), told(home, times)
    print(f"{times} times the history: a tap takes {long / short:.2f} times as long")


if __name__ == "__main__":
    main()
