"""The elbow at a low pulley: the lifter stands with a hanging upper arm, and the hand draws the cable out."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from steelyard.errors import OutOfRange
from steelyard.machine.body import Body
from steelyard.machine.curve import resistance_curve
from steelyard.machine.felt import attached, hung_kg
from steelyard.machine.joint_levers import START_RAD, STEPS, arms_at_work
from steelyard.machine.joints import JointPoint, JointView, capacity_share, cross, wrapped
from steelyard.machine.model import Cable, Joint, Machine, Point, Station
from steelyard.machine.statics import (
    Mechanism,
    angles_at_travels,
    handle_travel,
    mechanism_of,
)
from steelyard.units import STANDARD_GRAVITY

END_RAD = math.radians(130.0)
"""Elbow flexion where a full curl ends, as far as the capacity is published (a choice). [rad]"""
STANDS_OFF_M = 0.20
"""From the cable's last wheel to the elbow, level, unless said otherwise: a short step (a choice). [m]"""
LOW_WHEEL_M = 0.10
"""Height of a last wheel that nobody measured. [m]"""
HALVINGS = 50


@dataclass(frozen=True, slots=True)
class Standing:
    """A lifter before a low pulley, in the plane of motion.

    elbow_m, wheel_m: where they are. [m]
    upper_arm_rad: the direction from the shoulder to the elbow. [rad]
    sense:  +1 if the forearm turns counter-clockwise in the curl, as that of a lifter who faces forward, else -1.
    grip_m: from the elbow to the middle of the grip. [m]
    """

    elbow_m: Point
    wheel_m: Point
    upper_arm_rad: float
    sense: int
    grip_m: float

    def forearm(self, flexion_rad: float) -> Point:
        """The forearm's direction, as a unit vector."""
        turned = self.upper_arm_rad + self.sense * flexion_rad
        return math.cos(turned), math.sin(turned)

    def to_wheel(self, flexion_rad: float) -> Point:
        """From the hand to the wheel. [m]"""
        along = self.forearm(flexion_rad)
        hand = (self.elbow_m[0] + self.grip_m * along[0], self.elbow_m[1] + self.grip_m * along[1])
        return self.wheel_m[0] - hand[0], self.wheel_m[1] - hand[1]

    def reach_m(self, flexion_rad: float) -> float:
        """From the hand to the wheel. [m]"""
        return math.hypot(*self.to_wheel(flexion_rad))

    def lever_m(self, flexion_rad: float) -> float:
        """Lever of the cable's pull about the elbow, positive against flexion. [m]"""
        to_wheel = self.to_wheel(flexion_rad)
        return -self.sense * self.grip_m * cross(self.forearm(flexion_rad), to_wheel) / math.hypot(*to_wheel)

    def first_longer(self) -> float:
        """Where the curl begins: nearly straight, or later where only then the cable gets longer. [rad]"""
        # Before that, the wheel lies ahead of the line through elbow and hand, and the cable helps to bend.
        across, up = self.wheel_m[0] - self.elbow_m[0], self.wheel_m[1] - self.elbow_m[1]
        in_line = self.sense * wrapped(math.atan2(up, across) - self.upper_arm_rad)
        return max(START_RAD, in_line)


def cable_curl(
    machine: Machine,
    station: Station,
    body: Body,
    loads: Mapping[str, tuple[float, float]],
    *,
    one_arm: bool = False,
    stands_off_m: float = STANDS_OFF_M,
) -> JointView:
    """The elbow over a curl at a low pulley, standing, the upper arm hanging.

    loads: as for `resistance_curve`. stands_off_m: from the last wheel to the elbow, level. [m]

    The hand turns round the elbow; how far it is from the wheel is how far the cable is out; the arm's angle
    follows from that, and the force from the angle. It begins where the cable first gets longer, and stops where
    the machine's range ends.

    Raises: OutOfRange for a station that is no low pulley, or if the range ends before the curl begins.
    """
    mechanism = mechanism_of(machine, station)
    standing, notes = standing_at(station, mechanism, body, stands_off_m)
    start, end = standing.first_longer(), END_RAD
    if start >= end:
        raise OutOfRange(
            f"the curl at station {station.name}",
            f"beginning at {math.degrees(start):.0f} degrees of flexion",
            "beginning before 130; stand nearer, or correct the elbow's place in the machine file",
        )
    range_m = handle_travel(mechanism, mechanism.to_rad)
    if standing.reach_m(end) - standing.reach_m(start) > range_m:
        end = turned_where(lambda turn: standing.reach_m(turn) - standing.reach_m(start), range_m, start, END_RAD)
        notes += (f"the machine's range ends at {math.degrees(end):.0f} degrees of flexion",)
    flexions = [start + (end - start) * step / (STEPS - 1) for step in range(STEPS)]
    travels = [standing.reach_m(flexion) - standing.reach_m(start) for flexion in flexions]
    angles = angles_at_travels(mechanism, travels)
    hung_n = STANDARD_GRAVITY * attached(station, None).mass_kg * pulls(mechanism, one_arm) / arms_at_work(one_arm)
    tensions = tensions_n(machine, station, angles, loads, one_arm=one_arm)
    points = tuple(
        curl_point(standing, body, flexion, travel, tension, hung_n)
        for flexion, travel, tension in zip(flexions, travels, tensions, strict=True)
    )
    return JointView(station.name, station.title, Joint.ELBOW, points, not elbow_measured(station), notes)


def elbow_measured(station: Station) -> bool:
    """Whether the machine file says where the elbow rests."""
    return station.joint is not None and station.joint.joint is Joint.ELBOW


def standing_at(
    station: Station, mechanism: Mechanism, body: Body, stands_off_m: float
) -> tuple[Standing, tuple[str, ...]]:
    """Where the lifter is, facing the wheel, and what was taken for granted.

    Standing, on the side to which the cable leaves; or with the elbow where the machine file says.

    Raises: OutOfRange if it is no low pulley, or the distance is none.
    """
    cable = mechanism.drive
    if not isinstance(cable, Cable) or math.sin(cable.exit_rad) <= 0.0:
        raise OutOfRange(f"station {station.name}", "no low pulley", "a cable that the hand pulls upwards")
    if not 0.0 <= stands_off_m <= 2.0:
        raise OutOfRange("distance from the wheel", f"{stands_off_m * 100:g} cm", "from 0 to 200 cm")
    wheel_m, notes = last_wheel(cable)
    if station.joint is not None and elbow_measured(station):
        elbow_m, upper_arm_rad = station.joint.at_m, station.joint.upper_arm_rad
    else:
        # A hair off the vertical counts as straight up: then the lifter stands forward of the wheel.
        away = -1 if math.cos(cable.exit_rad) < -1e-9 else 1
        elbow_m, upper_arm_rad = (wheel_m[0] + away * stands_off_m, body.elbow_height_m), -math.pi / 2
        notes = (
            f"standing, upper arm hanging, the elbow {stands_off_m * 100:.0f} cm behind the last wheel",
            *notes,
        )
        if wheel_m[1] >= body.elbow_height_m - body.grip_m:
            name = f"the last wheel of station {station.name}"
            raise OutOfRange(name, f"{wheel_m[1] * 100:.0f} cm high", "below the hanging hand")
    sense = 1 if wheel_m[0] > elbow_m[0] else -1
    return Standing(elbow_m, wheel_m, upper_arm_rad, sense, body.grip_m), notes


def last_wheel(cable: Cable) -> tuple[Point, tuple[str, ...]]:
    """The wheel that the hand pulls from, and what is to be said of it. [m]"""
    at_m = cable.last_wheel_m
    if len(cable.more_wheels_m) == cable.more_wheels:
        return at_m, ()
    note = f"the last wheel was not measured; it is taken to be {LOW_WHEEL_M * 100:.0f} cm over the floor"
    return (at_m[0], LOW_WHEEL_M), (note,)


def turned_where(measure: Callable[[float], float], wanted: float, low: float, high: float) -> float:
    """Where between two angles a rising measure reaches a value, by halving. [rad]"""
    for _ in range(HALVINGS):
        middle = (low + high) / 2.0
        if measure(middle) < wanted:
            low = middle
        else:
            high = middle
    return (low + high) / 2.0


def pulls(mechanism: Mechanism, one_arm: bool) -> int:
    """How many cables are pulled at once, each with its own grip."""
    return 2 if mechanism.arm.paired and not one_arm else 1


def tensions_n(
    machine: Machine,
    station: Station,
    angles_rad: list[float],
    loads: Mapping[str, tuple[float, float]],
    *,
    one_arm: bool,
) -> list[float]:
    """Cable pull for one arm at each angle, what is clipped on left out. [N]"""
    mechanism = mechanism_of(machine, station)
    clipped_n = pulls(mechanism, one_arm) * STANDARD_GRAVITY * hung_kg(mechanism, attached(station, None).mass_kg)
    raising_n = resistance_curve(machine, station, angles_rad, loads, one_arm=one_arm).raising_n
    return [(force - clipped_n) / arms_at_work(one_arm) for force in raising_n]


def curl_point(
    standing: Standing, body: Body, flexion_rad: float, travel_m: float, tension_n: float, hung_n: float
) -> JointPoint:
    """The elbow at one flexion; hung_n is the weight of what is clipped on, for one arm. [N]"""
    across = standing.sense * standing.forearm(flexion_rad)[0]
    own = STANDARD_GRAVITY * body.forearm_moment_kg_m * across
    torque = own + standing.grip_m * across * hung_n + standing.lever_m(flexion_rad) * tension_n
    return JointPoint(flexion_rad, travel_m, tension_n, torque, own, capacity_share(flexion_rad))
