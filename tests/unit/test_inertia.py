"""Inertia about the hinge: discs on posts, counterweights, handles."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from steelyard.errors import OutOfRange, UnknownName
from steelyard.machine.inertia import (
    Disc,
    about_axis,
    about_diameter,
    arm_inertia,
    carried_inertia,
    disc_loads,
    loaded_inertia,
    stack_inertia,
)
from steelyard.machine.model import AcrossArm, Arm, Axis, Cable, Counterweight, Horn, Wheel
from steelyard.machine.statics import Mechanism
from steelyard.plates.discs import disc_of, discs_of
from steelyard.plates.model import Plate
from steelyard.units import parse_mass

ARM = Arm("arm", (0.0, 0.5), 10.0, (0.4, 0.3), 2.0)
TIP = Horn("tip", "arm", 0.3, (0.8, 0.0))
NOSE = Horn("nose", "arm", 0.3, (0.8, 0.1), Axis.ALONG, math.pi / 2)
TWENTY = Disc(20.0, 0.225, 0.0255, 0.03)
TEN = Disc(10.0, 0.15, 0.0255, 0.02)


def lever(arm: Arm = ARM) -> Mechanism:
    return Mechanism(arm, AcrossArm((1.0, 0.0)), 0.0, 0.5)


def pulley(arm: Arm = ARM) -> Mechanism:
    return Mechanism(arm, Cable((1.0, 0.0), Wheel((1.0, 2.0), 0.0, 1), -math.pi / 2), 0.0, 0.5)


def test_an_arm_counts_with_the_square_of_its_centre_s_distance_and_its_own_inertia() -> None:
    assert arm_inertia(ARM) == pytest.approx(10.0 * 0.25 + 2.0)


def test_a_counterweight_adds_inertia_wherever_it_sits() -> None:
    behind = replace(ARM, counterweight=Counterweight(8.0, (-0.5, 0.0), 0.1))
    assert arm_inertia(behind) - arm_inertia(ARM) == pytest.approx(8.0 * 0.25 + 0.1)


def test_a_twenty_adds_four_percent_of_its_own() -> None:
    """Half a kg m² against 12.8 of its place at 0.8 m; computed by others for this project."""
    own, place = about_axis(TWENTY), 20.0 * 0.8**2
    assert own == pytest.approx(0.51, abs=0.005)
    assert place == pytest.approx(12.8)
    assert stack_inertia(TIP, [TWENTY]) == pytest.approx(own + place)


def test_a_plate_that_spins_freely_counts_as_a_point() -> None:
    assert stack_inertia(replace(TIP, plates_turn_with_arm=False), [TWENTY]) == pytest.approx(12.8)


def test_along_the_plane_a_plate_tips_with_the_arm_spinning_or_not() -> None:
    free = replace(NOSE, plates_turn_with_arm=False)
    assert stack_inertia(free, [TWENTY, TEN]) == stack_inertia(NOSE, [TWENTY, TEN])


def test_along_the_plane_every_plate_lies_behind_the_ones_further_in() -> None:
    inner, outer = 20.0 * (0.8**2 + 0.115**2), 10.0 * (0.8**2 + 0.14**2)
    own = about_diameter(TWENTY) + about_diameter(TEN)
    assert stack_inertia(NOSE, [TWENTY, TEN]) == pytest.approx(inner + outer + own)


def test_a_flat_disc_has_half_as_much_about_a_diameter() -> None:
    flat = replace(TWENTY, thickness_m=0.0)
    assert about_diameter(flat) == pytest.approx(about_axis(flat) / 2.0)


def test_an_empty_horn_adds_nothing() -> None:
    assert loaded_inertia(lever(), [TIP], {}, 0.0) == loaded_inertia(lever(), [TIP], {"tip": ()}, 0.0)
    assert loaded_inertia(lever(), [TIP], {}, 0.0) == arm_inertia(ARM)


def test_posts_left_and_right_count_twice_but_once_on_each_of_paired_arms() -> None:
    two = replace(TIP, sides=2)
    single = loaded_inertia(lever(), [two], {"tip": [TWENTY]}, 0.0) - arm_inertia(ARM)
    paired = loaded_inertia(lever(replace(ARM, paired=True)), [two], {"tip": [TWENTY]}, 0.0) - arm_inertia(ARM)
    assert single == pytest.approx(2.0 * paired)


def test_a_handle_s_attachment_is_a_point_at_the_hand() -> None:
    assert carried_inertia(lever(), 3.0) - arm_inertia(ARM) == pytest.approx(3.0)


def test_what_hangs_on_a_cable_is_not_on_the_arm() -> None:
    assert carried_inertia(pulley(), 3.0) == arm_inertia(ARM)


def test_a_horn_that_is_not_there_is_named() -> None:
    with pytest.raises(UnknownName, match="horn 'tipp' is not known; did you mean tip"):
        loaded_inertia(lever(), [TIP], {"tipp": [TWENTY]}, 0.0)


def test_discs_weigh_in_statics_as_their_centres_lie() -> None:
    assert disc_loads({"nose": [TWENTY, TEN]})["nose"] == pytest.approx((30.0, 20.0 * 0.015 + 10.0 * 0.04))


@pytest.mark.parametrize(
    ("sizes", "told"),
    [
        ((0.0, 0.2, 0.02, 0.03), "mass of a plate is 0 kg; it must be above 0 kg"),
        ((math.nan, 0.2, 0.02, 0.03), "mass of a plate is nan kg"),
        ((20.0, 0.0, 0.0, 0.03), "radius of a plate is 0 mm; it must be above 0 mm"),
        (
            (20.0, 0.2, 0.2, 0.03),
            "radius of a plate's hole is 200 mm; it must be smaller than the plate's own, 200 mm",
        ),
        ((20.0, 0.2, -0.01, 0.03), "radius of a plate's hole is -10 mm"),
        ((20.0, 0.2, 0.02, -0.03), "thickness of a plate is -30 mm; it must be 0 mm or more"),
    ],
)
def test_a_disc_that_is_none_is_refused(sizes: tuple[float, float, float, float], told: str) -> None:
    with pytest.raises(OutOfRange) as refused:
        Disc(*sizes)
    assert told in str(refused.value)


def test_a_plate_is_a_disc_of_the_mass_a_scale_showed() -> None:
    plate = Plate("20 kg", parse_mass("20 kg"), 0.034, parse_mass("20.1 kg"), diameter_m=0.44, hole_m=0.05)
    assert disc_of(plate) == Disc(20.1, 0.22, 0.025, 0.034)
    assert discs_of({"tip": (plate, plate)}) == {"tip": (disc_of(plate), disc_of(plate))}
