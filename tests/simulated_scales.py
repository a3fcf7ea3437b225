"""Invented machines, what they really are, and what a hanging scale would show on them.

The truth is drawn around the description by the errors of a tape measure, part by part, and gives its forces
through the statics; nothing here goes through the unknowns or the model that calibration fits.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from random import Random

from steelyard.machine.calibration import felt_band
from steelyard.machine.felt import felt_law, loaded_moment
from steelyard.machine.fit import Fit, fit_readings
from steelyard.machine.model import (
    AcrossArm,
    Arm,
    Axis,
    Cable,
    Counterweight,
    DeadEnd,
    Drive,
    FixedDirection,
    Horn,
    Machine,
    Point,
    Station,
    Wheel,
)
from steelyard.machine.reading import Creep, Reading
from steelyard.machine.statics import Way, gravity_torque, handle_force, mechanism_of
from steelyard.units import STANDARD_GRAVITY

KINDS = ("across", "fixed", "cable", "double")
WAYS = {Creep.UP: Way.RAISING, Creep.DOWN: Way.LOWERING}


@dataclass(frozen=True, slots=True)
class World:
    """How readings go wrong.

    Standard deviations of the scale [kg] and as a share, of its gain, of the pull off its way, of the angle, of
    the plates, of the tape; whether an angle's error belongs to the stop and not to the reading.
    """

    scale_kg: float = 0.15
    scale_share: float = 0.0
    gain: float = 0.005
    off_axis_rad: float = math.radians(5.0)
    angle_rad: float = math.radians(0.3)
    per_stop: bool = False
    plates: float = 0.002
    tape_m: float = 0.010


@dataclass(frozen=True, slots=True)
class Case:
    """A machine as described, as it is, and the station that is read."""

    described: Machine
    truth: Machine
    station: str


def spread(random: Random, point: Point, sd: float) -> Point:
    return point[0] + random.gauss(0.0, sd), point[1] + random.gauss(0.0, sd)


def drawn_case(random: Random, world: World) -> Case:
    """A machine with one arm, one or two horns, a read station and two others, and the truth about it."""
    described = drawn_machine(random)
    return Case(described, the_truth(random, described, world.tape_m), "read")


def drawn_machine(random: Random) -> Machine:
    arm = Arm(
        "main",
        (random.uniform(-0.2, 0.2), random.uniform(0.2, 0.7)),
        random.uniform(10.0, 25.0),
        (random.uniform(0.35, 0.6), random.uniform(-0.05, 0.05)),
        hinge_torque_n_m=random.choice((0.0, 2.0)),
        paired=random.random() < 0.3,
    )
    if random.random() < 0.3:
        weight = Counterweight(
            random.uniform(2.0, 8.0), (random.uniform(-0.4, -0.15), random.uniform(-0.05, 0.05))
        )
        arm = replace(arm, counterweight=weight)
    horns = [drawn_horn(random, "near" if k else "tip", arm.paired) for k in range(random.choice((1, 2)))]
    stations = [drawn_station(random, name) for name in ("read", "other", "third")]
    return Machine(
        "drawn", {"main": arm}, {horn.name: horn for horn in horns}, {one.name: one for one in stations}
    )


def drawn_horn(random: Random, name: str, paired: bool) -> Horn:
    along = random.random() < 0.25
    at = (random.uniform(0.7, 1.0) if name == "tip" else random.uniform(0.4, 0.7), random.uniform(-0.06, 0.06))
    return Horn(
        name,
        "main",
        0.25,
        at,
        Axis.ALONG if along else Axis.ACROSS,
        random.uniform(-0.5, 0.5) if along else 0.0,
        2 if paired else random.choice((1, 2)),
    )


def drawn_station(random: Random, name: str) -> Station:
    start = math.radians(random.uniform(-25.0, 5.0))
    end = start + math.radians(random.uniform(20.0, 35.0))
    return Station(name, name, drawn_drive(random, random.choice(KINDS)), "main", start, end)


def drawn_drive(random: Random, kind: str) -> Drive:
    hand = (random.uniform(0.7, 1.2), random.uniform(-0.06, 0.06))
    if kind == "across":
        return AcrossArm(hand)
    if kind == "fixed":
        return FixedDirection(hand, math.radians(random.uniform(75.0, 105.0)))
    end = DeadEnd((random.uniform(0.6, 0.9), random.uniform(1.8, 2.2)), random.uniform(0.0, 0.06), -1)
    return Cable(
        hand,
        Wheel((random.uniform(0.85, 1.2), random.uniform(1.9, 2.4)), random.uniform(0.03, 0.07), -1),
        math.radians(-90.0),
        end if kind == "double" else None,
        random.choice((0, 1)),
        random.choice((1.0, 0.97)),
    )


def the_truth(random: Random, described: Machine, tape_m: float) -> Machine:
    """The machine as it is: every point off by the tape, mass by 25 %, balance by 50 mm, friction as it comes."""
    arm = described.arms["main"]
    weight = arm.counterweight and replace(
        arm.counterweight,
        mass_kg=arm.counterweight.mass_kg * random.gauss(1.0, 0.03),
        at_m=spread(random, arm.counterweight.at_m, tape_m),
    )
    real = replace(
        arm,
        pivot_m=spread(random, arm.pivot_m, tape_m),
        mass_kg=arm.mass_kg * max(0.4, random.gauss(1.0, 0.25)),
        com_m=(arm.com_m[0] + random.gauss(0.0, 0.05), arm.com_m[1] + random.gauss(0.0, 0.02)),
        counterweight=weight,
        hinge_torque_n_m=random.uniform(0.3, 5.0),
    )
    horns = {name: replace(horn, at_m=spread(random, horn.at_m, tape_m)) for name, horn in described.horns.items()}
    stations = {
        name: replace(station, drive=true_drive(random, station.drive, tape_m))
        for name, station in described.stations.items()
    }
    return replace(described, arms={"main": real}, horns=horns, stations=stations)


def true_drive(random: Random, drive: Drive, tape_m: float) -> Drive:
    if isinstance(drive, AcrossArm | FixedDirection):
        return replace(drive, hand_m=spread(random, drive.hand_m, tape_m))
    assert isinstance(drive, Cable)
    end = drive.dead_end and replace(drive.dead_end, anchor_m=spread(random, drive.dead_end.anchor_m, tape_m))
    return replace(
        drive,
        arm_m=spread(random, drive.arm_m, tape_m),
        wheel=replace(drive.wheel, at_m=spread(random, drive.wheel.at_m, tape_m)),
        dead_end=end,
        efficiency=random.uniform(0.92, 0.99),
    )


@dataclass(frozen=True, slots=True)
class Stop:
    """One place of the protocol: an angle, a creep, and what is on the horns as written down."""

    angle_rad: float
    creep: Creep
    loads: dict[str, tuple[float, float]]


def two_stops(case: Case, creep: Creep) -> list[Stop]:
    """As little as one can read: empty and with 20 kg, in the middle of the range."""
    middle = mechanism_of(case.described, case.described.stations[case.station]).angles(3)[1]
    return [Stop(middle, creep, {}), Stop(middle, creep, {"tip": (20.0, 20.0 * 0.02)})]


def protocol(case: Case, angles: int = 5, repeats: int = 3) -> list[Stop]:
    """Empty and with 20 kg on each post of the first horn, at so many angles, up and down, so many times."""
    station = case.described.stations[case.station]
    loads: tuple[dict[str, tuple[float, float]], ...] = ({}, {"tip": (20.0, 20.0 * 0.02)})
    return [
        Stop(angle, creep, load)
        for load in loads
        for angle in mechanism_of(case.described, station).angles(angles)
        for creep in (Creep.UP, Creep.DOWN)
        for _ in range(repeats)
    ]


def readings_of(random: Random, case: Case, stops: list[Stop], world: World) -> list[Reading]:
    """What the scale showed at each stop."""
    gain, plates = random.gauss(1.0, world.gain), random.gauss(1.0, world.plates)
    tilts = {stop.angle_rad: random.gauss(0.0, world.angle_rad) for stop in stops}
    readings = []
    for number, stop in enumerate(stops):
        tilt = tilts[stop.angle_rad] if world.per_stop else random.gauss(0.0, world.angle_rad)
        pulled = force_kg(random, case, stop, stop.angle_rad + tilt, plates)
        pulled *= gain / math.cos(random.gauss(0.0, world.off_axis_rad))
        shown = pulled + random.gauss(0.0, math.hypot(world.scale_kg, world.scale_share * pulled))
        readings.append(
            Reading(str(number), case.station, stop.angle_rad, stop.creep, stop.loads, max(shown, 0.02), 0.002)
        )
    return readings


def force_kg(random: Random, case: Case, stop: Stop, angle_rad: float, plates: float) -> float:
    """The true pull at a handle; held, friction takes any share of its size either way."""
    station = case.truth.stations[case.station]
    mechanism = mechanism_of(case.truth, station)
    heavier = {name: (plates * mass, plates * moment) for name, (mass, moment) in stop.loads.items()}
    moment = loaded_moment(mechanism, case.truth.horns_of(station), heavier, 0.0)
    torque = gravity_torque(moment, angle_rad)
    if stop.creep in WAYS:
        return handle_force(mechanism, torque, angle_rad, way=WAYS[stop.creep]) / STANDARD_GRAVITY
    up, down = (handle_force(mechanism, torque, angle_rad, way=way) for way in (Way.RAISING, Way.LOWERING))
    return random.uniform(down, up) / STANDARD_GRAVITY


def true_felt_kg(case: Case, station: str, loads: dict[str, tuple[float, float]]) -> float:
    """The felt load that a loading really makes. [kg]"""
    law = felt_law(case.truth, case.truth.stations[station])
    shares = (
        share.sides * (share.per_kg * loads[share.horn.name][0] + share.per_kg_m * loads[share.horn.name][1])
        for share in law.shares
        if share.horn.name in loads
    )
    return law.base_kg + sum(shares)


LOADS_KG = (0.0, 20.0, 40.0, 60.0)


@dataclass(frozen=True, slots=True)
class Outcome:
    """What calibration made of one data set, by station and for each of `LOADS_KG`.

    Whether the interval holds the truth; how far its middle is off, and its half width, as shares of the truth.
    """

    held: dict[str, list[bool]]
    off: dict[str, list[float]]
    half: dict[str, list[float]]
    fit: Fit


def judged(case: Case, readings: list[Reading], world: World) -> Outcome:
    """Fit, and hold every felt load against the truth."""
    fit = fit_readings(case.described, readings, tape_m=world.tape_m)
    outcome = Outcome({}, {}, {}, fit)
    for name, station in case.described.stations.items():
        band = felt_band(case.described, fit.calibration, station)
        for load_kg in LOADS_KG:
            loads = {"tip": (load_kg, load_kg * 0.02)}
            low, felt, high = band.interval(loads)
            truth = true_felt_kg(case, name, loads)
            outcome.held.setdefault(name, []).append(low <= truth <= high)
            outcome.off.setdefault(name, []).append(abs(felt / truth - 1.0))
            outcome.half.setdefault(name, []).append((high - low) / 2.0 / abs(truth))
    return outcome


SLIPS = {"lb for kg": 1.0 / 0.45359237, "kg for lb": 0.45359237, "30 % up": 1.3, "30 % down": 0.7}


def with_slip(readings: list[Reading], row: int, slip: str) -> list[Reading]:
    """The readings with one of them typed or read wrongly."""
    wrong = list(readings)
    wrong[row] = replace(wrong[row], scale_kg=wrong[row].scale_kg * SLIPS[slip])
    return wrong
