"""Outlines as a person writes them, and the three that are shipped."""

from __future__ import annotations

import pytest

from steelyard.errors import UnknownName
from steelyard.machine.examples import example_text
from steelyard.machine.file import read_machine
from steelyard.training.exercises import exercises
from steelyard.training.model import Outline, OutlineItem, Technique
from steelyard.training.outline import read_outline
from steelyard.training.outlines import outline_names, outline_text
from steelyard.training.rules import REST_PAUSE_S

SECONDS_PER_REP, STATION_S, PLATES_S = 4.0, 75.0, 15.0


def outline_of(lines: str) -> Outline:
    return read_outline(f'name = "test"\n[[exercise]]\ndo = "curl_cable"\n{lines}', "test.toml", exercises())


def minutes(outline: Outline) -> float:
    """A plain estimate: reps, rests, stations, plates, and two warm-up sets for each new pattern."""
    patterns = {exercises()[item.exercise].pattern for item in outline.items}
    return (sum(seconds(item) for item in outline.items) + len(patterns) * 2 * 70.0) / 60


def seconds(item: OutlineItem) -> float:
    sides = 2 if exercises()[item.exercise].one_arm else 1
    lasts = item.reps_high * SECONDS_PER_REP * sides
    return STATION_S + item.sets * (lasts + item.rest_s + PLATES_S) + item.rounds * (lasts / 2 + REST_PAUSE_S)


def test_one_number_of_reps_and_one_effort_for_all_sets() -> None:
    (item,) = outline_of('reps = 12\nsets = 3\nrir = 2\nrest = "90 s"').items
    assert item == OutlineItem("curl_cable", 12, 12, (2, 2, 2), 90.0)


def test_a_range_of_reps_and_an_effort_for_each_set() -> None:
    (item,) = outline_of(
        'reps = [10, 12]\nrir = [3, 2, 1]\nrest = "1.5 min"\nthen = "rest-pause"\nrounds = 2'
    ).items
    assert item == OutlineItem("curl_cable", 10, 12, (3, 2, 1), 90.0, Technique.REST_PAUSE, 2)


@pytest.mark.parametrize(
    ("rest", "rest_s"),
    [("90 s", 90), ("90s", 90), ("2 min", 120), ("1,5 minutes", 90), ("45 sec", 45), ("0 s", 0)],
)
def test_a_rest_is_written_with_its_unit(rest: str, rest_s: float) -> None:
    assert outline_of(f'reps = 12\nrir = [2]\nrest = "{rest}"').items[0].rest_s == rest_s


def test_what_is_left_out_is_the_usual() -> None:
    outline = outline_of('reps = 12\nrir = [2]\nthen = "drop"')
    assert (outline.title, outline.notes) == ("test", "")
    assert (outline.items[0].rest_s, outline.items[0].rounds) == (75.0, 1)


def test_three_outlines_are_shipped_and_no_other() -> None:
    assert outline_names() == ("legs", "press", "pull")
    with pytest.raises(UnknownName, match="outline 'pul' is not known; did you mean pull"):
        outline_text("pul")


@pytest.mark.parametrize("name", outline_names())
def test_a_shipped_outline_takes_between_forty_and_fifty_five_minutes(name: str) -> None:
    outline = read_outline(outline_text(name), name, exercises())
    assert outline.name == name
    assert 40 <= minutes(outline) <= 55


@pytest.mark.parametrize("name", outline_names())
def test_a_shipped_outline_can_be_done_on_the_boathouse_machine(name: str) -> None:
    stations = read_machine(example_text("boathouse"), "boathouse.toml").stations.values()
    offered = {exercise for station in stations for exercise in station.exercises}
    assert {item.exercise for item in read_outline(outline_text(name), name, exercises()).items} <= offered


def test_the_pull_evening_ends_with_one_arm_after_a_drop_set_and_a_rest_pause() -> None:
    items = read_outline(outline_text("pull"), "pull.toml", exercises()).items
    assert exercises()[items[-1].exercise].one_arm
    assert {item.after for item in items} == set(Technique)


@pytest.mark.parametrize("name", outline_names())
def test_big_muscles_come_before_small_ones(name: str) -> None:
    """Multi-joint before single-joint: ACSM position stand, 2009, read."""
    items = read_outline(outline_text(name), name, exercises()).items
    compound = [exercises()[item.exercise].compound for item in items]
    assert compound == sorted(compound, reverse=True)
