"""A reading on one line: any order, any unit, and every slip told with the way out."""

from __future__ import annotations

import math
from itertools import permutations

import pytest

from gyms import boathouse
from steelyard.errors import SteelyardError
from steelyard.workshop.typed import Typed, read_line

PLATE = {plate.name: plate for plate in boathouse().inventory.counts}


def typed(text: str, unit: str = "kg") -> Typed:
    return read_line(text, boathouse(), unit=unit)


@pytest.mark.parametrize("order", list(permutations(["row", "10 deg", "up", "tip=20 kg", "31.2 kg"])))
def test_the_parts_may_come_in_any_order(order: tuple[str, ...]) -> None:
    found = typed(" ".join(order))
    assert (found.station, found.creep, found.scale) == ("row", "up", (31.2, "kg"))
    assert found.angle_rad == pytest.approx(math.radians(10))
    assert found.stacks == {"tip": (PLATE["20 kg"],)}


@pytest.mark.parametrize(
    ("text", "scale_kg", "unit"),
    [
        ("12.4 kg", 12.4, "kg"),
        ("12,4kg", 12.4, "kg"),
        ("24 lb", 24 * 0.45359237, "lb"),
        ("24 LBS", 24 * 0.45359237, "lb"),
        ("98.0665 N", 10.0, "N"),
        ("scale = 31.2", 31.2, "kg"),
    ],
)
def test_the_scale_may_show_any_unit(text: str, scale_kg: float, unit: str) -> None:
    found = typed(text).scale
    assert found is not None
    assert found == (pytest.approx(scale_kg), unit)


def test_a_bare_number_is_in_the_unit_used_before() -> None:
    assert typed("10", unit="lb").scale == (pytest.approx(4.5359237), "lb")


@pytest.mark.parametrize(
    ("text", "angle_deg"), [("-8°", -8.0), ("−8 degrees", -8.0), ("0.1 rad", 5.7296), ("angle=3 deg", 3.0)]
)
def test_an_angle_may_be_written_in_several_ways(text: str, angle_deg: float) -> None:
    angle_rad = typed(text).angle_rad
    assert angle_rad is not None
    assert math.degrees(angle_rad) == pytest.approx(angle_deg, abs=1e-4)


def test_a_grip_height_or_a_travel_stands_for_an_angle() -> None:
    assert typed("height 92 cm").height_m == pytest.approx(0.92)
    assert typed("height=36 in").height_m == pytest.approx(0.9144)
    assert typed("travel 300 mm").travel_m == pytest.approx(0.3)


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("tip=20 kg", ["20 kg"]),
        ("tip=20", ["20 kg"]),
        ("TIP = 45 lb old + 2.5 kg", ["45 lb old", "2.5 kg"]),
        ("tip=45 lb, 5 kg", ["45 lb old", "5 kg"]),
        ("tip=2x10 kg", ["10 kg", "10 kg"]),
        ("tip=empty", []),
    ],
)
def test_plates_are_named_as_in_the_house_or_by_their_cast_mass(text: str, names: list[str]) -> None:
    assert typed(text).stacks == {"tip": tuple(PLATE[name] for name in names)}


def test_a_comma_behind_the_plates_may_begin_another_part() -> None:
    found = typed("tip=20 kg, 31.2 kg, up")
    assert (found.stacks, found.scale, found.creep) == ({"tip": (PLATE["20 kg"],)}, (31.2, "kg"), "up")


def test_an_empty_arm_is_said_in_a_word() -> None:
    assert typed("empty 9 kg").stacks == {}
    assert typed("9 kg").stacks is None


def test_the_longest_station_is_meant() -> None:
    assert typed("row-chest 9 kg").station == "row-chest"


def test_a_check_says_what_hangs_on_the_scale() -> None:
    assert typed("check 20 kg 20.1 kg").hung == PLATE["20 kg"]
    assert typed("43.9 lb check 45 lb old").hung == PLATE["45 lb old"]
    assert typed("check 7 kg 7.1 kg").hung == 7.0
    assert typed("check 7 kg 7.1 kg").scale == (7.1, "kg")


WRONG = [
    (
        "20 kg 31.2 kg",
        "the scale is given twice ('20 kg' and '31.2 kg'); it must be given once; plates are written",
    ),
    ("up down 3 kg", "the way of the handle is given twice ('up' and 'down')"),
    ("row curl 3 kg", "the station is given twice ('row' and 'curl')"),
    ("92 cm up", "a length is '92 cm'; it must be said to be one: height 92 cm, or travel 92 cm"),
    ("height 92 kg", "height is '92 kg'; it must be a length such as 92 cm or 36 in"),
    ("height", "height is ''; it must be a length"),
    ("rowing 3 kg", "where 'rowing 3 kg' is not clear; it must be parts such as row"),
    ("tip=3 kg 4 kg", "plate on tip '3 kg 4 kg' is not known; "),
    ("tip=", "plate on tip 'nothing' is not known; "),
    ("top=20 kg", "horn 'top' is not known; did you mean tip?"),
    ("tip=20 kg tip=5 kg", "the load of tip is given twice"),
    ("1e9 kg", "is not clear"),
    ("up\n3 kg", "the reading is 7 characters long; it must be one line"),
    ("1" * 300, "the reading is 300 characters long; it must be one line of at most 200"),
]


@pytest.mark.parametrize(("text", "told"), WRONG, ids=[text[:20] for text, _ in WRONG])
def test_a_slip_is_told_with_the_way_out(text: str, told: str) -> None:
    with pytest.raises(SteelyardError) as problem:
        typed(text)
    assert told in str(problem.value)
    assert "\n" not in str(problem.value)
