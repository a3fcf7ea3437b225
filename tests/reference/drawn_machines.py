"""Machines drawn anew in every run, valid by construction, with plates on their horns.

The seed of a run is printed with every failure. STEELYARD_SEED draws the same machines again.
"""

from __future__ import annotations

import cmath
import math
import os
import secrets
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from random import Random

from machines_at_random import mirrored
from steelyard.machine.inertia import Disc
from steelyard.machine.model import (
    AcrossArm,
    Arm,
    Attachment,
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
from steelyard.machine.statics import Mechanism, mechanism_of, stack_moment

SEED = int(os.environ.get("STEELYARD_SEED") or secrets.randbelow(10**9))
MACHINES_OF_A_KIND = 32

Stacks = dict[str, list[Disc]]
"""By horn, from the inside out: every plate on one post."""


@dataclass(frozen=True)
class Loaded:
    """A machine with one station, and the plates on its horns."""

    machine: Machine
    stacks: Stacks

    @property
    def station(self) -> Station:
        return self.machine.stations["only"]

    @property
    def mechanism(self) -> Mechanism:
        return mechanism_of(self.machine, self.station)

    @property
    def extra_kg(self) -> float:
        return sum(attachment.mass_kg for attachment in self.station.attachments)

    @property
    def loads(self) -> dict[str, tuple[float, float]]:
        return {
            name: stack_moment([(disc.mass_kg, centre) for disc, centre in by_centre(discs)])
            for name, discs in self.stacks.items()
        }


@dataclass(frozen=True)
class Stance:
    """Where the hinge is in the world, and the arm in the middle of its range. Points are complex: x + iz. [m]"""

    pivot: complex
    angle_rad: float

    def world(self, arm_point: Point) -> complex:
        return self.pivot + complex(*arm_point) * cmath.rect(1.0, self.angle_rad)

    def rising_rad(self, arm_point: Point) -> float:
        """Direction in which a point of the arm moves when its angle grows."""
        return self.angle_rad + cmath.phase(complex(*arm_point)) + math.pi / 2.0


def by_centre(discs: Sequence[Disc]) -> list[tuple[Disc, float]]:
    """Every plate with the distance of its centre from the horn's inner face. [m]"""
    thick = [disc.thickness_m for disc in discs]
    return [(disc, math.fsum(thick[:k]) + thick[k] / 2.0) for k, disc in enumerate(discs)]


def degrees(rng: Random, least: float, most: float) -> float:
    return math.radians(rng.uniform(least, most))


def spot(rng: Random, along: tuple[float, float]) -> Point:
    return rng.uniform(*along), rng.uniform(-0.15, 0.15)


def pair(point: complex) -> Point:
    return point.real, point.imag


def across_arm(rng: Random, _stance: Stance) -> Drive:
    return AcrossArm(spot(rng, (0.3, 1.3)))


def fixed_direction(rng: Random, stance: Stance) -> Drive:
    hand = spot(rng, (0.3, 1.3))
    return FixedDirection(hand, stance.rising_rad(hand) + degrees(rng, -45, 45))


def simple_cable(rng: Random, stance: Stance, *, round_wheel: bool) -> Drive:
    """From the arm over one frame wheel to the hand."""
    end = spot(rng, (0.4, 1.2))
    pull = stance.rising_rad(end) + degrees(rng, -25, 25)
    return Cable(end, *wheel_and_exit(rng, stance.world(end), pull, round_wheel))


def two_to_one(rng: Random, stance: Stance, *, arm_round: bool, frame_round: bool) -> Drive:
    """From a dead end round a wheel on the arm to the frame wheel; its two parts open upwards."""
    end, turn = spot(rng, (0.4, 1.2)), rng.choice((1, -1))
    rising = stance.rising_rad(end)
    anchor = stance.world(end) + cmath.rect(rng.uniform(1.0, 2.0), rising + turn * degrees(rng, 15, 40))
    pull = rising - turn * degrees(rng, 15, 40)
    dead_end = DeadEnd(pair(anchor), rng.uniform(0.03, 0.10) if arm_round else 0.0, turn)
    return Cable(end, *wheel_and_exit(rng, stance.world(end), pull, frame_round), dead_end)


def wheel_and_exit(rng: Random, end: complex, pull_rad: float, is_round: bool) -> tuple[Wheel, float]:
    """A frame wheel in the direction of pull, and an exit that presses the cable well onto it."""
    at, turn = end + cmath.rect(rng.uniform(1.0, 2.0), pull_rad), rng.choice((1, -1))
    radius = rng.uniform(0.03, 0.12) if is_round else 0.0
    return Wheel(pair(at), radius, turn), pull_rad + turn * degrees(rng, 50, 125)


KINDS: dict[str, Callable[[Random, Stance], Drive]] = {
    "across_arm": across_arm,
    "fixed_direction": fixed_direction,
    "cable_over_point": partial(simple_cable, round_wheel=False),
    "cable_over_wheel": partial(simple_cable, round_wheel=True),
    "two_to_one_points": partial(two_to_one, arm_round=False, frame_round=False),
    "two_to_one_wheel_on_arm": partial(two_to_one, arm_round=True, frame_round=False),
    "two_to_one_wheel_on_frame": partial(two_to_one, arm_round=False, frame_round=True),
    "two_to_one_two_wheels": partial(two_to_one, arm_round=True, frame_round=True),
}


def loaded_machine(kind: str, number: int) -> Loaded:
    """The machine of this kind and number under this run's seed.

    The number's binary digits see to it that every kind comes with every sort of horn, with and without
    counterweight, lifted towards growing and towards falling angles, and with plates that spin and that don't.
    """
    rng = Random(f"{SEED} {kind} {number}")
    axis = Axis.ALONG if number & 1 else Axis.ACROSS
    arm = drawn_arm(rng, with_counterweight=bool(number & 2))
    start, sweep = degrees(rng, -40, 10), degrees(rng, 10, 40)
    drive = KINDS[kind](rng, Stance(complex(*arm.pivot_m), start + sweep / 2.0))
    held = (Attachment("grip", rng.uniform(0.5, 5.0)),)
    station = Station("only", "Only", drive, "main", start, start + sweep, attachments=held)
    names = ("first", "second")[: rng.randint(1, 2)]
    horns = {name: drawn_horn(rng, name, axis, turning=not number & 8) for name in names}
    machine = Machine("Drawn", {"main": arm}, horns, {"only": station})
    stacks = {name: [drawn_disc(rng) for _ in range(rng.randint(0, 5))] for name in horns}
    return Loaded(mirrored(machine) if number & 4 else machine, stacks)


def drawn_arm(rng: Random, *, with_counterweight: bool) -> Arm:
    pivot = rng.uniform(-0.3, 0.3), rng.uniform(0.2, 0.9)
    weight = Counterweight(rng.uniform(1.0, 15.0), spot(rng, (-0.5, -0.1)), rng.uniform(0.01, 0.3))
    mass_kg, com_m, inertia = rng.uniform(5.0, 30.0), spot(rng, (0.1, 0.7)), rng.uniform(0.1, 5.0)
    return Arm("main", pivot, mass_kg, com_m, inertia, weight if with_counterweight else None)


def drawn_horn(rng: Random, name: str, axis: Axis, *, turning: bool) -> Horn:
    place, out, sides = spot(rng, (0.3, 1.2)), degrees(rng, -180, 180), rng.randint(1, 2)
    return Horn(name, "main", 0.4, place, axis, out, sides, plates_turn_with_arm=turning)


def drawn_disc(rng: Random) -> Disc:
    radius_m, thickness_m = rng.uniform(0.08, 0.25), rng.uniform(0.01, 0.06)
    return Disc(rng.uniform(0.5, 25.0), radius_m, rng.uniform(0.012, 0.03), thickness_m)
