"""What hangs in the house: horns keep their plates until these are used elsewhere."""

from __future__ import annotations

from gyms import boathouse, logged
from racks import rack
from steelyard.plates.house import after_set
from steelyard.plates.model import Loading
from steelyard.training.hanging import left_hanging

GYM = boathouse()
HORNS = GYM.machine.horns
FIVE, TEN = GYM.inventory.plate("5 kg"), GYM.inventory.plate("10 kg")


def test_another_station_leaves_the_arm_loaded() -> None:
    on = after_set({"tip": (TEN, FIVE)}, {"pin": (FIVE,)}, ["pin"], HORNS, GYM.inventory)
    assert on == {"tip": (TEN, FIVE), "pin": (FIVE,)}


def test_plates_used_elsewhere_came_off_with_all_outside_of_them() -> None:
    few = rack({"10 kg": 2, "5 kg": 4})
    ten, five = (few.plate(name) for name in ("10 kg", "5 kg"))
    on = after_set({"tip": (five, ten, five)}, {"pin": (ten,)}, ["pin"], HORNS, few)
    assert on == {"tip": (five,), "pin": (ten,)}


def test_the_own_horn_carries_the_loading_and_nothing_else() -> None:
    assert after_set({"tip": (TEN,)}, {}, ["tip"], HORNS, GYM.inventory) == {}


def names(loading: Loading) -> dict[str, list[str]]:
    return {horn: [plate.name for plate in stack] for horn, stack in loading.items()}


def test_sets_leave_what_they_were_done_with() -> None:
    sets = [
        logged(30.0, 10, loading={"tip": ("10 kg", "5 kg")}),
        logged(12.0, 10, station="handle", exercise="curl_lever", loading={"pin": ("5 kg",)}),
    ]
    assert names(left_hanging(GYM, sets)) == {"tip": ["10 kg", "5 kg"], "pin": ["5 kg"]}


def test_a_set_of_plates_that_nobody_knows_leaves_nothing() -> None:
    sets = [logged(30.0, 10, loading={"tip": ("10 kg",)}), logged(30.0, 10, loading={"tip": ("lead",)})]
    assert left_hanging(GYM, sets) == {}


def test_a_set_on_another_machine_leaves_nothing_here() -> None:
    assert left_hanging(GYM, [logged(30.0, 10, machine="elsewhere", loading={"tip": ("10 kg",)})]) == {}
