"""A scene in metres, seen from the side, and the sheet that it is drawn on to scale.

Shapes lie in the plane of motion, x forward and z up. What has no size of its own, such as the mark of a hinge, is
drawn as large on every sheet.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from steelyard.drawing.cable_way import CableWay, Turn
from steelyard.drawing.svg import Attribute, number, tag
from steelyard.machine.model import Point

Look = dict[str, Attribute]
Spot = tuple[float, float, float]
"""A round place on the sheet that labels keep clear of: x, y, radius."""


@dataclass(frozen=True, slots=True)
class Disc:
    """A circle to scale. part: what it is, for those who read the drawing by program."""

    at_m: Point
    radius_m: float
    look: Look
    part: str = ""


@dataclass(frozen=True, slots=True)
class Outline:
    """A line through points, closed or open."""

    points_m: tuple[Point, ...]
    look: Look
    part: str = ""
    closed: bool = True


@dataclass(frozen=True, slots=True)
class Rope:
    """A cable along its way."""

    way: CableWay
    look: Look


@dataclass(frozen=True, slots=True)
class Mark:
    """A sign of fixed size at a place: SVG round the origin.

    reach: how far it goes on the sheet round the place. far: where a long one ends. [drawing units]
    """

    at_m: Point
    sign: str
    part: str = ""
    reach: float = 6.0
    far: Point = (0.0, 0.0)


Shape = Disc | Outline | Rope | Mark


@dataclass(frozen=True, slots=True)
class Sheet:
    """Where metres lie on the drawing: x = left + scale · x, y = floor - scale · z.

    scale: drawing units per metre. left, floor: where x and z are 0. width, height: of the sheet.
    """

    scale: float
    left: float
    floor: float
    width: float
    height: float

    def at(self, point_m: Point) -> Point:
        """A point of the scene on the sheet."""
        return self.left + self.scale * point_m[0], self.floor - self.scale * point_m[1]


@dataclass(frozen=True, slots=True)
class Room:
    """What a sheet offers: its width, the most it may be high, and the margins. [drawing units]"""

    width: float = 360.0
    tallest: float = 430.0
    side: float = 30.0
    top: float = 26.0
    foot: float = 46.0


def sheet_for(shapes: Sequence[Shape], room: Room) -> Sheet:
    """The largest sheet on which all shapes and the floor under them can be seen."""
    extents = [extent for shape in shapes for extent in extents_of(shape)]
    low_x, high_x = min(x - r for x, _, r in extents), max(x + r for x, _, r in extents)
    low_z, high_z = min(0.0, *(z - r for _, z, r in extents)), max(z + r for _, z, r in extents)
    wide, tall = max(high_x - low_x, 0.05), max(high_z - low_z, 0.05)
    scale = min((room.width - 2 * room.side) / wide, (room.tallest - room.top - room.foot) / tall)
    left = room.width / 2 - scale * (low_x + high_x) / 2
    return Sheet(scale, left, room.top + scale * high_z, room.width, room.top + room.foot + scale * tall)


def extents_of(shape: Shape) -> Iterator[Spot]:
    """Round places that together reach as far as the shape. [m]"""
    if isinstance(shape, Disc):
        yield (*shape.at_m, shape.radius_m)
    elif isinstance(shape, Outline):
        yield from ((x, z, 0.0) for x, z in shape.points_m)
    elif isinstance(shape, Mark):
        yield (*shape.at_m, 0.0)
    else:
        yield from ((*point, 0.0) for part in shape.way.straights for point in part)
        yield from ((*turn.circle.at_m, abs(turn.circle.signed_radius_m)) for turn in shape.way.turns)


def draw_shape(shape: Shape, sheet: Sheet) -> str:
    """One shape as SVG."""
    if isinstance(shape, Disc):
        x, y = sheet.at(shape.at_m)
        return tag("circle", cx=x, cy=y, r=sheet.scale * shape.radius_m, **named(shape.part), **shape.look)
    if isinstance(shape, Outline):
        d = "M" + "L".join(written(sheet.at(point)) for point in shape.points_m) + ("Z" if shape.closed else "")
        return tag("path", d=d, stroke_linejoin="round", **named(shape.part), **shape.look)
    if isinstance(shape, Mark):
        x, y = sheet.at(shape.at_m)
        return tag("g", shape.sign, transform=f"translate({number(x)} {number(y)})", **named(shape.part))
    return draw_rope(shape, sheet)


def named(part: str) -> Look:
    """What a shape is called in the drawing."""
    return {"data_part": part} if part else {}


def written(point: Point) -> str:
    """A point as a path has it."""
    return f"{number(point[0])} {number(point[1])}"


def draw_rope(rope: Rope, sheet: Sheet) -> str:
    """A cable as one path; the last part is dashed where wheels that nobody measured hide the way."""
    way = rope.way
    turns = {turn.start_m: turn for turn in way.turns}
    sure = way.straights[:-1] if way.guessed else way.straights
    d = "M" + written(sheet.at(sure[0][0]))
    for start, end in sure:
        d += f"L{written(sheet.at(start))}L{written(sheet.at(end))}"
        d += arc(turns[end], sheet) if end in turns else ""
    drawn = tag("path", d=d, stroke_linejoin="round", data_part="cable", **rope.look)
    if not way.guessed:
        return drawn
    leaving = "L".join(written(sheet.at(point)) for point in way.straights[-1])
    return drawn + tag("path", d=f"M{leaving}", stroke_dasharray="2 4", data_part="guessed", **rope.look)


def arc(turn: Turn, sheet: Sheet) -> str:
    """A cable's way round a wheel, in the words of a path."""
    radius = number(sheet.scale * abs(turn.circle.signed_radius_m))
    large, way = int(abs(turn.sweep_rad) > math.pi), int(turn.sweep_rad < 0)
    return f"A{radius} {radius} 0 {large} {way} {written(sheet.at(turn.end_m))}"


STEP = 7.0
"""Lines are kept clear of at places this far apart. [drawing units]"""


def spots_of(shape: Shape, sheet: Sheet) -> Iterator[Spot]:
    """What labels keep clear of."""
    if isinstance(shape, Disc):
        spot = (*sheet.at(shape.at_m), sheet.scale * shape.radius_m)
        yield from round_the_rim(spot) if shape.look["fill"] == "none" else (spot,)
    elif isinstance(shape, Mark):
        x, y = sheet.at(shape.at_m)
        yield from along((x, y), (x + shape.far[0], y + shape.far[1]), shape.reach)
    elif isinstance(shape, Outline):
        points = [*shape.points_m, shape.points_m[0]] if shape.closed else shape.points_m
        for start, end in pairwise(points):
            yield from along(sheet.at(start), sheet.at(end))
    else:
        for start, end in shape.way.straights:
            yield from along(sheet.at(start), sheet.at(end))


def round_the_rim(disc: Spot) -> Iterator[Spot]:
    """Small spots on a circle."""
    x, y, radius = disc
    count = max(6, math.ceil(math.tau * radius / STEP))
    for step in range(count):
        angle = math.tau * step / count
        yield x + radius * math.cos(angle), y + radius * math.sin(angle), 2.0


def along(start: Point, end: Point, radius: float = 2.0) -> Iterator[Spot]:
    """Spots on a straight line."""
    count = math.ceil(math.dist(start, end) / STEP)
    for step in range(count + 1):
        share = step / max(count, 1)
        yield start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1]), radius
