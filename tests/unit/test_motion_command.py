"""`steelyard machine motion`: figures, warnings, and every wrong input in one line with the way out."""

from __future__ import annotations

from pathlib import Path

import pytest

from gyms import boathouse
from steelyard.home import make_home
from steelyard.machine.felt import felt_law
from unit.test_cli import Shell

TIPPING = """
[machine]
name = "Tipping arm"

[arm.main]
pivot_mm = [0, 500]
mass = "10 kg"
balance_mm = [100, 300]

[station.press]
title = "Press"
kind = "lever"
arm = "main"
hand_mm = [1000, 0]
range_deg = [0, 25]
exercises = ["chest_press_lever"]
"""


@pytest.fixture
def gym(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Shell:
    make_home(tmp_path / "gym")
    return Shell(tmp_path / "gym", capsys)


def test_both_strokes_are_told_with_peak_speed_work_and_power(gym: Shell) -> None:
    told = gym.good("machine", "motion", "row", "--plates", "tip=20 kg,10 kg", "--tempo", "2-0-1-0")
    lines = told.splitlines()
    assert lines[0] == "Lever row, 20 kg + 10 kg each side, tempo 2-0-1-0"
    assert lines[1].startswith("  raising in 1 s: ") and lines[1].endswith(" felt on average")
    assert "above rest there; smallest" in lines[2]
    assert "J given; " in lines[3] and "W on average" in lines[3]
    assert lines[4].startswith("  lowering in 2 s: ")
    assert "J taken back by the hands; " in lines[6]


def test_without_a_tempo_it_is_two_seconds_each_way(gym: Shell) -> None:
    assert gym.good("machine", "motion", "row") == gym.good("machine", "motion", "row", "--tempo", "2-0-2-0")


def test_what_friction_does_is_told_in_percent(gym: Shell) -> None:
    told = gym.good("machine", "motion", "low-pulley")
    law = felt_law(boathouse().machine, boathouse().machine.stations["low-pulley"])
    assert law.lowering is not None
    assert "friction: raising feels " in told
    assert f"lowering is felt as {100 * law.lowering.base_kg / law.base_kg:.0f} % of raising" in told


def test_a_cable_s_tension_stands_beside_its_rating(gym: Shell) -> None:
    assert "at the hand's end, rated 250.0 kg" in gym.good("machine", "motion", "high-pulley")


def test_as_fast_as_possible_is_said_to_be_an_assumption(gym: Shell) -> None:
    assert "X, as fast as possible, is taken as 0.60 m/s" in gym.good(
        "machine", "motion", "row", "--tempo", "2-0-X-0"
    )


def test_a_lifter_s_own_unit_is_used(gym: Shell) -> None:
    gym.good("lifter", "add", "ida", "--name", "Ida", "--months", "24", "--unit", "lb")
    assert " lb felt on average" in gym.good("machine", "motion", "row", "--lifter", "ida")


def test_a_load_that_floats_is_warned_of_with_the_tempo_that_avoids_it(gym: Shell) -> None:
    told = gym.good("machine", "motion", "row", "--plates", "tip=20 kg", "--tempo", "0.5-0-0.3-0")
    assert "Warning, raising: the load floats, " in told
    assert "the handle leaves the hand, and the load then drops with a shock." in told
    assert "Warning, lowering: the load floats, " in told
    avoiding = told.split("Tempo ")[1].split(" avoids it.")[0]
    assert "Warning" not in gym.good("machine", "motion", "row", "--plates", "tip=20 kg", "--tempo", avoiding)


def test_an_arm_that_tips_over_is_warned_of_with_what_helps(gym: Shell) -> None:
    (gym.folder / "machine.toml").write_text(TIPPING, encoding="utf-8")
    told = gym.good("machine", "motion", "press")
    assert "Warning, raising: between +18 and +25 deg the arm goes up by itself even when moved slowly" in told
    assert "No tempo helps. What does: less counterweight, plates on, or another range." in told
    assert "avoids it" not in told
    assert "friction: none in this machine's file; raising and lowering feel alike" in told


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("rowing",), "station 'rowing' is not known; did you mean row?"),
        (("handle",), "station handle is without an arm; it must be a lever or cable station"),
        (("row", "--tempo", "2-0-2"), "tempo is '2-0-2'; it must be four figures in seconds"),
        (("row", "--tempo", "2-0-0-0"), "raising is 0 s; it must be from 0.2 to 60 s, or X"),
        (("row", "--plates", "20 kg"), "--plates is '20 kg'; it must be a horn, =, and plates"),
        (("row", "--plates", "tip=3 kg"), "plate '3 kg' is not known"),
        (("row", "--plates", "pin=5 kg"), "horn at station row 'pin' is not known"),
        (("row", "--plates", "tip=5 kg", "--plates", "tip=5 kg"), "--plates is given twice for tip"),
        (("high-pulley", "--attachment", "chain"), "attachment 'chain' is not known; known: wide bar"),
        (("row", "--lifter", "otto"), "lifter 'otto' is not known"),
        (
            ("high-pulley", "--plates", "tip=20 kg,20 kg", "--tempo", "2-0-0.2-0"),
            "cable tension at station high-pulley, tempo 2-0-0.2-0 would be",
        ),
    ],
    ids=lambda part: " ".join(part) if isinstance(part, tuple) else "",
)
def test_wrong_input_is_told_in_one_line(gym: Shell, words: tuple[str, ...], told: str) -> None:
    assert told in gym.refused("machine", "motion", *words)
