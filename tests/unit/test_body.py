"""A lifter as segments, and what can't be one."""

from __future__ import annotations

import math

import pytest

from steelyard.errors import OutOfRange
from steelyard.machine.body import Body, Table


def test_a_taller_lifter_has_longer_segments_in_proportion() -> None:
    short, tall = Body(1.50, 70.0), Body(2.00, 70.0)
    assert tall.forearm_m / short.forearm_m == pytest.approx(4 / 3)
    assert tall.trunk_m / short.trunk_m == pytest.approx(4 / 3)


def test_the_grip_lies_beyond_the_wrist_and_within_the_arm() -> None:
    body = Body(1.75, 75.0)
    assert body.forearm_m < body.grip_m < body.arm_m < body.elbow_height_m


def test_a_heavier_lifter_has_heavier_segments_of_the_same_length() -> None:
    light, heavy = Body(1.75, 60.0), Body(1.75, 90.0)
    assert heavy.forearm_moment_kg_m == pytest.approx(1.5 * light.forearm_moment_kg_m)
    assert heavy.grip_m == light.grip_m


def test_without_a_choice_both_tables_are_averaged() -> None:
    assert Body(1.75, 75.0).table is Table.MEAN


def test_a_level_forearm_weighs_what_the_worked_example_says() -> None:
    # Worked by hand beforehand: 1.80 m, 85 kg, 3.3 N m.
    assert Body(1.80, 85.0, Table.MEN).forearm_moment_kg_m * 9.80665 == pytest.approx(3.3, abs=0.05)


def test_the_whole_arm_weighs_more_than_forearm_and_hand() -> None:
    body = Body(1.75, 75.0)
    assert body.arm_kg > body.forearm_kg + body.hand_kg


@pytest.mark.parametrize("stature_m", [0.0, 0.9, 1.19, 2.31, 180.0, -1.8, math.nan, math.inf])
def test_an_impossible_stature_is_refused_with_examples(stature_m: float) -> None:
    with pytest.raises(OutOfRange) as met:
        Body(stature_m, 75.0)
    assert str(met.value).endswith("it must be from 120 to 230 cm, such as 178 cm or 5 ft 10 in")


@pytest.mark.parametrize("mass_kg", [0.0, 24.9, 301.0, -75.0, math.nan, math.inf])
def test_an_impossible_body_mass_is_refused(mass_kg: float) -> None:
    with pytest.raises(OutOfRange, match=r"body mass is .* kg; it must be from 25 to 300 kg"):
        Body(1.75, mass_kg)


@pytest.mark.parametrize(("stature_m", "mass_kg"), [(1.20, 25.0), (2.30, 300.0)])
def test_the_ends_of_what_is_accepted_are_accepted(stature_m: float, mass_kg: float) -> None:
    assert Body(stature_m, mass_kg).grip_m > 0.0
