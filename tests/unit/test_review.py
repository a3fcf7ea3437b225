"""Looking back: sentences, exercises and muscles from what was done."""

from __future__ import annotations

import re
from typing import Any

import pytest

from gyms import NOW, boathouse, lifter, logged, outlines
from steelyard.journal.fold import LoggedSet
from steelyard.review.report import Review, review
from steelyard.review.volume import MuscleWeek, muscle_weeks
from steelyard.training.model import Role

CURL: dict[str, Any] = {"exercise": "curl_cable_one_arm", "station": "low-pulley"}


def looked(*sets: LoggedSet, **changes: Any) -> Review:
    ordered = sorted(sets, key=lambda each: each.at)
    return review(boathouse(), outlines(), lifter(**changes), ordered, now=NOW)


def test_nothing_done_is_said_so() -> None:
    found = looked()
    assert found.sentences == ("Nothing has been logged on this machine yet.",)
    assert (found.lines, found.muscles) == ((), ())


def test_sets_elsewhere_are_not_looked_at() -> None:
    elsewhere = (
        logged(40.0, 8, machine="another"),
        logged(40.0, 8, exercise="gone"),
        logged(40.0, 8, station="gone"),
    )
    assert looked(*elsewhere) == looked()


def test_a_line_shows_the_latest_days_work_and_no_more() -> None:
    old, first, second = logged(38.0, 9, days_ago=7), logged(40.0, 8, days_ago=3), logged(40.0, 7, days_ago=2.999)
    others = (
        logged(20.0, 8, None, role=Role.WARM_UP, days_ago=3.01),
        logged(27.0, 6, role=Role.DROP, days_ago=2.998),
    )
    (line,) = looked(old, *others, first, second).lines
    assert line.last_sets == (first.done, second.done)
    assert (line.name, line.station, str(line.last_on)) == (
        "Lever row, chest supported",
        "row-chest",
        "2026-03-01",
    )


def test_the_newest_exercise_comes_first() -> None:
    lines = looked(logged(40.0, 8, days_ago=3), logged(10.0, 8, days_ago=2, side="left", **CURL)).lines
    assert [line.exercise for line in lines] == ["curl_cable_one_arm", "lever_row_chest"]


@pytest.mark.parametrize(
    ("reps", "sentence"), [(16, "Start at 4.* kg, up from 40.0 kg."), (6, "Start at 3.* kg, down from 40.0 kg.")]
)
def test_next_time_goes_up_or_down(reps: int, sentence: str) -> None:
    (line,) = looked(logged(40.0, reps)).lines
    assert re.fullmatch(sentence, line.sentence)
    assert line.next_felt_kg in line.ladder_kg
    assert line.next_loading


def test_next_time_may_be_the_same() -> None:
    ladder = boathouse().loads(boathouse().machine.stations["row-chest"]).felt_kg
    (line,) = looked(logged(ladder[-1], 20)).lines
    assert line.sentence == f"Start at the same load again, {ladder[-1]:.1f} kg."


def test_a_lifter_who_reads_pounds_is_told_pounds() -> None:
    assert "up from 88.2 lb." in looked(logged(40.0, 16), unit="lb").lines[0].sentence


def test_the_maximum_lies_in_its_interval() -> None:
    (line,) = looked(logged(40.0, 10), logged(40.0, 9, days_ago=3)).lines
    assert line.one_rm_kg is not None
    assert line.one_rm_low_kg is not None
    assert line.one_rm_high_kg is not None
    assert line.one_rm_low_kg < line.one_rm_kg < line.one_rm_high_kg
    assert line.one_rm_kg**2 == pytest.approx(line.one_rm_low_kg * line.one_rm_high_kg)


def test_without_a_telling_set_nothing_is_said_of_next_time() -> None:
    (line,) = looked(logged(40.0, 10, None)).lines
    assert line.sentence == "Nothing can be said of next time yet."
    assert (line.one_rm_kg, line.next_felt_kg, line.next_loading) == (None, None, None)


def test_an_exercise_in_no_outline_has_a_maximum_but_no_next_load() -> None:
    (line,) = looked(logged(40.0, 10, exercise="lever_row_bent", station="row")).lines
    assert line.next_felt_kg is None
    assert line.one_rm_kg is not None


def test_sentences_count_days_and_what_rises() -> None:
    sets = [logged(40.0, 16, days_ago=days) for days in (40, 20, 3)] + [logged(90.0, 4, days_ago=2.9)]
    assert looked(*sets).sentences[0] == "3 training days on record, 2 of them in the last four weeks."
    assert looked(*sets).sentences[1] == "1 of 1 exercises start heavier next time."
    assert looked(*sets).sentences[2].startswith("Most worked in the last seven days: ")


def test_an_old_history_names_no_muscle() -> None:
    assert len(looked(logged(40.0, 16, days_ago=20)).sentences) == 2


def weeks(*sets: LoggedSet) -> dict[str, float]:
    return {each.muscle: each.sets for each in muscle_weeks(boathouse().exercises, sets, now=NOW)}


def test_indirect_work_counts_by_half() -> None:
    # Pelland and others, doi 10.1007/s40279-025-02344-w: direct sets 1, indirect ones 0.5
    pulldown = logged(40.0, 8, days_ago=1, exercise="pulldown_front", station="high-pulley")
    found = weeks(pulldown, pulldown)
    assert (found["lats"], found["elbow_flexors"]) == (2.0, 1.0)


def test_both_arms_make_one_set() -> None:
    arms = [logged(10.0, 8, days_ago=1, side=side, **CURL) for side in ("left", "right")]
    assert weeks(arms[0])["elbow_flexors"] == 0.5
    assert weeks(*arms)["elbow_flexors"] == 1.0


def test_only_hard_work_of_the_last_seven_days_counts() -> None:
    easy = logged(40.0, 8, 5, days_ago=1)
    old, coming = logged(40.0, 8, days_ago=7), logged(40.0, 8, days_ago=-1)
    others = [logged(40.0, 8, None, days_ago=1, role=role) for role in (Role.WARM_UP, Role.DROP, Role.REST_PAUSE)]
    assert weeks(easy, old, coming, logged(40.0, 0, days_ago=1), *others) == {}
    assert weeks(logged(40.0, 8, None, days_ago=6.99)) != {}


def test_the_most_worked_muscle_comes_first_and_is_named() -> None:
    sets = [logged(10.0, 8, days_ago=1, **CURL)] * 5
    assert muscle_weeks(boathouse().exercises, sets, now=NOW)[0] == MuscleWeek(
        "elbow_flexors", "Elbow flexors", 5.0, "most gain for the sets"
    )
