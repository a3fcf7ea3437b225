"""How much of an exercise is done: fewer sets, an end, a longer rest, a shorter session; what is asked about."""

from __future__ import annotations

from dataclasses import replace

import pytest

from gyms import NOW, as_done, boathouse, known_at, lifter, logged, outline_of, outlines, strong
from steelyard.journal.fold import LoggedSet, SessionState
from steelyard.training.cutting import cut_to
from steelyard.training.handbook import beside_handbooks
from steelyard.training.model import Outline, OutlineItem, PreparedSession, Role
from steelyard.training.prepare import Task, prepare, prepare_task
from steelyard.training.resting import rest_words

CURL = 'do = "curl_lever"\nreps = [10, 12]\nsets = {}\nrir = 1\nrest = "60 s"'
ROW = 'do = "lever_row_chest"\nreps = [10, 12]\nsets = {}\nrir = 1\nrest = "60 s"'
ITEM = OutlineItem("lever_row_chest", 10, 12, (1, 1), 90.0)


def prepared(outline: Outline, *done: LoggedSet) -> PreparedSession:
    past = [*strong(), *done]
    today = SessionState("today", "ida", outline.name, "", NOW, None, tuple(done), frozenset(), ())
    return prepare(boathouse(), outline, lifter(), past, now=NOW, today=today if done else None)


def work(session: PreparedSession, exercise: str) -> int:
    return sum(1 for one in session.sets if one.exercise == exercise and one.role is Role.WORK)


def test_an_exercise_keeps_its_sets_while_its_muscles_have_room() -> None:
    assert work(prepared(outline_of(ROW.format(4), CURL.format(3))), "curl_lever") == 3


def test_muscles_that_have_had_ten_sets_get_fewer_and_are_told_why() -> None:
    session = prepared(outline_of(ROW.format(8), CURL.format(8)))
    assert work(session, "curl_lever") == 6
    assert any("6 rather than 8 sets. Elbow flexors: 4 sets already" in note for note in session.notes)


def test_an_exercise_ends_once_the_next_set_would_be_a_fifth_lighter() -> None:
    outline = outline_of(ROW.format(4))
    first = prepared(outline).sets
    work_sets = [one for one in first if one.role is Role.WORK]
    heavy = [replace(one, felt_kg=1.5 * one.felt_kg) for one in work_sets[:2]]
    done = [as_done(one, number, 3, 0) for number, one in enumerate(heavy, start=1)]
    session = prepared(outline, *done)
    assert work(session, "lever_row_chest") == 0
    assert any("ends here: the next set would have to be" in note for note in session.notes)


def test_the_same_load_again_is_offered_after_a_longer_rest() -> None:
    sets = [one for one in prepared(outline_of(ROW.format(3))).sets if one.role is Role.WORK]
    assert any("again would need" in one.runner_up and "of rest." in one.runner_up for one in sets[1:])


def test_rests_in_words() -> None:
    assert [rest_words(each) for each in (40.0, 60.0, 130.0)] == ["40 s", "1 min", "2 min 10 s"]


@pytest.mark.parametrize("minutes", [45, 25, 12])
def test_a_session_is_cut_to_the_time_there_is(minutes: int) -> None:
    task = Task(boathouse(), outlines()["pull"], lifter(), strong(), NOW)
    cut = cut_to(task, {}, 60.0 * minutes)
    assert cut.session.lasts_s <= 60.0 * minutes
    assert any(one.role is Role.WORK for one in cut.session.sets)


def test_ten_minutes_are_the_first_exercise_with_its_warm_up() -> None:
    task = Task(boathouse(), outlines()["pull"], lifter(), strong(), NOW)
    slots = [one.slot for one in cut_to(task, {}, 600.0).session.sets]
    assert slots == ["1.warm-up.1", "1.warm-up.2", "1.work.1", "1.work.2", "1.work.3"]


def test_minutes_that_nothing_fits_leave_the_shortest_set() -> None:
    task = Task(boathouse(), outlines()["pull"], lifter(), strong(), NOW)
    assert [one.slot for one in cut_to(task, {}, 60.0).session.sets if one.role is Role.WORK] == ["3.work.1"]


def test_an_exercise_left_out_warms_up_for_none() -> None:
    task = Task(boathouse(), outlines()["pull"], lifter(), strong(), NOW)
    rows = frozenset(f"1.{role}.{number}" for role in ("warm-up", "work") for number in (1, 2, 3))
    slots = [one.slot for one in prepare_task(replace(task, left_out=rows), {}).sets]
    assert "3.warm-up.1" in slots


def test_what_follows_a_last_set_is_left_out_before_it() -> None:
    task = Task(boathouse(), outlines()["pull"], lifter(), strong(), NOW)
    assert cut_to(task, {}, 1e6).left_out == ()
    (pulldown,) = [said for said in cut_to(task, {}, 600.0).left_out if said.startswith("Lat pulldown")]
    assert ": the drop set, 3 sets and" in pulldown


def test_an_odd_set_is_asked_about_in_the_notes() -> None:
    usual = [each for days in (21, 18, 14, 11) for each in known_at({"lever_row_chest": 60.0}, days_ago=days)]
    slip = logged(usual[0].done.felt_kg, 1, 0, days_ago=4.0)
    past = [*usual, slip]
    notes = prepare(boathouse(), outline_of(ROW.format(2)), lifter(), past, now=NOW).notes
    assert any(
        "Lever row, chest supported" in note and "1 rep at" in note and "were likely" in note for note in notes
    )


def test_handbooks_agree_or_their_difference_is_explained() -> None:
    over, under = (logged(40.0, reps, 1).done for reps in (14, 10))
    assert "2 % to 10 % more, as here" in beside_handbooks([over], [], ITEM, 42.0, 43.0)
    assert "too big for now" in beside_handbooks([over], [], ITEM, 40.0, 45.0)
    assert "would wait" in beside_handbooks([under], [], ITEM, 41.5, 43.0)
    assert beside_handbooks([under], [], ITEM, 40.0, 41.0) == ""


def test_two_for_two_is_named() -> None:
    twice = logged(40.0, 14, 1).done
    assert "two-for-two" in beside_handbooks([twice], [twice], ITEM, 42.0, 43.0)
