"""The course of one horn against trying every stack at every set."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import permutations

import pytest

from changeover_cases import Case, station_laws
from racks import plate_of, rack
from steelyard.plates.apart import apart
from steelyard.plates.handling import Handling
from steelyard.plates.loading import felt_kg
from steelyard.plates.model import Stack
from steelyard.plates.moves import common
from steelyard.plates.nest import Nest
from steelyard.plates.wishes import Way, Wish

MACHINE, (ROW,) = station_laws("boathouse", ("row",))
PLATES = tuple(map(plate_of, ("10 kg", "5 kg", "2.5 kg")))
LOADS = {stack: felt_kg(ROW, {"tip": stack}) for count in range(4) for stack in permutations(PLATES, count)}
HANDLING = Handling()


def wish(stack: tuple[str, ...], *, way: Way = Way.FREE, haste: float = 1.0, off_kg: float = 0.0) -> Wish:
    """What a stack makes, and so much more."""
    load_kg = LOADS[tuple(map(plate_of, stack))] + off_kg
    return Wish(ROW, load_kg, 0.12 * load_kg, price_s=400.0, way=way, haste=haste)


def session(*wishes: Wish, hanging: tuple[str, ...] = ()) -> Case:
    """A session with a pair of each plate."""
    house = rack(dict.fromkeys(("10 kg", "5 kg", "2.5 kg"), 2))
    return Case(MACHINE, house, wishes, {"tip": tuple(map(plate_of, hanging))} if hanging else {}, HANDLING)


def allowed(asked: Wish) -> Iterator[tuple[Stack, int]]:
    """Every stack that a set may have, with its price. [ms]"""
    found = [(stack, round(1000 * kg)) for stack, kg in LOADS.items()]
    nearest = min(asked.beyond_grams(grams) for _, grams in found)
    for stack, grams in found:
        if asked.beyond_grams(grams) == nearest:
            yield stack, asked.price_ms(grams)


def tried(case: Case) -> int:
    """The least cost, from every stack to every other, set by set. [ms]"""
    costs = {case.on_horns.get("tip", ()): 0}
    for asked in case.wishes:
        costs = {
            stack: min(cost + changed(before, stack, asked) for before, cost in costs.items()) + price
            for stack, price in allowed(asked)
        }
    return min(costs.values())


def changed(before: Stack, after: Stack, asked: Wish) -> int:
    """What it costs to restack before a set; what may not be done costs more than any session. [ms]"""
    kept = common(before, after)
    off, on = (2 * sum(map(HANDLING.plate_ms, stack[kept:])) for stack in (before, after))
    if asked.way is Way.STRIP:
        return 10**12 if on else round(asked.haste * off)
    return off + on + (10**7 * len(before[kept:]) if asked.way is Way.ADD else 0)


SESSIONS = {
    "one set": session(wish(("10 kg",))),
    "a ramp": session(
        wish(("5 kg",)), wish(("10 kg",)), wish(("10 kg", "5 kg")), wish(("10 kg", "5 kg", "2.5 kg"))
    ),
    "up and down": session(
        *map(wish, [("5 kg",), ("10 kg", "5 kg"), ("2.5 kg",), ("10 kg", "2.5 kg"), ("5 kg",)])
    ),
    "a drop": session(wish(("10 kg", "5 kg")), wish(("5 kg",), way=Way.STRIP, haste=3.0), wish(("10 kg", "5 kg"))),
    "two drops": session(
        wish(("10 kg", "5 kg", "2.5 kg")),
        wish(("10 kg",), way=Way.STRIP, haste=3.0),
        wish(("2.5 kg",), way=Way.STRIP, haste=3.0),
        wish(("5 kg",)),
    ),
    "a drop first": session(wish(("5 kg",), way=Way.STRIP), wish(("10 kg",)), hanging=("5 kg", "2.5 kg", "10 kg")),
    "only added": session(
        wish(("5 kg",)), wish(("10 kg",), way=Way.ADD), wish(("10 kg", "2.5 kg"), way=Way.ADD), hanging=("10 kg",)
    ),
    "in the way": session(wish(("10 kg",)), wish(("5 kg",)), hanging=("2.5 kg", "10 kg", "5 kg")),
    "nothing near": session(wish(("10 kg", "5 kg", "2.5 kg"), off_kg=30.0), wish((), off_kg=1.0)),
}


@pytest.mark.parametrize("name", SESSIONS)
def test_a_course_costs_the_least_of_all_that_can_be_tried(name: str) -> None:
    case = SESSIONS[name]
    assert round(1000 * case.plan().cost_s) == tried(case)


@pytest.mark.parametrize("name", SESSIONS)
def test_the_search_for_several_horns_finds_it_too(name: str) -> None:
    case = SESSIONS[name]
    assert case.searched().cost == tried(case)


def nest_of(case: Case) -> Nest:
    rack, stages, (start,) = case.seen()
    nest = Nest(rack, stages[0].horns.posts[0], stages, start)
    nest.fill()
    return nest


def test_a_run_costs_no_less_than_a_part_of_it() -> None:
    empty = nest_of(SESSIONS["up and down"]).rows[0]
    assert all(row == sorted(row) for row in empty.values())


def test_a_run_with_more_plates_that_must_stay_costs_no_less() -> None:
    rows = nest_of(SESSIONS["a ramp"]).rows
    for mine in rows.values():
        for first, row in mine.items():
            assert all(mine_ms >= its_ms for mine_ms, its_ms in zip(row, rows[0][first], strict=False))


def test_a_drop_leaves_what_it_needs_innermost() -> None:
    before, after, _ = SESSIONS["a drop"].plan().changes
    assert before.loading["tip"][: len(after.loading["tip"])] == after.loading["tip"] == (plate_of("5 kg"),)


def test_several_horns_are_not_taken_apart() -> None:
    machine, laws = station_laws("twin-arms", ("row",))
    case = Case(machine, rack({"10 kg": 4}), (Wish(laws[0], 30.0, 5.0),), {}, HANDLING)
    assert apart(*case.seen()) == (None, 0)


def test_a_hundred_sets_on_one_horn_are_answered_and_proven() -> None:
    ramp = SESSIONS["up and down"].wishes
    assert replace(SESSIONS["up and down"], wishes=ramp * 20).plan().gap_s == 0
