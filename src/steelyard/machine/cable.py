"""The path of a taut cable over wheels: where its straight parts point and how much of it the hand gains.

A wheel counts as an oriented circle: its radius carries the sign of the turn, plus for a cable that runs
counter-clockwise round it on its way to the hand. A point is a circle of radius 0.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from steelyard.errors import OutOfRange
from steelyard.machine.model import Cable, Point


@dataclass(frozen=True, slots=True)
class Strand:
    """A straight part of a cable: its unit direction, towards the hand, and its length. [m]"""

    direction: Point
    length_m: float


@dataclass(frozen=True, slots=True)
class CablePath:
    """Where a cable runs at one arm angle.

    pull: the part from the arm to the frame wheel.
    hold: the part from the dead end to the arm's own wheel; None if the cable is simply fixed to the arm.
    """

    pull: Strand
    hold: Strand | None


def strand_between(start: Point, start_radius_m: float, end: Point, end_radius_m: float) -> Strand:
    """The straight part from one oriented circle to the next.

    start, end: the centres. [m]
    start_radius_m, end_radius_m: the radii, signed by the turn. [m]

    Raises: OutOfRange if the circles overlap so that no straight part fits between them.
    Source: common tangent of two oriented circles; elementary geometry.

    >>> strand_between((0.0, 0.0), 0.0, (0.25, 0.5), -0.25)
    Strand(direction=(0.0, 1.0), length_m=0.5)
    """
    across, up = end[0] - start[0], end[1] - start[1]
    offset = end_radius_m - start_radius_m
    square = across * across + up * up
    free = square - offset * offset
    if free <= 0.0:
        gap = f"{1000.0 * math.sqrt(square):.0f} mm"
        raise OutOfRange("distance between two cable points", gap, f"more than {1000.0 * abs(offset):.0f} mm")
    length = math.sqrt(free)
    direction = ((length * across + offset * up) / square, (length * up - offset * across) / square)
    return Strand(direction, length)


def cable_path(cable: Cable, at: Point) -> CablePath:
    """The path of a cable whose end, or whose wheel, on the arm is at this place in the world.

    at: the cable's point on the arm, in the world. [m]

    Raises: OutOfRange if wheels overlap.
    """
    frame_radius = cable.wheel.turn * cable.wheel.radius_m
    end = cable.dead_end
    if end is None:
        return CablePath(strand_between(at, 0.0, cable.wheel.at_m, frame_radius), None)
    arm_radius = end.wheel_turn * end.wheel_radius_m
    hold = strand_between(end.anchor_m, 0.0, at, arm_radius)
    return CablePath(strand_between(at, arm_radius, cable.wheel.at_m, frame_radius), hold)


def cable_gained(cable: Cable, start: CablePath, now: CablePath) -> float:
    """Cable that the hand gains while the path changes from one to the other. [m]

    Only changes of direction are used, never the whole turn round a wheel: so there is no jump where a turn
    would pass through a full circle, and the exit may point anywhere behind further wheels. Holds as long as no
    straight part swings by half a circle or more.
    """
    pull_swing = swing_between(start.pull.direction, now.pull.direction)
    gained = start.pull.length_m - now.pull.length_m + cable.wheel.turn * cable.wheel.radius_m * pull_swing
    if cable.dead_end is None or start.hold is None or now.hold is None:
        return gained
    hold_swing = swing_between(start.hold.direction, now.hold.direction)
    arm_radius = cable.dead_end.wheel_turn * cable.dead_end.wheel_radius_m
    return gained + start.hold.length_m - now.hold.length_m - arm_radius * (pull_swing - hold_swing)


def swing_between(before: Point, after: Point) -> float:
    """The angle by which a direction has turned, counter-clockwise positive. [rad]"""
    return math.atan2(
        before[0] * after[1] - before[1] * after[0],
        before[0] * after[0] + before[1] * after[1],
    )


def turn_on_arm_wheel(cable: Cable, path: CablePath) -> float:
    """How far the cable runs round the arm's own wheel; 0 where there is none, or only a point. [rad]

    A turn near a full circle says that the cable would run round the wheel's other side.
    """
    end = cable.dead_end
    if end is None or path.hold is None or end.wheel_radius_m == 0.0:
        return 0.0
    return (end.wheel_turn * swing_between(path.hold.direction, path.pull.direction)) % math.tau


def turn_on_frame_wheel(cable: Cable, path: CablePath) -> float:
    """How far the cable runs round the frame wheel; 0 for a point, or where further wheels hide its exit. [rad]"""
    if cable.more_wheels > 0 or cable.wheel.radius_m == 0.0:
        return 0.0
    leaving = (math.cos(cable.exit_rad), math.sin(cable.exit_rad))
    return (cable.wheel.turn * swing_between(path.pull.direction, leaving)) % math.tau
