"""Whether a machine is still the one that was described when its scale readings were fitted."""

from __future__ import annotations

from hashlib import sha256

from steelyard.machine.model import AcrossArm, Arm, Cable, FixedDirection, Horn, Machine, Station


def fingerprint(machine: Machine) -> str:
    """A short text that changes when anything does that scale readings speak of: masses, places, drives, cables.

    Names of people's making, exercises, ranges, ratings and what only a drawing needs do not count: a calibration
    outlives a change of those.

    >>> from steelyard.machine.examples import example_text
    >>> from steelyard.machine.file import read_machine
    >>> boathouse = read_machine(example_text("boathouse"), "boathouse.toml")
    >>> len(fingerprint(boathouse))
    32
    """
    parts = (
        sorted(arm_parts(arm) for arm in machine.arms.values()),
        sorted(horn_parts(horn) for horn in machine.horns.values() if horn.arm is not None),
        sorted(station_parts(station) for station in machine.stations.values() if station.arm is not None),
    )
    return sha256(repr(parts).encode()).hexdigest()[:32]


def arm_parts(arm: Arm) -> tuple[object, ...]:
    """What statics knows of an arm."""
    weight = arm.counterweight
    balance = () if weight is None else (weight.mass_kg, weight.at_m)
    return arm.name, arm.pivot_m, arm.mass_kg, arm.com_m, balance, arm.hinge_torque_n_m, arm.paired


def horn_parts(horn: Horn) -> tuple[object, ...]:
    """What statics knows of a horn."""
    return horn.name, horn.arm, horn.at_m, str(horn.axis), horn.axis_angle_rad, horn.sides


def station_parts(station: Station) -> tuple[object, ...]:
    """What statics knows of a station; its range is free to change, and nothing is clipped on for a reading."""
    return station.name, station.arm, drive_parts(station), station.to_rad > station.from_rad


def drive_parts(station: Station) -> tuple[object, ...]:
    """What statics knows of a drive."""
    match station.drive:
        case AcrossArm(hand_m):
            return ("across", hand_m)
        case FixedDirection(hand_m, direction_rad):
            return ("fixed", hand_m, direction_rad)
        case Cable() as cable:
            end, wheel = cable.dead_end, cable.wheel
            dead_end = () if end is None else (end.anchor_m, end.wheel_radius_m, end.wheel_turn)
            around = (wheel.at_m, wheel.radius_m, wheel.turn)
            return ("cable", cable.arm_m, around, cable.exit_rad, cable.more_wheels, cable.efficiency, dead_end)
    return ()
