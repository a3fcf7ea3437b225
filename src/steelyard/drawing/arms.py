"""An arm as shapes: a tapered beam with what is fixed to it, its horns and their plates, at one angle.

Only points are known of an arm, so the beam runs from the hinge to the farthest of them, and to the farthest one
behind the hinge; what lies beside it stands on a strut.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from steelyard.drawing.scene import Disc, Look, Mark, Outline, Shape
from steelyard.drawing.svg import edged, fill, line, tag
from steelyard.machine.model import AcrossArm, Arm, Axis, Cable, FixedDirection, Horn, Machine, Point
from steelyard.machine.statics import from_hinge
from steelyard.plates.model import Loading, Stack

HALF_AT_HINGE_M, SLENDER = 0.042, 0.06
"""A beam is drawn this thick on either side of its middle, or this share of its length if that is less. [m]"""
TAPER = 0.42
POST_RADIUS_M = 0.025
"""A post for plates with 50 mm holes (common practice). [m]"""
IRON_KG_M3 = 7200.0
"""Density of cast iron, for the size of a counterweight (from memory). [kg/m³]"""

BEAM: Look = edged("paper", "ink", 1.5)
GHOST: Look = line("quiet", 0.8)
METAL: Look = edged("metal", "paper", 1.0)
POST: Look = edged("paper", "ink", 1.3)

BALANCE = tag("circle", cx=0, cy=0, r=4.2, **edged("paper", "ink", 1.0)) + tag(
    "path", d="M0 -4.2V4.2M-4.2 0H4.2M0 0V-4.2A4.2 4.2 0 0 1 4.2 0ZM0 0V4.2A4.2 4.2 0 0 1 -4.2 0Z", **fill("ink")
)
"""The usual sign of a centre of mass."""
HINGE = tag("circle", cx=0, cy=0, r=4.6, **edged("paper", "ink", 1.6)) + tag(
    "circle", cx=0, cy=0, r=1.5, **fill("ink")
)


@dataclass(frozen=True, slots=True)
class Pose:
    """An arm of a machine at one angle."""

    machine: Machine
    arm: Arm
    angle_rad: float

    def at(self, arm_point_m: Point) -> Point:
        """Where a point of the arm is in the world. [m]"""
        x, z = from_hinge(arm_point_m, self.angle_rad)
        return self.arm.pivot_m[0] + x, self.arm.pivot_m[1] + z

    @property
    def horns(self) -> tuple[Horn, ...]:
        """The horns on the arm."""
        return tuple(horn for horn in self.machine.horns.values() if horn.arm == self.arm.name)


def points_on(pose: Pose) -> tuple[Point, ...]:
    """Every point of the arm that its file names, in the arm's frame. [m]"""
    arm, machine = pose.arm, pose.machine
    drives = [station.drive for station in machine.stations.values() if station.arm == arm.name]
    hands = [drive.hand_m for drive in drives if isinstance(drive, AcrossArm | FixedDirection)]
    cables = [drive.arm_m for drive in drives if isinstance(drive, Cable)]
    weight = [arm.counterweight.at_m] if arm.counterweight else []
    return (arm.com_m, *weight, *(horn.at_m for horn in pose.horns), *hands, *cables)


def spine_of(points: Sequence[Point]) -> tuple[Point, Point]:
    """The ends of the beam: behind the hinge, which may be the hinge itself, and at the far end. [m]"""
    tip = max(points, key=lambda point: math.hypot(*point))
    opposite = [point for point in points if _dot(point, tip) < 0.0]
    return max(opposite, key=lambda point: math.hypot(*point), default=(0.0, 0.0)), tip


def _dot(a: Point, b: Point) -> float:
    return a[0] * b[0] + a[1] * b[1]


def beam_outline(points: Sequence[Point]) -> tuple[Point, ...]:
    """The tapered beam through the hinge, round in the arm's frame. [m]"""
    back, tip = spine_of(points)
    half = min(HALF_AT_HINGE_M, SLENDER * math.hypot(*tip))
    upper, lower = _edges(tip, half)
    behind = _edges(back, half) if back != (0.0, 0.0) else ((), ())
    return (*upper, *lower, *behind[0], *behind[1])


def _edges(end: Point, half: float) -> tuple[tuple[Point, Point], tuple[Point, Point]]:
    """Both edges of the beam from hinge to end: out along one, back along the other. [m]"""
    length = math.hypot(*end) or 1.0
    across = (-end[1] / length, end[0] / length)
    side = [(across[0] * half * sign, across[1] * half * sign) for sign in (1.0, -1.0)]
    tips = [(end[0] + TAPER * x, end[1] + TAPER * z) for x, z in side]
    return (side[0], tips[0]), (tips[1], side[1])


def struts(points: Sequence[Point]) -> Iterator[tuple[Point, Point]]:
    """From the beam to each point that lies beside it. [m]"""
    back, tip = spine_of(points)
    for point in points:
        foot = min((_foot(point, back), _foot(point, tip)), key=lambda found: math.dist(point, found))
        if math.dist(foot, point) > 0.01:
            yield foot, point


def _foot(point: Point, end: Point) -> Point:
    """The nearest point of the beam from the hinge to one of its ends."""
    square = _dot(end, end)
    share = min(max(_dot(point, end) / square, 0.0), 1.0) if square else 0.0
    return share * end[0], share * end[1]


def draw_arm(pose: Pose, loading: Loading) -> list[Shape]:
    """The arm with counterweight, horns and plates."""
    points = points_on(pose)
    shapes: list[Shape] = [
        Outline((pose.at(foot), pose.at(point)), line("ink", 2.2), closed=False) for foot, point in struts(points)
    ]
    shapes.append(Outline(tuple(map(pose.at, beam_outline(points))), BEAM, f"arm {pose.arm.name}"))
    shapes += counterweight(pose)
    for horn in pose.horns:
        shapes += draw_horn(pose, horn, loading.get(horn.name, ()))
    return [*shapes, Mark(pose.at(pose.arm.com_m), BALANCE, "balance"), Mark(pose.arm.pivot_m, HINGE, "hinge")]


def ghost_arm(pose: Pose, loading: Loading) -> list[Shape]:
    """The arm's outline with the rims of its largest plates, as it stands at an end of its range."""
    shapes: list[Shape] = [Outline(tuple(map(pose.at, beam_outline(points_on(pose)))), GHOST, "ghost")]
    for horn in pose.horns:
        stack = loading.get(horn.name, ())
        if horn.axis is Axis.ACROSS and stack:
            shapes.append(Disc(pose.at(horn.at_m), max(plate.diameter_m for plate in stack) / 2, GHOST))
        elif horn.axis is Axis.ALONG:
            shapes += [Outline(corners, GHOST) for corners in boxes_along(pose, horn, stack)]
    return shapes


def counterweight(pose: Pose) -> list[Shape]:
    """A block of cast iron of the counterweight's mass."""
    weight = pose.arm.counterweight
    if weight is None:
        return []
    half = (weight.mass_kg / IRON_KG_M3) ** (1 / 3) / 2
    x, z = weight.at_m
    corners = ((x - half, z - half), (x + half, z - half), (x + half, z + half), (x - half, z + half))
    return [Outline(tuple(map(pose.at, corners)), METAL, "counterweight")]


def draw_horn(pose: Pose, horn: Horn, stack: Stack) -> list[Shape]:
    """A post and its plates: discs where it lies across the plane of motion, seen from their edge along it."""
    part = f"horn {horn.name}"
    if horn.axis is Axis.ACROSS:
        return [*discs(pose.at(horn.at_m), stack), Disc(pose.at(horn.at_m), POST_RADIUS_M, POST, part)]
    post = box_along(pose, horn, (0.0, horn.length_m), POST_RADIUS_M)
    plates = [Outline(corners, METAL, "plate") for corners in boxes_along(pose, horn, stack)]
    return [Outline(post, POST, part), *plates]


def discs(at_m: Point, stack: Stack) -> list[Shape]:
    """Plates on a post that points at the eye, innermost first: a larger one further out hides those behind."""
    return [Disc(at_m, plate.diameter_m / 2, METAL, "plate") for plate in stack]


def boxes_along(pose: Pose, horn: Horn, stack: Stack) -> Iterator[tuple[Point, ...]]:
    """Each plate seen from its edge, on a horn along the plane of motion. [m]"""
    out = 0.0
    for plate in stack:
        yield box_along(pose, horn, (out, out + plate.thickness_m), plate.diameter_m / 2)
        out += plate.thickness_m


def box_along(pose: Pose, horn: Horn, span_m: tuple[float, float], half_m: float) -> tuple[Point, ...]:
    """What a horn along the plane carries between two distances from its inner face. [m]"""
    cos, sin = math.cos(horn.axis_angle_rad), math.sin(horn.axis_angle_rad)
    corners = ((span_m[0], -half_m), (span_m[1], -half_m), (span_m[1], half_m), (span_m[0], half_m))
    x, z = horn.at_m
    return tuple(pose.at((x + out * cos - up * sin, z + out * sin + up * cos)) for out, up in corners)
