"""Appends batches of events until it is killed, or until it has written enough; prints an id once it is saved.

usage: journal_writer.py PATH SEED [BATCHES]
"""

from __future__ import annotations

import itertools
import os
import sys
from datetime import UTC, datetime
from random import Random

from steelyard.journal.events import Event, SetCorrected, make_event
from steelyard.journal.sqlite import SqliteJournal

BATCH = 2


def batch(random: Random, number: int) -> list[Event]:
    """Some events whose origin names their batch, the same for the same seed and number."""
    at = datetime(2026, 3, 2, tzinfo=UTC)
    bodies = [SetCorrected(f"{number:032x}", reps=reps) for reps in range(BATCH)]
    return [make_event(body, origin=f"batch-{number}", at=at, random=random) for body in bodies]


def main() -> None:
    """Write, then say so; never the other way round."""
    path, seed, *batches = sys.argv[1:]
    random = Random(int(seed))
    journal = SqliteJournal(path)
    for number in range(int(batches[0])) if batches else itertools.count():
        events = batch(random, number)
        journal.append(events)
        os.write(1, "".join(f"{saved.id}\n" for saved in events).encode())
    journal.close()


if __name__ == "__main__":
    main()
