"""Moves between loadings: their order, and what hands can't do."""

from __future__ import annotations

import pytest

from racks import plate_of, post
from steelyard.errors import OutOfRange, UnknownName
from steelyard.plates.model import Move
from steelyard.plates.moves import moves, replay

TWENTY, TEN, FIVE, SMALL = (plate_of(name) for name in ("20 kg", "10 kg", "5 kg", "2.5 kg"))
HORNS = {"tip": post(), "pin": post("pin", sides=1)}


def told(change: tuple[Move, ...]) -> list[str]:
    return [f"{'+' if move.on else '-'}{move.plate.name} {move.horn}" for move in change]


def test_the_common_inner_part_stays() -> None:
    change = moves({"tip": (TWENTY, TEN, FIVE)}, {"tip": (TWENTY, FIVE, SMALL)}, HORNS)
    assert told(change) == ["-5 kg tip", "-10 kg tip", "+5 kg tip", "+2.5 kg tip"]


def test_all_horns_are_stripped_before_any_is_filled() -> None:
    change = moves({"pin": (TEN,), "tip": (FIVE,)}, {"pin": (FIVE,), "tip": (TEN,)}, HORNS)
    assert told(change) == ["-5 kg tip", "-10 kg pin", "+10 kg tip", "+5 kg pin"]
    assert [move.sides for move in change] == [2, 1, 2, 1]


def test_a_horn_left_out_of_a_loading_is_empty() -> None:
    assert told(moves({"tip": (TEN,)}, {}, HORNS)) == ["-10 kg tip"]
    assert moves({"tip": ()}, {}, HORNS) == ()


def test_a_horn_that_is_not_there_is_refused() -> None:
    with pytest.raises(UnknownName, match="horn 'top' is not known; did you mean tip"):
        moves({}, {"top": (TEN,)}, HORNS)


def test_an_inner_plate_can_not_be_taken_off_first() -> None:
    with pytest.raises(OutOfRange) as met:
        replay({"tip": (TWENTY, TEN)}, [Move(False, TWENTY, "tip", 2)])
    assert str(met.value) == "outermost plate on horn tip is 10 kg; it must be 20 kg, to be taken off"


def test_nothing_comes_off_an_empty_horn() -> None:
    with pytest.raises(OutOfRange, match="outermost plate on horn tip is missing"):
        replay({}, [Move(False, TWENTY, "tip", 2)])


def test_plates_that_lift_the_arm_come_off_first_and_go_on_last() -> None:
    change = moves({"tip": (TEN,), "pin": (FIVE,)}, {"tip": (FIVE,), "pin": (TEN,)}, HORNS, lightening=["pin"])
    assert told(change) == ["-5 kg pin", "-10 kg tip", "+5 kg tip", "+10 kg pin"]
