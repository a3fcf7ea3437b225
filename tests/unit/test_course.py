"""The search over several horns: what it leaves out, what stands for what, and when it ends."""

from __future__ import annotations

from dataclasses import replace

import pytest

from changeover_cases import Case, station_laws
from racks import plate_of, rack
from steelyard.machine.felt import felt_law
from steelyard.plates.changeover import changeover
from steelyard.plates.course import Few, Trail
from steelyard.plates.fillings import Weights
from steelyard.plates.handling import Handling
from steelyard.plates.ways import restacking_ms
from steelyard.plates.wishes import Wish

WEIGHTS = Weights([1000, 2000, 4000, 8000])
MACHINE, LAWS = station_laws("twin-arms", ("row", "press"))
HOUSE = rack({"20 kg": 4, "10 kg": 4, "5 kg": 4, "2.5 kg": 4})


def trail(bound: int) -> Trail:
    return Trail(bound, 0, 0, (), None)


def two_horns(*loads_kg: float) -> Case:
    """A session whose sets change between two stations of an arm with two horns."""
    wishes = tuple(Wish(LAWS[number % 2], kg, 0.05 * kg, over_kg=0.0) for number, kg in enumerate(loads_kg))
    return Case(MACHINE, HOUSE, wishes, {}, Handling())


def test_few_keeps_the_most_promising() -> None:
    few = Few(2, 100)
    for bound in (50, 40, 30):
        few.add(trail(bound))
    assert sorted(each.bound for each in few.trails()) == [30, 40]


def test_few_says_how_good_what_it_leaves_out_could_be() -> None:
    few = Few(2, 100)
    few.add(trail(50))
    assert few.left_out > 50
    few.add(trail(40))
    assert (few.limit, few.left_out) == (50, 50)


@pytest.mark.parametrize(
    ("mine", "its", "cost"),
    [
        ((0b1111,), (0b0001, 0b1111), 0),  # one block can be any order
        ((0b0001, 0b1111), (0b0001, 0b0011, 0b1111), 0),
        ((0b0001, 0b1111), (0b1111,), 2 * 15_000),  # all off, and on again as one block
        ((0b0001, 0b0111, 0b1111), (0b0001, 0b0011, 0b1111), 2 * 12_000),
    ],
)
def test_what_lies_over_the_part_that_two_stacks_share_is_restacked(
    mine: tuple[int, ...], its: tuple[int, ...], cost: int
) -> None:
    assert restacking_ms(mine, its, WEIGHTS) == cost


def test_restacking_is_never_for_nothing() -> None:
    assert restacking_ms((0b01, 0b11), (0b11,), Weights([0, 0])) == 1


def test_two_horns_are_proven() -> None:
    assert two_horns(30.0, 45.0, 60.0, 58.0, 40.0, 40.0).plan().gap_s == 0


def test_no_work_at_all_still_gives_a_plan_and_its_gap() -> None:
    case = two_horns(30.0, 45.0, 60.0, 58.0, 40.0, 62.0, 33.0)
    hasty = changeover(case.machine, case.inventory, case.wishes, may_go_on=lambda work: False)
    best = case.plan()
    assert hasty.cost_s - hasty.gap_s <= best.cost_s <= hasty.cost_s


def test_long_horns_with_many_plates_get_a_plan_whose_gap_is_not_hidden() -> None:
    horns = {name: replace(horn, length_m=1.0, rated_kg=None) for name, horn in MACHINE.horns.items()}
    arms = {name: replace(arm, rated_plates_kg=None) for name, arm in MACHINE.arms.items()}
    house = rack(dict.fromkeys(("25 kg", "20 kg", "15 kg", "10 kg", "5 kg", "2.5 kg", "1.25 kg"), 4))
    long = replace(MACHINE, horns=horns, arms=arms)
    law = felt_law(long, long.stations["row"])
    plan = changeover(long, house, [Wish(law, 80.0, 8.0), Wish(law, 100.0, 10.0)])
    assert 0 < plan.gap_s <= plan.cost_s


def test_a_plate_is_fetched_from_another_horn_when_there_is_no_other() -> None:
    machine, laws = station_laws("boathouse", ("row", "handle"))
    loads_kg = (laws[0].base_kg + 10.0, laws[1].base_kg + 20.0)
    wishes = tuple(Wish(law, kg, 0.5 * kg) for law, kg in zip(laws, loads_kg, strict=True))
    plan = Case(machine, rack({"10 kg": 2}), wishes, {"tip": (plate_of("10 kg"),)}, Handling()).plan()
    assert plan.changes[1].loading == {"pin": (plate_of("10 kg"),) * 2}
