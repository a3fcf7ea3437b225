"""The machine seen from the side, to scale: one station through its range, or all of it with every handle marked.

What the machine file does not say is not drawn: there is no frame but the post that must carry each hinge, and no
wheel but those that were measured. The accent is the moving hand of the station, its cable and its way.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from steelyard.drawing.arms import GHOST, POST, POST_RADIUS_M, Pose, discs, draw_arm, ghost_arm
from steelyard.drawing.cable_way import CableWay, cable_way
from steelyard.drawing.labels import Label, draw_labels
from steelyard.drawing.scene import Disc, Mark, Outline, Room, Rope, Shape, Sheet, draw_shape, sheet_for, spots_of
from steelyard.drawing.side_words import degrees, length_words, plates_label, told_machine, told_station
from steelyard.drawing.svg import edged, fill, line, number, picture, tag, text_width, write
from steelyard.errors import OutOfRange, UnknownName
from steelyard.machine.model import AcrossArm, Cable, FixedDirection, Machine, Point, Station
from steelyard.machine.statics import handle_travel, mechanism_of
from steelyard.plates.model import Loading
from steelyard.units import Unit

POST_HALF_M, FOOT_HALF_M = 0.03, 0.16
STEPS_OF_WAY = 24
BARS: dict[Unit, tuple[tuple[float, str], ...]] = {
    Unit.KG: ((0.5, "0.5 m"), (0.1, "10 cm"), (0.02, "2 cm"), (2.0, "2 m"), (5.0, "5 m")),
    Unit.LB: ((0.3048, "1 ft"), (0.0762, "3 in"), (0.0254, "1 in"), (1.524, "5 ft"), (3.048, "10 ft")),
}
"""Lengths of the scale bar, the usual one first. [m]"""
KNOB = tag("circle", cx=0, cy=0, r=5.2, **edged("accent", "paper", 1.2))
GHOST_KNOB = tag("circle", cx=0, cy=0, r=3.8, **edged("paper", "accent", 1.4))
SMALL_KNOB = tag("circle", cx=0, cy=0, r=3.0, **edged("paper", "ink", 1.6))
JOINT = tag("path", d="M-9 0H9M0 -9V9", **line("ink", 1.0)) + tag("circle", cx=0, cy=0, r=5.5, **line("ink", 1.3))


def draw_side_view(
    machine: Machine,
    *,
    station: Station | None = None,
    loading: Loading | None = None,
    angle_rad: float | None = None,
    unit: Unit = Unit.KG,
) -> str:
    """A machine from the side as SVG text, to scale.

    station:   the one to show through its range; without it the whole machine with a number at every handle,
               counted as in the machine file.
    loading:   the plates on the horns; none without it.
    angle_rad: where the station's arm stands; the middle of its range unless said. [rad]
    unit:      the lifter's: metres beside kilograms, feet beside pounds.

    Raises: UnknownName for a horn that the machine, or the station, does not have.
    """
    plates = dict(loading or {})
    known = [horn.name for horn in machine.horns_of(station)] if station else list(machine.horns)
    for name in plates:
        if name not in known:
            raise UnknownName("horn", name, known)
    if station is None:
        return _whole(machine, plates, unit)
    if station.arm is None:
        return _armless(machine, station, plates, unit)
    middle = (station.from_rad + station.to_rad) / 2
    return _in_range(machine, station, plates, middle if angle_rad is None else angle_rad, unit)


def _in_range(machine: Machine, station: Station, plates: Loading, angle_rad: float, unit: Unit) -> str:
    assert station.arm is not None, "a station with an arm"
    pose = Pose(machine, machine.arms[station.arm], angle_rad)
    ends = [Pose(machine, pose.arm, angle) for angle in (station.from_rad, station.to_rad)]
    shapes: list[Shape] = [
        *hinge_post(pose.arm.pivot_m),
        *(part for end in ends for part in ghost_arm(end, plates)),
    ]
    shapes += [*draw_arm(pose, plates), *_moving(station, pose), *joint_shapes(station)]
    sheet = sheet_for(shapes, Room())
    labels = _labels_in_range(station, pose, ends, plates, sheet, unit)
    words = told_station(machine, station, angle_rad, plates, unit)
    return _drawn(shapes, labels, sheet, unit, (f"{station.title} from the side", words))


def _moving(station: Station, pose: Pose) -> list[Shape]:
    """The hand at the pose and at both ends, its way, the way it is pushed or pulled, and its cable."""
    start, end = (hand_at(station, pose, angle) for angle in (station.from_rad, station.to_rad))
    hand = hand_at(station, pose, pose.angle_rad)
    turn = (station.to_rad - station.from_rad) / STEPS_OF_WAY
    way = tuple(hand_at(station, pose, station.from_rad + turn * step) for step in range(STEPS_OF_WAY + 1))
    shapes: list[Shape] = [
        Outline(way, line("paper", 3.4), closed=False),
        Outline(way, line("accent", 1.3), "hand way", closed=False),
    ]
    if isinstance(station.drive, Cable):
        shapes += cable_shapes(cable_way(pose.machine, station, pose.angle_rad), station.drive, "accent")
    knobs = [Mark(start, GHOST_KNOB, "hand at the start"), Mark(end, GHOST_KNOB, "hand at the end")]
    return [*shapes, *knobs, arrow(hand, pull_direction(station, pose)), Mark(hand, KNOB, "hand")]


def hand_at(station: Station, pose: Pose, angle_rad: float) -> Point:
    """Where the hand is when the arm stands at an angle. [m]"""
    if isinstance(station.drive, Cable):
        return cable_way(pose.machine, station, angle_rad).hand_m
    assert isinstance(station.drive, AcrossArm | FixedDirection), "a lever"
    return Pose(pose.machine, pose.arm, angle_rad).at(station.drive.hand_m)


def pull_direction(station: Station, pose: Pose) -> Point:
    """The unit direction in which the hand pushes or pulls while raising."""
    drive = station.drive
    if isinstance(drive, AcrossArm):
        lift = math.copysign(math.pi / 2, station.to_rad - station.from_rad)
        way = pose.angle_rad + math.atan2(drive.hand_m[1], drive.hand_m[0]) + lift
    else:
        assert isinstance(drive, Cable | FixedDirection), "a station with an arm"
        way = drive.exit_rad if isinstance(drive, Cable) else drive.direction_rad
    return math.cos(way), math.sin(way)


def arrow(at_m: Point, direction: Point) -> Mark:
    """An arrow from a place, as long on every sheet."""
    turn = -math.degrees(math.atan2(direction[1], direction[0]))
    shaft = tag("path", d="M7 0H27", **line("paper", 4.6)) + tag("path", d="M7 0H27", **line("accent", 2.4))
    head = tag("path", d="M37 0L26 -5V5Z", **edged("accent", "paper", 1.0))
    sign = tag("g", shaft, head, transform=f"rotate({number(turn)})")
    return Mark(at_m, sign, "arrow", 5.0, (34.0 * direction[0], -34.0 * direction[1]))


def cable_shapes(way: CableWay, cable: Cable, colour: str) -> list[Shape]:
    """A cable over its wheels."""
    dead = [Mark(way.straights[0][0], tag("path", d="M-5 -5L5 5M-5 5L5 -5", **line("ink", 1.6)), "dead end")]
    circles = [*way.wheels, *([way.arm_wheel] if way.arm_wheel else [])]
    wheels = [Disc(each.at_m, max(abs(each.signed_radius_m), 0.006), POST, "wheel") for each in circles]
    hubs = [Mark(each.at_m, tag("circle", cx=0, cy=0, r=1.4, **fill("ink")), "hub", 2.0) for each in circles]
    return [*wheels, *hubs, *(dead if cable.dead_end else []), Rope(way, line(colour, 2.0))]


def hinge_post(pivot_m: Point) -> list[Shape]:
    """The post that carries a hinge, as far as it must be there."""
    x, z = pivot_m
    foot = min(FOOT_HALF_M, 0.4 * abs(z))
    half = min(POST_HALF_M, 0.2 * abs(z))
    post = Outline(
        ((x - half, 0.0), (x - half, z), (x + half, z), (x + half, 0.0)), edged("soft", "ink", 1.0), "post"
    )
    return [Outline(((x - foot, 0.0), (x + foot, 0.0)), line("ink", 3.0), closed=False), post] if z > 0 else []


def joint_shapes(station: Station) -> list[Shape]:
    """Where the working joint rests, and for an elbow the upper arm."""
    place = station.joint
    if place is None:
        return []
    x, z = place.at_m
    shoulder = (x - 0.3 * math.cos(place.upper_arm_rad), z - 0.3 * math.sin(place.upper_arm_rad))
    limb = Outline((shoulder, place.at_m), line("quiet", 1.2) | {"stroke_dasharray": "5 3"}, closed=False)
    return [*([limb] if place.joint == "elbow" else []), Mark(place.at_m, JOINT, "joint", 9.0)]


def _labels_in_range(
    station: Station, pose: Pose, ends: Sequence[Pose], plates: Loading, sheet: Sheet, unit: Unit
) -> list[Label]:
    gone_m = handle_travel(mechanism_of(pose.machine, station), station.to_rad)
    hand = sheet.at(hand_at(station, pose, pose.angle_rad))
    said = f"hand goes {length_words(gone_m, unit)}"
    labels = [Label(said, hand, "accent", bold=True, clear=9.0), *_horn_labels(pose, plates, sheet)]
    for end in ends:
        tip = sheet.at(hand_at(station, pose, end.angle_rad) if not _cabled(station) else _tip(end))
        labels.append(Label(degrees(end.angle_rad), tip, "quiet", 11.5))
    if station.joint is not None:
        labels.append(Label(str(station.joint.joint), sheet.at(station.joint.at_m), "ink", clear=9.0))
    return [*labels, *_small_labels(pose, sheet, unit), *_cable_labels(station, pose, sheet)]


def _cabled(station: Station) -> bool:
    return isinstance(station.drive, Cable)


def _tip(pose: Pose) -> Point:
    """The far end of an arm's farthest horn or, without one, of its balance. [m]"""
    points = [horn.at_m for horn in pose.horns] or [pose.arm.com_m]
    return pose.at(max(points, key=lambda point: math.hypot(*point)))


def _horn_labels(pose: Pose, plates: Loading, sheet: Sheet) -> list[Label]:
    labels = []
    for horn in pose.horns:
        stack = plates.get(horn.name, ())
        rim = max((plate.diameter_m for plate in stack), default=2 * POST_RADIUS_M) / 2
        clear = sheet.scale * rim + 2
        labels.append(Label(plates_label(horn, stack), sheet.at(pose.at(horn.at_m)), "ink", clear=clear))
    return labels


def _small_labels(pose: Pose, sheet: Sheet, unit: Unit) -> list[Label]:
    """What is fixed to every arm."""
    arm = pose.arm
    hinge = f"hinge, {length_words(arm.pivot_m[1], unit)} up"
    labels = [Label(hinge, sheet.at(arm.pivot_m), "quiet", 11.5)]
    labels.append(Label("balance", sheet.at(pose.at(arm.com_m)), "quiet", 11.5))
    if arm.counterweight is not None:
        labels.append(Label("counterweight", sheet.at(pose.at(arm.counterweight.at_m)), "quiet", 11.5, clear=10.0))
    return labels


def _cable_labels(station: Station, pose: Pose, sheet: Sheet) -> list[Label]:
    if not isinstance(station.drive, Cable):
        return []
    way = cable_way(pose.machine, station, pose.angle_rad)
    labels = [Label("frame wheel", sheet.at(way.wheels[0].at_m), "quiet", 11.5, clear=10.0)]
    if station.drive.dead_end is not None:
        labels.append(Label("tied here", sheet.at(station.drive.dead_end.anchor_m), "quiet", 11.5))
    if way.guessed:
        wheels = (
            "further wheel" if station.drive.more_wheels == 1 else f"{station.drive.more_wheels} further wheels"
        )
        middle = tuple((a + b) / 2 for a, b in zip(*way.straights[-1], strict=True))
        labels.append(Label(f"{wheels}, not measured", sheet.at((middle[0], middle[1])), "quiet", 11.5))
    return labels


def _whole(machine: Machine, plates: Loading, unit: Unit) -> str:
    poses = {arm.name: Pose(machine, arm, resting_angle(machine, arm.name)) for arm in machine.arms.values()}
    shapes: list[Shape] = [part for pose in poses.values() for part in hinge_post(pose.arm.pivot_m)]
    for pose in poses.values():
        shapes += draw_arm(pose, plates)
    hands: dict[int, Point] = {}
    for place, station in enumerate(machine.stations.values(), start=1):
        if station.arm is not None:
            shapes += _station_mark(station, poses[station.arm], hands, place)
    sheet = sheet_for(shapes, Room())
    labels = [Label(str(place), sheet.at(at), "ink", 12.5, bold=True, clear=4.0) for place, at in hands.items()]
    for pose in poses.values():
        labels += [*_horn_labels(pose, plates, sheet), *_small_labels(pose, sheet, unit)]
    return _drawn(shapes, labels, sheet, unit, (f"{machine.name} from the side", told_machine(machine, unit)))


def resting_angle(machine: Machine, arm: str) -> float:
    """The angle nearest to level at which some station of an arm has it. [rad]"""
    stations = [station for station in machine.stations.values() if station.arm == arm]
    angles = [angle for station in stations for angle in (station.from_rad, station.to_rad)] or [0.0]
    return min(max(0.0, min(angles)), max(angles))


def _station_mark(station: Station, pose: Pose, hands: dict[int, Point], place: int) -> list[Shape]:
    """A station's hand, and its cable where it can run with the arm as it stands."""
    try:
        hand = hand_at(station, pose, pose.angle_rad)
    except OutOfRange:  # the arm stands outside this station's range, where wheels may overlap
        return []
    hands[place] = hand
    shapes: list[Shape] = []
    if isinstance(station.drive, Cable):
        shapes = cable_shapes(cable_way(pose.machine, station, pose.angle_rad), station.drive, "quiet")
    return [*shapes, Mark(hand, SMALL_KNOB, "hand", 4.0)]


def _armless(machine: Machine, station: Station, plates: Loading, unit: Unit) -> str:
    """A free weight from the floor up, or the way of the body, as far as the file says."""
    travel_m = getattr(station.drive, "travel_m", 0.0)
    stack = plates.get(station.horn or "", ())
    rim = max((plate.diameter_m for plate in stack), default=0.12) / 2
    start, end = (0.0, rim), (0.0, rim + travel_m)
    middle = (0.0, rim + travel_m / 2)
    shapes: list[Shape] = [Disc(at, rim, GHOST) for at in (start, end)] if travel_m else []
    shapes += [*discs(middle, stack), Disc(middle, POST_RADIUS_M, POST, "horn")]
    shapes += [
        Outline((start, end), line("accent", 1.2), "hand way", closed=False),
        arrow(middle, (0.0, 1.0)),
        Mark(middle, KNOB, "hand"),
    ]
    sheet = sheet_for(shapes, Room(tallest=300.0))
    horns = machine.horns_of(station)
    labels = [
        Label(
            f"goes {length_words(travel_m, unit)}" if travel_m else "way not measured",
            sheet.at(middle),
            "accent",
            bold=True,
            clear=sheet.scale * rim + 4,
        )
    ]
    labels += [Label(plates_label(horn, stack), sheet.at(middle), clear=sheet.scale * rim + 4) for horn in horns]
    words = told_station(machine, station, 0.0, plates, unit)
    return _drawn(shapes, labels, sheet, unit, (f"{station.title} from the side", words))


def _drawn(
    shapes: Sequence[Shape], labels: Sequence[Label], sheet: Sheet, unit: Unit, said: tuple[str, str]
) -> str:
    """Floor, shapes, labels and scale bar as one picture; said: its title, and what it shows in words."""
    spots = [spot for shape in shapes for spot in spots_of(shape, sheet)]
    foot = (sheet.width, sheet.floor - 1)
    drawn = [draw_shape(shape, sheet) for shape in shapes]
    words = draw_labels(labels, spots, foot)
    size = (sheet.width, sheet.height)
    return picture("side", size, said[0], said[1], *_floor(sheet), *drawn, *words, *_scale_bar(sheet, unit))


def _floor(sheet: Sheet) -> list[str]:
    """The floor line with the strokes of solid ground."""
    y, right = sheet.floor, sheet.width - 8
    strokes = "".join(f"M{x} {number(y + 7)}l6 -7" for x in range(10, int(right) - 6, 12))
    return [
        tag("path", d=strokes, **line("quiet", 0.8)),
        tag("path", d=f"M8 {number(y)}H{number(right)}", data_part="floor", **line("ink", 1.4)),
    ]


def _scale_bar(sheet: Sheet, unit: Unit) -> list[str]:
    """A bar of a round length, under the floor."""
    fits = [bar for bar in BARS[unit] if 24.0 <= bar[0] * sheet.scale <= 0.4 * sheet.width]
    length_m, text = (fits or BARS[unit])[0]
    width, y = length_m * sheet.scale, sheet.floor + 24
    d = f"M14 {number(y - 4)}v8m0 -4h{number(width)}m0 -4v8"
    after = min(14 + width + 7, sheet.width - text_width(text, 12) - 4)
    return [
        tag("path", d=d, data_part="scale", **line("ink", 1.4)),
        write(text, after, y + 4.5, 12, "ink"),
        write("to scale, forward →", sheet.width - 8, y + 4.5, 11, "quiet", anchor="end"),
    ]
