"""Masses and lengths as people write them, and forces."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from steelyard.errors import OutOfRange
from steelyard.units import Mass, Unit, felt_kg, in_unit, newtons, parse_length, parse_mass, plain, show_mass

AMOUNTS = st.decimals(0, 10_000, places=6)


@pytest.mark.parametrize(
    ("text", "amount", "unit"),
    [
        ("45 lb", "45", Unit.LB),
        ("20 kg", "20", Unit.KG),
        ("1.25", "1.25", Unit.KG),
        ("1,25", "1.25", Unit.KG),
        (" 2.5kg ", "2.5", Unit.KG),
        ("10 LBS", "10", Unit.LB),
        ("5 pounds", "5", Unit.LB),
        ("7 kilos", "7", Unit.KG),
        ("+3", "3", Unit.KG),
        ("0", "0", Unit.KG),
    ],
)
def test_a_mass_is_read_in_its_own_unit(text: str, amount: str, unit: Unit) -> None:
    assert parse_mass(text) == Mass(Decimal(amount), unit)


def test_the_default_unit_counts_only_where_none_is_written() -> None:
    assert parse_mass("45", Unit.LB) == Mass(Decimal(45), Unit.LB)
    assert parse_mass("45 kg", Unit.LB) == Mass(Decimal(45), Unit.KG)


@pytest.mark.parametrize(
    "text", ["", "kg", "20 st", "twenty", "1e3", "nan", "1.2.3", "20 kg kg", "1.1234567", "1 000"]
)
def test_what_is_no_mass_is_refused_with_an_example(text: str) -> None:
    with pytest.raises(OutOfRange) as met:
        parse_mass(text)
    assert str(met.value) == f"mass is '{text}'; it must be a mass such as 20 kg, 45 lb or 1.25"


def test_a_negative_mass_is_refused() -> None:
    with pytest.raises(OutOfRange, match="mass is '-5 kg'; it must be 0 or more"):
        parse_mass("-5 kg")


@given(AMOUNTS, st.sampled_from(Unit))
def test_a_mass_that_is_printed_reads_back_the_same(amount: Decimal, unit: Unit) -> None:
    mass = Mass(amount, unit)
    again = parse_mass(str(mass))
    assert again == mass
    assert str(again) == str(mass)


@given(AMOUNTS, st.sampled_from(Unit))
def test_grams_are_the_nearest_whole_ones(amount: Decimal, unit: Unit) -> None:
    mass = Mass(amount, unit)
    assert abs(mass.grams - mass.amount * mass.unit.in_kg * 1000) <= Decimal("0.5")


@pytest.mark.parametrize(
    ("amount", "text"), [("20.00", "20"), ("1.250", "1.25"), ("100", "100"), ("1E+2", "100"), ("0.0", "0")]
)
def test_a_decimal_is_plain_without_idle_zeros(amount: str, text: str) -> None:
    assert plain(Decimal(amount)) == text


def test_a_mass_is_shown_in_the_unit_of_the_reader() -> None:
    assert show_mass(100.0, Unit.KG) == "100.0 kg"
    assert show_mass(100.0, Unit.LB) == "220.5 lb"
    assert show_mass(100.0, Unit.LB, places=3) == "220.462 lb"


@given(st.floats(0, 1000))
def test_pounds_lead_back_to_kilograms(mass_kg: float) -> None:
    assert in_unit(mass_kg, Unit.LB) * 0.45359237 == pytest.approx(mass_kg, rel=1e-14)
    assert in_unit(mass_kg, Unit.KG) == mass_kg


@given(st.floats(0, 1000))
def test_newtons_lead_back_to_felt_load(kg: float) -> None:
    assert felt_kg(newtons(kg)) == pytest.approx(kg, rel=1e-14)


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("180 cm", 1.80),
        ("1.80 m", 1.80),
        ("1,80m", 1.80),
        ("1800 mm", 1.80),
        ("71 in", 1.8034),
        ("71 inches", 1.8034),
        ("5 ft 11 in", 1.8034),
        ("5ft 11", 1.8034),
        ("5'11\"", 1.8034),
        ("6 feet", 1.8288),
        ("5 ft 10,5 in", 1.7907),
        (" 180 CM ", 1.80),
    ],
)
def test_a_length_is_read_in_its_own_unit(text: str, metres: float) -> None:
    assert parse_length(text) == metres


@pytest.mark.parametrize(
    "text", ["", "180", "cm", "-180 cm", "tall", "5 ft 12 in", "180 cm cm", "1e2 cm", "nan m", "5 11"]
)
def test_what_is_no_length_is_refused_with_an_example(text: str) -> None:
    with pytest.raises(OutOfRange) as met:
        parse_length(text)
    assert str(met.value) == f"length is '{text}'; it must be a length such as 180 cm, 1.80 m, 71 in or 5 ft 11 in"


@given(st.integers(1, 99_999))
def test_the_same_length_in_millimetres_and_centimetres_is_one(mm: int) -> None:
    assert parse_length(f"{mm} mm") == parse_length(f"{mm / 10:.1f} cm") == pytest.approx(mm / 1000, rel=1e-15)
