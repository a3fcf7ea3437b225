"""Logs sets through the use cases until it is killed; prints an id once it is saved.

usage: set_logger.py HOME SEED

Even seeds log sets by themselves, odd ones the sets of a session.
"""

from __future__ import annotations

import os
import sys
from datetime import datetime
from pathlib import Path
from random import Random

from steelyard.home import read_home
from steelyard.journal.sqlite import SqliteJournal
from steelyard.service import Steelyard
from steelyard.units import Unit
from steelyard.workshop.sets import log_set


def main() -> None:
    """Log, then say so; never the other way round."""
    folder, seed = Path(sys.argv[1]), int(sys.argv[2])
    home = read_home(folder)
    use = Steelyard(
        home,
        SqliteJournal(home.journal),
        clock=lambda: datetime.now().astimezone(),
        random=Random(seed),
        origin=f"logger-{seed}",
    )
    home.gym.loads(home.gym.machine.stations["curl"])  # slow only once; the killing is to meet the logging
    saved(use.add_lifter(f"ida-{seed}", "Ida", Unit.KG, 24))
    while True:
        (log_session if seed % 2 else log_loose)(use, f"ida-{seed}")


def log_loose(use: Steelyard, lifter: str) -> None:
    """One set by itself."""
    saved(use.log_loose(lifter, "curl_lever", {"tip": ("5 kg",)}, 10, rir=1))


def log_session(use: Steelyard, lifter: str) -> None:
    """One session, set by set."""
    session = use.start_session(lifter, "curls")
    saved(session)
    while (planned := use.session(session).current) is not None:
        saved(log_set(use, session, planned.slot, planned.reps_low, rir=2))
    saved(use.end_session(session))


def saved(event_id: str) -> None:
    """Tell the one who will kill us."""
    os.write(1, f"{event_id}\n".encode())


if __name__ == "__main__":
    main()
