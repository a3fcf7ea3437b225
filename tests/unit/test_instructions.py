"""What is called out at the horns."""

from __future__ import annotations

from racks import plate_of, post
from steelyard.plates.instructions import instructions, stack_words
from steelyard.plates.model import Move, Plate
from steelyard.units import Unit

TEN, FIVE, SMALL, POUNDS = (plate_of(name) for name in ("10 kg", "5 kg", "2.5 kg", "45 lb"))


def off(plate: Plate, horn: str = "tip", sides: int = 2) -> Move:
    return Move(False, plate, horn, sides)


def on(plate: Plate, horn: str = "tip", sides: int = 2) -> Move:
    return Move(True, plate, horn, sides)


def test_plates_are_called_by_their_number_in_the_order_of_the_hands() -> None:
    assert instructions([off(FIVE), on(TEN)], Unit.KG) == "outermost 5 off, 10 on, both sides"
    assert instructions([off(FIVE), off(TEN)], Unit.KG) == "outermost 5, then 10 off, both sides"


def test_a_pause_parts_off_from_on_where_there_are_several() -> None:
    said = instructions([off(FIVE), off(SMALL), on(TEN), on(FIVE)], Unit.KG)
    assert said == "outermost 5, then 2.5 off; 10, then 5 on; both sides"


def test_sides_are_told_once_where_all_horns_have_two() -> None:
    moves = [off(FIVE, "back"), off(TEN), on(FIVE), on(SMALL), on(TEN, "back")]
    said = instructions(moves, Unit.KG)
    assert said == "back: outermost 5 off; tip: outermost 10 off; 5, then 2.5 on; back: 10 on; all on both sides"


def test_what_hangs_is_told_from_the_inside() -> None:
    horns = {"tip": post(), "pin": post("pin", sides=1)}
    assert stack_words({"tip": (TEN, FIVE), "pin": (SMALL,)}, horns) == "tip: 10 kg + 5 kg each side; pin: 2.5 kg"
    assert stack_words({"tip": (TEN, FIVE)}, {"tip": post()}) == "10 kg + 5 kg each side"


def test_plates_of_the_other_unit_keep_their_name() -> None:
    assert instructions([on(POUNDS), on(FIVE)], Unit.KG) == "45 lb, then 5 on, both sides"
    assert instructions([on(POUNDS), on(FIVE)], Unit.LB) == "45, then 5 kg on, both sides"


def test_neighbours_of_one_kind_are_counted() -> None:
    assert instructions([on(FIVE), on(SMALL), on(SMALL)], Unit.KG) == "5, then 2 × 2.5 on, both sides"


def test_a_single_post_has_no_sides() -> None:
    assert instructions([on(FIVE, "pin", 1)], Unit.KG) == "5 on"


def test_several_horns_are_named_one_after_the_other() -> None:
    moves = [off(TEN, "pin", 1), on(TEN), on(FIVE), on(SMALL, "pin", 1)]
    assert instructions(moves, Unit.KG) == "pin: outermost 10 off; tip: 10, then 5 on, both sides; pin: 2.5 on"


def test_one_horn_is_named_if_asked_for() -> None:
    assert instructions([on(TEN)], Unit.KG, named=True) == "tip: 10 on, both sides"


def test_nothing_to_do_needs_no_words() -> None:
    assert instructions([], Unit.KG) == ""
