"""What calibration may find out about a machine, and how well a tape measure knows it beforehand.

Each unknown is one number in a coordinate without bounds: what must stay positive stands as its logarithm.
Standard deviations are engineering judgement where no source is named, and wide: readings soon outweigh them.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from steelyard.machine.model import AcrossArm, Arm, Cable, Drive, FixedDirection, Horn, Machine, Point, Station
from steelyard.machine.statics import arm_moment, mechanism_of, path_at

TAPE_M = 0.010
"""Standard deviation of a coordinate measured with a tape. [m]"""
MASS_SD = 0.3
"""Relative standard deviation of the mass of an empty arm as described."""
BALANCE_M = 0.05
"""Standard deviation of where an empty arm balances. [m]"""
WEIGHT_SD = 0.05
"""Relative standard deviation of a counterweight's mass."""
LEAST_MOMENT_KG_M = 0.3
"""No arm's moment is known better than this beforehand. [kg m]"""
USUAL_HINGE_N_M, USUAL_LOSS = 1.5, 0.04
"""Hinge friction [N m] and loss per wheel where the description says none; both within facts of the trade."""
HINGE_SD, LOSS_SD = 1.0, 0.8
"""Standard deviations of the logarithms of hinge friction and of the loss per wheel."""
SCALE_KG, SCALE_SHARE = 0.15, 0.01
"""Scatter of one reading of a household hanging scale: a fixed part [kg], and a share of what it shows."""
ANGLE_RAD = math.radians(0.3)
"""Standard deviation of an arm angle read from a phone strapped to the arm. [rad]"""
GAIN_SD = 0.005
"""Relative standard deviation of a household hanging scale."""
PULL, PULL_SD = 0.0019, 0.0023
"""A pull 5 degrees off the handle's way reads 0.38 % high on average. Half of that is taken off, and the rest,
either way, is left to the interval: a person may pull straight. With the scale's own error: 0.55 %."""


@dataclass(frozen=True, slots=True)
class Unknown:
    """One number to be found: its name, its value as described, and the standard deviation of that value."""

    name: str
    value: float
    sd: float


def unknowns(machine: Machine, *, tape_m: float = TAPE_M) -> tuple[Unknown, ...]:
    """All that readings may find out about a machine as described, the scale's gain last.

    tape_m: standard deviation of each measured coordinate. [m]
    """
    found = [unknown for arm in machine.arms.values() for unknown in arm_unknowns(arm)]
    for horn in machine.horns.values():
        if horn.arm is not None:
            found.append(Unknown(f"horn.{horn.name}.along_m", horn.at_m[0], tape_m))
            found.append(Unknown(f"horn.{horn.name}.up_m", horn.at_m[1], tape_m))
    for station in machine.stations.values():
        found.extend(station_unknowns(machine, station, tape_m))
    return (*found, Unknown("scale.gain", 0.0, GAIN_SD))


def arm_unknowns(arm: Arm) -> Iterator[Unknown]:
    """The first moment of an empty arm, and its hinge friction."""
    along, up = arm_moment(arm)
    hinge = arm.hinge_torque_n_m or USUAL_HINGE_N_M
    for axis, value in enumerate((along, up)):
        own = (MASS_SD * arm.mass_kg * arm.com_m[axis], BALANCE_M * arm.mass_kg, LEAST_MOMENT_KG_M)
        sd = math.hypot(*own, *weight_sds(arm, axis))
        yield Unknown(f"arm.{arm.name}.{('along_kg_m', 'up_kg_m')[axis]}", value, sd)
    yield Unknown(f"arm.{arm.name}.hinge_log", math.log(hinge), HINGE_SD)


def weight_sds(arm: Arm, axis: int) -> tuple[float, ...]:
    """What a counterweight adds to the doubt about a moment. [kg m]"""
    weight = arm.counterweight
    if weight is None:
        return ()
    return WEIGHT_SD * weight.mass_kg * weight.at_m[axis], TAPE_M * weight.mass_kg


def station_unknowns(machine: Machine, station: Station, tape_m: float) -> Iterator[Unknown]:
    """How far from the hinge the handle or cable sits, which way it lies there, and what its wheels lose.

    The reach scales the force; the turn shifts it along the range, and stands for all that tilts a cable, its
    wheels included. Square to the arm nothing can tilt.
    """
    drive, name = station.drive, f"station.{station.name}"
    if not isinstance(drive, AcrossArm | FixedDirection | Cable):
        return
    share = tape_m / math.hypot(*point_of(drive))
    yield Unknown(f"{name}.reach_log", 0.0, share)
    if isinstance(drive, FixedDirection):
        yield Unknown(f"{name}.turn_rad", 0.0, share)
    if isinstance(drive, Cable):
        tilt = math.sqrt(2.0) * tape_m / free_length(machine, station)  # of the hinge and of the wheel
        loss = -math.log(drive.efficiency) or USUAL_LOSS
        yield Unknown(f"{name}.turn_rad", 0.0, math.hypot(share, tilt))
        yield Unknown(f"{name}.loss_log", math.log(loss), LOSS_SD)


def free_length(machine: Machine, station: Station) -> float:
    """Length of the straight part of a cable next to the arm, in the middle of the range. [m]"""
    mechanism = mechanism_of(machine, station)
    assert isinstance(mechanism.drive, Cable), "only a cable has straight parts"
    middle = (mechanism.from_rad + mechanism.to_rad) / 2.0
    return path_at(mechanism.arm, mechanism.drive, middle).pull.length_m[0]


def point_of(drive: AcrossArm | FixedDirection | Cable) -> Point:
    """Where the hand or the cable takes hold of the arm. [m]"""
    return drive.arm_m if isinstance(drive, Cable) else drive.hand_m


def with_values(machine: Machine, values: Mapping[str, float]) -> Machine:
    """The machine with these unknowns put in; names of parts that it does not have are left out.

    The moment of an arm is met by moving where it balances, since statics can't tell mass from balance.
    """
    return replace(
        machine,
        arms={name: arm_with(arm, values) for name, arm in machine.arms.items()},
        horns={name: horn_with(horn, values) for name, horn in machine.horns.items()},
        stations={name: station_with(station, values) for name, station in machine.stations.items()},
    )


def arm_with(arm: Arm, values: Mapping[str, float]) -> Arm:
    """An arm with its moment and its hinge friction put in."""
    name, described = f"arm.{arm.name}", arm_moment(arm)
    hinge = values.get(f"{name}.hinge_log")
    along = values.get(f"{name}.along_kg_m", described[0]) - described[0]
    up = values.get(f"{name}.up_kg_m", described[1]) - described[1]
    mass_kg = arm.mass_kg or 1.0  # an arm described as weightless needs some mass to carry its moment
    com_m = ((arm.mass_kg * arm.com_m[0] + along) / mass_kg, (arm.mass_kg * arm.com_m[1] + up) / mass_kg)
    torque = arm.hinge_torque_n_m if hinge is None else math.exp(hinge)
    return replace(arm, mass_kg=mass_kg, com_m=com_m, hinge_torque_n_m=torque)


def horn_with(horn: Horn, values: Mapping[str, float]) -> Horn:
    """A horn at the place put in."""
    name = f"horn.{horn.name}"
    at_m = (values.get(f"{name}.along_m", horn.at_m[0]), values.get(f"{name}.up_m", horn.at_m[1]))
    return replace(horn, at_m=at_m)


def station_with(station: Station, values: Mapping[str, float]) -> Station:
    """A station with its reach, its turn and the loss of its wheels put in."""
    name = f"station.{station.name}"
    reach, turn = values.get(f"{name}.reach_log", 0.0), values.get(f"{name}.turn_rad", 0.0)
    return replace(station, drive=drive_with(station.drive, reach, turn, values.get(f"{name}.loss_log")))


def drive_with(drive: Drive, reach_log: float, turn_rad: float, loss_log: float | None) -> Drive:
    """A drive whose point on the arm is further out and turned about the hinge, with another loss per wheel."""
    if not isinstance(drive, AcrossArm | FixedDirection | Cable):
        return drive
    along, up = point_of(drive)
    c, s = math.exp(reach_log) * math.cos(turn_rad), math.exp(reach_log) * math.sin(turn_rad)
    point = (along * c - up * s, along * s + up * c)
    if not isinstance(drive, Cable):
        return replace(drive, hand_m=point)
    efficiency = drive.efficiency if loss_log is None else math.exp(-math.exp(loss_log))
    return replace(drive, arm_m=point, efficiency=efficiency)
