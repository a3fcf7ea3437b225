"""The path of a taut cable over wheels: where its straight parts point and how much of it the hand gains.

A wheel counts as an oriented circle: its radius carries the sign of the turn, plus for a cable that runs
counter-clockwise round it on its way to the hand. A point is a circle of radius 0.

Everything is worked out for many places of the arm at once, column by column: a list of numbers each, all of one
length. One place is a column of one.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from steelyard.errors import OutOfRange
from steelyard.machine.model import Cable, Point

Column = Sequence[float]


@dataclass(frozen=True, slots=True)
class Strands:
    """A straight part of a cable at many places of the arm: unit directions towards the hand, and lengths. [m]"""

    along: Column
    up: Column
    length_m: Column

    def direction(self, place: int) -> Point:
        """The unit direction at one of the places."""
        return self.along[place], self.up[place]


@dataclass(frozen=True, slots=True)
class CablePaths:
    """Where a cable runs at many places of the arm.

    pull: the part from the arm to the frame wheel.
    hold: the part from the dead end to the arm's own wheel; None if the cable is simply fixed to the arm.
    """

    pull: Strands
    hold: Strands | None


def strands_between(across_m: Column, rise_m: Column, offset_m: float) -> Strands:
    """The straight parts from one oriented circle to the next.

    across_m, rise_m: from the first centre to the second. [m]
    offset_m: the second radius less the first, both signed by the turn. [m]

    Raises: OutOfRange if the circles overlap so that no straight part fits between them.
    Source: common tangent of two oriented circles; elementary geometry.

    >>> strands_between([0.25], [0.5], -0.25)
    Strands(along=[0.0], up=[1.0], length_m=[0.5])
    """
    squares = [x * x + z * z for x, z in zip(across_m, rise_m, strict=True)]
    nearest = min(squares)
    if nearest <= offset_m * offset_m:
        gap = f"{1000.0 * math.sqrt(nearest):.0f} mm"
        raise OutOfRange("distance between two cable points", gap, f"more than {1000.0 * abs(offset_m):.0f} mm")
    lengths = [math.sqrt(square - offset_m * offset_m) for square in squares]
    columns = list(zip(across_m, rise_m, lengths, squares, strict=True))
    return Strands(
        [(length * x + offset_m * z) / square for x, z, length, square in columns],
        [(length * z - offset_m * x) / square for x, z, length, square in columns],
        lengths,
    )


def cable_paths(cable: Cable, xs_m: Column, zs_m: Column) -> CablePaths:
    """The paths of a cable whose end, or whose wheel, on the arm is at these places in the world.

    xs_m, zs_m: the cable's point on the arm, in the world. [m]

    Raises: OutOfRange if wheels overlap.
    """
    frame_radius_m = cable.wheel.turn * cable.wheel.radius_m
    across_m = [cable.wheel.at_m[0] - x for x in xs_m]
    rise_m = [cable.wheel.at_m[1] - z for z in zs_m]
    if cable.dead_end is None:
        return CablePaths(strands_between(across_m, rise_m, frame_radius_m), None)
    hold = hold_strands(cable, xs_m, zs_m)
    arm_radius_m = cable.dead_end.wheel_turn * cable.dead_end.wheel_radius_m
    return CablePaths(strands_between(across_m, rise_m, frame_radius_m - arm_radius_m), hold)


def hold_strands(cable: Cable, xs_m: Column, zs_m: Column) -> Strands | None:
    """The part from the dead end to the arm's own wheel at these places; None if there is no dead end.

    Raises: OutOfRange if the dead end lies within the wheel.
    """
    end = cable.dead_end
    if end is None:
        return None
    across_m, rise_m = [x - end.anchor_m[0] for x in xs_m], [z - end.anchor_m[1] for z in zs_m]
    return strands_between(across_m, rise_m, end.wheel_turn * end.wheel_radius_m)


def cable_gained(cable: Cable, start: CablePaths, now: CablePaths) -> list[float]:
    """Cable that the hand gains while the path changes from the first one of start to each of now. [m]

    Only changes of direction are used, never the whole turn round a wheel: so there is no jump where a turn
    would pass through a full circle, and the exit may point anywhere behind further wheels. Holds as long as no
    straight part swings by half a circle or more.
    """
    radius_m = cable.wheel.turn * cable.wheel.radius_m
    if cable.dead_end is None or start.hold is None or now.hold is None:
        return part_gained(start.pull, now.pull, radius_m)
    arm_radius_m = cable.dead_end.wheel_turn * cable.dead_end.wheel_radius_m
    pulled = part_gained(start.pull, now.pull, radius_m - arm_radius_m)
    return [a + b for a, b in zip(pulled, part_gained(start.hold, now.hold, arm_radius_m), strict=True)]


def part_gained(start: Strands, now: Strands, offset_m: float) -> list[float]:
    """What one straight part gives to the hand, with what its swing winds off the wheels at its ends. [m]

    offset_m: the radius at the hand's end less the one at the arm's, signed by the turn. [m]
    """
    length_m, before = start.length_m[0], start.direction(0)
    if offset_m == 0.0:
        return [length_m - each for each in now.length_m]
    return [
        length_m - each + offset_m * swing_between(before, (x, z))
        for x, z, each in zip(now.along, now.up, now.length_m, strict=True)
    ]


def swing_between(before: Point, after: Point) -> float:
    """The angle by which a direction has turned, counter-clockwise positive. [rad]"""
    return math.atan2(
        before[0] * after[1] - before[1] * after[0],
        before[0] * after[0] + before[1] * after[1],
    )


def turn_on_arm_wheel(cable: Cable, paths: CablePaths, place: int = 0) -> float:
    """How far the cable runs round the arm's own wheel; 0 where there is none, or only a point. [rad]

    A turn near a full circle says that the cable would run round the wheel's other side.
    """
    end = cable.dead_end
    if end is None or paths.hold is None or end.wheel_radius_m == 0.0:
        return 0.0
    swing = swing_between(paths.hold.direction(place), paths.pull.direction(place))
    return (end.wheel_turn * swing) % math.tau


def turn_on_frame_wheel(cable: Cable, paths: CablePaths, place: int = 0) -> float:
    """How far the cable runs round the frame wheel; 0 for a point, or where further wheels hide its exit. [rad]"""
    if cable.more_wheels > 0 or cable.wheel.radius_m == 0.0:
        return 0.0
    leaving = (math.cos(cable.exit_rad), math.sin(cable.exit_rad))
    return (cable.wheel.turn * swing_between(paths.pull.direction(place), leaving)) % math.tau
