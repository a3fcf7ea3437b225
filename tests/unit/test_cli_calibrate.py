"""`steelyard machine calibrate`, as a person walks through it and as a script uses it."""

from __future__ import annotations

import io
import re
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from scale_person import Person, truly_felt_kg
from steelyard.cli.commands import run
from steelyard.home import make_home
from steelyard.journal.events import EventDeleted, MachineCalibrated, ScaleRead
from unit.test_cli import Shell, events, no_page

Talk = Callable[..., str]


@pytest.fixture
def gym(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Shell:
    make_home(tmp_path / "gym")
    return Shell(tmp_path / "gym", capsys)


@pytest.fixture
def talk(gym: Shell, monkeypatch: pytest.MonkeyPatch) -> Talk:
    """Types these lines into the conversation, the cautions confirmed, and hands back what was printed."""

    def typed(*lines: str, station: str = "row", options: tuple[str, ...] = ()) -> str:
        monkeypatch.setattr(sys, "stdin", io.StringIO("\n".join(("yes", *lines)) + "\n"))
        return gym.good("machine", "calibrate", station, *options)

    return typed


def readings(gym: Shell) -> list[ScaleRead]:
    return [event.body for event in events(gym) if isinstance(event.body, ScaleRead)]


def interval(printed: str, station: str, load: str) -> tuple[float, float, float]:
    """Best, low and high felt load of a station in a report. [kg]"""
    section = printed.rsplit("Felt load, in brackets", maxsplit=1)[-1].split(f"  {station}: ")[1]
    found = re.search(rf"{load}[^:]*: ([\d.]+) kg \(([\d.]+) to ([\d.]+)\)", section)
    assert found
    return float(found[1]), float(found[2]), float(found[3])


# ---- the conversation ----


def test_nothing_begins_before_the_cautions_are_confirmed(gym: Shell, monkeypatch: pytest.MonkeyPatch) -> None:
    for answer in ("no\n", "", "row 10 deg up empty 9 kg\n"):
        monkeypatch.setattr(sys, "stdin", io.StringIO(answer))
        code, out, err = gym("machine", "calibrate")
        assert code == 1
        assert out.index("for your safety") < out.index("Type yes")
        assert err.startswith("steelyard: the answer to the cautions is '")
    assert readings(gym) == []


def test_a_whole_protocol_in_any_order_and_unit_finds_the_truth(gym: Shell, talk: Talk) -> None:
    out = talk(*Person().protocol(), "done", "yes")
    assert "Boathouse lever gym: 20 readings used." in out
    for station in ("row", "row-chest"):
        for load, plates in (("no plates", {}), ("tip=45 lb old", {"tip": ("45 lb old",)})):
            best, low, high = interval(out, station, load)
            truth = truly_felt_kg(station, plates)
            assert low <= truth <= high
            assert best == pytest.approx(truth, rel=0.03)
    assert out.rstrip().splitlines()[-1].endswith(").")


def test_from_the_kept_calibration_on_loads_are_reckoned_with_it(gym: Shell, talk: Talk) -> None:
    before = gym.good("plates", "row").splitlines()[0]
    talk(*Person().protocol(), "done", "yes")
    after = gym.good("plates", "row").splitlines()[0]
    assert before.split()[0] == "8.0"
    assert float(after.split()[0]) == pytest.approx(truly_felt_kg("row", {}), rel=0.03)


def test_two_readings_already_give_an_answer_with_wide_bounds(gym: Shell, talk: Talk) -> None:
    person = Person()
    out = talk(person.line(0, "up"), person.line(0, "up", "45 lb old"), "done", "no")
    best, low, high = interval(out, "row", "tip=45 lb old")
    assert low < truly_felt_kg("row", {"tip": ("45 lb old",)}) < high
    assert 0.015 < (high - low) / best < 0.25
    assert out.endswith("Not kept. The readings stay; keep it later with: steelyard machine calibrate --keep\n")


def test_pounds_typed_as_kilograms_are_named(gym: Shell, talk: Talk) -> None:
    person = Person()
    lines = [person.line(angle, creep) for angle in (-10, 0, 10) for creep in ("up", "down")]
    lines += [person.line(angle, "up", "45 lb old") for angle in (-10, 0, 10)]
    slip = f"row 5 deg down tip=45 lb old {person.shows(5, 'down', '45 lb old') / 0.45359237:.1f} kg"
    out = talk(*lines, slip, "done", "no")
    told = next(line for line in out.splitlines() if "Can't be right" in line)
    assert "row, 5.0 degrees, creeping down, tip=45 lb old: it says " in told
    assert "lb" in told.split("expect")[1]
    assert "9 readings used, 1 left out" in out


def test_what_is_left_out_is_taken_from_the_step_asked_for(gym: Shell, talk: Talk) -> None:
    out = talk("8.6", "done", "no")
    (read,) = readings(gym)
    assert (read.station, read.plates, read.unit, read.as_typed) == ("row", {}, "kg", "8.6")
    assert f"row, {out.split('row, ')[1].split(' degrees')[0]} degrees" in out


def test_a_bare_number_is_in_the_unit_used_last(gym: Shell, talk: Talk) -> None:
    talk("19 lb", "19", "done", "no")
    assert [round(read.scale_kg, 3) for read in readings(gym)] == [8.618, 8.618]


def test_a_slip_is_told_and_the_conversation_goes_on(gym: Shell, talk: Talk) -> None:
    out = talk("bad stuff", "tip=3x20 kg 40 kg", "92 cm 8 kg", "8.6 kg", "done", "no")
    assert out.count("Not saved: ") == 3
    assert "it must not exceed 45 kg, half of its label, while you calibrate" in out
    assert len(readings(gym)) == 1


def test_undo_skip_show_and_help(gym: Shell, talk: Talk) -> None:
    out = talk("undo", "8.6 kg", "show", "undo", "skip", "help", "done")
    assert "Not saved: the number of readings is 0; it must be 1 or more to undo one." in out
    assert "creeping up, empty: 8.60 kg" in out
    assert "Undone: row" in out
    assert re.search(r"^2 of \d+: ", out.split("Undone")[1], re.MULTILINE)
    assert "Commands: show (all readings" in out
    assert out.endswith("No reading was taken; nothing is changed.\n")


def test_what_was_read_before_a_break_is_still_there(gym: Shell, talk: Talk) -> None:
    first = talk("8.6 kg")
    assert "Not kept. The readings stay" in first
    second = talk("done", "no")
    assert "Readings so far: 1. They are kept" in second
    assert "2 of " in second.split("Readings so far")[1]


def test_a_break_by_hand_loses_nothing(gym: Shell, monkeypatch: pytest.MonkeyPatch) -> None:
    typed = iter(["yes", "8.6 kg"])

    def ask(prompt: str) -> str:
        try:
            return next(typed)
        except StopIteration:
            raise KeyboardInterrupt from None

    monkeypatch.setattr("builtins.input", ask)
    assert run(["--home", str(gym.folder), "machine", "calibrate", "row"], serve_page=no_page) == 130
    assert len(readings(gym)) == 1


def test_a_scale_near_its_end_is_warned_of(gym: Shell, talk: Talk) -> None:
    out = talk("14 kg", "21 kg", "done", "no", options=("--scale-range", "20 kg"))
    assert "Mind: 14.0 kg is beyond 12.0 kg, 60 % of the scale's range" in out
    assert "Not saved: what the scale showed is 21 kg; it must be above 0 and at most 20 kg" in out


def test_a_reading_that_would_near_the_scales_end_is_warned_of_before_the_pull(talk: Talk) -> None:
    assert "Mind before you pull" in talk("done", options=("--scale-range", "10 kg"))
    assert "Mind before you pull" not in talk("done", options=("--scale-range", "100 kg"))


def test_loads_may_be_read_in_pounds(gym: Shell, talk: Talk) -> None:
    out = talk("19", "done", "no", options=("--unit", "lb"))
    assert re.search(r"About 1[5-9] lb is expected on the scale", out)
    assert readings(gym)[0].unit == "lb"


# ---- scripts ----


def test_readings_come_from_options_and_are_fitted_and_kept(gym: Shell) -> None:
    person = Person()
    typed = [word for line in person.protocol() for word in ("--read", line)]
    out = gym.good("machine", "calibrate", *typed, "--fit", "--keep")
    assert out.count("Saved ") == 20
    assert "20 readings used." in out
    assert "Kept: from now on loads are reckoned with this calibration (" in out
    kept = [event.body for event in events(gym) if isinstance(event.body, MachineCalibrated)]
    assert len(kept[0].readings) == 20


def test_readings_come_from_a_file_once(gym: Shell, tmp_path: Path) -> None:
    file = tmp_path / "sunday.txt"
    file.write_text("# Sunday\n\n" + "\n".join(Person().protocol()))
    assert gym.good("machine", "calibrate", "--readings", str(file)) == "20 readings read, 20 of them new.\n"
    assert gym.good("machine", "calibrate", "--readings", str(file)) == "20 readings read, 0 of them new.\n"
    assert len(readings(gym)) == 20


def test_readings_come_from_a_pipe(gym: Shell, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO("10 deg up empty 9 kg\n"))
    assert gym.good("machine", "calibrate", "row", "--readings", "-") == "1 readings read, 1 of them new.\n"


def test_a_reading_is_forgotten_by_its_id(gym: Shell) -> None:
    gym.good("machine", "calibrate", "--read", "row 10 deg up empty 9 kg")
    saved = events(gym)[-1].id
    out = gym.good("machine", "calibrate", "--forget", saved[:6])
    assert out == "Undone: row, 10.0 degrees, creeping up, empty\n"
    assert events(gym)[-1].body == EventDeleted(saved)


def test_without_a_reading_there_is_nothing_to_fit(gym: Shell) -> None:
    assert (
        gym.good("machine", "calibrate", "--fit")
        == "No reading yet; take them with: steelyard machine calibrate\n"
    )


def test_after_the_file_was_changed_the_readings_are_fitted_again_in_one_step(gym: Shell) -> None:
    typed = [word for line in Person().protocol() for word in ("--read", line)]
    gym.good("machine", "calibrate", *typed, "--keep")
    text = (gym.folder / "machine.toml").read_text().replace('mass = "16 kg"', 'mass = "19 kg"')
    (gym.folder / "machine.toml").write_text(text)
    assert "note: The calibration of " in gym.good("machine", "recount")
    gym.good("machine", "calibrate", "--fit", "--keep")
    assert "as calibrated on " in gym.good("machine", "recount")
    felt = float(gym.good("plates", "row").split()[0])
    assert felt == pytest.approx(truly_felt_kg("row", {}), rel=0.03)


WRONG = [
    (("rowing",), "station with an arm 'rowing' is not known; did you mean row?"),
    (("inverted-row",), "station with an arm 'inverted-row' is not known"),
    (("--read", "row 10 deg up 9 kg"), "the load at station row is missing; it must be said: empty, or plates"),
    (("--read", "nonsense"), "the reading is 'nonsense', where 'nonsense' is not clear; it must be parts such as"),
    (("--read", ""), "what the scale showed is missing"),
    (("--readings", "nowhere.txt"), "nowhere.txt is not readable (No such file or directory)"),
    (("--keep",), "the number of readings is 0; it must be 1 or more; take them with steelyard machine calibrate"),
    (("--forget", "3fa2"), "reading '3fa2' is not known; known: none yet"),
    (("--fit", "--scale-range", "big"), "mass is 'big'; it must be a mass such as 20 kg, 45 lb or 1.25"),
    (("--fit", "--scale-range", "0 kg"), "--scale-range is '0 kg'; it must be the most your scale shows"),
]


@pytest.mark.parametrize(("words", "told"), WRONG, ids=[" ".join(words) for words, _ in WRONG])
def test_wrong_input_is_told_in_one_line(gym: Shell, words: tuple[str, ...], told: str) -> None:
    assert told in gym.refused("machine", "calibrate", *words)
    assert events(gym) == []


def test_a_wrong_line_of_a_file_is_named_and_nothing_is_recorded(gym: Shell, tmp_path: Path) -> None:
    file = tmp_path / "sunday.txt"
    file.write_text("row 10 deg up empty 9 kg\nrow 10 deg up 9 kg\n")
    assert gym.refused("machine", "calibrate", "--readings", str(file)).startswith(
        "sunday.txt line 2: the load at"
    )
    assert readings(gym) == []
