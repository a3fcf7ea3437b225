"""The cable's limit in motion: kept apart from the one at rest, and as large as mechanics says."""

from __future__ import annotations

from math import cos, pi, radians

import pytest

from racks import Gym, gym_of, plate_of, post
from steelyard.errors import LimitExceeded
from steelyard.machine.examples import example_names, example_text
from steelyard.machine.felt import felt_law
from steelyard.machine.file import read_machine
from steelyard.machine.model import AcrossArm, Arm, Cable, Drive, FeltLaw, Horn, Machine, Station, Wheel
from steelyard.plates.example import example_text as rack_text
from steelyard.plates.file import read_inventory
from steelyard.plates.limits import cable_limits_of
from steelyard.plates.loading import check_loading, ladder

TEN, FIVE = plate_of("10 kg"), plate_of("5 kg")
G = 9.80665


def cabled(rated_n: float, *, still: float, moving: float) -> Gym:
    """A cable that pulls so many newtons for each kilogram on a post, and 50 N empty."""
    peaks, brisk = ((50.0, (still,)),), ((50.0, (moving,)),)
    return gym_of([post()], {"10 kg": 2, "5 kg": 2}, cable_rated_n=rated_n, peaks=peaks, moving=brisk)


def light_arm(drive: Drive) -> FeltLaw:
    """An arm that weighs nothing, with freely turning plates 0.8 m out, raised by 35 degrees about level."""
    arm = Arm("main", (0.0, 0.0), 0.0, (0.0, 0.0))
    horn = Horn("tip", "main", 0.3, (0.8, 0.0), plates_turn_with_arm=False)
    station = Station("pull", "Pull", drive, "main", radians(-17.5), radians(17.5))
    return felt_law(Machine("Bench", {"main": arm}, {"tip": horn}, {"pull": station}), station)


def test_a_cable_that_holds_a_load_still_may_not_bear_it_in_motion() -> None:
    # At rest 50 + 10 x 10 = 150 N; moving 50 + 10 x 13 = 180 N.
    gym = cabled(170.0, still=10.0, moving=13.0)
    with pytest.raises(LimitExceeded) as met:
        check_loading(gym.machine, gym.law, {"tip": (TEN,)}, gym.inventory)
    expected = "cable tension in motion at station row would be 180.0 N (18.35 kg); it must not exceed 170.0 N"
    assert str(met.value).startswith(expected)


def test_a_cable_that_breaks_at_rest_is_refused_for_that() -> None:
    gym = cabled(140.0, still=10.0, moving=13.0)
    with pytest.raises(LimitExceeded, match=r"cable tension at station row would be 150\.0 N"):
        check_loading(gym.machine, gym.law, {"tip": (TEN,)}, gym.inventory)


def test_the_ladder_ends_where_the_cable_in_motion_does() -> None:
    # 15 kg: 200 N at rest, 245 N moving; 10 kg: 180 N moving.
    assert [rung.felt_kg for rung in ladder(*cabled(240.0, still=10.0, moving=13.0))] == [6.0, 14.0, 22.0]
    assert [rung.felt_kg for rung in ladder(*cabled(245.0, still=10.0, moving=13.0))] == [6.0, 14.0, 22.0, 30.0]


def test_a_brisk_raise_pulls_as_much_more_as_minimum_jerk_says() -> None:
    # A far wheel keeps the cable upright, so the tension is (g r cos + r² a) / (s cos) for a kilogram at r,
    # the cable at s. Minimum jerk (Flash and Hogan 1985, equation from memory): angle 10 t³ - 15 t⁴ + 6 t⁵.
    cable = Cable((1.0, 0.0), Wheel((1.0, 1000.0), 0.05, -1), -pi / 2, rated_n=1000.0)
    law = light_arm(cable)
    swing = radians(35.0)
    pulls = []
    for number in range(10_001):
        t = number / 10_000
        angle = swing * (10 * t**3 - 15 * t**4 + 6 * t**5) - swing / 2
        turning = swing * (60 * t - 180 * t**2 + 120 * t**3)
        pulls.append((G * 0.8 * cos(angle) + 0.64 * turning) / cos(angle))
    assert max(rows[0] for rows in law.moving_per_kg_n) == pytest.approx(max(pulls), rel=1e-3)
    # At rest the tension is g r / s at every angle.
    assert max(pulls) / (G * 0.8) == pytest.approx(1.29, abs=0.01)


def test_a_lever_has_no_cable_that_moves() -> None:
    law = light_arm(AcrossArm((1.0, 0.0)))
    assert (law.moving_base_n, law.moving_per_kg_n) == ((), ())


def test_a_cable_without_a_rating_has_no_limit() -> None:
    cable = Cable((1.0, 0.0), Wheel((1.0, 3.0), 0.05, -1), -pi / 2)
    assert cable_limits_of(light_arm(cable)) == ()


@pytest.mark.parametrize("name", example_names())
def test_the_examples_bear_their_racks_in_motion_too(name: str) -> None:
    machine, rack = read_machine(example_text(name), name), read_inventory(rack_text(), "rack")
    for station in machine.stations.values():
        if isinstance(station.drive, Cable):
            law = felt_law(machine, station)
            at_rest = FeltLaw(station, law.base_kg, law.shares, law.stroke_m, law.peak_base_n, law.peak_per_kg_n)
            assert len(ladder(machine, law, rack)) == len(ladder(machine, at_rest, rack))
