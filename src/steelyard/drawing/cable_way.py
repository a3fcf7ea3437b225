"""The way of a cable through the picture: straight parts, turns round wheels, and where the hand is.

A wheel is an oriented circle, as in `machine.cable`: its radius carries the sign of the turn. Of further wheels
only the places are known; they are taken to be as large as the frame wheel and to turn the way the cable bends.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from steelyard.errors import OutOfRange
from steelyard.machine.cable import strands_between, swing_between
from steelyard.machine.model import Cable, Machine, Point, Station
from steelyard.machine.statics import from_hinge, handle_travel, mechanism_of

AT_REST_M = 0.25
"""How far from its last wheel a hand begins; nobody measures that, and no force depends on it. [m]"""
MOST_TURN_RAD = math.radians(315.0)
"""A turn beyond this is a slight bend the other way: the cable only touches the wheel."""


@dataclass(frozen=True, slots=True)
class Circle:
    """A wheel that the cable runs round, radius signed by the turn; a point has radius 0. [m]"""

    at_m: Point
    signed_radius_m: float


@dataclass(frozen=True, slots=True)
class Turn:
    """A cable round a wheel, from one touching point to another. sweep_rad: counter-clockwise positive."""

    circle: Circle
    start_m: Point
    end_m: Point
    sweep_rad: float


@dataclass(frozen=True, slots=True)
class CableWay:
    """A cable at one arm angle, from its fixed end to the hand.

    straights: the straight parts in order, each from point to point; the last one ends in the hand. [m]
    turns:     round each wheel between two straight parts.
    wheels:    those on the frame. arm_wheel: the arm's own; None if the cable is simply fixed to the arm.
    guessed:   wheels hide the way to the hand, and nobody measured where they are.
    """

    straights: tuple[tuple[Point, Point], ...]
    turns: tuple[Turn, ...]
    wheels: tuple[Circle, ...]
    arm_wheel: Circle | None
    guessed: bool

    @property
    def hand_m(self) -> Point:
        """Where the hand is. [m]"""
        return self.straights[-1][1]

    @property
    def length_m(self) -> float:
        """All of the cable that is drawn. [m]"""
        straight = math.fsum(math.dist(*part) for part in self.straights)
        return straight + math.fsum(abs(turn.sweep_rad * turn.circle.signed_radius_m) for turn in self.turns)


def cable_way(machine: Machine, station: Station, angle_rad: float) -> CableWay:
    """The cable of a station at one arm angle.

    Raises: OutOfRange if wheels overlap there.
    """
    mechanism, cable = mechanism_of(machine, station), station.drive
    assert isinstance(cable, Cable), "only a cable has a way"
    out = from_hinge(cable.arm_m, angle_rad)
    at = (mechanism.arm.pivot_m[0] + out[0], mechanism.arm.pivot_m[1] + out[1])
    on_arm = arm_circles(cable, at)
    frame = frame_circles(cable)
    gone_m = AT_REST_M + handle_travel(mechanism, angle_rad)
    guessed = cable.more_wheels > 0 and len(frame) == 1
    try:
        return _way((*on_arm, *frame), len(frame), cable.exit_rad, gone_m, guessed=guessed)
    except OutOfRange:  # further wheels as large as the first one do not fit: draw them as points
        points = tuple(Circle(wheel.at_m, 0.0) for wheel in frame[1:])
        return _way((*on_arm, frame[0], *points), len(frame), cable.exit_rad, gone_m, guessed=guessed)


def arm_circles(cable: Cable, at_m: Point) -> tuple[Circle, ...]:
    """From the cable's fixed end to its last point on the arm, which is at this place. [m]"""
    if cable.dead_end is None:
        return (Circle(at_m, 0.0),)
    wheel = Circle(at_m, cable.dead_end.wheel_turn * cable.dead_end.wheel_radius_m)
    return Circle(cable.dead_end.anchor_m, 0.0), wheel


def frame_circles(cable: Cable) -> tuple[Circle, ...]:
    """The frame wheel, and further ones where they were measured."""
    places = (cable.wheel.at_m, *cable.more_wheels_m)
    leaving = (math.cos(cable.exit_rad), math.sin(cable.exit_rad))
    bends = [_between(a, b) for a, b in pairwise(places)] + [leaving]
    first = Circle(places[0], cable.wheel.turn * cable.wheel.radius_m)
    turns = [math.copysign(1.0, swing_between(before, after)) for before, after in pairwise(bends)]
    further = zip(places[1:], turns, strict=True)
    return (first, *(Circle(at, turn * cable.wheel.radius_m) for at, turn in further))


def _between(start: Point, end: Point) -> Point:
    return end[0] - start[0], end[1] - start[1]


def _way(circles: Sequence[Circle], on_frame: int, exit_rad: float, gone_m: float, *, guessed: bool) -> CableWay:
    leaving = (math.cos(exit_rad), math.sin(exit_rad))
    directions = [_direction(a, b) for a, b in pairwise(circles)] + [leaving]
    starts = [touching(circle, way) for circle, way in zip(circles, directions, strict=True)]
    ends = [touching(circle, way) for circle, way in zip(circles[1:], directions[:-1], strict=True)]
    hand = (starts[-1][0] + gone_m * leaving[0], starts[-1][1] + gone_m * leaving[1])
    turns = [
        Turn(circle, end, start, turned_by(circle, *ways))
        for circle, end, start, ways in zip(circles[1:], ends, starts[1:], pairwise(directions), strict=True)
        if circle.signed_radius_m
    ]
    if guessed:  # how far round the last wheel the cable runs is not known
        turns = [turn for turn in turns if turn.circle is not circles[-1]]
    wheels = tuple(circles[len(circles) - on_frame :])
    arm_wheel = circles[1] if len(circles) - on_frame == 2 else None
    return CableWay(tuple(zip(starts, [*ends, hand], strict=True)), tuple(turns), wheels, arm_wheel, guessed)


def _direction(first: Circle, second: Circle) -> Point:
    """The unit direction of the straight part from one circle to the next. Raises: OutOfRange if they overlap."""
    across, rise = _between(first.at_m, second.at_m)
    return strands_between([across], [rise], second.signed_radius_m - first.signed_radius_m).direction(0)


def touching(circle: Circle, direction: Point) -> Point:
    """Where a straight part of this direction touches a circle. [m]

    >>> touching(Circle((0.25, 0.5), -0.25), (0.0, 1.0))
    (0.0, 0.5)
    """
    radius = circle.signed_radius_m
    return circle.at_m[0] + radius * direction[1], circle.at_m[1] - radius * direction[0]


def turned_by(circle: Circle, before: Point, after: Point) -> float:
    """How far a cable runs round a circle between two directions, counter-clockwise positive. [rad]"""
    sign = math.copysign(1.0, circle.signed_radius_m)
    turn = (sign * swing_between(before, after)) % math.tau
    return sign * (turn if turn <= MOST_TURN_RAD else turn - math.tau)
