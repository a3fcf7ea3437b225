"""The side view is to scale, its cables lie on their wheels, and its labels can be read."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from itertools import combinations
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

import pytest
from hypothesis import given

from machines_at_random import machines, mirrored
from steelyard.drawing.arms import beam_outline, spine_of
from steelyard.drawing.cable_way import AT_REST_M, MOST_TURN_RAD, cable_way
from steelyard.drawing.labels import Label, draw_labels
from steelyard.drawing.side_view import draw_side_view, resting_angle
from steelyard.drawing.side_words import compass, plates_label, plates_words
from steelyard.drawing.svg import text_width
from steelyard.errors import UnknownName
from steelyard.machine.examples import example_names, example_text
from steelyard.machine.file import read_machine
from steelyard.machine.model import AcrossArm, Arm, Cable, Horn, Machine, Station, Wheel
from steelyard.machine.statics import handle_travel, mechanism_of
from steelyard.plates.example import example_text as plates_text
from steelyard.plates.file import read_inventory
from steelyard.plates.model import Loading
from steelyard.units import Unit

SVG = "{http://www.w3.org/2000/svg}"
Place = tuple[float, float]
UNIT = 0.1
"""Coordinates are written to a tenth of a drawing unit."""
PLATES = {plate.name: plate for plate in read_inventory(plates_text(), "plates.toml").counts}
EXAMPLES = {name: read_machine(example_text(name), name) for name in example_names()}
STATIONS = [(name, station) for name, machine in EXAMPLES.items() for station in machine.stations]
ARMED = [(name, station) for name, station in STATIONS if EXAMPLES[name].stations[station].arm]
CABLES = [(name, station) for name, station in ARMED if isinstance(EXAMPLES[name].stations[station].drive, Cable)]
LEVERS = [pair for pair in ARMED if pair not in CABLES]


def loading_for(machine: Machine, station: Station) -> Loading:
    """A large and a middling plate on long horns, a small one on short ones."""
    big, small = (PLATES["20 kg"], PLATES["10 kg"]), (PLATES["2.5 kg"],)
    return {horn.name: big if horn.length_m > 0.1 else small for horn in machine.horns_of(station)}


def drawn(name: str, station: str, unit: Unit = Unit.KG) -> Element:
    machine = EXAMPLES[name]
    found = machine.stations[station]
    return ElementTree.fromstring(
        draw_side_view(machine, station=found, loading=loading_for(machine, found), unit=unit)
    )


def parts(tree: Element, part: str) -> list[Element]:
    return [each for each in tree.iter() if each.get("data-part") == part]


def place(element: Element) -> Place:
    """Where a circle or a mark lies on the sheet."""
    if element.get("cx"):
        return float(element.get("cx", "")), float(element.get("cy", ""))
    found = re.match(r"translate\((\S+) (\S+)\)", element.get("transform", ""))
    assert found is not None
    return float(found[1]), float(found[2])


def units_per_metre(tree: Element, bar_m: float = 0.5) -> float:
    """The scale, read off the bar as a person would."""
    (bar,) = parts(tree, "scale")
    found = re.search(r"h([\d.]+)", bar.get("d", ""))
    assert found is not None
    return float(found[1]) / bar_m


def straight_parts(cable: Element) -> list[tuple[Place, Place]]:
    """The straight parts of a cable's path."""
    points, found = [], []
    for letter, numbers in re.findall(r"([MLA])([^MLA]+)", cable.get("d", "")):
        point = tuple(map(float, numbers.split()[-2:]))
        if letter == "L" and points and point != points[-1]:
            found.append((points[-1], point))
        points.append(point)
    return found  # type: ignore[return-value]


def away(centre: Place, part: tuple[Place, Place]) -> float:
    """How far a line runs from a point."""
    (ax, ay), (bx, by) = part
    return abs((bx - ax) * (ay - centre[1]) - (ax - centre[0]) * (by - ay)) / math.dist(*part)


def boxes(tree: Element) -> list[tuple[float, float, float, float, str]]:
    """Left, right, top and foot of every text that is shown, with its words."""
    hidden = {id(text) for group in tree.iter(f"{SVG}g") if group.get("aria-hidden") for text in group}
    found = []
    for text in tree.iter(f"{SVG}text"):
        if id(text) in hidden:
            continue
        size, x, y = (float(text.get(key, "")) for key in ("font-size", "x", "y"))
        width = text_width(text.text or "", size)
        left = x - width * {"start": 0.0, "middle": 0.5, "end": 1.0}[text.get("text-anchor", "start")]
        found.append((left, left + width, y - 0.8 * size, y + 0.1 * size, text.text or ""))
    return found


def outside(tree: Element) -> list[str]:
    """Texts that leave the picture."""
    _, _, width, height = map(float, tree.get("viewBox", "").split())
    return [
        words
        for left, right, top, foot, words in boxes(tree)
        if left < 0 or right > width or top < 0 or foot > height
    ]


def overlapping(tree: Element) -> list[tuple[str, str]]:
    """Texts written over each other."""
    return [
        (a[4], b[4])
        for a, b in combinations(boxes(tree), 2)
        if a[0] < b[1] and b[0] < a[1] and a[2] < b[3] and b[2] < a[3]
    ]


@pytest.mark.parametrize(("name", "station"), LEVERS)
def test_the_hand_is_drawn_as_far_from_the_hinge_as_the_scale_says(name: str, station: str) -> None:
    tree, found = drawn(name, station), EXAMPLES[name].stations[station]
    shown = math.dist(place(parts(tree, "hinge")[0]), place(parts(tree, "hand")[0]))
    reach = math.hypot(*found.drive.hand_m)  # type: ignore[union-attr]
    assert shown == pytest.approx(reach * units_per_metre(tree), abs=0.4)


@pytest.mark.parametrize(("name", "station"), ARMED)
def test_the_hinge_stands_as_high_over_the_floor_as_measured(name: str, station: str) -> None:
    tree, machine = drawn(name, station), EXAMPLES[name]
    floor = float(re.findall(r"M8 ([\d.]+)H", parts(tree, "floor")[0].get("d", ""))[0])
    height_m = machine.arms[machine.stations[station].arm or ""].pivot_m[1]
    assert floor - place(parts(tree, "hinge")[0])[1] == pytest.approx(height_m * units_per_metre(tree), abs=0.3)


def test_a_plate_is_drawn_in_its_own_diameter() -> None:
    tree = drawn("boathouse", "row")
    radii = [float(disc.get("r", "")) for disc in parts(tree, "plate")]
    wanted = [PLATES[name].diameter_m / 2 * units_per_metre(tree) for name in ("20 kg", "10 kg")]
    assert radii == pytest.approx(wanted, abs=0.15)


def test_plates_along_the_plane_follow_each_other_at_their_thickness() -> None:
    tree = drawn("counterbeam", "row")
    outlines = [each.get("d", "") for each in parts(tree, "plate") if each.get("d")]
    corners = [[tuple(map(float, pair.split())) for pair in re.findall(r"[\d.]+ [\d.]+", d)] for d in outlines]
    first, second = corners[0], corners[1]
    middles = [[(a + b) / 2 for a, b in zip(one[1], one[2], strict=True)] for one in (first,)]
    inner = [(a + b) / 2 for a, b in zip(second[0], second[3], strict=True)]
    assert middles[0] == pytest.approx(inner, abs=2 * UNIT)
    assert math.dist(first[0], first[1]) == pytest.approx(
        PLATES["20 kg"].thickness_m * units_per_metre(tree), abs=2 * UNIT
    )


@pytest.mark.parametrize(("name", "station"), CABLES)
def test_straight_parts_of_a_cable_touch_their_wheels(name: str, station: str) -> None:
    tree = drawn(name, station)
    lines = straight_parts(parts(tree, "cable")[0])
    for wheel in parts(tree, "wheel"):
        radius = float(wheel.get("r", ""))
        gaps = sorted(abs(away(place(wheel), part) - radius) for part in lines)
        assert gaps[0] < 1.5 * UNIT  # the part that comes in
        assert gaps[1] < 1.5 * UNIT  # and the part that leaves


@pytest.mark.parametrize(("name", "station"), CABLES)
def test_a_cable_is_as_long_at_every_angle(name: str, station: str) -> None:
    machine, found = EXAMPLES[name], EXAMPLES[name].stations[station]
    lengths = [cable_way(machine, found, angle).length_m for angle in mechanism_of(machine, found).angles(9)]
    assert lengths == pytest.approx([lengths[0]] * 9, rel=1e-12)


@pytest.mark.parametrize(("name", "station"), CABLES)
def test_the_hand_leaves_its_last_wheel_by_the_handle_travel(name: str, station: str) -> None:
    machine, found = EXAMPLES[name], EXAMPLES[name].stations[station]
    way = cable_way(machine, found, found.to_rad)
    travel_m = handle_travel(mechanism_of(machine, found), found.to_rad)
    assert math.dist(*way.straights[-1]) == pytest.approx(AT_REST_M + travel_m)


@given(machines())
def test_a_machine_at_random_is_drawn_as_sound_xml_with_its_labels_inside(machine: Machine) -> None:
    station = machine.stations["only"]
    for svg in (
        draw_side_view(machine),
        draw_side_view(machine, station=station, loading=loading_for(machine, station), unit=Unit.LB),
    ):
        tree = ElementTree.fromstring(svg)
        assert outside(tree) == []
        assert overlapping(tree) == []


@given(machines())
def test_a_cable_at_random_keeps_its_length(machine: Machine) -> None:
    station = machine.stations["only"]
    if not isinstance(station.drive, Cable) or station.drive.more_wheels:
        return
    ways = [cable_way(machine, station, angle) for angle in mechanism_of(machine, station).angles(5)]
    lengths = [way.length_m for way in ways]
    assert lengths == pytest.approx([lengths[0]] * 5, rel=1e-9)
    assert all(abs(turn.sweep_rad) <= MOST_TURN_RAD for way in ways for turn in way.turns)


@given(machines())
def test_a_machine_in_the_mirror_is_drawn_in_the_mirror(machine: Machine) -> None:
    behind = mirrored(machine)
    one, other = (
        ElementTree.fromstring(draw_side_view(each, station=each.stations["only"])) for each in (machine, behind)
    )
    for part in ("hinge", "hand", "hand at the start", "wheel", "balance"):
        for here, there in zip(parts(one, part), parts(other, part), strict=True):
            x, y = place(here)
            assert place(there) == pytest.approx((360.0 - x, y), abs=2 * UNIT)


@pytest.mark.parametrize("unit", list(Unit))
@pytest.mark.parametrize(("name", "station"), STATIONS)
def test_labels_of_the_examples_stay_inside_and_apart(name: str, station: str, unit: Unit) -> None:
    tree = drawn(name, station, unit)
    assert outside(tree) == []
    assert overlapping(tree) == []


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_handle_of_a_whole_machine_has_its_number(name: str) -> None:
    tree = ElementTree.fromstring(draw_side_view(EXAMPLES[name]))
    numbered = [str(n) for n, station in enumerate(EXAMPLES[name].stations.values(), start=1) if station.arm]
    assert [words for *_, words in boxes(tree) if words.isdigit()] == numbered
    assert overlapping(tree) == []


def test_a_reader_of_pounds_gets_a_bar_in_feet() -> None:
    tree = drawn("boathouse", "row", Unit.LB)
    assert "1 ft" in [words for *_, words in boxes(tree)]
    assert units_per_metre(tree, 0.3048) == pytest.approx(units_per_metre(drawn("boathouse", "row")), rel=0.01)


def simple(reach_m: float, drive: AcrossArm | Cable | None = None) -> Machine:
    """One arm of this reach, worked across, with a horn half way."""
    arm = Arm("a", (0.0, 2 * reach_m), 5.0, (reach_m / 2, 0.0))
    horn = Horn("h", "a", 0.3, (reach_m / 2, 0.0))
    station = Station("s", "S", drive or AcrossArm((reach_m, 0.0)), "a", -0.2, 0.3)
    return Machine("M", {"a": arm}, {"h": horn}, {"s": station})


@pytest.mark.parametrize("reach_m", [0.05, 0.3, 5.0])
def test_a_machine_of_any_size_fills_its_sheet(reach_m: float) -> None:
    machine = simple(reach_m)
    tree = ElementTree.fromstring(draw_side_view(machine, station=machine.stations["s"]))
    assert outside(tree) == []
    assert 120 < float(tree.get("viewBox", "").split()[3]) < 440


def test_twenty_plates_on_a_post_break_nothing() -> None:
    machine = EXAMPLES["counterbeam"]
    pile = {"nose": (PLATES["20 kg"],) * 20}
    tree = ElementTree.fromstring(draw_side_view(machine, station=machine.stations["row"], loading=pile))
    assert len(parts(tree, "plate")) == 20
    assert "nose: 20 × 20 kg" in [words for *_, words in boxes(tree)]


def test_a_wheel_larger_than_the_arm_is_inside_the_picture() -> None:
    machine = simple(0.6, Cable((0.6, 0.0), Wheel((2.0, 2.5), 0.5, -1), -math.pi / 2))
    tree = ElementTree.fromstring(draw_side_view(machine, station=machine.stations["s"]))
    (wheel,) = parts(tree, "wheel")
    (x, y), radius = place(wheel), float(wheel.get("r", ""))
    assert radius <= min(x, y, 360.0 - x)


def test_wheels_that_nobody_measured_are_said_and_dashed() -> None:
    machine = EXAMPLES["boathouse"]
    station = machine.stations["low-pulley"]
    assert isinstance(station.drive, Cable)
    unmeasured = replace(station, drive=replace(station.drive, more_wheels_m=()))
    tree = ElementTree.fromstring(draw_side_view(machine, station=unmeasured))
    assert len(parts(tree, "guessed")) == 1
    assert "2 further wheels, not measured" in [words for *_, words in boxes(tree)]


def test_further_wheels_too_near_for_their_size_are_points() -> None:
    machine = EXAMPLES["boathouse"]
    station = machine.stations["high-pulley"]
    assert isinstance(station.drive, Cable)
    near = replace(station, drive=replace(station.drive, more_wheels_m=((1.02, 2.2),)))
    assert cable_way(machine, near, 0.0).wheels[1].signed_radius_m == 0.0


def test_a_horn_that_a_station_does_not_feel_is_refused() -> None:
    machine = EXAMPLES["boathouse"]
    with pytest.raises(UnknownName, match="did you mean tip"):
        draw_side_view(machine, station=machine.stations["row"], loading={"tup": ()})


def test_the_words_say_what_the_drawing_shows() -> None:
    said = drawn("boathouse", "row").findtext(f"{SVG}desc")
    assert said == (
        "The main arm on its hinge 55 cm over the floor, from −14° to +14°, drawn at 0°. "
        "The hand holds the arm 105 cm from the hinge, works square to the arm and goes 51 cm. "
        "On the horns: tip: 20 kg + 10 kg, each side."
    )


def test_the_words_name_stations_without_a_place() -> None:
    said = ElementTree.fromstring(draw_side_view(EXAMPLES["twin-arms"])).findtext(f"{SVG}desc") or ""
    assert said.endswith("Without a place on the machine: 6 Push-up on the handles, 7 Short bar.")


def test_the_arm_of_a_whole_machine_is_as_level_as_a_station_has_it() -> None:
    assert resting_angle(EXAMPLES["boathouse"], "main") == 0.0
    assert resting_angle(simple(1.0), "no such arm") == 0.0


def test_a_beam_tapers_from_its_hinge() -> None:
    outline = beam_outline([(1.0, 0.0), (0.5, 0.1)])
    assert spine_of([(1.0, 0.0), (0.5, 0.1)]) == ((0.0, 0.0), (1.0, 0.0))
    assert outline[0][1] > outline[1][1] > 0.0


def test_a_label_without_a_free_place_is_left_out() -> None:
    crowd = [Label("a long label", (20.0, 20.0))] * 30
    written = draw_labels(crowd, [], (90.0, 60.0))
    assert 0 < "".join(written).count("</text>") < 2 * 30


def test_runs_of_plates_are_counted() -> None:
    horn = Horn("tip", "a", 0.3, sides=2)
    assert plates_words(horn, (PLATES["20 kg"],) * 2 + (PLATES["5 kg"],)) == "tip: 2 × 20 kg + 5 kg, each side"
    assert plates_label(horn, (PLATES["5 kg"], PLATES["20 kg"]) * 3) == "tip: 6 plates, each side"


@pytest.mark.parametrize(
    ("angle", "said"), [(0, "forward"), (90, "up"), (180, "backward"), (-90, "down"), (-100, "down")]
)
def test_directions_have_words(angle: float, said: str) -> None:
    assert compass(math.radians(angle)) == said
