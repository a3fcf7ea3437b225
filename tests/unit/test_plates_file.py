"""The plates file: what is read, what is filled in, and that writing keeps it."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from steelyard.errors import DamagedFile, UnknownName
from steelyard.machine.examples import example_text as machine_text
from steelyard.machine.felt import felt_law
from steelyard.machine.file import read_machine
from steelyard.plates.example import example_text
from steelyard.plates.file import RATES, TIMED, read_inventory, write_inventory
from steelyard.plates.handling import Handling
from steelyard.plates.loading import ladder, largest_gap
from steelyard.plates.model import Inventory, Plate
from steelyard.units import Mass, Unit, parse_mass

PAGE = Path(__file__).parents[2] / "docs" / "plates-file.md"
SHORTEST = '[[plate]]\nmass = "20.0 kg"\nthickness_mm = 30\npairs = 2\n'


def test_what_is_left_out_is_filled_in() -> None:
    (plate,) = read_inventory(SHORTEST, "plates.toml").counts
    assert plate == Plate("20 kg", parse_mass("20 kg"), 0.03, None, 0.43, 0.051)
    assert plate.mass == plate.nominal


def test_pairs_and_singles_add_up() -> None:
    inventory = read_inventory(SHORTEST + "singles = 3\n", "plates.toml")
    assert inventory.counts[inventory.plate("20 kg")] == 7


def test_a_plate_keeps_its_own_unit_and_counts_as_weighed() -> None:
    text = '[[plate]]\nmass = "45 lb"\nweighed = "20.1 kg"\nthickness_mm = 38\nsingles = 1\n'
    (plate,) = read_inventory(text, "plates.toml").counts
    assert plate.nominal == Mass(Decimal(45), Unit.LB)
    assert plate.mass == Mass(Decimal("20.1"), Unit.KG)


@pytest.mark.parametrize(
    ("weighed", "fits"), [("17 kg", True), ("23 kg", True), ("16.99 kg", False), ("23.01 kg", False)]
)
def test_a_weighed_mass_may_be_off_by_just_fifteen_percent(weighed: str, fits: bool) -> None:
    text = SHORTEST + f'weighed = "{weighed}"\n'
    if fits:
        assert len(read_inventory(text, "plates.toml").counts) == 1
    else:
        with pytest.raises(DamagedFile, match=r"17 to 23 kg; is its unit right\?"):
            read_inventory(text, "plates.toml")


def test_an_unknown_plate_is_offered_the_nearest() -> None:
    with pytest.raises(UnknownName, match="plate '20kg' is not known; did you mean 20 kg"):
        read_inventory(SHORTEST, "plates.toml").plate("20kg")


def test_the_order_of_the_file_is_kept_in_writing() -> None:
    rack = read_inventory(example_text(), "example.toml")
    again = read_inventory(write_inventory(rack), "again.toml")
    assert list(again.counts.items()) == list(rack.counts.items())


def test_the_example_is_a_mixed_rack_with_one_pair_two_percent_off() -> None:
    rack = read_inventory(example_text(), "example.toml")
    assert {plate.nominal.unit for plate in rack.counts} == {Unit.KG, Unit.LB}
    off = [plate.mass.kg / plate.nominal.kg - 1 for plate in rack.counts if plate.weighed]
    assert off == [pytest.approx(-0.02)]


def test_the_example_makes_a_usable_ladder_on_the_boathouse_machine() -> None:
    machine = read_machine(machine_text("boathouse"), "boathouse.toml")
    rungs = ladder(
        machine, felt_law(machine, machine.stations["row"]), read_inventory(example_text(), "example.toml")
    )
    largest = largest_gap(rungs)
    assert rungs[-1].felt_kg > 130
    assert largest is not None
    assert largest.step_kg < 3.0


def test_every_key_stands_in_the_page() -> None:
    page = PAGE.read_text(encoding="utf-8")
    with pytest.raises(DamagedFile) as met:  # the refusal of an unknown key lists those that are known
        read_inventory(SHORTEST + "colour = 1\n", "plates.toml")
    keys = met.value.accepted.removeprefix("one of ").split(", ")
    assert len(keys) == 8
    assert [key for key in keys if f"| `{key}` |" not in page] == []


@st.composite
def inventories(draw: st.DrawFn) -> Inventory:
    """Plates as a file can hold them: masses to the gram or to a hundredth of a pound, lengths to a tenth."""
    counts: dict[Plate, int] = {}
    for number in range(draw(st.integers(1, 6))):
        unit = draw(st.sampled_from(Unit))
        nominal = Mass(draw(st.decimals(1, 55, places=draw(st.integers(0, 3)))), unit)
        weighed = Mass(round(nominal.amount * draw(st.decimals("0.86", "1.14", places=2)), 3), unit)
        thick, wide, hole = (
            draw(st.integers(500, 1500)),
            draw(st.integers(4000, 6000)),
            draw(st.integers(200, 600)),
        )
        name = draw(st.sampled_from([str(nominal), f'plate "{number}" \\ é', f"#{number}"]))
        if any(plate.name.casefold() == name.casefold() for plate in counts):
            continue
        thick, wide, hole = (
            draw(st.integers(*tenths)) / 10 / 1000 for tenths in ((500, 1500), (4000, 6000), (200, 600))
        )
        plate = Plate(name, nominal, thick, draw(st.none() | st.just(weighed)), wide, hole)
        counts[plate] = draw(st.integers(1, 100))
    return Inventory(counts)


@given(inventories())
def test_an_inventory_survives_writing(inventory: Inventory) -> None:
    again = read_inventory(write_inventory(inventory), "again.toml")
    assert list(again.counts.items()) == list(inventory.counts.items())


def handling_of(text: str) -> Handling:
    return read_inventory(f"[handling]\n{text}\n{SHORTEST}", "plates.toml").handling


def test_nobody_who_timed_nothing_needs_to_say_so() -> None:
    assert read_inventory(SHORTEST, "plates.toml").handling == Handling(4.0, 0.15)


def test_seconds_are_read_by_plate_and_kilogram_or_as_timed() -> None:
    assert handling_of("seconds_a_plate = 5\nseconds_a_kilogram = 0.2") == Handling(5.0, 0.2)
    assert handling_of('small = "2.5 kg"\nsmall_s = 4\nlarge = "20 kg"\nlarge_s = 7.5') == Handling(3.5, 0.2)


def test_a_plate_timed_in_pounds_counts_in_kilograms() -> None:
    handling = handling_of('small = "5 lb"\nsmall_s = 4\nlarge = "45 lb"\nlarge_s = 8')
    assert handling.kg_s == pytest.approx(4 / (40 * 0.45359237), abs=1e-6)


def test_the_usual_seconds_are_not_written() -> None:
    assert "handling" not in write_inventory(read_inventory(SHORTEST, "plates.toml"))


@given(st.integers(0, 2000), st.integers(0, 1600))
def test_seconds_survive_writing(plate_hundredths: int, kg_thousandths: int) -> None:
    handling = Handling(plate_hundredths / 100, kg_thousandths / 1000)
    rack = Inventory(read_inventory(SHORTEST, "plates.toml").counts, handling)
    assert read_inventory(write_inventory(rack), "again.toml") == rack


def test_the_longest_that_may_be_said_is_accepted_and_a_tenth_more_is_not() -> None:
    text = 'small = "2.5 kg"\nsmall_s = 4\nlarge = "20 kg"\nlarge_s = '
    assert handling_of(f"{text}32.0") == Handling(0.0, 1.6)
    with pytest.raises(DamagedFile, match=r"large_s is 32.1; it must be from 4, as 2.5 kg took, to 32;"):
        handling_of(f"{text}32.1")


def test_every_key_of_handling_stands_in_the_page() -> None:
    page = PAGE.read_text(encoding="utf-8")
    assert [key for key in (*RATES, *TIMED) if f"| `{key}` |" not in page] == []
