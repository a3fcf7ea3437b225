"""Several lifters in turn on the command line."""

from __future__ import annotations

from contextlib import closing
from pathlib import Path

import pytest

from steelyard.cli.opening import open_steelyard
from steelyard.home import make_home
from steelyard.journal.events import SessionsJoined
from steelyard.journal.sqlite import SqliteJournal
from unit.test_cli import Shell

ROWS = 'name = "rows"\n[[exercise]]\ndo = "lever_row_chest"\nreps = 15\nrir = [2]\n'


@pytest.fixture
def gym(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Shell:
    """A home with Ida and Bo, who have answered the screening and whose rows are known."""
    make_home(tmp_path / "gym")
    (tmp_path / "gym" / "outlines" / "rows.toml").write_text(ROWS)
    shell = Shell(tmp_path / "gym", capsys)
    for name in ("ida", "bo"):
        shell.good("lifter", "add", name, "--name", name.title(), "--months", "24")
        shell.good("lifter", "weigh", name, "70 kg")
        shell.good(
            "log",
            name,
            "--reps",
            "10",
            "--left",
            "1",
            "--exercise",
            "lever_row_chest",
            "--plates",
            "tip=20 kg,5 kg",
        )
        open_steelyard(shell.folder).answer_screening(name, True, False, False)
    return shell


def joins(shell: Shell) -> int:
    with closing(SqliteJournal(shell.folder / "journal.db")) as journal:
        return sum(isinstance(event.body, SessionsJoined) for event in journal.events())


def test_two_begin_together_and_the_first_named_is_next(gym: Shell) -> None:
    out = gym.good("together", "bo", "ida", "--outline", "rows").splitlines()
    assert out[0] == "Bo and Ida are in turn. Log each set with: steelyard log ID --reps N"
    assert out[1] == "Next, Bo, Lever row, chest supported:"


def test_begun_again_they_go_on(gym: Shell) -> None:
    first = gym.good("together", "bo", "ida", "--outline", "rows")
    assert gym.good("together", "bo", "ida") == first
    assert joins(gym) == 1


def test_after_a_set_the_turn_is_the_others(gym: Shell) -> None:
    gym.good("together", "bo", "ida", "--outline", "rows")
    assert "Next, Ida, Lever row" in gym.good("log", "bo", "--reps", "8")
    assert "Next, Bo, Lever row" in gym.good("log", "ida", "--reps", "8")


def test_who_is_done_leaves_the_next_set_to_the_other(gym: Shell) -> None:
    gym.good("together", "bo", "ida", "--outline", "rows")
    out = ""
    while "That was the last set" not in out:
        out = gym.good("log", "bo", "--reps", "8")
    assert "That was the last set of the session.\nNext, Ida, Lever row" in out


def test_one_lifter_is_no_company(gym: Shell) -> None:
    assert gym.refused("together", "bo") == "the company in turn is bo; it must be 2 to 4 different lifters"


def test_who_has_not_answered_the_screening_is_told_where(gym: Shell) -> None:
    gym.good("lifter", "add", "tove", "--name", "Tove", "--months", "3")
    told = gym.refused("together", "bo", "tove", "--outline", "rows")
    assert (
        told
        == "the screening of Tove is not answered; it must be answered first, on the page /lifter/tove/screening"
    )
