"""Statics against an independent physics engine, on kept cases; see `mechanics_cases` for the source.

Beside the force the file has the residual acceleration that the engine shows under it, for each of 21 machines.
"""

from __future__ import annotations

import math
from typing import Any

import pytest

from published.mechanics_cases import (
    CASES,
    OF_PEAK,
    STATIC,
    by_id,
    mechanism_for,
    mirrored_case,
    peak,
    total_moment,
)
from steelyard.machine.statics import gravity_torque, handle_force, handle_ratio, handle_travel
from steelyard.units import STANDARD_GRAVITY

METRES = 1e-9


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
