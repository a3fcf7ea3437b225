"""What became of exercises whose station is broken or busy, as the page says it beside "Saved"."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from random import Random

import pytest

from gyms import Clock, boathouse, join, outlines, tell_strength
from second_thoughts import skip_set
from steelyard.home import Home
from steelyard.journal.events import ExerciseEnded, ExercisePostponed, SessionsJoined, StationClosed
from steelyard.journal.sqlite import SqliteJournal
from steelyard.live.screen import screen
from steelyard.machine.examples import example_text
from steelyard.machine.file import read_machine
from steelyard.service import Steelyard
from steelyard.training.gym import Gym

TWO_ROWS = example_text("boathouse").replace('["lever_row_bent", ', '["lever_row_bent", "lever_row_chest", ')


class Ticking(Clock):
    """A clock that goes on whenever it is looked at, so that what is recorded later is later."""

    def __call__(self) -> datetime:
        self.wait(seconds=1)
        return self.now


def use_of(machine: str) -> Steelyard:
    """The boathouse as described so, with Ida, whose strength is known."""
    gym = Gym(read_machine(machine, "machine.toml"), boathouse().inventory, boathouse().exercises)
    home = Home(Path("boathouse"), gym, outlines())
    use = Steelyard(home, SqliteJournal.memory(), clock=Ticking(), random=Random(7), origin="test")
    tell_strength(use, join(use))
    return use


@pytest.fixture
def use() -> Steelyard:
    return use_of(example_text("boathouse"))


@pytest.fixture
def session(use: Steelyard) -> str:
    return use.start_session("ida", "pull")


def said(use: Steelyard, session: str) -> str:
    words: str = screen(use, (session,))["undo"]["words"]
    return words


def test_a_broken_station_says_what_is_left_out(use: Steelyard, session: str) -> None:
    use.record(StationClosed(session, "row-chest"))
    assert said(use, session) == "Chest-supported row out of order: Lever row, chest supported is left out"


def test_a_broken_station_says_where_its_exercise_is_done_instead() -> None:
    use = use_of(TWO_ROWS)
    session = use.start_session("ida", "pull")
    use.record(StationClosed(session, "row-chest"))
    assert (
        said(use, session) == "Chest-supported row out of order: Lever row, chest supported is done at Lever row"
    )


def test_of_two_broken_stations_each_says_its_own() -> None:
    use = use_of(TWO_ROWS)
    session = use.start_session("ida", "pull")
    use.record(StationClosed(session, "row-chest"))
    use.record(StationClosed(session, "row"))
    assert said(use, session) == "Lever row out of order: Lever row, chest supported is left out"


def test_of_an_exercise_begun_the_rest_is_left_out(use: Steelyard, session: str) -> None:
    skip_set(use, session, "1.work.1")
    use.record(StationClosed(session, "row-chest"))
    assert said(use, session).endswith(": the rest of Lever row, chest supported is left out")


def test_what_is_done_or_over_is_not_spoken_of(use: Steelyard, session: str) -> None:
    for number in range(1, outlines()["pull"].items[0].sets + 1):
        skip_set(use, session, f"1.work.{number}")
    use.record(StationClosed(session, "row-chest"))
    assert said(use, session) == "Chest-supported row out of order: nothing that is left needs it"
    use.record(ExerciseEnded(session, 2, "enough"))
    use.record(StationClosed(session, "high-pulley"))
    assert said(use, session) == "High pulley out of order: nothing that is left needs it"


def test_in_turn_it_is_said_once_for_all(use: Steelyard, session: str) -> None:
    tell_strength(use, join(use, "bo"))
    other = use.start_session("bo", "pull")
    use.record(SessionsJoined((session, other)))
    use.record(StationClosed(other, "row-chest"))
    assert said(use, session).count("left out") == 1


def test_a_busy_station_says_what_comes_first(use: Steelyard, session: str) -> None:
    use.record(ExercisePostponed(session, 1, 2))
    assert said(use, session) == "Lever row, chest supported comes after Lat pulldown, overhand, to the chest"


@pytest.mark.parametrize(
    "body", [StationClosed("", "moon"), ExercisePostponed("", 1, 99)], ids=["station", "place"]
)
def test_what_an_old_journal_calls_otherwise_is_still_named(
    use: Steelyard, session: str, body: StationClosed | ExercisePostponed
) -> None:
    old = StationClosed(session, "moon") if isinstance(body, StationClosed) else ExercisePostponed(session, 1, 99)
    use.record(old)
    assert said(use, session) in ("a station out of order", "another exercise first")
