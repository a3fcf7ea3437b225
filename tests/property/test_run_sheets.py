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
from steelyard.training.hanging import left_hanging
from steelyard.training.prepare import Task, prepare_task
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
