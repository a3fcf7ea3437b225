"""What is called out: short, in order, and never pounds for kilos."""

from __future__ import annotations

import re
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from steelyard.live.speech import change_said, number_said, pause_said, read_out, set_said
from steelyard.plates.instructions import instructions
from steelyard.plates.model import Move, Plate
from steelyard.units import Unit, parse_mass

NAMES = ("1.25 kg", "2.5 kg", "5 kg", "10 kg", "15 kg", "20 kg", "2.5 lb", "5 lb", "10 lb", "45 lb")
PLATES = {name: Plate(name, parse_mass(name), 0.02) for name in NAMES}
OLD = Plate("45 lb old", parse_mass("45 lb"), 0.04)


def off(*names: str, horn: str = "tip", sides: int = 2) -> list[Move]:
    return [Move(False, PLATES[name], horn, sides) for name in names]


def on(*names: str, horn: str = "tip", sides: int = 2) -> list[Move]:
    return [Move(True, PLATES[name], horn, sides) for name in names]


def test_off_comes_before_on_and_sides_last() -> None:
    assert change_said([*off("10 kg"), *on("5 kg")], Unit.KG) == "ten off, five on, both sides"


def test_several_plates_are_called_in_the_order_of_the_hands() -> None:
    assert change_said(on("20 kg", "10 kg", "2.5 kg"), Unit.KG) == (
        "twenty, then ten, then two and a half on, both sides"
    )


def test_two_of_a_kind_are_counted() -> None:
    assert change_said(on("10 kg", "10 kg"), Unit.KG) == "two tens on, both sides"
    assert change_said(on("2.5 kg", "2.5 kg"), Unit.KG) == "two plates of two and a half on, both sides"
    assert change_said(on("20 kg", "20 kg"), Unit.KG) == "two twenties on, both sides"


def test_a_single_post_says_nothing_of_sides() -> None:
    assert change_said(on("10 kg", horn="pin", sides=1), Unit.KG) == "ten on"


def test_several_horns_are_named_with_their_own_sides() -> None:
    said = change_said([*off("10 kg", horn="pin", sides=1), *on("5 kg")], Unit.KG)
    assert said == "pin: ten off. tip: five on, both sides"


def test_horns_that_are_loaded_alike_share_the_word_on_sides() -> None:
    said = change_said([*off("10 kg", horn="inner"), *on("5 kg", horn="outer")], Unit.KG)
    assert said == "inner: ten off. outer: five on. all on both sides"


def test_a_strip_says_go() -> None:
    assert change_said(off("10 kg"), Unit.KG, strip=True) == "strip ten, both sides: go"
    assert change_said([], Unit.KG, strip=True) == "plates stay: go"


def test_a_strip_of_two_horns_says_go_once() -> None:
    said = change_said([*off("5 kg", horn="pin", sides=1), *off("10 kg")], Unit.KG, strip=True)
    assert said == "pin: strip five. tip: strip ten, both sides: go"


def test_nothing_to_do_is_silent() -> None:
    assert change_said([], Unit.KG) == ""


def test_plates_of_the_other_unit_are_called_with_it() -> None:
    assert change_said(on("45 lb"), Unit.KG) == "forty-five pounds on, both sides"
    assert change_said(on("45 lb"), Unit.LB) == "forty-five on, both sides"


def test_where_both_units_are_handled_every_plate_has_its_unit() -> None:
    said = change_said([*off("10 kg"), *on("10 lb", "10 lb")], Unit.KG)
    assert said == "ten kilos off, two plates of ten pounds on, both sides"


def test_a_plate_with_a_name_is_called_by_it() -> None:
    moves = [Move(True, OLD, "tip", 2)] * 2
    assert change_said(moves[:1], Unit.LB) == "forty-five pounds old on, both sides"
    assert change_said(moves, Unit.LB) == "two times forty-five pounds old on, both sides"


def test_the_set_is_said_as_its_card_is_written() -> None:
    assert set_said("Row", "warm-up 1 of 3", "8", "easy, to get warm") == (
        "Row, warm-up one of three. Eight reps. Easy, to get warm."
    )
    assert set_said("Curl", "test set 1", "8 to 12", "light: stop with 4 or more left", side="left side") == (
        "Curl, left side, test set one. Eight to twelve reps. Light: stop with four or more left."
    )


def test_a_rest_pause_is_said_with_its_seconds() -> None:
    assert pause_said(12.0) == "rest twelve seconds, same plates, then go"


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("10 reps at 66.8 kg", "ten reps at sixty-six point eight kilos"),
        ("1 kg or 1 lb", "one kilo or one pound"),
        ("5+ left", "five or more left"),
        ("80 % of it in 12 min", "eighty per cent of it in twelve minutes"),
        ("2 × 10 kg", "two times ten kilos"),
        ("next, the 3rd", "next, the 3rd"),
    ],
)
def test_figures_of_a_sentence_become_words(written: str, said: str) -> None:
    assert read_out(written) == said


@pytest.mark.parametrize(
    ("number", "said"),
    [
        ("0", "zero"),
        ("0.5", "a half"),
        ("1.25", "one and a quarter"),
        ("3.75", "three and three quarters"),
        ("12", "twelve"),
        ("19", "nineteen"),
        ("21", "twenty-one"),
        ("100", "one hundred"),
        ("115", "one hundred and fifteen"),
        ("2200", "two thousand two hundred"),
        ("2.05", "two point zero five"),
    ],
)
def test_numbers_are_said_as_lifters_say_them(number: str, said: str) -> None:
    assert number_said(Decimal(number)) == said


@given(st.integers(0, 9999), st.integers(0, 9999))
def test_no_two_numbers_sound_alike(one: int, other: int) -> None:
    assert (number_said(Decimal(one)) == number_said(Decimal(other))) == (one == other)


@given(
    st.lists(st.tuples(st.booleans(), st.sampled_from(NAMES), st.sampled_from(["tip", "pin"])), max_size=8),
    st.sampled_from(Unit),
)
def test_what_is_said_has_no_figures_and_as_many_offs_as_what_is_written(
    drawn: list[tuple[bool, str, str]], unit: Unit
) -> None:
    moves = [Move(is_on, PLATES[name], horn, 2) for is_on, name, horn in drawn]
    said, written = change_said(moves, unit), instructions(moves, unit)
    assert re.search(r"\d", said) is None
    assert [len(re.findall(rf"\b{word}\b", said)) for word in ("off", "then", "sides")] == [
        len(re.findall(rf"\b{word}\b", written)) for word in ("off", "then", "sides")
    ]


@given(st.lists(st.sampled_from(NAMES), min_size=1, max_size=5), st.sampled_from(Unit))
def test_a_unit_is_left_out_only_where_every_plate_is_of_the_lifters_own(names: list[str], unit: Unit) -> None:
    said = change_said(on(*names), unit)
    own = all(PLATES[name].nominal.unit is unit for name in names)
    assert (re.search("kilo|pound", said) is None) == own
