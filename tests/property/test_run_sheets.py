"""Wherever lifters are in their sessions, the sheet of their turns is whole, can be loaded and keeps limits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gyms import NOW, as_done, boathouse, lifter, outlines, strong
from steelyard.journal.fold import SessionState
from steelyard.plates.model import Loading, plate_names
from steelyard.plates.moves import replay
from steelyard.strength.belief import outlook, rested
from steelyard.training.hanging import left_hanging
from steelyard.training.model import Role
from steelyard.training.pauses import Pause
from steelyard.training.prepare import Task, asked_of, prepare_task
from steelyard.training.priors import lift_name
from steelyard.training.resting import reps_by_rest
from steelyard.training.together import RunSheet, run_sheet, within_a_moment

GYM = boathouse()
NAMES = ("ida", "bo", "tove", "ines")


@st.composite
def tasks(draw: st.DrawFn) -> list[Task]:
    """Two to four lifters of different strength, each somewhere in a shipped session."""
    outline = outlines()[draw(st.sampled_from(sorted(outlines())))]
    found = []
    for name in NAMES[: draw(st.integers(2, 4))]:
        share = draw(st.floats(0.6, 1.3))
        past = [replace(one, done=replace(one.done, felt_kg=share * one.done.felt_kg)) for one in strong()]
        who = lifter(lifter=name, training_months=draw(st.sampled_from([2, 40])))
        begun = Task(GYM, outline, who, past, NOW)
        planned = prepare_task(begun, {}).sets
        done = [as_done(one, draw(st.integers(1, 6)), 8, 2) for one in planned[: draw(st.integers(0, 6))]]
        done = [replace(one, at=NOW + timedelta(minutes=3 * place)) for place, one in enumerate(done)]
        skipped = frozenset(one.slot for one in planned[len(done) : len(done) + draw(st.integers(0, 2))])
        today = SessionState(name, name, outline.name, "boathouse", NOW, None, tuple(done), skipped, ())
        found.append(replace(begun, past=[*past, *done], today=today, now=NOW + timedelta(minutes=20), kept=[]))
    return found


def on_horns(found: Sequence[Task]) -> Loading:
    sets = [one for task in found if task.today for one in task.today.sets]
    return left_hanging(GYM, sorted(sets, key=lambda one: (one.at, one.id)))


def check_whole(found: Sequence[Task], sheet: RunSheet) -> None:
    for task in found:
        assert task.today is not None
        mine = [turn.one.slot for turn in sheet.turns if turn.session == task.today.session]
        alone = [one.slot for one in prepare_task(task, {}).sets]
        assert mine == alone
        assert not any(task.today.is_taken(slot) for slot in mine)


def check_loads(found: Sequence[Task], sheet: RunSheet) -> None:
    """Every change leads from what hangs to what the set needs, and all of it is allowed to hang."""
    hanging = on_horns(found)
    for turn in sheet.turns:
        hanging = replay(hanging, turn.one.moves)
        needed = turn.one.loading
        assert {name: stack for name, stack in hanging.items() if name in needed} == dict(needed)
        exercise = GYM.exercises[turn.one.exercise]
        station = GYM.machine.stations[turn.one.station]
        loads = GYM.loads(station, one_arm=exercise.one_arm, body_mass_kg=found[0].lifter.body_mass_kg)
        GYM.allowed(loads, plate_names(needed))


def check_clock(sheet: RunSheet) -> None:
    for turn in sheet.turns:
        assert turn.one.starts_s == max(turn.free_s, turn.rested_s)
        assert turn.rested == (turn.one.starts_s == turn.free_s)
    for before, after in pairwise(sheet.turns):
        assert after.free_s >= before.one.starts_s + before.one.lasts_s
    for name in NAMES:
        for earlier, later in pairwise(turn for turn in sheet.turns if turn.lifter == name):
            assert later.rested_s == pytest.approx(
                earlier.one.starts_s + earlier.one.lasts_s + later.one.rest_s, abs=1e-9
            )


@settings(max_examples=15)
@given(tasks())
def test_a_sheet_made_in_the_middle_is_whole_and_keeps_limits_and_clock(found: list[Task]) -> None:
    sheet = run_sheet(found, on_horns(found), may_go_on=within_a_moment)
    check_whole(found, sheet)
    check_loads(found, sheet)
    check_clock(sheet)


def work_asked(task: Task) -> dict[str, float]:
    """What the work sets that are left would weigh, before plates are chosen. [kg]"""
    return {one.slot: one.wish.wanted_kg for one in asked_of(task) if ".work." in one.slot}


@settings(max_examples=15)
@given(tasks())
def test_no_load_is_decided_for_more_rest_than_comes(found: list[Task]) -> None:
    """Of the set to do now that is sure; the rests of later ones hang on sets that are still to come."""
    sheet = run_sheet(found, on_horns(found), may_go_on=within_a_moment)
    for turn in sheet.turns[:1]:
        assert turn.pause_s == 0 or turn.one.rest_s < turn.pause_s
        assert turn.pause_s <= turn.one.starts_s - (turn.rested_s - turn.one.rest_s)


@settings(max_examples=10)
@given(tasks(), st.integers(1, 60))
def test_whoever_looks_later_finds_the_same_loads(found: list[Task], minutes: int) -> None:
    later = [replace(task, now=task.now + timedelta(minutes=minutes), kept=[]) for task in found]
    now, then = (run_sheet(each, on_horns(found), may_go_on=within_a_moment) for each in (found, later))
    assert [(turn.one.slot, turn.one.felt_kg, turn.pause_s) for turn in now.turns] == [
        (turn.one.slot, turn.one.felt_kg, turn.pause_s) for turn in then.turns
    ]


@settings(max_examples=10)
@given(tasks())
def test_alone_nothing_changes(found: list[Task]) -> None:
    task = found[0]
    sheet, prepared = run_sheet([task], {}), prepare_task(task, {})
    assert [turn.one.slot for turn in sheet.turns] == [one.slot for one in prepared.sets]
    assert not any(turn.pause_s for turn in sheet.turns)


@settings(max_examples=10)
@given(tasks(), st.floats(0.0, 1.0))
def test_a_rest_no_longer_than_the_outlines_changes_nothing(found: list[Task], share: float) -> None:
    task = found[0]
    rests = {one.slot: one.rest_s for one in prepare_task(task, {}).sets if one.role is Role.WORK}
    pauses = {slot: Pause(share * rest_s, ("Bo",)) for slot, rest_s in rests.items()}
    assert prepare_task(replace(task, pauses=pauses), {}) == prepare_task(task, {})


@settings(max_examples=25)
@given(tasks(), st.data())
def test_a_longer_rest_makes_no_load_lighter(found: list[Task], data: st.DataObject) -> None:
    task = found[0]
    plain = work_asked(task)
    if not plain:
        return
    slot = data.draw(st.sampled_from(sorted(plain)))
    rests = sorted(data.draw(st.lists(st.integers(0, 60), min_size=1, max_size=3)))
    loads = [
        work_asked(replace(task, pauses={slot: Pause(10.0 * each, ("Bo",))})).get(slot, 0.0) for each in rests
    ]
    assert [plain[slot], *loads] == sorted([plain[slot], *loads])


@settings(max_examples=15)
@given(tasks())
def test_the_set_to_do_now_is_decided_with_what_the_clock_says(found: list[Task]) -> None:
    """Its chance is that of the rest it was decided with, and the table of reps by rest reaches so far."""
    sheet = run_sheet(found, on_horns(found), may_go_on=within_a_moment)
    for turn in sheet.turns[:1]:
        one, task = turn.one, next(each for each in found if each.lifter.lifter == turn.lifter)
        if not turn.pause_s or one.chance is None:
            return
        known, machine = task.known.at(task.now), task.gym.machine.name
        promised = outlook(
            rested(known, turn.pause_s), lift_name(one.exercise, one.station, machine), side=one.side
        )
        assert one.chance == promised.chance_of_reps(one.felt_kg, one.reps_low, rir=one.rir)
        table = reps_by_rest(known, one, machine, longest_s=turn.pause_s)
        assert not table or turn.pause_s in dict(table)
