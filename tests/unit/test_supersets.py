"""Exercises that alternate: whose set when, what rests between, and what becomes of it as the session goes on."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from gyms import NOW, as_done, boathouse, known_at, lifter, outline_of, strong
from steelyard.cli.text import session_lines
from steelyard.journal.changed import UNCHANGED, Changed
from steelyard.journal.fold import LoggedSet, SessionState
from steelyard.training.cutting import cut_to
from steelyard.training.model import Outline, PreparedSession, Role
from steelyard.training.prepare import Task, prepare_task
from steelyard.training.rules import BETWEEN_ARMS_S
from steelyard.units import Unit

ROW = 'do = "lever_row_chest"\nreps = [8, 10]\nsets = {}\nrir = 2\nrest = "90 s"\nthen = "{}"'
PRESS = (
    'do = "chest_press_lever"\nreps = [8, 10]\nsets = {}\nrir = 1\nrest = "120 s"\nthen = "{}"\nsuperset = true'
)
CURL = 'do = "curl_cable_one_arm"\nreps = 10\nsets = 2\nrir = 1\nrest = "60 s"\nsuperset = true'
CALF = 'do = "calf_raise_standing"\nreps = 12\nsets = 1\nrir = 1'


def pair(rows: int = 2, presses: int = 2, then: tuple[str, str] = ("straight", "straight")) -> Outline:
    return outline_of(ROW.format(rows, then[0]), PRESS.format(presses, then[1]), CALF)


def task(
    outline: Outline,
    done: tuple[LoggedSet, ...] = (),
    skipped: frozenset[str] = frozenset(),
    changed: Changed = UNCHANGED,
) -> Task:
    today = SessionState("today", "ida", "trial", "", NOW, None, done, skipped, (), changed=changed)
    now = NOW + timedelta(minutes=2 * len(done))
    return Task(boathouse(), outline, lifter(), [*strong(), *done], now, today)


def session(outline: Outline, done: tuple[LoggedSet, ...] = (), **other: object) -> PreparedSession:
    return prepare_task(task(outline, done, **other), {})  # type: ignore[arg-type]


def work(prepared: PreparedSession) -> list[str]:
    """The slots of places 1 and 2 after the warm-up."""
    return [one.slot for one in prepared.sets if one.role is not Role.WARM_UP and one.slot[0] in "12"]


def until(outline: Outline, slot: str) -> tuple[LoggedSet, ...]:
    """The sets before this one, done as planned."""
    done: tuple[LoggedSet, ...] = ()
    while (one := session(outline, done).sets[0]).slot != slot:
        done = (*done, as_done(one, len(done), one.reps_high, 2))
    return done


def test_both_are_warmed_up_first_and_then_alternate() -> None:
    prepared = session(pair())
    warm = [one.slot[0] for one in prepared.sets if one.role is Role.WARM_UP and one.slot[0] in "12"]
    assert warm == sorted(warm)
    assert set(warm) == {"1", "2"}
    assert work(prepared) == ["1.work.1", "2.work.1", "1.work.2", "2.work.2"]
    assert [one.slot[0] for one in prepared.sets][: len(warm)] == warm


def test_the_second_goes_straight_on_and_the_first_rests_as_the_outline_says() -> None:
    sets = {one.slot: one for one in session(pair()).sets}
    assert [(sets[slot].rest_s, sets[slot].paired) for slot in ("2.work.1", "1.work.2", "2.work.2")] == [
        (0.0, True),
        (90.0, False),
        (0.0, True),
    ]


def test_only_the_walk_and_the_plates_lie_between() -> None:
    prepared = session(pair())
    sets = {one.slot: one for one in prepared.sets}
    first, second = sets["1.work.1"], sets["2.work.1"]
    walk_s = boathouse().machine.stations[second.station].setup_s
    plates_s = boathouse().inventory.handling.seconds(second.moves)
    assert second.starts_s == pytest.approx(first.starts_s + first.lasts_s + walk_s + plates_s)


@pytest.mark.parametrize(
    ("rows", "presses", "order"),
    [
        (3, 1, ["1.work.1", "2.work.1", "1.work.2", "1.work.3"]),
        (1, 3, ["1.work.1", "2.work.1", "2.work.2", "2.work.3"]),
    ],
)
def test_what_has_more_sets_goes_on_alone_with_its_own_rest(rows: int, presses: int, order: list[str]) -> None:
    prepared = session(pair(rows, presses))
    last = next(one for one in prepared.sets if one.slot == order[-1])
    assert work(prepared) == order
    assert (last.rest_s, last.paired) == ({"1": 90.0, "2": 120.0}[last.slot[0]], False)


def test_what_follows_a_last_set_follows_at_once() -> None:
    order = work(session(pair(then=("drop", "rest-pause"))))
    assert order[2:] == ["1.work.2", "1.drop.1", "2.work.2", "2.rest-pause.1"]


def test_after_a_drop_the_other_goes_straight_on() -> None:
    sets = {one.slot: one for one in session(pair(then=("drop", "straight"))).sets}
    assert sets["2.work.2"].paired


def test_each_arm_has_its_turn_before_the_other_exercise() -> None:
    outline = outline_of(ROW.format(2, "straight"), CURL)
    sets = {one.slot: one for one in session(outline).sets}
    assert work(session(outline))[:4] == ["1.work.1", "2.work.1.left", "2.work.1.right", "1.work.2"]
    assert (sets["2.work.1.left"].rest_s, sets["2.work.1.right"].rest_s) == (0.0, BETWEEN_ARMS_S)
    assert (sets["2.work.1.left"].paired, sets["2.work.1.right"].paired) == (True, False)


def test_three_can_alternate() -> None:
    outline = outline_of(ROW.format(2, "straight"), PRESS.format(2, "straight"), f"{CALF}\nsuperset = true")
    order = [one.slot for one in session(outline).sets if one.role is Role.WORK]
    assert order == ["1.work.1", "2.work.1", "3.work.1", "1.work.2", "2.work.2"]


def test_a_note_says_how_they_alternate() -> None:
    (note,) = [note for note in session(pair()).notes if "alternate" in note]
    names = [boathouse().exercises[each].name for each in ("lever_row_chest", "chest_press_lever")]
    assert note.startswith(" and ".join(names))


def test_in_the_middle_the_second_is_next_and_still_goes_straight_on() -> None:
    outline = pair()
    first = session(outline, until(outline, "2.work.1")).sets[0]
    assert (first.slot, first.rest_s, first.paired) == ("2.work.1", 0.0, True)


def test_with_the_first_left_out_the_second_rests_as_it_would_alone() -> None:
    outline = pair()
    done = until(outline, "1.work.2")
    first = session(outline, done, skipped=frozenset({"1.work.2"})).sets[0]
    assert (first.slot, first.rest_s, first.paired) == ("2.work.2", 120.0, False)


def test_the_second_is_decided_for_one_who_has_just_done_the_first() -> None:
    """Rows work the elbow flexors, so curls straight on promise less than curls after a rest of their own."""
    outline = outline_of(ROW.format(1, "straight"), CURL.replace("60 s", "4 min"))
    alone = replace(outline, items=(outline.items[0], replace(outline.items[1], superset=False)))
    paired_kg, alone_kg = (
        next(one.fitting_kg for one in session(each).sets if one.slot == "2.work.1.left")
        for each in (outline, alone)
    )
    assert paired_kg and alone_kg
    assert paired_kg[1] < alone_kg[1]


def test_one_of_two_that_is_over_leaves_the_other_alone() -> None:
    prepared = session(pair(), changed=Changed(ended={1: "enough"}))
    assert work(prepared) == ["2.work.1", "2.work.2"]
    assert not any(one.paired for one in prepared.sets)
    assert not any("alternate" in note for note in prepared.notes)


def test_they_are_put_off_together() -> None:
    prepared = session(pair(), changed=Changed(postponed=((1, 3),)))
    assert [one.slot[0] for one in prepared.sets if one.role is Role.WORK] == ["3", "1", "2", "1", "2"]


def test_somebody_unknown_at_one_of_them_begins_with_a_test_set_and_alternates_later() -> None:
    past = known_at({"lever_row_chest": 60.0})
    prepared = prepare_task(Task(boathouse(), pair(), lifter(), past, NOW), {})
    assert [one.slot for one in prepared.sets if one.slot[0] == "2"] == ["2.test.1"]
    assert [one.slot for one in prepared.sets if one.role is Role.WORK and one.slot[0] == "1"] == [
        "1.work.1",
        "1.work.2",
    ]


def test_cutting_still_ends_in_time() -> None:
    whole = task(pair(3, 3))
    lasts_s = prepare_task(whole, {}).lasts_s
    cut = cut_to(whole, {}, 0.6 * lasts_s)
    assert cut.session.lasts_s <= 0.6 * lasts_s
    assert cut.slots


def test_a_terminal_says_straight_on() -> None:
    lines = list(session_lines(session(pair(3, 3)), boathouse(), Unit.KG, "Ida"))
    assert sum("set 2 of 3, straight on: 8 to 10 reps" in line for line in lines) == 1
