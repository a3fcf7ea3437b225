"""A session that goes otherwise, from a terminal."""

from __future__ import annotations

from pathlib import Path

import pytest

from steelyard.home import make_home
from unit.test_cli import Shell


@pytest.fixture
def gym(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Shell:
    """A home where Ida, who is known at one exercise, has begun the pull session with its warm-up."""
    make_home(tmp_path / "gym")
    shell = Shell(tmp_path / "gym", capsys)
    shell.good("lifter", "add", "ida", "--name", "Ida", "--months", "24")
    shell.good("lifter", "weigh", "ida", "70 kg")
    for _ in range(2):
        shell.good("log", "--exercise", "lever_row_chest", "--plates", "tip=20 kg", "--reps", "8", "--left", "1")
    shell.good("log", "--reps", "8", "--outline", "pull")
    return shell


def test_another_exercise_is_listed_and_taken(gym: Shell) -> None:
    listed = gym.good("change", "--swap")
    assert listed.startswith("Instead of Lever row, chest supported, most alike first:\n  lever_row_bent: ")
    said = gym.good("change", "ida", "--swap", "lever_row_bent")
    assert said.startswith("Saved: ")
    assert " instead of Lever row, chest supported.\n" in said
    assert gym.good("change", "--undo").startswith(
        "Saved: the latest change is taken back.\nNext, Lever row, chest"
    )


def test_an_exercise_that_is_none_is_refused_with_those_that_are(gym: Shell) -> None:
    said = gym.refused("change", "--swap", "moon_walk")
    assert said.startswith("exercise with an open station 'moon_walk' is not known; known: lever_row_bent, ")


def test_at_a_busy_station_the_next_exercise_comes_first(gym: Shell) -> None:
    said = gym.good("change", "--busy")
    assert said.startswith("Saved: Lever row, chest supported comes after Lat pulldown")
    assert "Next, Lat pulldown" in said


def test_a_broken_station_is_left_and_swaps_are_named(gym: Shell) -> None:
    said = gym.good("change", "--broken")
    assert said.startswith("Saved: Chest-supported row is out of order for this session.\n")
    assert "Lever row, chest supported is left out: Chest-supported row is out of order. Instead: " in said
    assert "Next, Lat pulldown" in said


def test_missing_plates_are_told(gym: Shell) -> None:
    said = gym.good("change", "--missing", "5 kg*1", "--missing", "10 kg")
    assert said.startswith("Saved: 5 kg*1, 10 kg missing for this session.\n  Without 5 kg*1, 10 kg.")
    assert "plate '7 kg' is not known" in gym.refused("change", "--missing", "7 kg")


def test_a_load_goes_up_and_down(gym: Shell) -> None:
    assert " rather than " in gym.good("change", "--heavier")
    said = gym.good("change", "--lighter")
    assert "Your choice; " in said or "Next, " in said
    assert gym.good("change", "--lighter").startswith("Saved: ")


def test_a_light_test_set_gets_no_heavier_and_the_way_out_is_told(gym: Shell) -> None:
    gym.good("change", "--enough")
    said = gym.refused("change", "--heavier")
    assert said.startswith("the load of this set is test at ")
    assert "it must be one that can be made heavier: change the exercise with --swap" in said


@pytest.mark.parametrize(
    ("flag", "caution"),
    [("--pain", "Do not train through pain"), ("--enough", "")],
)
def test_an_exercise_is_over(gym: Shell, flag: str, caution: str) -> None:
    said = gym.good("change", flag)
    assert said.startswith("Saved: Lever row, chest supported is over for today.\n")
    assert caution in said
    assert "Next, Lat pulldown" in said


def test_after_a_sign_to_stop_nothing_more_is_offered(gym: Shell) -> None:
    said = gym.good("change", "--stop-sign")
    assert said.startswith("Saved: all training is over for today.\n  A sign to stop: train no more today, ")
    assert "Next, " not in said


def test_a_session_is_shortened(gym: Shell) -> None:
    said = gym.good("change", "--minutes", "8")
    assert said.startswith("Saved: 8 min are left.\n  For want of time, with 8 min left: ")
    assert "minutes left is 0; it must be from 1 to 1440" in gym.refused("change", "--minutes", "0")


def test_nothing_can_be_taken_back_where_nothing_was_changed(gym: Shell) -> None:
    said = gym.refused("change", "--undo")
    assert (
        said == "what was changed in this session is nothing, or taken back already; it must be one change or more"
    )


def test_without_a_session_nothing_can_be_changed(gym: Shell) -> None:
    gym.good("lifter", "add", "bo", "--name", "Bo", "--months", "3")
    said = gym.refused("change", "bo", "--broken")
    assert said == "the session of bo is not begun; it must be open; begin it with: steelyard log"
    assert gym.refused("change", "--broken") == "lifter is not named; it must be one of bo, ida"


def test_only_one_thing_is_said_at_a_time(gym: Shell, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        gym("change", "--busy", "--broken")
    assert "--broken" in capsys.readouterr().err
