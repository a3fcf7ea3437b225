"""Minimum jerk, and what it makes of a stroke's time.

Sources:
- Flash and Hogan 1985, J Neurosci 5:1688 (from memory): between two rests the path of least squared jerk is
  10 s³ - 15 s⁴ + 6 s⁵. Its largest acceleration is 10/√3 = 5.7735 D/T², printed 5.774, at (3 ± √3)/6 of the time,
  its largest speed 1.875 D/T at half time: exact, by the roots of its derivatives.
- A table computed by others for this project (no measurement, so a loose check): over 35 degrees in 2, 1.5, 1,
  0.75 and 0.5 s the acceleration is at most 0.88, 1.57, 3.5, 6.3 and 14 rad/s², and inertia adds 7, 13, 29, 51 and
  115 % to the force of a point load at 0.8 m on an arm near the level.
"""

from __future__ import annotations

import math

import pytest

from steelyard.machine.extremes import highest
from steelyard.machine.inertia import Disc
from steelyard.machine.model import AcrossArm, Arm, Horn, Machine, Station
from steelyard.machine.motion import minimum_jerk, raise_stroke
from steelyard.machine.strokes import loaded_lift, stroke_figures
from steelyard.units import STANDARD_GRAVITY

FAST = (3.0 - math.sqrt(3.0)) / 6.0
TABLE = [(2.0, 0.88, 0.07), (1.5, 1.57, 0.13), (1.0, 3.5, 0.29), (0.75, 6.3, 0.51), (0.5, 14.0, 1.15)]
"""Time [s], largest acceleration [rad/s²], inertial share."""
RANGE_RAD = math.radians(35.0)


def test_largest_acceleration_is_ten_over_the_root_of_three() -> None:
    place, height = highest(lambda shares: [minimum_jerk(share)[2] for share in shares])
    assert place == pytest.approx(FAST, abs=1e-6)
    assert height == pytest.approx(10.0 / math.sqrt(3.0), rel=1e-12)
    assert height == pytest.approx(5.774, abs=0.0005)


def test_largest_speed_is_1_875_at_half_time() -> None:
    place, height = highest(lambda shares: [minimum_jerk(share)[1] for share in shares])
    assert (place, height) == pytest.approx((0.5, 1.875), abs=1e-6)


def test_it_begins_and_ends_at_rest_and_without_push() -> None:
    assert minimum_jerk(0.0) == (0.0, 0.0, 0.0)
    assert minimum_jerk(1.0) == (1.0, 0.0, 0.0)


@pytest.mark.parametrize(("time_s", "acceleration", "_share"), TABLE)
def test_acceleration_of_35_degrees(time_s: float, acceleration: float, _share: float) -> None:
    assert minimum_jerk(FAST)[2] * RANGE_RAD / time_s**2 == pytest.approx(acceleration, rel=0.02)


@pytest.mark.parametrize(("time_s", "_acceleration", "share"), TABLE)
def test_inertial_share_of_a_point_load_near_the_level(time_s: float, _acceleration: float, share: float) -> None:
    """The table takes the arm as level at the largest acceleration; the range is laid so that it is."""
    start = -minimum_jerk(FAST)[0] * RANGE_RAD
    station = Station("only", "Only", AcrossArm((0.8, 0.0)), "main", start, start + RANGE_RAD)
    weightless = Arm("main", (0.0, 0.0), 1e-12, (0.0, 0.0))
    horn = Horn("tip", "main", 0.3, (0.8, 0.0), plates_turn_with_arm=False)
    machine = Machine("Level", {"main": weightless}, {"tip": horn}, {"only": station})
    lift = loaded_lift(machine, station, {"tip": [Disc(20.0, 0.225, 0.0255, 0.03)]})
    figures = stroke_figures(lift, raise_stroke(lift.mechanism, time_s))
    assert figures.peak_n / (20.0 * STANDARD_GRAVITY) - 1.0 == pytest.approx(share, abs=0.015)
