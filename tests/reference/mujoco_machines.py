"""Drawn machines as models of a physics engine, and what the engine says of them.

Source: MuJoCo (Todorov, Erez and Tassa 2012, doi:10.1109/IROS.2012.6386109), run here and now through its public
Python package. Each machine is built twice, as our nouns and as an MJCF model whose positions, masses, inertias
and cable wrapping are left to the engine. The engine's inverse dynamics give the torque that a motion asks of the
hinge, and its actuator the torque of one newton at the handle, which by virtual work is the handle ratio; force
is one over the other. Even a plate's own inertia is the engine's: a solid cylinder less the one its hole took.

MuJoCo wants a site between two wheels in a row. Here it slides across the cable until the taut cable no longer
pushes it sideways, by the engine's own forces, so that one tolerance holds for all.

STEELYARD_REFERENCE=require makes a missing engine a failure.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from typing import Any

from reference.drawn_machines import Loaded, Stance, by_centre
from steelyard.machine.inertia import Disc
from steelyard.machine.model import AcrossArm, Arm, Axis, Cable, DeadEnd, Drive, FixedDirection, Horn
from steelyard.units import STANDARD_GRAVITY

# As MJCF: y points into the plane, the arm's body has the arm's own axes

MODEL = """
<mujoco>
  <compiler angle="radian"/>
  <option gravity="0 0 {gravity!r}"><flag contact="disable"/></option>
  <worldbody>
    <site name="world"/>{frame}
    <body pos="{pivot}">
      <joint type="hinge" axis="0 -1 0"/>
      {own}{on_arm}
    </body>{helper}
  </worldbody>
  <tendon><spatial name="cable"><site site="start"/>{path}<site site="hand"/></spatial></tendon>
  <actuator><general {transmission}/></actuator>
</mujoco>"""

HELPER = """
    <body pos="{pos}">
      <joint name="helper" type="slide" axis="{axis}"/>
      <inertial pos="0 0 0" mass="1" diaginertia="1 1 1"/>
      <site name="helper"/>
    </body>"""

LEVER = {"frame": '<site name="start"/>', "path": "", "helper": ""}
"""What a model without a cable has in place of one: a tendon that nothing pulls."""


def xyz(point: complex, *, y: float = 0.0) -> str:
    return f"{point.real!r} {y!r} {point.imag!r}"


def site(name: str, at: complex) -> str:
    return f'<site name="{name}" pos="{xyz(at)}"/>'


def inertial(mass_kg: float, at: complex, along: float, across: float) -> str:
    """Mass and own inertia, about the x axis of its body, and about y and z. [kg], [kg m²]"""
    return f'<inertial pos="{xyz(at)}" mass="{mass_kg!r}" diaginertia="{along!r} {across!r} {across!r}"/>'


def mjcf(loaded: Loaded, angle_rad: float) -> str:
    """The model; its masses hold at every arm angle, its cable's sides and helper are set out for this one."""
    arm, drive = loaded.mechanism.arm, loaded.station.drive
    counter = arm.counterweight
    parts = cable_parts(arm, drive, angle_rad) if isinstance(drive, Cable) else lever_parts(loaded, drive)
    carried = [posts(horn, loaded.stacks[name]) for name, horn in loaded.machine.horns.items()]
    if counter:
        own = inertial(counter.mass_kg, 0j, counter.inertia_kg_m2, counter.inertia_kg_m2)
        carried.append(f'<body pos="{xyz(complex(*counter.at_m))}">{own}</body>')
    own = inertial(arm.mass_kg, complex(*arm.com_m), arm.inertia_kg_m2, arm.inertia_kg_m2)
    on_arm = "".join([parts.pop("on_arm"), *carried])
    pivot = xyz(complex(*arm.pivot_m))
    return MODEL.format(gravity=-STANDARD_GRAVITY, pivot=pivot, own=own, on_arm=on_arm, **parts)


def posts(horn: Horn, discs: Sequence[Disc]) -> str:
    """A horn's one or two posts, left and right, with a body for every plate along or across them.

    A post's x axis points along it: across the plane it is turned by a right angle about z. There a plate that
    spins has a joint of its own.
    """
    lies_along = horn.axis is Axis.ALONG
    turned = f"0 -1 0 {horn.axis_angle_rad!r}" if lies_along else f"0 0 1 {math.pi / 2!r}"
    spin = "" if lies_along or horn.plates_turn_with_arm else '<joint type="hinge" axis="1 0 0"/>'
    stack = "".join(
        f'<body pos="{xyz(complex(centre if lies_along else 0.0))}">{spin}'
        f"{inertial(disc.mass_kg, 0j, *disc_inertias(disc))}</body>"
        for disc, centre in by_centre(discs)
    )
    return "".join(
        f'<body pos="{xyz(complex(*horn.at_m), y=0.3 * side)}" axisangle="{turned}">{stack}</body>'
        for side in (1, -1)[: horn.sides]
    )


@cache
def disc_inertias(disc: Disc) -> tuple[float, float]:
    """Own inertia of a plate about the post and across it, by the engine: a solid less its hole. [kg m²]"""
    half_m = disc.thickness_m / 2.0
    solid = disc.mass_kg / (1.0 - (disc.hole_radius_m / disc.radius_m) ** 2)
    pieces = ((disc.radius_m, solid), (disc.hole_radius_m, solid - disc.mass_kg))
    bodies = "".join(
        f'<body><joint/><geom type="cylinder" size="{radius!r} {half_m!r}" mass="{mass!r}"/></body>'
        for radius, mass in pieces
    )
    model = engine().MjModel.from_xml_string(f"<mujoco><worldbody>{bodies}</worldbody></mujoco>")
    whole, hole = (sorted_by_axis(model, body) for body in (1, 2))
    return whole[0] - hole[0], whole[1] - hole[1]


def sorted_by_axis(model: Any, body: int) -> tuple[float, float]:
    """Inertia of a cylinder about its own axis and across it; the engine lists them by size."""
    one, other, last = map(float, model.body_inertia[body])
    # Two of the three are equal, up to rounding: those across.
    return (last, one) if abs(one - other) < abs(other - last) else (one, last)


def lever_parts(loaded: Loaded, drive: Drive) -> dict[str, str]:
    """One newton at a site on the arm: square to it in the arm's axes, or along a direction in the world's."""
    assert isinstance(drive, AcrossArm | FixedDirection)
    hand = complex(*drive.hand_m)
    if isinstance(drive, AcrossArm):
        newton, axes = loaded.mechanism.lift * 1j * hand / abs(hand), ""
    else:
        newton, axes = cmath.rect(1.0, drive.direction_rad), 'refsite="world"'
    transmission = f'site="hand" {axes} gear="{xyz(newton)} 0 0 0"'
    held = f'<body pos="{xyz(hand)}">{inertial(loaded.extra_kg, 0j, 1e-15, 1e-15)}</body>'
    return {**LEVER, "on_arm": site("hand", hand) + held, "transmission": transmission}


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


# What the engine says


def engine() -> Any:
    """The engine's own package."""
    return import_module("mujoco")


@dataclass(frozen=True)
class Asked:
    """What the engine says of one moment.

    torque_n_m: that the load and its motion ask of the hinge. ratio_m: torque of one newton at the handle.
    spun_n_m: the largest torque on a plate that spins freely; nothing, if it keeps its attitude.
    """

    torque_n_m: float
    ratio_m: float
    spun_n_m: float

    @property
    def force_n(self) -> float:
        return self.torque_n_m / self.ratio_m


def engine_asks(loaded: Loaded, angle_rad: float, *, speed: float = 0.0, acceleration: float = 0.0) -> Asked:
    """Inverse dynamics at an arm angle, with this speed and acceleration of the arm. [rad/s], [rad/s²]"""
    mujoco = engine()
    model = mujoco.MjModel.from_xml_string(mjcf(loaded, angle_rad))
    data = mujoco.MjData(model)
    has_helper = mujoco.mj_name2id(model, mujoco.mjtObj.mjOBJ_JOINT, "helper") >= 0
    data.qpos[0], data.ctrl[0] = angle_rad, 1.0
    if has_helper:
        settle_helper(model, data)
    spinning = range(1, model.nv - has_helper)
    mujoco.mj_forward(model, data)
    keep_attitude(model, data, spinning, speed, acceleration)
    mujoco.mj_inverse(model, data)
    torque, ratio = float(data.qfrc_inverse[0]), float(data.qfrc_actuator[0])
    return Asked(torque, ratio, max((abs(float(data.qfrc_inverse[dof])) for dof in spinning), default=0.0))


def keep_attitude(model: Any, data: Any, spinning: Sequence[int], speed: float, acceleration: float) -> None:
    """The arm moves as told; a free plate turns back on its post by as much as the arm turns it."""
    data.qvel[:], data.qacc[:] = 0.0, 0.0
    data.qvel[0], data.qacc[0] = speed, acceleration
    for dof in spinning:
        # The plate's joint points along +y or -y in the world, the hinge along -y.
        back = float(data.xaxis[dof, 1])
        data.qvel[dof], data.qacc[dof] = back * speed, back * acceleration


def settle_helper(model: Any, data: Any) -> None:
    """Slide the helper, by secants, to where a newton in the cable does not push it sideways."""

    def push(place_m: float) -> float:
        data.qpos[-1] = place_m
        engine().mj_forward(model, data)
        return float(data.qfrc_actuator[-1])

    place, step = float(data.qpos[-1]), 1e-3
    pushed = push(place)
    for _ in range(20):
        before, pushed = pushed, push(place + step)
        place += step
        if abs(pushed) < 1e-13:
            break
        step *= pushed / (before - pushed)
