"""Plates that are missing today, and the nearest that the others make."""

from __future__ import annotations

import pytest

from gyms import boathouse
from racks import gym_of, plate_of, post, rack
from steelyard.errors import NoLoading, OutOfRange, UnknownName
from steelyard.plates.loading import ladder, told_apart
from steelyard.plates.missing import without
from steelyard.plates.model import Inventory, Rung
from steelyard.units import Unit
from steelyard.workshop.building import build

HOUSE = rack({"10 kg": 4, "5 kg": 2, "45 lb": 2})


def left(*names: str) -> dict[str, int]:
    return {plate.name: count for plate, count in without(HOUSE, names).counts.items()}


def test_all_plates_of_a_kind_are_missing_unless_a_number_is_said() -> None:
    assert left("10 kg") == {"10 kg": 0, "5 kg": 2, "45 lb": 2}
    assert left("10 kg*1", "45 lb * 2") == {"10 kg": 3, "5 kg": 2, "45 lb": 0}


def test_what_is_said_twice_adds_up() -> None:
    assert left("10 kg*1", "10 kg*2")["10 kg"] == 1
    with pytest.raises(OutOfRange, match=r"plates named 10 kg is 10 kg\*2; it must be 1 or fewer, all there are"):
        without(HOUSE, ["10 kg*3", "10 kg*2"])


@pytest.mark.parametrize("text", ["5kg", "5 KG", " 5,0 kg ", "5 kilo*2"])
def test_a_plate_is_found_however_its_mass_is_written(text: str) -> None:
    assert left(text)["5 kg"] == 0


def test_a_star_may_be_part_of_a_name() -> None:
    starred = Inventory({plate_of("Old*2", mass="10 kg"): 3})
    assert list(without(starred, ["old*2"]).counts.values()) == [0]
    assert list(without(starred, ["Old*2*1"]).counts.values()) == [2]


@pytest.mark.parametrize("text", ["5 kg*", "5 kg*0", "5 kg*-1", "5 kg*one", "5 kg*1.5"])
def test_a_number_that_is_none_is_refused(text: str) -> None:
    with pytest.raises(OutOfRange, match="it must be a plate, or a plate, "):
        without(HOUSE, [text])


@pytest.mark.parametrize("text", ["15 kg", "15 kg*1", "", "*2"])
def test_an_unknown_plate_is_answered_with_those_that_are_there(text: str) -> None:
    with pytest.raises(UnknownName, match=r"is not known; .*known: 10 kg, 5 kg, 45 lb$"):
        without(HOUSE, [text])


def test_a_ladder_without_a_kind_is_that_of_a_house_that_never_had_it() -> None:
    machine, law, inventory = gym_of([post(), post("back")], {"10 kg": 4, "5 kg": 2})
    never = rack({"10 kg": 4})
    assert ladder(machine, law, without(inventory, ["5 kg"])) == ladder(machine, law, never)


def test_a_missing_plate_can_still_be_named() -> None:
    gym = boathouse().without(("20 kg",))
    assert [plate.name for plate in gym.loading({"tip": ("20 kg",)})["tip"]] == ["20 kg"]
    assert boathouse().without(()) is boathouse()


# ---- the nearest ----

STEPS = tuple(Rung(kg, ({},)) for kg in (60.204, 62.44, 70.0))


def test_the_nearest_is_built_where_it_is_near_enough() -> None:
    answer = build(STEPS, 62.0, 0.5, Unit.KG)
    assert [(one.felt, one.off) for one in answer.builds] == [("62.4 kg", "0.7 % more")]
    assert answer.refusal is None


def test_where_none_is_near_enough_the_two_around_it_are_told() -> None:
    answer = build(STEPS, 61.0, 0.5, Unit.KG)
    assert [(one.felt, one.off) for one in answer.builds] == [("60.2 kg", "1.3 % less"), ("62.4 kg", "2.4 % more")]
    assert isinstance(answer.refusal, NoLoading)
    assert str(answer.refusal) == "no loading makes 61 kg; nearest are 60.2 kg and 62.4 kg"


def test_the_nearest_are_told_in_pounds_to_those_who_read_them() -> None:
    answer = build(STEPS, 61.0, 0.5, Unit.LB)
    assert str(answer.refusal) == "no loading makes 134.5 lb; nearest are 132.7 lb and 137.7 lb"


def test_above_the_heaviest_there_is_one() -> None:
    answer = build(STEPS, 140.0, 0.5, Unit.KG)
    assert [(one.felt, one.off) for one in answer.builds] == [("70 kg", "50.0 % less")]


def test_loads_that_a_tenth_would_make_equal_are_told_finer() -> None:
    assert told_apart([61.0, 61.04, 62.0], Unit.KG) == ["61 kg", "61.04 kg", "62 kg"]
    assert told_apart([61.0, 61.004], Unit.KG) == ["61 kg", "61.004 kg"]
    assert told_apart([], Unit.KG) == []
