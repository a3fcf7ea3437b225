"""Sessions played on a server's Steelyard: what the engine in a page is asked then, and what it should answer."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random
from typing import Any

from second_thoughts import correct_set, skip_set
from steelyard.demo import ensure_demo
from steelyard.home import make_home, read_home
from steelyard.journal.codec import plain_event
from steelyard.journal.sqlite import SqliteJournal
from steelyard.live.opening import opening
from steelyard.live.screen import Screen, screen
from steelyard.live.seen import session_events
from steelyard.recording import SessionView
from steelyard.service import Steelyard
from steelyard.training.model import PreparedSet, Role
from steelyard.units import Unit
from steelyard.workshop.sets import log_set

EVENING = datetime(2026, 3, 5, 18, 30, tzinfo=UTC)
MACHINES = ("boathouse", "twin-arms", "counterbeam")
TRIED = {
    "twin-arms": ("chest_press_lever", "lever_row_one_arm", "deadlift_lever"),
    "counterbeam": ("lever_row_bent", "pulldown_lever", "cable_row_seated", "pull_up"),
}
"""What a newcomer does on a machine: two sets of each, the last with a drop."""


@dataclass
class Clock:
    """A clock that is set by hand."""

    now: datetime = EVENING

    def __call__(self) -> datetime:
        """What it says."""
        return self.now


@dataclass(frozen=True)
class Played:
    """opened: what the engine is opened with. asked, answers: step by step."""

    opened: dict[str, Any]
    asked: list[dict[str, Any]]
    answers: list[Screen]


def played(folder: Path, machine: str, *, seed: int = 1) -> Played:
    """A whole session with several different outcomes on a machine, as the server sees it.

    On the boathouse it is one of the demo's people, on the machine as calibrated; elsewhere a newcomer with two
    sessions behind them.
    """
    clock, random = Clock(), Random(seed)
    lifter, outline = ("tove", "pull") if machine == "boathouse" else ("ida", "trial")
    if machine == "boathouse":
        ensure_demo(folder, EVENING)
    else:
        make_home(folder, machine)
        (folder / "outlines" / "trial.toml").write_text(outline_of(TRIED[machine]))
    home = read_home(folder)
    with closing(SqliteJournal(home.journal)) as journal:
        steelyard = Steelyard(home, journal, clock=clock, random=random, origin="test")
        if machine != "boathouse":
            _introduce(steelyard, clock, random, outline)
        session = steelyard.start_session(lifter, outline)
        opened = opening(steelyard, (session,))
        asked, answers = [], []
        for _ in _done_set_by_set(steelyard, session, clock, random):
            plain = [plain_event(event) for event in session_events(steelyard.events, (session,))]
            asked.append({"events": plain, "now": clock.now.timestamp()})
            answers.append(screen(steelyard, (session,)))
        return Played(opened, asked, answers)


def outline_of(exercises: Sequence[str]) -> str:
    """An outline file with two sets of each exercise, the last set of the last followed by a drop."""
    tables = [f'[[exercise]]\ndo = "{name}"\nreps = [8, 10]\nrir = [2, 1]\nrest = "90 s"\n' for name in exercises]
    return 'name = "trial"\n' + "".join(tables) + 'then = "drop"\n'


def _introduce(steelyard: Steelyard, clock: Clock, random: Random, outline: str) -> None:
    clock.now -= timedelta(days=14)
    steelyard.add_lifter("ida", "Ida", Unit.KG, 24)
    steelyard.record_body_mass("ida", 70.0)
    for _ in range(2):
        session = steelyard.start_session("ida", outline)
        for _ in _done_set_by_set(steelyard, session, clock, random):
            pass
        steelyard.end_session(session)
        clock.now += timedelta(days=7)


def _done_set_by_set(steelyard: Steelyard, session: str, clock: Clock, random: Random) -> Iterator[SessionView]:
    """The session before its first set and after each, with good days and bad, skips and second thoughts."""
    view = steelyard.session(session)
    yield view
    while view.current is not None and len(view.session.sets) < 40:
        clock.now += timedelta(seconds=random.randint(40, 200))
        _do(steelyard, session, view.current, random)
        view = steelyard.session(session)
        yield view


def _do(steelyard: Steelyard, session: str, one: PreparedSet, random: Random) -> None:
    if one.role == Role.WORK and random.random() < 0.1:
        skip_set(steelyard, session, one.slot)
        return
    reps = max(0, random.randint(one.reps_low - 3, one.reps_high + 1))
    rir = None if one.role == Role.WARM_UP or random.random() < 0.2 else random.randint(0, 6)
    done = log_set(steelyard, session, one.slot, reps, rir=rir)
    if random.random() < 0.1:
        correct_set(steelyard, done, reps=reps + 1, rir=1)
    if random.random() < 0.1:
        steelyard.delete(done)
