"""Elbow and shoulder at a handle on the arm: the joint rests, the hand goes where the arm takes it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from steelyard.errors import OutOfRange
from steelyard.machine.body import WHOLE_ARM_COM, Body
from steelyard.machine.curve import resistance_curve
from steelyard.machine.joints import JointPoint, JointView, capacity_share, cross, wrapped
from steelyard.machine.model import AcrossArm, FixedDirection, Joint, JointPlace, Machine, Point, Station
from steelyard.machine.statics import Mechanism, from_hinge, mechanism_of
from steelyard.units import STANDARD_GRAVITY

STEPS = 25
"""Points over the lift."""
START_RAD = math.radians(10.0)
"""Elbow flexion at the start of a curl whose upper arm nobody measured: nearly straight (a choice). [rad]"""
FLEXIONS_RAD = (math.radians(-15.0), math.radians(160.0))
"""Flexions that an elbow can have, roughly (from memory). [rad]"""
STRAIGHT = 0.95
"""Where a press ends, shoulder to grip as a share of the straight arm: just short of locked (a choice)."""
SLACK_M = 0.03
"""A hand's path further off a circle round the elbow than this is told. [m]"""


@dataclass(frozen=True, slots=True)
class HandPath:
    """Where the hand is, which way it works and with what force, at several moments of a lift, for one arm.

    push: unit vectors along the lift. travel_m: since the lift began. hinge_m: what the arm turns on. [m]
    """

    hinge_m: Point
    hands_m: tuple[Point, ...]
    push: tuple[Point, ...]
    travel_m: tuple[float, ...]
    force_n: tuple[float, ...]

    @property
    def sense(self) -> int:
        """+1 if the machine's arm turns counter-clockwise in the lift, else -1."""
        first, last = ((x - self.hinge_m[0], z - self.hinge_m[1]) for x, z in (self.hands_m[0], self.hands_m[-1]))
        return 1 if cross(first, last) > 0 else -1


def lever_curl(
    machine: Machine,
    station: Station,
    body: Body,
    loads: Mapping[str, tuple[float, float]],
    *,
    one_arm: bool = False,
) -> JointView:
    """The elbow over a curl at a handle on the arm.

    loads: as for `resistance_curve`.

    The forearm keeps its length and points from the elbow's place to the hand; where the hand's path is no circle
    round that place, the elbow is taken to give way along the forearm, and the view says by how much.

    Raises: OutOfRange for a station without such a handle, or where no elbow of this body can be.
    """
    path = hand_path(machine, station, loads, one_arm=one_arm)
    place = station.joint
    measured = place is not None and place.joint is Joint.ELBOW
    if place is None or not measured:
        place = estimated_elbow(station, path, body)
    forearms = [(hand[0] - place.at_m[0], hand[1] - place.at_m[1]) for hand in path.hands_m]
    sense = 1 if cross(forearms[0], forearms[-1]) > 0 else -1
    points = tuple(elbow_point(path, index, forearm, sense, body, place) for index, forearm in enumerate(forearms))
    check_flexions(station.name, points)
    notes = () if measured else (ELBOW_ESTIMATED,)
    return JointView(
        station.name, station.title, Joint.ELBOW, points, not measured, notes + slack_notes(forearms, body.grip_m)
    )


ELBOW_ESTIMATED = (
    "the elbow's place is estimated: at a forearm's length from both ends of the hand's path, on the hinge's "
    "side, beginning 10 degrees short of straight"
)


def hand_path(
    machine: Machine, station: Station, loads: Mapping[str, tuple[float, float]], *, one_arm: bool
) -> HandPath:
    """The hand's path at a handle on the arm. Raises: OutOfRange for a station without one."""
    mechanism = mechanism_of(machine, station)
    if not isinstance(mechanism.drive, AcrossArm | FixedDirection):
        raise OutOfRange(f"station {station.name}", "a cable", "a station with a handle on the arm")
    angles = mechanism.angles(STEPS)
    curve = resistance_curve(machine, station, angles, loads, one_arm=one_arm)
    hinge_m = mechanism.arm.pivot_m
    levers = [from_hinge(mechanism.drive.hand_m, angle) for angle in angles]
    return HandPath(
        hinge_m,
        tuple((hinge_m[0] + x, hinge_m[1] + z) for x, z in levers),
        tuple(push_at(mechanism, lever) for lever in levers),
        curve.travel_m,
        tuple(force / arms_at_work(one_arm) for force in curve.raising_n),
    )


def arms_at_work(one_arm: bool) -> int:
    """How many arms share the handle's force."""
    return 1 if one_arm else 2


def push_at(mechanism: Mechanism, lever_m: Point) -> Point:
    """The direction in which the hand works, from the hinge to the hand given."""
    if isinstance(mechanism.drive, FixedDirection):
        return math.cos(mechanism.drive.direction_rad), math.sin(mechanism.drive.direction_rad)
    length_m = math.hypot(*lever_m)
    return -mechanism.lift * lever_m[1] / length_m, mechanism.lift * lever_m[0] / length_m


def elbow_point(
    path: HandPath, index: int, toward_m: Point, sense: int, body: Body, place: JointPlace
) -> JointPoint:
    """The elbow at one moment; toward_m points from its place to the hand. [m]"""
    length_m = math.hypot(*toward_m)
    along = (toward_m[0] / length_m, toward_m[1] / length_m)
    flexion = sense * wrapped(math.atan2(along[1], along[0]) - place.upper_arm_rad)
    own = sense * STANDARD_GRAVITY * body.forearm_moment_kg_m * along[0]
    torque = own + sense * body.grip_m * cross(along, path.push[index]) * path.force_n[index]
    share = capacity_share(flexion)
    return JointPoint(flexion, path.travel_m[index], path.force_n[index], torque, own, share)


def check_flexions(station: str, points: tuple[JointPoint, ...]) -> None:
    """Refuse a place of the elbow that bends it as none bends. Raises: OutOfRange."""
    for point in points:
        if point.flexion_rad is None or not FLEXIONS_RAD[0] <= point.flexion_rad <= FLEXIONS_RAD[1]:
            raise OutOfRange(
                f"elbow flexion at station {station}",
                f"{math.degrees(point.flexion_rad or 0.0):.0f} degrees",
                "from -15 to 160 degrees; correct at_mm and upper_arm_deg of its joint in the machine file",
            )


def estimated_elbow(station: Station, path: HandPath, body: Body) -> JointPlace:
    """An elbow at forearm and grip from both ends of the path, on the hinge's side: the path bends round it.

    Raises: OutOfRange if the path is longer than the forearm can reach.
    """
    start, end, reach_m = path.hands_m[0], path.hands_m[-1], body.grip_m
    half_m = math.dist(start, end) / 2.0
    if half_m >= reach_m:
        raise OutOfRange(
            f"the hand's path at station {station.name}",
            f"{200 * half_m:.0f} cm from end to end",
            f"under {200 * reach_m:.0f} cm, what a resting elbow of this lifter allows; if it is a curl, correct "
            "range_deg in the machine file",
        )
    middle = ((start[0] + end[0]) / 2.0, (start[1] + end[1]) / 2.0)
    side = (-(end[1] - start[1]) / (2.0 * half_m), (end[0] - start[0]) / (2.0 * half_m))
    toward = (path.hinge_m[0] - middle[0]) * side[0] + (path.hinge_m[1] - middle[1]) * side[1]
    off_m = math.copysign(math.sqrt(reach_m**2 - half_m**2), toward)
    at_m = (middle[0] + off_m * side[0], middle[1] + off_m * side[1])
    first, last = ((hand[0] - at_m[0], hand[1] - at_m[1]) for hand in (start, end))
    sense = 1 if cross(first, last) > 0 else -1
    return JointPlace(Joint.ELBOW, at_m, math.atan2(first[1], first[0]) - sense * START_RAD)


def slack_notes(toward_m: list[Point], grip_m: float) -> tuple[str, ...]:
    """What to say where the hand's path is no circle round the elbow."""
    most_m = max(abs(math.hypot(*each) - grip_m) for each in toward_m)
    if most_m <= SLACK_M:
        return ()
    return (
        f"the hand's path is no circle round the elbow: elbow, wrist or grip must give way by up to "
        f"{most_m * 100:.0f} cm, and a lifter of another size by another length",
    )


def lever_press(
    machine: Machine,
    station: Station,
    body: Body,
    loads: Mapping[str, tuple[float, float]],
    *,
    one_arm: bool = False,
) -> JointView:
    """The shoulder over a press at a handle on the arm, in the plane of motion.

    Torques count as the machine's arm turns.

    Raises: OutOfRange for a station without such a handle.
    """
    path = hand_path(machine, station, loads, one_arm=one_arm)
    place = station.joint
    measured = place is not None and place.joint is Joint.SHOULDER
    at_m = place.at_m if place is not None and measured else estimated_shoulder(path, body)
    sense = path.sense
    points = []
    for hand, push, travel, force in zip(path.hands_m, path.push, path.travel_m, path.force_n, strict=True):
        reach = (hand[0] - at_m[0], hand[1] - at_m[1])
        own = sense * STANDARD_GRAVITY * body.arm_kg * WHOLE_ARM_COM * reach[0]
        points.append(JointPoint(None, travel, force, own + sense * force * cross(reach, push), own, None))
    notes = (NO_SHOULDER_CURVE,) if measured else (SHOULDER_ESTIMATED, NO_SHOULDER_CURVE)
    return JointView(station.name, station.title, Joint.SHOULDER, tuple(points), not measured, notes)


SHOULDER_ESTIMATED = (
    "the shoulder's place is estimated: in line with the hand's path, the arm nearly straight where the press "
    "ends, so that its torque here says little; give its place in the machine file"
)
NO_SHOULDER_CURVE = (
    "torque only, in the plane of motion: what arms spread to the sides ask is not in it, and we know of no "
    "published curve of what a shoulder can give to set it against; where it changes sign, the force passes "
    "through the shoulder"
)


def estimated_shoulder(path: HandPath, body: Body) -> Point:
    """A shoulder in line with the path, the arm nearly straight at its end. [m]"""
    start, end = path.hands_m[0], path.hands_m[-1]
    share = STRAIGHT * body.arm_m / math.dist(start, end)
    return end[0] - share * (end[0] - start[0]), end[1] - share * (end[1] - start[1])
