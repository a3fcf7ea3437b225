"""The exercise list: whole, sourced, read fast, and able to be added to."""

from __future__ import annotations

from functools import partial

import pytest

from steelyard.errors import DamagedFile
from steelyard.training.exercises import MUSCLES, PATTERNS, exercises, read_exercises
from yardstick import yardsticks

OWN = """
[exercise.row_towel]
name = "Row with a towel"
pattern = "horizontal_pull"
compound = true
primary = ["lats"]
source = "our own"
"""


def test_the_list_is_whole() -> None:
    known = exercises()
    assert len(known) == 65
    assert all(name == each.id for name, each in known.items())
    assert len({each.name for each in known.values()}) == len(known)


def test_every_muscle_and_pattern_is_used() -> None:
    known = exercises().values()
    assert {muscle for each in known for muscle in (*each.primary, *each.secondary)} == set(MUSCLES)
    assert {each.pattern for each in known} == set(PATTERNS)


def test_every_entry_says_what_was_read_and_what_is_from_memory() -> None:
    sources = [each.source for each in exercises().values()]
    assert all("from memory" in source for source in sources)
    assert sum("(read" in source for source in sources) == 28


def test_presses_and_squats_need_stops_and_pulls_do_not() -> None:
    known = exercises()
    assert known["chest_press_lever"].needs_stops
    assert known["squat_lever"].needs_stops
    assert not known["lever_row_bent"].needs_stops


def test_a_home_may_add_its_own() -> None:
    own = read_exercises(OWN, "exercises.toml")
    assert own["row_towel"].primary == ("lats",)
    assert own["row_towel"].secondary == ()


def test_callers_cannot_spoil_the_list_for_others() -> None:
    exercises().clear()
    assert exercises()


def test_reading_is_fast_enough_for_every_command() -> None:
    text = OWN + "".join(OWN.replace("row_towel", f"row_{number}") for number in range(64))
    assert yardsticks(partial(read_exercises, text, "exercises.toml")) < 8


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("row_towel", "Row", "exercise.Row is named 'Row'; it must be named with 1 to 60 small letters"),
        (
            '["lats"]',
            '["lat"]',
            "exercise.row_towel.primary is naming 'lat'; it must be a list of muscles out of lats",
        ),
        ('["lats"]', "[]", "exercise.row_towel.primary is []; it must be a list of at least one muscle"),
        (
            '"horizontal_pull"',
            '"pulling"',
            "exercise.row_towel.pattern is 'pulling'; it must be one of horizontal_pull",
        ),
        (
            "source",
            "secondary = ['lats']\nsource",
            "secondary is ['lats']; it must be a list of muscles other than",
        ),
        ("compound", "compund", "exercise.row_towel.compund is not a key here"),
        ('source = "our own"', "", "exercise.row_towel.source is missing"),
    ],
)
def test_a_wrong_entry_is_told_in_one_line(old: str, new: str, message: str) -> None:
    with pytest.raises(DamagedFile) as met:
        read_exercises(OWN.replace(old, new), "exercises.toml")
    assert message in str(met.value)
    assert "\n" not in str(met.value)
