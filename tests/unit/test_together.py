"""Several lifters in turn: whose set when, and one choice of plates for all."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from gyms import NOW, boathouse, known_at, lifter, outline_of, outlines, strong
from steelyard.errors import OutOfRange
from steelyard.journal.fold import LoggedSet
from steelyard.plates.model import Loading
from steelyard.plates.moves import replay
from steelyard.training.prepare import Task, prepare_task
from steelyard.training.resting import rest_words
from steelyard.training.together import RunSheet, run_sheet, within_a_moment

GYM = boathouse()
ROWS = outline_of(
    'do = "lever_row_chest"\nreps = [10, 12]\nrir = [2, 1]\nrest = "90 s"\nthen = "drop"\nrounds = 1'
)
ONE_ARM = outline_of('do = "curl_cable_one_arm"\nreps = 10\nsets = 2\nrir = 1')


def task(name: str, maximum_kg: float, outline=ROWS) -> Task:  # type: ignore[no-untyped-def]
    past = known_at({outline.items[0].exercise: maximum_kg})
    return Task(GYM, outline, replace(lifter(), lifter=name), past, NOW)


def strong_by(share: float) -> list[LoggedSet]:
    """The sets of `strong`, at so much of their loads."""
    return [replace(one, done=replace(one.done, felt_kg=share * one.done.felt_kg)) for one in strong()]


def two() -> RunSheet:
    return run_sheet([task("ida", 50.0), task("bo", 70.0)], {})


def test_sets_alternate_and_a_drop_follows_at_once() -> None:
    order = [(turn.lifter, turn.one.slot) for turn in two().turns]
    assert order == [
        ("ida", "1.warm-up.1"),
        ("bo", "1.warm-up.1"),
        ("ida", "1.warm-up.2"),
        ("bo", "1.warm-up.2"),
        ("ida", "1.work.1"),
        ("bo", "1.work.1"),
        ("ida", "1.work.2"),
        ("ida", "1.drop.1"),
        ("bo", "1.work.2"),
        ("bo", "1.drop.1"),
    ]


def test_both_arms_make_one_turn() -> None:
    sheet = run_sheet([task("ida", 13.0, ONE_ARM), task("bo", 18.0, ONE_ARM)], {})
    turns = [(turn.lifter, turn.one.slot) for turn in sheet.turns]
    for (lifter_left, left), (lifter_right, right) in zip(turns[::2], turns[1::2], strict=True):
        assert lifter_left == lifter_right
        assert left.removesuffix(".left") == right.removesuffix(".right")


def test_each_keeps_their_own_loads() -> None:
    work = {turn.lifter: turn.one.felt_kg for turn in two().turns if turn.one.role == "work"}
    assert work["bo"] > 1.2 * work["ida"]


def test_the_moves_lead_from_one_lifter_to_the_other() -> None:
    on: Loading = {}
    for turn in two().turns:
        on = replay(on, turn.one.moves)
        assert {name: stack for name, stack in on.items() if name in turn.one.loading} == dict(turn.one.loading)


def test_nobody_begins_before_the_machine_is_free_or_their_rest_is_over() -> None:
    turns = two().turns
    for before, after in pairwise(turns):
        assert after.one.starts_s >= before.one.starts_s + before.one.lasts_s
    for name in ("ida", "bo"):
        mine = [turn.one for turn in turns if turn.lifter == name]
        for earlier, later in pairwise(mine):
            assert later.starts_s >= earlier.starts_s + earlier.lasts_s + later.rest_s - 1e-9


def test_one_plan_for_both_costs_no_more_than_a_plan_for_each_in_turn() -> None:
    sheet = two()
    assert sheet.handling_s == pytest.approx(
        sum(change.sides * (4 + 0.15 * change.plate.mass.kg) for turn in sheet.turns for change in turn.one.moves),
        abs=0.01,
    )


def test_plates_looked_for_in_a_moment_are_chosen_for_every_set_and_nearly_as_well() -> None:
    who = [(replace(lifter(), lifter=name), strong_by(share)) for name, share in (("ida", 1.0), ("bo", 0.8))]
    pull = [Task(GYM, outlines()["pull"], each, past, NOW) for each, past in who]
    whole, hasty = run_sheet(pull, {}), run_sheet(pull, {}, may_go_on=within_a_moment)
    assert [turn.one.slot for turn in hasty.turns] == [turn.one.slot for turn in whole.turns]
    assert whole.handling_s <= hasty.handling_s <= 1.05 * whole.handling_s


def test_a_lifter_has_one_session_in_the_turn() -> None:
    with pytest.raises(OutOfRange, match="lifters in turn is ida, ida; it must be different ones"):
        run_sheet([task("ida", 50.0), task("ida", 50.0)], {})


SHORT = outline_of('do = "lever_row_chest"\nreps = [10, 12]\nsets = 3\nrir = 1\nrest = "30 s"')


def test_where_anothers_turn_makes_the_rest_longer_the_load_is_more_and_the_reason_says_so() -> None:
    other = replace(task("bo", 70.0, SHORT), lifter=replace(lifter(), lifter="bo", name="Bo"))
    both = [task("ida", 50.0, SHORT), other]
    turns = {(turn.lifter, turn.one.slot): turn for turn in run_sheet(both, {}).turns}
    alone = {one.slot: one for one in prepare_task(both[0], {}).sets}
    second = turns["ida", "1.work.2"]
    assert second.pause_s > second.one.rest_s == 30.0
    assert second.one.felt_kg > alone["1.work.2"].felt_kg
    assert f"You rest {rest_words(second.pause_s)} while Bo lifts; after 30 s it would be" in second.one.reason


def test_a_first_set_is_the_same_as_alone() -> None:
    both = [task("ida", 50.0, SHORT), task("bo", 70.0, SHORT)]
    first = next(turn for turn in run_sheet(both, {}).turns if turn.one.slot == "1.work.1")
    assert first.one.fitting_kg == prepare_task(both[0], {}).sets[-3].fitting_kg
