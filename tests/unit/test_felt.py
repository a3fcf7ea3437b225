"""What plates, arms, bodies and attachments become in the hand, on machines small enough to reckon by head."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import partial
from itertools import pairwise
from typing import Any

import pytest

from steelyard.errors import OutOfRange, UnknownName
from steelyard.machine.curve import resistance_curve
from steelyard.machine.examples import example_names, example_text
from steelyard.machine.felt import felt_law, swing_of
from steelyard.machine.file import read_machine
from steelyard.machine.model import (
    AcrossArm,
    Arm,
    Attachment,
    Axis,
    BodyWeight,
    Cable,
    Counterweight,
    DeadEnd,
    Drive,
    FeltLaw,
    FixedDirection,
    FreeWeight,
    Horn,
    Machine,
    Station,
    Wheel,
)
from steelyard.machine.statics import Mechanism, Way, handle_travel, mechanism_of
from steelyard.units import STANDARD_GRAVITY
from yardstick import yardsticks

UP = FixedDirection((1.0, 0.0), math.pi / 2)
ARM = Arm("arm", (0.0, 0.0), 10.0, (0.5, 0.0))
TIP = Horn("tip", "arm", 0.3, (0.8, 0.0))
BAR, ROPE = Attachment("bar", 2.0), Attachment("rope", 0.5)


def gym(drive: Drive, *, arm: Arm = ARM, horn: Horn = TIP, attachments: tuple[Attachment, ...] = ()) -> Machine:
    on_arm = isinstance(drive, AcrossArm | FixedDirection | Cable)
    station = Station(
        "only",
        "Only",
        drive,
        arm="arm" if on_arm else None,
        from_rad=-0.3,
        to_rad=0.3,
        horn=None if on_arm else "pin",
        attachments=attachments,
    )
    return Machine("gym", {"arm": arm}, {"tip": horn, "pin": Horn("pin", None, 0.2)}, {"only": station})


def straight_up(efficiency: float = 1.0, exit_rad: float = -math.pi / 2, dead_end: DeadEnd | None = None) -> Cable:
    """A cable from the tip over a far wheel: nearly straight up."""
    return Cable((1.0, 0.0), Wheel((1.0, 40.0), 0.0, 1), exit_rad, dead_end, efficiency=efficiency)


def law_of(machine: Machine, **asked: Any) -> FeltLaw:
    return felt_law(machine, machine.stations["only"], **asked)


def test_a_vertical_handle_feels_the_lever_alone() -> None:
    law = law_of(gym(UP))
    assert law.base_kg == pytest.approx(10.0 * 0.5)
    assert law.shares[0].per_kg == pytest.approx(0.8)
    assert law.stroke_m == pytest.approx(2.0 * math.sin(0.3))


def test_without_friction_there_is_no_lowering_law() -> None:
    assert law_of(gym(UP)).lowering is None


def test_a_hinge_torque_adds_going_up_and_takes_going_down() -> None:
    law = law_of(gym(UP, arm=replace(ARM, hinge_torque_n_m=4.0)))
    friction_kg = 4.0 * 0.6 / (2.0 * math.sin(0.3)) / STANDARD_GRAVITY
    assert law.base_kg == pytest.approx(5.0 + friction_kg)
    assert law.lowering is not None
    assert law.lowering.base_kg == pytest.approx(5.0 - friction_kg)


def test_each_wheel_costs_its_efficiency_once() -> None:
    one, three = straight_up(0.9), replace(straight_up(0.9), more_wheels=2)
    smooth = law_of(gym(straight_up())).shares[0].per_kg
    assert law_of(gym(one)).shares[0].per_kg == pytest.approx(smooth / 0.9)
    assert law_of(gym(three)).shares[0].per_kg == pytest.approx(smooth / 0.9**3)
    lowering = law_of(gym(three)).lowering
    assert lowering is not None
    assert lowering.shares[0].per_kg == pytest.approx(smooth * 0.9**3)


def test_a_wheel_on_the_arm_halves_the_force_and_doubles_the_travel() -> None:
    fixed = law_of(gym(straight_up()))
    doubled = law_of(gym(straight_up(dead_end=DeadEnd((1.0, 40.0), 0.0, 1))))
    assert doubled.shares[0].per_kg == pytest.approx(fixed.shares[0].per_kg / 2)
    assert doubled.stroke_m == pytest.approx(2 * fixed.stroke_m)


def test_a_counterweight_lightens_the_base_and_no_plate() -> None:
    light = law_of(gym(UP, arm=replace(ARM, counterweight=Counterweight(5.0, (-0.4, 0.0)))))
    assert light.base_kg == pytest.approx(5.0 - 2.0)
    assert light.shares[0].per_kg == pytest.approx(0.8)


def test_a_plate_further_out_on_a_horn_along_the_plane_counts_more() -> None:
    law = law_of(gym(UP, horn=replace(TIP, axis=Axis.ALONG, axis_angle_rad=0.0)))
    assert law.shares[0].per_kg_m == pytest.approx(1.0)
    tilted = law_of(gym(UP, horn=replace(TIP, axis=Axis.ALONG, axis_angle_rad=math.pi / 3)))
    assert tilted.shares[0].per_kg_m == pytest.approx(0.5)


def test_a_lift_that_turns_the_arm_backwards_counts_the_same() -> None:
    # Plates behind the hinge rise while the hand goes down.
    machine = gym(FixedDirection((1.0, 0.0), -math.pi / 2), horn=replace(TIP, at_m=(-0.8, 0.0)))
    station = replace(machine.stations["only"], from_rad=0.3, to_rad=-0.3)
    law = felt_law(machine, station)
    assert law.shares[0].per_kg == pytest.approx(0.8)
    assert law.stroke_m == pytest.approx(2.0 * math.sin(0.3))


def test_one_arm_work_moves_one_of_two_paired_arms() -> None:
    machine = gym(UP, arm=replace(ARM, paired=True), horn=replace(TIP, sides=2))
    two, one = law_of(machine), law_of(machine, one_arm=True)
    assert (two.base_kg, two.shares[0].sides) == (pytest.approx(10.0), 2)
    assert (one.base_kg, one.shares[0].sides) == (pytest.approx(5.0), 1)
    assert one.shares[0].per_kg == two.shares[0].per_kg


def test_one_arm_work_on_a_single_arm_moves_it_all() -> None:
    machine = gym(UP, horn=replace(TIP, sides=2))
    assert law_of(machine, one_arm=True) == law_of(machine)
    assert law_of(machine).shares[0].sides == 2


def test_a_handle_on_the_lever_is_felt_in_full() -> None:
    assert law_of(gym(UP, attachments=(BAR,))).base_kg == pytest.approx(5.0 + 2.0)


@pytest.mark.parametrize(("exit_deg", "felt"), [(90, 2.0), (-90, -2.0), (30, 1.0), (0, 0.0)])
def test_a_handle_on_a_cable_counts_as_it_rises_with_the_hand(exit_deg: float, felt: float) -> None:
    cable = straight_up(exit_rad=math.radians(exit_deg))
    bare, held = law_of(gym(cable)), law_of(gym(cable, attachments=(BAR,)))
    assert held.base_kg - bare.base_kg == pytest.approx(felt)
    assert held.peak_base_n == bare.peak_base_n


def test_the_first_attachment_is_on_unless_another_is_named() -> None:
    machine = gym(UP, attachments=(BAR, ROPE))
    assert law_of(machine).base_kg == pytest.approx(7.0)
    assert law_of(machine, attachment="rope").base_kg == pytest.approx(5.5)
    with pytest.raises(UnknownName, match="attachment 'rpoe' is not known; did you mean rope"):
        law_of(machine, attachment="rpoe")


def test_a_body_weight_station_feels_its_share_of_the_body_and_all_of_the_plates() -> None:
    law = law_of(gym(BodyWeight(0.6, travel_m=0.45)), body_mass_kg=80.0)
    assert (law.base_kg, law.stroke_m) == (pytest.approx(48.0), 0.45)
    assert [(share.horn.name, share.sides, share.per_kg) for share in law.shares] == [("pin", 1, 1.0)]


def test_a_body_weight_station_asks_for_the_body_mass() -> None:
    with pytest.raises(OutOfRange, match="body mass at station only is not known; it must be logged first"):
        law_of(gym(BodyWeight(0.6)))
    with pytest.raises(OutOfRange, match="body mass is -1 kg"):
        law_of(gym(BodyWeight(0.6)), body_mass_kg=-1.0)


def test_a_free_weight_is_felt_as_it_is() -> None:
    law = law_of(gym(FreeWeight(7.5), attachments=(ROPE,)))
    assert law.base_kg == 8.0
    assert law.shares[0].per_kg == 1.0
    assert (law.peak_base_n, law.lowering) == ((), None)


def test_resistance_refuses_what_is_not_there() -> None:
    machine = gym(UP)
    with pytest.raises(UnknownName, match="horn 'tap' is not known; did you mean tip"):
        resistance_curve(machine, machine.stations["only"], (0.0,), {"tap": (10.0, 0.0)})
    with pytest.raises(OutOfRange, match="mass on horn tip is -1 kg"):
        resistance_curve(machine, machine.stations["only"], (0.0,), {"tip": (-1.0, 0.0)})
    free = gym(FreeWeight(5.0))
    with pytest.raises(OutOfRange, match="station only is without an arm"):
        resistance_curve(free, free.stations["only"], (0.0,), {})


def test_an_arm_that_is_not_on_the_machine_is_named() -> None:
    machine = gym(UP)
    with pytest.raises(UnknownName, match="arm 'arn' is not known; did you mean arm"):
        mechanism_of(machine, replace(machine.stations["only"], arm="arn"))


def test_resistance_counts_posts_and_hands() -> None:
    machine = gym(UP, arm=replace(ARM, paired=True), horn=replace(TIP, sides=2))
    both = resistance_curve(machine, machine.stations["only"], (0.0,), {"tip": (10.0, 0.0)})
    one = resistance_curve(machine, machine.stations["only"], (0.0,), {"tip": (10.0, 0.0)}, one_arm=True)
    assert one.raising_n[0] == pytest.approx((5.0 + 8.0) * STANDARD_GRAVITY)
    assert both.raising_n[0] == pytest.approx(2 * one.raising_n[0])
    assert both.travel_m[0] == pytest.approx(math.sin(0.3))


def test_quadrature_agrees_with_a_fine_sum_where_the_strands_open_wide() -> None:
    cable = Cable((1.0, 0.0), Wheel((1.3, 1.0), 0.05, -1), -1.5, DeadEnd((0.6, 1.0), 0.04, 1), efficiency=0.9)
    mechanism = Mechanism(ARM, cable, -0.4, 0.5)
    swing, steps = swing_of(mechanism, Way.RAISING), 4000
    fine = [swing_of(Mechanism(ARM, cable, a, b), Way.RAISING) for a, b in pairwise(mechanism.angles(steps))]
    assert swing.cosine == pytest.approx(math.fsum(each.cosine for each in fine), rel=1e-12)
    assert swing.sine == pytest.approx(math.fsum(each.sine for each in fine), rel=1e-12)
    assert swing.turn == pytest.approx(math.fsum(each.turn for each in fine), rel=1e-12)


def test_travel_does_not_jump_where_a_turn_round_the_wheel_passes_through_nothing() -> None:
    # The cable leaves the wheel in just the direction in which it arrives, somewhere within the range.
    cable = Cable((1.0, 0.0), Wheel((1.05, 2.0), 0.05, -1), math.pi / 2, more_wheels=1)
    mechanism = Mechanism(ARM, cable, -0.3, 0.3)
    ways = [handle_travel(mechanism, angle) for angle in mechanism.angles(61)]
    assert max(b - a for a, b in pairwise(ways)) < 0.011


@pytest.mark.parametrize("name", example_names())
def test_a_felt_law_is_quick(name: str) -> None:
    machine = read_machine(example_text(name), name)
    for station in machine.stations.values():
        assert yardsticks(partial(felt_law, machine, station, body_mass_kg=80.0)) < 2, station.name
