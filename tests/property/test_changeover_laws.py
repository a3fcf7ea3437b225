"""Laws that the plates of a whole session keep, whatever the machine, the plates and the wishes."""

from __future__ import annotations

from dataclasses import replace
from itertools import groupby

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from changeover_cases import SIZES, Case, another_pair, cases
from racks import plate_of
from steelyard.errors import NoLoading
from steelyard.plates.apart import apart
from steelyard.plates.changeover import Change, Plan
from steelyard.plates.loading import check_loading
from steelyard.plates.model import Loading
from steelyard.plates.moves import replay
from steelyard.plates.wishes import Way

ONE_HORN = (("boathouse", ("row",)), ("boathouse", ("row", "row-chest")))


def planned(case: Case) -> Plan:
    """The plan, or a case that is not looked at: a stack of which no part may stay."""
    try:
        return case.plan()
    except NoLoading:
        assume(False)
        raise


def own_horns(change: Change) -> set[str]:
    return {share.horn.name for share in change.wish.law.shares}


def counted_ms(case: Case, change: Change) -> int:
    """What a change costs by the table of docs/model-changeover.md."""
    cost = round(1000 * change.price_s)
    for move in change.moves:
        took, own = move.sides * case.handling.plate_ms(move.plate), move.horn in own_horns(change)
        cost += round(took * change.wish.haste) if own else took
        cost += 10_000_000 if own and change.wish.way is Way.ADD and not move.on else 0
    return cost


@given(cases())
@settings(deadline=None, max_examples=150)
def test_moves_reach_every_loading_with_outermost_plates_only(case: Case) -> None:
    hanging: Loading = dict(case.on_horns)
    for change in planned(case).changes:
        hanging = replay(hanging, change.moves)
        assert hanging == {horn: stack for horn, stack in change.on_horns.items() if stack}


@given(cases())
@settings(deadline=None, max_examples=150)
def test_no_loading_breaks_a_limit_or_takes_plates_that_are_not_there(case: Case) -> None:
    sides = {name: horn.sides for name, horn in case.machine.horns.items()}
    for change in planned(case).changes:
        check_loading(case.machine, change.wish.law, change.loading, case.inventory)
        for plate, owned in case.inventory.counts.items():
            assert sum(sides[horn] * stack.count(plate) for horn, stack in change.on_horns.items()) <= owned


@given(cases())
@settings(deadline=None, max_examples=150)
def test_before_a_strip_plates_only_come_off_its_horns(case: Case) -> None:
    for change in planned(case).changes:
        if change.wish.way is Way.STRIP:
            assert not any(move.on for move in change.moves if move.horn in own_horns(change))


@given(cases())
@settings(deadline=None, max_examples=150)
def test_the_cost_is_that_of_its_moves_and_loads(case: Case) -> None:
    plan = planned(case)
    assert plan.cost_s == pytest.approx(sum(counted_ms(case, change) for change in plan.changes) / 1000)
    assert plan.gap_s == 0


@given(cases(stations=ONE_HORN))
@settings(deadline=None, max_examples=200)
def test_one_horn_by_itself_costs_what_the_search_finds(case: Case) -> None:
    planned(case)
    rack, stages, start = case.seen()
    course, _ = apart(rack, stages, start)
    assert course is not None
    assert course.cost == case.searched().cost


@given(cases(most=4), st.sampled_from(SIZES))
@settings(deadline=None, max_examples=60)
def test_a_pair_more_in_the_rack_makes_no_session_dearer(case: Case, name: str) -> None:
    free = replace(case, wishes=tuple(replace(wish, way=Way.FREE, haste=1.0) for wish in case.wishes))
    richer = replace(free, inventory=another_pair(free.inventory, plate_of(name)))
    assert planned(richer).cost_s <= planned(free).cost_s


@given(cases(), st.integers(1, 5))
@settings(deadline=None, max_examples=100)
def test_planned_again_after_some_sets_the_rest_costs_the_same(case: Case, done: int) -> None:
    plan = planned(case)
    done = min(done, len(case.wishes))
    spent = sum(counted_ms(case, change) for change in plan.changes[:done]) / 1000
    rest = replace(case, wishes=case.wishes[done:], on_horns=plan.changes[done - 1].on_horns)
    assert planned(rest).cost_s == pytest.approx(plan.cost_s - spent)


@given(cases())
@settings(deadline=None, max_examples=60)
def test_the_same_session_is_planned_alike_again(case: Case) -> None:
    assert planned(case) == planned(case)


@given(cases(stations=ONE_HORN))
@settings(deadline=None, max_examples=60)
def test_between_equal_sets_that_are_followed_by_a_free_one_nothing_moves(case: Case) -> None:
    free = replace(case, wishes=tuple(replace(wish, way=Way.FREE, haste=1.0) for wish in case.wishes))
    twice = replace(free, wishes=tuple(wish for wish in free.wishes for _ in range(2)))
    for _, run in groupby(planned(twice).changes, key=lambda change: change.wish):
        assert not any(change.moves for change in list(run)[1:])
