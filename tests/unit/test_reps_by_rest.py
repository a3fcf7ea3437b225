"""What more rest before the next set buys."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from itertools import pairwise

import pytest

from gyms import NOW, as_done, boathouse, lifter, outline_of, strong
from steelyard.journal.fold import LoggedSet, SessionState
from steelyard.training.model import PreparedSet, Role
from steelyard.training.prepare import Task, prepare_task
from steelyard.training.resting import reps_by_rest

ROWS = outline_of('do = "lever_row_chest"\nreps = [8, 10]\nsets = 3\nrir = 1\nrest = "120 s"')
MACHINE = boathouse().machine.name


def after(sets: int) -> tuple[Task, PreparedSet]:
    """The session once so many sets are done, and its next set."""
    done: tuple[LoggedSet, ...] = ()
    while True:
        today = SessionState("today", "ida", "trial", "", NOW, None, done, frozenset(), ())
        now = NOW + timedelta(minutes=3 * len(done))
        task = Task(boathouse(), ROWS, lifter(), [*strong(), *done], now, today)
        one = prepare_task(task, {}).sets[0]
        if len(done) == sets:
            return task, one
        done = (*done, as_done(one, len(done), one.reps_high, 1))


def bought(sets: int = 3) -> tuple[tuple[float, float], ...]:
    task, one = after(sets)
    return reps_by_rest(task.known.at(task.now), one, MACHINE)


def test_rests_go_in_steps_of_ten_seconds_up_to_five_minutes() -> None:
    assert [rest_s for rest_s, _ in bought()] == [10.0 * step for step in range(31)]


def test_more_rest_never_buys_fewer_reps_and_buys_less_and_less() -> None:
    reps = [reps for _, reps in bought()]
    gains = [after - before for before, after in pairwise(reps)]
    assert min(gains) >= 0
    assert gains[0] > gains[-1]
    assert reps[-1] - reps[0] > 1.0


def test_the_planned_rest_promises_what_the_set_was_decided_with() -> None:
    _, one = after(3)
    expected = dict(bought())[one.rest_s]
    assert one.reps_low <= expected <= one.reps_high + 1


def test_a_heavier_load_gives_fewer_reps_after_every_rest() -> None:
    task, one = after(3)
    heavier = dict(reps_by_rest(task.known.at(task.now), replace(one, felt_kg=1.1 * one.felt_kg), MACHINE))
    assert all(reps == 0 or heavier[rest_s] < reps for rest_s, reps in bought())
    assert heavier[300.0] > 0


@pytest.mark.parametrize("sets", [0, 2])
def test_while_nothing_was_done_that_tires_rest_buys_nothing(sets: int) -> None:
    assert bought(sets) == ()


def test_rest_is_no_matter_before_a_warm_up() -> None:
    task, one = after(3)
    assert reps_by_rest(task.known.at(task.now), replace(one, role=Role.WARM_UP), MACHINE) == ()
