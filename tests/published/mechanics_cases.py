"""The kept cases of an independent physics engine, as our nouns.

Source: mechanics_cases.json, made for this project with MuJoCo 4.0.0 (seed 20240611): for each of 21 invented
machines and 3 strokes the handle force from the engine's inverse dynamics beside the closed form. No number in it
comes from this package. Axes and signs are those of docs/model-felt-load.md; the file says sense for `turn`,
parallel for `across` and in_plane for `along`.
"""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

from steelyard.machine.inertia import Disc
from steelyard.machine.model import (
    AcrossArm,
    Arm,
    Axis,
    Cable,
    Counterweight,
    DeadEnd,
    FixedDirection,
    Horn,
    Machine,
    Point,
    Station,
    Wheel,
)
from steelyard.machine.statics import ArmDrive, Mechanism, arm_moment, horn_moment, stack_moment

REFERENCE = json.loads(Path(__file__).with_name("mechanics_cases.json").read_text(encoding="utf-8"))
STATIC = REFERENCE["static_cases"]
CASES = STATIC + REFERENCE["dynamic_cases"]
OF_PEAK = 1e-9


def by_id(case: dict[str, Any]) -> str:
    return str(case["id"])


def drive_of(data: dict[str, Any]) -> ArmDrive:
    if data["topology"] == "perpendicular":
        return AcrossArm(tuple(data["hand_point"]))
    if data["topology"] == "fixed_direction":
        return FixedDirection(tuple(data["hand_point"]), data["force_angle"])
    cable = data["cable"]
    frame = cable["fixed_pulley"]
    wheel = Wheel(tuple(frame["pos"]), frame["radius"], frame["sense"])
    dead_end = None
    if data["topology"] == "cable_movable":
        dead_end = DeadEnd(tuple(cable["anchor"]), cable["movable_radius"], cable["movable_sense"])
    return Cable(tuple(cable["arm_point"]), wheel, cable["exit_angle"], dead_end)


def mechanism_for(case: dict[str, Any]) -> Mechanism:
    data = case["machine"]
    weight = data["counterweight"]
    counterweight = weight and Counterweight(weight["mass"], tuple(weight["pos"]), weight["inertia_com"])
    arm = data["arm"]
    ours = Arm("main", tuple(data["pivot"]), arm["mass"], tuple(arm["com"]), arm["inertia_com"], counterweight)
    return Mechanism(ours, drive_of(data), case["theta_lo"], case["theta_hi"])


def horn_for(case: dict[str, Any]) -> Horn:
    data = case["machine"]["horn"]
    axis = Axis.ALONG if data["axis"] == "in_plane" else Axis.ACROSS
    turning = case["machine"]["plates_rotate_with_arm"]
    place, out = tuple(data["pos"]), data.get("axis_angle", 0.0)
    return Horn("horn", "main", 0.4, place, axis, out, plates_turn_with_arm=turning)


def total_moment(case: dict[str, Any], mechanism: Mechanism) -> Point:
    """Arm, counterweight and the stack of plates, each centre behind the plates further in."""
    plates, inner = [], 0.0
    for plate in case["machine"]["plates"]:
        plates.append((plate["mass"], inner + plate["thickness"] / 2.0))
        inner += plate["thickness"]
    empty, loaded = arm_moment(mechanism.arm), horn_moment(horn_for(case), *stack_moment(plates))
    return empty[0] + loaded[0], empty[1] + loaded[1]


def peak(case: dict[str, Any], key: str) -> float:
    return max(abs(row[key]) for row in case["rows"])


def discs_for(case: dict[str, Any]) -> list[Disc]:
    """The plates of the file, innermost first."""
    sizes = ("mass", "radius", "hole_radius", "thickness")
    return [Disc(*(plate[size] for size in sizes)) for plate in case["machine"]["plates"]]


def machine_for(case: dict[str, Any]) -> Machine:
    """The whole of it as a machine with one station."""
    mechanism = mechanism_for(case)
    station = Station("only", "Only", mechanism.drive, "main", mechanism.from_rad, mechanism.to_rad)
    return Machine(str(case["id"]), {"main": mechanism.arm}, {"horn": horn_for(case)}, {"only": station})


def mirrored_case(case: dict[str, Any]) -> dict[str, Any]:
    """The case in a mirror: world x turns its sign; an arm point (u, v) at theta is (u, -v) at pi - theta."""
    data = json.loads(json.dumps(case["machine"]))
    data["pivot"][0] *= -1
    for point in (
        data["arm"]["com"],
        data["horn"]["pos"],
        data.get("hand_point"),
        (data["counterweight"] or {}).get("pos"),
    ):
        if point:
            point[1] *= -1
    for table, key, about in ((data["horn"], "axis_angle", 0.0), (data, "force_angle", math.pi)):
        if key in table:
            table[key] = about - table[key]
    if "cable" in data:
        mirror_cable(data["cable"])
    return {
        **case,
        "machine": data,
        "theta_lo": math.pi - case["theta_lo"],
        "theta_hi": math.pi - case["theta_hi"],
    }


def mirror_cable(cable: dict[str, Any]) -> None:
    cable["arm_point"][1] *= -1
    cable["exit_angle"] = math.pi - cable["exit_angle"]
    cable["fixed_pulley"]["pos"][0] *= -1
    cable["fixed_pulley"]["sense"] *= -1
    if "anchor" in cable:
        cable["anchor"][0] *= -1
        cable["movable_sense"] *= -1
