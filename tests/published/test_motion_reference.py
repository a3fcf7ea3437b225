"""Motion against an independent physics engine, on kept strokes; see `mechanics_cases` for the source.

Each is a minimum-jerk stroke in 21 rows: time, angle, speed, acceleration, and the handle force by the engine's
inverse dynamics (`force_dynamic_mujoco`) beside the closed form.
"""

from __future__ import annotations

from typing import Any

import pytest

from published.mechanics_cases import (
    OF_PEAK,
    REFERENCE,
    by_id,
    discs_for,
    horn_for,
    machine_for,
    mechanism_for,
    mirrored_case,
    peak,
)
from steelyard.machine.inertia import loaded_inertia
from steelyard.machine.motion import raise_stroke
from steelyard.machine.strokes import Course, course_of, loaded_lift, stroke_figures

PRINTED = {"D1": (1.23, 0.70), "D2": (1.73, 0.09), "D3": (1.43, 0.51)}
"""Largest and smallest force in motion over the one at rest there, as printed beside the cases."""
CASES = pytest.mark.parametrize("case", REFERENCE["dynamic_cases"], ids=by_id)


def stroke_of(case: dict[str, Any]) -> Course:
    """Our stroke at the moments of the file."""
    machine = machine_for(case)
    lift = loaded_lift(machine, machine.stations["only"], {"horn": discs_for(case)})
    shares = [row["t"] / case["duration"] for row in case["rows"]]
    return course_of(lift, raise_stroke(lift.mechanism, case["duration"]), shares)


def column(case: dict[str, Any], key: str) -> list[float]:
    return [row[key] for row in case["rows"]]


@CASES
def test_force_in_motion_is_the_engine_s_within_1e_9_of_its_peak(case: dict[str, Any]) -> None:
    course, allowed = stroke_of(case), OF_PEAK * peak(case, "force_dynamic_mujoco")
    assert course.force_n == pytest.approx(column(case, "force_dynamic_mujoco"), rel=0, abs=allowed)
    assert course.force_n == pytest.approx(column(case, "force_dynamic"), rel=0, abs=allowed)
    assert course.rest_force_n == pytest.approx(column(case, "force_static"), rel=0, abs=allowed)


@CASES
def test_angle_speed_and_acceleration_are_the_file_s(case: dict[str, Any]) -> None:
    path = stroke_of(case).path
    ours = {
        "theta": path.swept.angles_rad,
        "omega": path.speeds_rad_s,
        "alpha": path.accelerations_rad_s2,
    }
    for key, found in ours.items():
        assert found == pytest.approx(column(case, key), rel=0, abs=OF_PEAK * peak(case, key)), key


@CASES
def test_inertia_about_the_pivot_is_the_file_s(case: dict[str, Any]) -> None:
    found = loaded_inertia(mechanism_for(case), [horn_for(case)], {"horn": discs_for(case)}, 0.0)
    assert found == pytest.approx(case["inertia_about_pivot"], rel=1e-12)


@CASES
def test_seen_from_behind_a_stroke_needs_the_same_force(case: dict[str, Any]) -> None:
    allowed = OF_PEAK * peak(case, "force_dynamic")
    assert stroke_of(mirrored_case(case)).force_n == pytest.approx(stroke_of(case).force_n, rel=0, abs=allowed)


@CASES
def test_motion_over_rest_is_as_the_maker_of_the_cases_printed_it(case: dict[str, Any]) -> None:
    most, least = PRINTED[case["id"]]
    course = stroke_of(case)
    ratios = [moving / rest for moving, rest in zip(course.force_n, course.rest_force_n, strict=True)]
    assert (max(ratios), min(ratios)) == pytest.approx((most, least), rel=0, abs=0.005)


@CASES
def test_the_peak_is_found_between_the_rows_too(case: dict[str, Any]) -> None:
    machine = machine_for(case)
    lift = loaded_lift(machine, machine.stations["only"], {"horn": discs_for(case)})
    figures = stroke_figures(lift, raise_stroke(lift.mechanism, case["duration"]))
    assert peak(case, "force_dynamic_mujoco") <= figures.peak_n <= 1.01 * peak(case, "force_dynamic_mujoco")
    assert figures.least_n <= min(column(case, "force_dynamic_mujoco")) + 1e-9
