"""Statics of a lever arm: what gravity asks of the hinge, and what that becomes at the handle.

Two halves that know nothing of each other. *Mass*: everything on the arm enters through its first moment about
the hinge, a vector in the arm's frame. *Mechanism*: arm, drive and range turn a torque at the hinge into a force
at the handle, whatever the torque comes from; a later torque of inertia enters beside gravity's. Friction knows
only the way the arm goes: a moving wheel passes on a share of the tension, the dry hinge takes a constant torque.

The work is done for many arm angles at once, as a `Sweep`: what a resistance curve or an average over the range
asks for. The functions of one angle are sweeps of one.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import IntEnum

from steelyard.errors import OutOfRange, UnknownName
from steelyard.machine.cable import CablePaths, Column, Strands, cable_gained, cable_paths
from steelyard.machine.extremes import evenly
from steelyard.machine.model import AcrossArm, Arm, Cable, FixedDirection, Horn, Machine, Point, Station
from steelyard.units import STANDARD_GRAVITY

HALVINGS = 60
"""Halvings of a range that leave nothing but rounding."""

ArmDrive = AcrossArm | FixedDirection | Cable


class Way(IntEnum):
    """Which way the load goes, as the sign with which friction adds to the handle force."""

    RAISING = 1
    FRICTIONLESS = 0
    LOWERING = -1


@dataclass(frozen=True, slots=True)
class Mechanism:
    """One arm, what drives it, and the range in which a station uses it. Angles in radians."""

    arm: Arm
    drive: ArmDrive
    from_rad: float
    to_rad: float

    @property
    def lift(self) -> int:
        """+1 if the arm angle grows during the lift, -1 if it falls."""
        return 1 if self.to_rad > self.from_rad else -1

    @property
    def has_friction(self) -> bool:
        """Whether raising and lowering differ."""
        return self.arm.hinge_torque_n_m > 0.0 or (isinstance(self.drive, Cable) and self.drive.efficiency < 1.0)

    def angles(self, count: int) -> tuple[float, ...]:
        """Evenly spaced angles over the range, both ends included. [rad]"""
        return tuple(evenly(self.from_rad, self.to_rad, count))


def mechanism_of(machine: Machine, station: Station) -> Mechanism:
    """The mechanism behind a lever or cable station.

    Raises: OutOfRange if the station has no arm, UnknownName if its arm is not on the machine.
    """
    if station.arm is None or not isinstance(station.drive, AcrossArm | FixedDirection | Cable):
        raise OutOfRange(f"station {station.name}", "without an arm", "a lever or cable station")
    if station.arm not in machine.arms:
        raise UnknownName("arm", station.arm, machine.arms)
    return Mechanism(machine.arms[station.arm], station.drive, station.from_rad, station.to_rad)


def stack_moment(plates: Iterable[tuple[float, float]]) -> tuple[float, float]:
    """Mass of the plates on one post, and the sum of mass times centre offset. [kg], [kg m]

    plates: mass [kg] and distance of the centre from the horn's inner face [m] of each plate.

    >>> stack_moment([(20.0, 0.02), (5.0, 0.05)])
    (25.0, 0.65)
    """
    pairs = tuple(plates)
    return math.fsum(mass for mass, _ in pairs), math.fsum(mass * offset for mass, offset in pairs)


def arm_moment(arm: Arm) -> Point:
    """First moment of the empty arm, counterweight included, about the hinge, in the arm's frame. [kg m]"""
    along, up = arm.mass_kg * arm.com_m[0], arm.mass_kg * arm.com_m[1]
    if arm.counterweight is None:
        return along, up
    mass, at = arm.counterweight.mass_kg, arm.counterweight.at_m
    return along + mass * at[0], up + mass * at[1]


def horn_moment(horn: Horn, mass_kg: float, moment_kg_m: float) -> Point:
    """First moment of the plates on one post about the arm's hinge, in the arm's frame. [kg m]

    mass_kg, moment_kg_m: as from `stack_moment`; the moment counts on a horn along the plane only, since across
    the plane every plate centre lies at the horn itself.
    """
    along, up = mass_kg * horn.at_m[0], mass_kg * horn.at_m[1]
    if horn.axis == "across":
        return along, up
    out = horn.axis_angle_rad
    return along + moment_kg_m * math.cos(out), up + moment_kg_m * math.sin(out)


@dataclass(frozen=True, slots=True)
class Sweep:
    """A mechanism at many arm angles, with all that depends on the angle alone.

    cosines, sines: of the angles. paths: where the cable runs at each; None for a lever.
    """

    mechanism: Mechanism
    angles_rad: Sequence[float]
    cosines: Column
    sines: Column
    paths: CablePaths | None


def sweep(mechanism: Mechanism, angles_rad: Sequence[float]) -> Sweep:
    """A mechanism at these arm angles, in any order. [rad] Raises: OutOfRange if wheels overlap."""
    cosines, sines = list(map(math.cos, angles_rad)), list(map(math.sin, angles_rad))
    if not isinstance(mechanism.drive, Cable):
        return Sweep(mechanism, angles_rad, cosines, sines, None)
    levers_x, levers_z = turned(mechanism.drive.arm_m, cosines, sines)
    pivot_x, pivot_z = mechanism.arm.pivot_m
    xs, zs = [pivot_x + x for x in levers_x], [pivot_z + z for z in levers_z]
    return Sweep(mechanism, angles_rad, cosines, sines, cable_paths(mechanism.drive, xs, zs))


def turned(arm_point_m: Point, cosines: Column, sines: Column) -> tuple[list[float], list[float]]:
    """From the hinge to a point of the arm, in world directions, at each angle. [m]"""
    along, up = arm_point_m
    pairs = list(zip(cosines, sines, strict=True))
    return [along * c - up * s for c, s in pairs], [along * s + up * c for c, s in pairs]


def gravity_torques(moment_kg_m: Point, cosines: Column, sines: Column) -> list[float]:
    """`gravity_torque` at each angle. [N m]"""
    along, up = STANDARD_GRAVITY * moment_kg_m[0], STANDARD_GRAVITY * moment_kg_m[1]
    return [along * c - up * s for c, s in zip(cosines, sines, strict=True)]


def gravity_torque(moment_kg_m: Point, angle_rad: float) -> float:
    """Torque towards a growing arm angle that holds the arm against gravity. [N m]

    moment_kg_m: first moment of all mass on the arm, in the arm's frame. [kg m]

    Source: derivative of the potential energy; standard gravity 9.80665 m/s² (3rd CGPM, 1901).

    >>> round(gravity_torque((20.0 * 0.30, 0.0), 0.0), 3)
    58.84
    """
    return gravity_torques(moment_kg_m, (math.cos(angle_rad),), (math.sin(angle_rad),))[0]


def potential_energy(moment_kg_m: Point, angle_rad: float) -> float:
    """Energy of height over the hinge. [J]"""
    along, up = moment_kg_m
    return STANDARD_GRAVITY * (along * math.sin(angle_rad) + up * math.cos(angle_rad))


def from_hinge(arm_point_m: Point, angle_rad: float) -> Point:
    """From the hinge to a point of the arm, in world directions. [m]"""
    xs, zs = turned(arm_point_m, (math.cos(angle_rad),), (math.sin(angle_rad),))
    return xs[0], zs[0]


def path_at(arm: Arm, cable: Cable, angle_rad: float) -> CablePaths:
    """The cable's path at one arm angle. Raises: OutOfRange if wheels overlap."""
    x, z = from_hinge(cable.arm_m, angle_rad)
    return cable_paths(cable, (arm.pivot_m[0] + x,), (arm.pivot_m[1] + z,))


def effective_ratios(swept: Sweep, way: Way) -> list[float]:
    """Torque at the hinge that one newton at the handle can carry, wheel friction included, at each angle. [m]

    Without friction it is the handle ratio (virtual work). Raising, each wheel on the way to the arm passes on
    only a share of the hand's tension; lowering, the arm's side is the leading one.

    Source: rope friction as an efficiency per sheave, see docs/model-felt-load.md.
    """
    mechanism, drive = swept.mechanism, swept.mechanism.drive
    if isinstance(drive, AcrossArm):
        return [mechanism.lift * math.hypot(*drive.hand_m)] * len(swept.angles_rad)
    if isinstance(drive, FixedDirection):
        levers = zip(*turned(drive.hand_m, swept.cosines, swept.sines), strict=True)
        push_x, push_z = math.cos(drive.direction_rad), math.sin(drive.direction_rad)
        return [x * push_z - z * push_x for x, z in levers]
    return cable_ratios(swept, drive, drive.efficiency ** -int(way))


def cable_ratios(swept: Sweep, cable: Cable, gain: float) -> list[float]:
    """`effective_ratios` of a cable; gain is the tension after a wheel over that before it, towards the hand."""
    assert swept.paths is not None, "a sweep of a cable has its paths"
    levers = turned(cable.arm_m, swept.cosines, swept.sines)
    pulled = torques_per_newton(levers, swept.paths.pull)
    if swept.paths.hold is None:
        cost = gain ** (1 + cable.more_wheels)
        return [pull / cost for pull in pulled]
    # The dead end holds the least tension; the arm's wheel and the frame's wheel each add to it towards the hand.
    held = torques_per_newton(levers, swept.paths.hold)
    cost = gain ** (2 + cable.more_wheels)
    return [(gain * pull - hold) / cost for pull, hold in zip(pulled, held, strict=True)]


def torques_per_newton(levers: tuple[Column, Column], strands: Strands) -> list[float]:
    """Torque about the hinge of one newton along each straight part, at the end of its lever. [m]"""
    columns = zip(*levers, strands.along, strands.up, strict=True)
    return [x * up - z * along for x, z, along, up in columns]


def handle_travels(swept: Sweep) -> list[float]:
    """`handle_travel` at each angle. [m]"""
    mechanism, drive, start = swept.mechanism, swept.mechanism.drive, swept.mechanism.from_rad
    if isinstance(drive, AcrossArm):
        reach = mechanism.lift * math.hypot(*drive.hand_m)
        return [reach * (angle - start) for angle in swept.angles_rad]
    if isinstance(drive, FixedDirection):
        push_x, push_z = math.cos(drive.direction_rad), math.sin(drive.direction_rad)
        x, z = from_hinge(drive.hand_m, start)
        columns = zip(*turned(drive.hand_m, swept.cosines, swept.sines), strict=True)
        return [(now_x - x) * push_x + (now_z - z) * push_z for now_x, now_z in columns]
    assert swept.paths is not None, "a sweep of a cable has its paths"
    return cable_gained(drive, path_at(mechanism.arm, drive, start), swept.paths)


def angles_at_travels(mechanism: Mechanism, travels_m: Sequence[float]) -> list[float]:
    """The arm angles at which the handle has gone so far, within the range, found by halving. [rad]

    Raises: OutOfRange if wheels overlap.
    """
    lows, highs = [mechanism.from_rad] * len(travels_m), [mechanism.to_rad] * len(travels_m)
    for _ in range(HALVINGS):
        middles = [(low + high) / 2.0 for low, high in zip(lows, highs, strict=True)]
        for place, found_m in enumerate(handle_travels(sweep(mechanism, middles))):
            side = lows if found_m < travels_m[place] else highs
            side[place] = middles[place]
    return [(low + high) / 2.0 for low, high in zip(lows, highs, strict=True)]


def handle_forces(swept: Sweep, torques_n_m: Sequence[float], way: Way) -> list[float]:
    """`handle_force` against a torque at each angle. [N]"""
    mechanism = swept.mechanism
    friction = mechanism.lift * way * mechanism.arm.hinge_torque_n_m
    ratios = effective_ratios(swept, way)
    return [(torque + friction) / ratio for torque, ratio in zip(torques_n_m, ratios, strict=True)]


def handle_ratio(mechanism: Mechanism, angle_rad: float) -> float:
    """Handle travel per radian of arm angle; travel along the lift is positive. [m/rad]

    So it carries the sign of `Mechanism.lift` wherever the handle goes with the lift.

    Raises: OutOfRange if wheels overlap.
    """
    return effective_ratio(mechanism, angle_rad, Way.FRICTIONLESS)


def effective_ratio(mechanism: Mechanism, angle_rad: float, way: Way) -> float:
    """`effective_ratios` at one angle. [m] Raises: OutOfRange if wheels overlap."""
    return effective_ratios(sweep(mechanism, (angle_rad,)), way)[0]


def handle_travel(mechanism: Mechanism, angle_rad: float) -> float:
    """How far the handle has gone along the lift when the arm is at this angle; 0 where the lift begins. [m]

    Raises: OutOfRange if wheels overlap.
    """
    return handle_travels(sweep(mechanism, (angle_rad,)))[0]


def handle_force(
    mechanism: Mechanism, torque_n_m: float, angle_rad: float, *, way: Way = Way.FRICTIONLESS
) -> float:
    """Force along the lift that the hand needs against a torque at the hinge. [N]

    torque_n_m: what the load asks of the hinge, towards a growing angle, such as `gravity_torque`. [N m]
    way:        with which friction; frictionless unless said otherwise.

    Negative where the load would run up by itself, or a cable go slack. The value is not clamped.

    Raises: OutOfRange if wheels overlap.
    Holds:  rigid arm, taut weightless cable, handle moving slowly.
    """
    return handle_forces(sweep(mechanism, (angle_rad,)), (torque_n_m,), way)[0]
