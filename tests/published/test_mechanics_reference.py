"""Statics against an independent physics engine.

Source: mechanics_cases.json, made for this project with MuJoCo 4.0.0 (seed 20240611): for each of 21 invented
machines and 3 strokes the handle force from the engine's inverse dynamics (`force_static_mujoco`) beside the
closed form, with the residual acceleration the engine shows under that force. No number in it comes from this
package. Axes and signs are those of docs/model-felt-load.md; the file says sense for `turn`, parallel for `across`
and in_plane for `along`.
"""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest

from steelyard.machine.model import (
    AcrossArm,
    Arm,
    Axis,
    Cable,
    Counterweight,
    DeadEnd,
    FixedDirection,
    Horn,
    Point,
    Wheel,
)
from steelyard.machine.statics import (
    ArmDrive,
    Mechanism,
    arm_moment,
    gravity_torque,
    handle_force,
    handle_ratio,
    handle_travel,
    horn_moment,
    stack_moment,
)
from steelyard.units import STANDARD_GRAVITY

REFERENCE = json.loads(Path(__file__).with_name("mechanics_cases.json").read_text(encoding="utf-8"))
STATIC = REFERENCE["static_cases"]
CASES = STATIC + REFERENCE["dynamic_cases"]
OF_PEAK = 1e-9
METRES = 1e-9


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
    ours = Arm("arm", tuple(data["pivot"]), arm["mass"], tuple(arm["com"]), arm["inertia_com"], counterweight)
    return Mechanism(ours, drive_of(data), case["theta_lo"], case["theta_hi"])


def horn_for(case: dict[str, Any]) -> Horn:
    data = case["machine"]["horn"]
    axis = Axis.ALONG if data["axis"] == "in_plane" else Axis.ACROSS
    return Horn("horn", "arm", 0.4, tuple(data["pos"]), axis, data.get("axis_angle", 0.0))


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


def test_the_reference_covers_every_topology_with_our_gravity() -> None:
    assert {case["machine"]["topology"] for case in STATIC} == {
        "perpendicular",
        "fixed_direction",
        "cable_fixed",
        "cable_movable",
    }
    assert any(case["machine"]["counterweight"] for case in STATIC)
    assert {case["machine"]["g"] for case in CASES} == {STANDARD_GRAVITY}


@pytest.mark.parametrize("case", CASES, ids=by_id)
def test_static_force_is_the_engine_s_within_1e_9_of_its_peak(case: dict[str, Any]) -> None:
    mechanism = mechanism_for(case)
    moment, allowed = total_moment(case, mechanism), OF_PEAK * peak(case, "force_static")
    for row in case["rows"]:
        force = handle_force(mechanism, gravity_torque(moment, row["theta"]), row["theta"])
        assert force == pytest.approx(row["force_static"], rel=0, abs=allowed)
        assert force == pytest.approx(row.get("force_static_mujoco", force), rel=0, abs=allowed)


@pytest.mark.parametrize("case", STATIC, ids=by_id)
def test_handle_ratio_and_torque_are_the_reference_s_within_1e_9_of_their_peaks(case: dict[str, Any]) -> None:
    mechanism = mechanism_for(case)
    moment = total_moment(case, mechanism)
    ratio, torque = OF_PEAK * peak(case, "handle_ratio"), OF_PEAK * peak(case, "gravity_torque")
    for row in case["rows"]:
        assert handle_ratio(mechanism, row["theta"]) == pytest.approx(row["handle_ratio"], rel=0, abs=ratio)
        assert gravity_torque(moment, row["theta"]) == pytest.approx(row["gravity_torque"], rel=0, abs=torque)


@pytest.mark.parametrize("case", STATIC, ids=by_id)
def test_handle_travel_is_the_reference_s_within_a_nanometre(case: dict[str, Any]) -> None:
    mechanism = mechanism_for(case)
    for row in case["rows"]:
        travel = handle_travel(mechanism, row["theta"])
        assert travel == pytest.approx(row["handle_displacement"], rel=0, abs=METRES)


@pytest.mark.parametrize("case", STATIC, ids=by_id)
def test_seen_from_behind_every_machine_needs_the_same_force(case: dict[str, Any]) -> None:
    # Not from the file alone: the same reference machine mirrored in x, lifted towards falling angles.
    mirrored = mirrored_case(case)
    mechanism = mechanism_for(mirrored)
    moment, allowed = total_moment(mirrored, mechanism), OF_PEAK * peak(case, "force_static")
    for row in case["rows"]:
        angle = math.pi - row["theta"]
        force = handle_force(mechanism, gravity_torque(moment, angle), angle)
        assert force == pytest.approx(row["force_static"], rel=0, abs=allowed)
        assert handle_travel(mechanism, angle) == pytest.approx(row["handle_displacement"], rel=0, abs=METRES)


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
