"""`steelyard machine recount`: what was believed of each set then, and what is believed now."""

from __future__ import annotations

import csv
from contextlib import closing
from pathlib import Path

import pytest

from steelyard.home import make_home
from steelyard.journal.events import Event, SetDone
from steelyard.journal.sqlite import SqliteJournal
from unit.test_believed import heavier
from unit.test_cli import Shell, events


@pytest.fixture
def ida(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Shell:
    """A home where Ida has logged a row and a carry."""
    make_home(tmp_path / "gym")
    shell = Shell(tmp_path / "gym", capsys)
    shell.good("lifter", "add", "ida", "--name", "Ida", "--months", "24")
    shell.good("log", "--reps", "10", "--exercise", "lever_row_chest", "--plates", "tip=20 kg,5 kg")
    shell.good("log", "--reps", "12", "--exercise", "carry_suitcase", "--plates", "pin=20 kg")
    return shell


def believe(shell: Shell) -> None:
    """A calibration finds the empty arm a third heavier."""
    with closing(SqliteJournal(shell.folder / "journal.db")) as journal:
        journal.append([Event("c" * 32, "test", events(shell)[-1].at, heavier(0.333))])


def rows(shell: Shell) -> list[dict[str, str]]:
    return list(csv.DictReader(shell.good("machine", "recount", "--csv").splitlines()))


def test_before_a_calibration_nothing_differs(ida: Shell) -> None:
    lines = ida.good("machine", "recount").splitlines()
    assert lines[0] == "Boathouse lever gym, as described in its file"
    assert "(+0.0 %): ida, lever_row_chest at row-chest, 10 reps, tip=20 kg+5 kg" in lines[1]
    assert " then, as then now: ida, carry_suitcase at handle, 12 reps, pin=20 kg" in lines[2]


def test_after_one_both_are_shown(ida: Shell) -> None:
    (before, _) = rows(ida)
    believe(ida)
    row, carry = rows(ida)
    assert row["then_felt_kg"] == before["then_felt_kg"] == before["now_felt_kg"]
    assert float(row["now_felt_kg"]) > float(row["then_felt_kg"]) + 2
    assert float(row["change_percent"]) == pytest.approx(
        100 * (float(row["now_felt_kg"]) / float(row["then_felt_kg"]) - 1), abs=0.01
    )
    assert (carry["now_felt_kg"], carry["change_percent"]) == ("", "")
    assert "Boathouse lever gym, as calibrated on " in ida.good("machine", "recount", "ida")
    assert "Boathouse lever gym\nas calibrated on " in ida.good("machine")


def test_the_journal_keeps_what_was_believed_then(ida: Shell) -> None:
    before = [event.body.felt_kg for event in events(ida) if isinstance(event.body, SetDone)]
    believe(ida)
    ida.good("machine", "recount")
    ida.good("prepare")
    assert [event.body.felt_kg for event in events(ida) if isinstance(event.body, SetDone)] == before


def test_review_tells_of_the_change(ida: Shell) -> None:
    assert "weigh more or less" not in ida.good("review")
    believe(ida)
    assert "1 of 2 sets weigh more or less than was believed when they were done (+" in ida.good("review")


def test_a_changed_file_is_noted(ida: Shell) -> None:
    believe(ida)
    text = (ida.folder / "machine.toml").read_text().replace('mass = "16 kg"', 'mass = "17 kg"')
    (ida.folder / "machine.toml").write_text(text)
    lines = ida.good("machine", "recount").splitlines()
    assert lines[0] == "Boathouse lever gym, as described in its file"
    assert lines[1].startswith("note: The calibration of ")
    assert "note: The calibration of " in ida.good("prepare")
    assert "note: The calibration of " in ida.good("machine")


def test_an_unknown_lifter_is_told(ida: Shell) -> None:
    assert ida.refused("machine", "recount", "otto") == "lifter 'otto' is not known; known: ida"
