"""Moves between loadings: their order, their words, and what hands can't do."""

from __future__ import annotations

import pytest

from racks import plate_of, post
from steelyard.errors import OutOfRange, UnknownName
from steelyard.plates.model import Move
from steelyard.plates.moves import SECONDS_PER_PLATE, fewest_moves, move_seconds, moves, replay, words

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


def test_a_plate_on_each_side_takes_twice_the_time() -> None:
    assert move_seconds([]) == 0.0
    assert move_seconds(moves({}, {"tip": (TEN,), "pin": (FIVE,)}, HORNS)) == 3 * SECONDS_PER_PLATE


def test_fewest_moves_prefers_what_is_already_on() -> None:
    builds = [{"tip": (TWENTY,)}, {"tip": (TEN, FIVE, FIVE)}, {"tip": (TEN, TEN)}]
    assert fewest_moves({"tip": (TEN,)}, builds, HORNS) == {"tip": (TEN, TEN)}
    assert fewest_moves({}, builds, HORNS) == {"tip": (TWENTY,)}


def test_of_builds_as_near_the_first_is_taken() -> None:
    builds = [{"tip": (FIVE,)}, {"tip": (TEN,)}]
    assert fewest_moves({}, builds, HORNS) == {"tip": (FIVE,)}
    with pytest.raises(OutOfRange, match="number of builds is 0"):
        fewest_moves({}, [], HORNS)


def test_words_name_plates_in_the_order_of_the_hands() -> None:
    assert words(moves({"tip": (TEN, FIVE)}, {"tip": (TWENTY,)}, HORNS)) == (
        "off: 5 kg, 10 kg; on: 20 kg; same on both sides"
    )
    assert words(moves({}, {"pin": (FIVE,)}, HORNS)) == "on: 5 kg"
    assert words(()) == "nothing to change"


def test_words_name_the_horns_only_if_there_are_several() -> None:
    assert words(moves({"tip": (TEN,)}, {"pin": (FIVE,)}, HORNS)) == "off tip (both sides): 10 kg; on pin: 5 kg"
    both = {"tip": post(), "back": post("back")}
    assert (
        words(moves({"tip": (TEN,)}, {"back": (TEN,)}, both))
        == "off tip: 10 kg; on back: 10 kg; same on both sides"
    )
