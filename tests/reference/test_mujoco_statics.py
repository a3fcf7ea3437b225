"""Statics against a physics engine, on machines drawn anew in every run.

Source: MuJoCo (Todorov, Erez and Tassa 2012, doi:10.1109/IROS.2012.6386109), run here and now through its public
Python package. Each machine is built twice, as our nouns and as an MJCF model whose positions, masses and cable
wrapping are left to the engine. The engine's inverse dynamics at rest give the gravity torque, and its actuator
the torque of one newton at the handle, which by virtual work is the handle ratio; force is one over the other.

MuJoCo wants a site between two wheels in a row. Here it slides across the cable until the taut cable no longer
pushes it sideways, by the engine's own forces, so that one tolerance holds for all.

The seed of a run is printed with every failure. STEELYARD_SEED draws the same machines again;
STEELYARD_REFERENCE=require makes a missing engine a failure.
"""

from __future__ import annotations

import cmath
import math
import os
import secrets
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from importlib import import_module
from random import Random
from typing import Any

import pytest

from machines_at_random import mirrored
from steelyard.machine.curve import resistance_curve
from steelyard.machine.felt import loaded_moment
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
from steelyard.machine.statics import Mechanism, gravity_torque, handle_ratio, mechanism_of, stack_moment
from steelyard.units import STANDARD_GRAVITY

SEED = int(os.environ.get("STEELYARD_SEED") or secrets.randbelow(10**9))
MACHINES_OF_A_KIND = 32
ANGLES = 5
OF_PEAK = 1e-9

Plates = dict[str, list[tuple[float, float]]]
"""By horn, from the inside out: mass and thickness of every plate on one post. [kg], [m]"""


@dataclass(frozen=True)
class Loaded:
    """A machine with one station, and the plates on its horns."""

    machine: Machine
    plates: Plates

    @property
    def station(self) -> Station:
        return self.machine.stations["only"]

    @property
    def mechanism(self) -> Mechanism:
        return mechanism_of(self.machine, self.station)

    @property
    def loads(self) -> dict[str, tuple[float, float]]:
        return {name: stack_moment(by_centre(plates)) for name, plates in self.plates.items()}


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


def by_centre(plates: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Mass of every plate and distance of its centre from the horn's inner face. [kg], [m]"""
    return [
        (mass, math.fsum(t for _, t in plates[:k]) + thickness / 2.0) for k, (mass, thickness) in enumerate(plates)
    ]


# Drawing a machine


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
    counterweight, and lifted towards growing and towards falling angles.
    """
    rng = Random(f"{SEED} {kind} {number}")
    axis = Axis.ALONG if number & 1 else Axis.ACROSS
    arm = drawn_arm(rng, with_counterweight=bool(number & 2))
    start, sweep = degrees(rng, -40, 10), degrees(rng, 10, 40)
    drive = KINDS[kind](rng, Stance(complex(*arm.pivot_m), start + sweep / 2.0))
    station = Station("only", "Only", drive, "main", start, start + sweep)
    horns = {name: drawn_horn(rng, name, axis) for name in ("first", "second")[: rng.randint(1, 2)]}
    machine = Machine("Drawn", {"main": arm}, horns, {"only": station})
    plates = {name: drawn_plates(rng) for name in horns}
    return Loaded(mirrored(machine) if number & 4 else machine, plates)


def drawn_arm(rng: Random, *, with_counterweight: bool) -> Arm:
    pivot = rng.uniform(-0.3, 0.3), rng.uniform(0.2, 0.9)
    weight = Counterweight(rng.uniform(1.0, 15.0), spot(rng, (-0.5, -0.1)))
    counterweight = weight if with_counterweight else None
    return Arm("main", pivot, rng.uniform(5.0, 30.0), spot(rng, (0.1, 0.7)), counterweight=counterweight)


def drawn_horn(rng: Random, name: str, axis: Axis) -> Horn:
    return Horn(name, "main", 0.4, spot(rng, (0.3, 1.2)), axis, degrees(rng, -180, 180), rng.randint(1, 2))


def drawn_plates(rng: Random) -> list[tuple[float, float]]:
    return [(rng.uniform(0.5, 25.0), rng.uniform(0.01, 0.06)) for _ in range(rng.randint(0, 5))]


# The same machine as MJCF: y points into the plane, the arm's body has the arm's own axes

MODEL = """
<mujoco>
  <compiler angle="radian"/>
  <option gravity="0 0 {gravity!r}"><flag contact="disable"/></option>
  <worldbody>
    <site name="world"/>{frame}
    <body pos="{pivot}">
      <joint type="hinge" axis="0 -1 0"/>
      <inertial pos="{com}" mass="{mass!r}" diaginertia="1 1 1"/>{on_arm}
    </body>{helper}
  </worldbody>
  <tendon><spatial name="cable"><site site="start"/>{path}<site site="hand"/></spatial></tendon>
  <actuator><general {transmission}/></actuator>
</mujoco>"""

HELPER = """
    <body pos="{pos}">
      <joint type="slide" axis="{axis}"/>
      <inertial pos="0 0 0" mass="1" diaginertia="1 1 1"/>
      <site name="helper"/>
    </body>"""

LEVER = {"frame": '<site name="start"/>', "path": "", "helper": ""}
"""What a model without a cable has in place of one: a tendon that nothing pulls."""


def xyz(point: complex, *, y: float = 0.0) -> str:
    return f"{point.real!r} {y!r} {point.imag!r}"


def site(name: str, at: complex) -> str:
    return f'<site name="{name}" pos="{xyz(at)}"/>'


def weight(mass_kg: float, at: complex) -> str:
    return f'<body pos="{xyz(at)}"><inertial pos="0 0 0" mass="{mass_kg!r}" diaginertia="1 1 1"/></body>'


def mjcf(loaded: Loaded, angle_rad: float) -> str:
    """The model; its masses hold at every arm angle, its cable's sides and helper are set out for this one."""
    arm, drive = loaded.mechanism.arm, loaded.station.drive
    counter = arm.counterweight
    parts = cable_parts(arm, drive, angle_rad) if isinstance(drive, Cable) else lever_parts(loaded, drive)
    carried = [posts(horn, loaded.plates[name]) for name, horn in loaded.machine.horns.items()]
    carried += [weight(counter.mass_kg, complex(*counter.at_m))] if counter else []
    body = {"pivot": xyz(complex(*arm.pivot_m)), "com": xyz(complex(*arm.com_m)), "mass": arm.mass_kg}
    on_arm = "".join([parts.pop("on_arm"), *carried])
    return MODEL.format(gravity=-STANDARD_GRAVITY, on_arm=on_arm, **body, **parts)


def posts(horn: Horn, plates: Sequence[tuple[float, float]]) -> str:
    """A horn's one or two posts, left and right, with a body for every plate along or across them."""
    lies_along = horn.axis is Axis.ALONG
    stack = "".join(weight(mass, complex(centre if lies_along else 0.0)) for mass, centre in by_centre(plates))
    return "".join(
        f'<body pos="{xyz(complex(*horn.at_m), y=0.3 * side)}" '
        f'axisangle="0 -1 0 {horn.axis_angle_rad!r}">{stack}</body>'
        for side in (1, -1)[: horn.sides]
    )


def lever_parts(loaded: Loaded, drive: Drive) -> dict[str, str]:
    """One newton at a site on the arm: square to it in the arm's axes, or along a direction in the world's."""
    assert isinstance(drive, AcrossArm | FixedDirection)
    hand = complex(*drive.hand_m)
    if isinstance(drive, AcrossArm):
        newton, axes = loaded.mechanism.lift * 1j * hand / abs(hand), ""
    else:
        newton, axes = cmath.rect(1.0, drive.direction_rad), 'refsite="world"'
    transmission = f'site="hand" {axes} gear="{xyz(newton)} 0 0 0"'
    return {**LEVER, "on_arm": site("hand", hand), "transmission": transmission}


def cable_parts(arm: Arm, cable: Cable, angle_rad: float) -> dict[str, str]:
    """A spatial tendon from its start over the wheels to the hand, which gains what the tendon loses."""
    stance, wheel = Stance(complex(*arm.pivot_m), angle_rad), cable.wheel
    over, leaving = complex(*wheel.at_m), cmath.rect(1.0, cable.exit_rad)
    coming = over - stance.world(cable.arm_m)
    hand = over - 1j * leaving * wheel.turn * wheel.radius_m + leaving
    frame, on_frame = guide("frame", over, wheel.radius_m, beside(coming, leaving, wheel.turn))
    parts = {"frame": frame + site("hand", hand), "helper": "", "transmission": 'tendon="cable" gear="-1"'}
    if cable.dead_end is None:
        return {**parts, "on_arm": site("start", complex(*cable.arm_m)), "path": on_frame}
    on_arm, over_arm = arm_wheel(cable, cable.dead_end, stance)
    parts |= {"on_arm": on_arm, "frame": parts["frame"] + site("start", complex(*cable.dead_end.anchor_m))}
    if not (cable.dead_end.wheel_radius_m and wheel.radius_m):
        return {**parts, "path": over_arm + on_frame}
    helper = HELPER.format(pos=xyz(over - coming / 2.0), axis=xyz(1j * coming / abs(coming)))
    return {**parts, "path": over_arm + '<site site="helper"/>' + on_frame, "helper": helper}


def arm_wheel(cable: Cable, dead_end: DeadEnd, stance: Stance) -> tuple[str, str]:
    """The wheel on the arm, and the tendon's step over it."""
    end = stance.world(cable.arm_m)
    side = beside(end - complex(*dead_end.anchor_m), complex(*cable.wheel.at_m) - end, dead_end.wheel_turn)
    in_arm = side * cmath.rect(1.0, -stance.angle_rad)
    return guide("arm", complex(*cable.arm_m), dead_end.wheel_radius_m, in_arm)


def beside(coming: complex, leaving: complex, turn: int) -> complex:
    """From a wheel's centre towards the cable on it: a counter-clockwise wheel is on the cable's left."""
    along = coming / abs(coming) + leaving / abs(leaving)
    return -1j * turn * along / abs(along)


def guide(name: str, at: complex, radius: float, side: complex) -> tuple[str, str]:
    """A wheel or a point as MJCF, and the tendon's step over it."""
    if radius == 0.0:
        return site(f"{name}_point", at), f'<site site="{name}_point"/>'
    wheel = f'<geom name="{name}" type="cylinder" zaxis="0 1 0" size="{radius!r} 0.05" pos="{xyz(at)}"/>'
    wrap = f'<geom geom="{name}" sidesite="{name}_side"/>'
    return wheel + site(f"{name}_side", at + 2.0 * radius * side), wrap


# What the engine says, and the comparison


@pytest.fixture(scope="module")
def mujoco() -> Any:
    """The engine; without it the tests are skipped, or fail where it is required."""
    try:
        return import_module("mujoco")
    except ImportError as fault:
        reason = f"no MuJoCo ({fault}): pip install -e '.[reference]'"
        pytest.fail(reason) if os.environ.get("STEELYARD_REFERENCE") == "require" else pytest.skip(reason)


def engine_statics(mujoco: Any, loaded: Loaded, angle_rad: float) -> tuple[float, float, float]:
    """Gravity torque, torque of one newton at the handle, and handle force. [N m], [m], [N]"""
    model = mujoco.MjModel.from_xml_string(mjcf(loaded, angle_rad))
    data = mujoco.MjData(model)
    data.qpos[0], data.ctrl[0] = angle_rad, 1.0
    if model.nv > 1:
        settle_helper(mujoco, model, data)
    mujoco.mj_forward(model, data)
    data.qacc[:] = 0.0
    mujoco.mj_inverse(model, data)
    torque, ratio = float(data.qfrc_inverse[0]), float(data.qfrc_actuator[0])
    return torque, ratio, torque / ratio


def settle_helper(mujoco: Any, model: Any, data: Any) -> None:
    """Slide the helper, by secants, to where a newton in the cable does not push it sideways."""

    def push(place_m: float) -> float:
        data.qpos[1] = place_m
        mujoco.mj_forward(model, data)
        return float(data.qfrc_actuator[1])

    place, step = float(data.qpos[1]), 1e-3
    pushed = push(place)
    for _ in range(20):
        before, pushed = pushed, push(place + step)
        place += step
        if abs(pushed) < 1e-13:
            break
        step *= pushed / (before - pushed)


def our_statics(loaded: Loaded, angles: Sequence[float]) -> list[tuple[float, float, float]]:
    """Gravity torque, handle ratio and handle force at each arm angle. [N m], [m], [N]"""
    machine, station, mechanism = loaded.machine, loaded.station, loaded.mechanism
    moment = loaded_moment(mechanism, machine.horns_of(station), loaded.loads, 0.0)
    forces = resistance_curve(machine, station, angles, loaded.loads).raising_n
    return [
        (gravity_torque(moment, angle), handle_ratio(mechanism, angle), force)
        for angle, force in zip(angles, forces, strict=True)
    ]


@pytest.mark.parametrize("number", range(MACHINES_OF_A_KIND))
@pytest.mark.parametrize("kind", KINDS)
def test_torque_ratio_and_force_are_the_engine_s_within_1e_9_of_their_peaks(
    kind: str, number: int, mujoco: Any
) -> None:
    print(f"STEELYARD_SEED={SEED}")
    loaded = loaded_machine(kind, number)
    angles = loaded.mechanism.angles(ANGLES)
    engine = [engine_statics(mujoco, loaded, angle) for angle in angles]
    columns = zip(*our_statics(loaded, angles), strict=True), zip(*engine, strict=True)
    for quantity, ours, theirs in zip(("torque", "ratio", "force"), *columns, strict=True):
        assert ours == pytest.approx(theirs, rel=0, abs=OF_PEAK * max(map(abs, theirs))), quantity
