"""What a tape measure leaves open, and how an unknown goes into a machine."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from steelyard.machine.examples import example_text
from steelyard.machine.felt import felt_law
from steelyard.machine.file import read_machine
from steelyard.machine.model import AcrossArm, BodyWeight, Cable, Counterweight, FixedDirection, Machine
from steelyard.machine.unknowns import Unknown, drive_with, free_length, unknowns, with_values

BOATHOUSE = read_machine(example_text("boathouse"), "boathouse.toml")
MACHINES = [read_machine(example_text(name), name) for name in ("boathouse", "counterbeam", "twin-arms")]


def found(machine: Machine, name: str, tape_m: float = 0.010) -> Unknown:
    return next(one for one in unknowns(machine, tape_m=tape_m) if one.name == name)


@pytest.mark.parametrize("machine", MACHINES, ids=lambda machine: machine.name)
def test_every_unknown_has_a_name_of_its_own_and_some_doubt(machine: Machine) -> None:
    listed = unknowns(machine)
    assert len({one.name for one in listed}) == len(listed)
    assert all(one.sd > 0.0 and math.isfinite(one.value) for one in listed)


@pytest.mark.parametrize("machine", MACHINES, ids=lambda machine: machine.name)
def test_every_unknown_but_the_scale_moves_some_felt_load(machine: Machine) -> None:
    def laws(values: dict[str, float]) -> list[tuple[object, ...]]:
        there = with_values(machine, values)
        found = [felt_law(there, station, body_mass_kg=80.0) for station in there.stations.values()]
        return [(law.base_kg, *((share.per_kg, share.per_kg_m) for share in law.shares)) for law in found]

    values = {one.name: one.value for one in unknowns(machine)}
    still = {
        one.name for one in unknowns(machine) if laws({**values, one.name: one.value + one.sd}) == laws(values)
    }
    assert still == {"scale.gain"}


@pytest.mark.parametrize("name", ["horn.tip.up_m", "station.row.reach_log", "station.high-pulley.turn_rad"])
def test_a_better_tape_leaves_proportionally_less_open(name: str) -> None:
    assert found(BOATHOUSE, name, 0.005).sd == pytest.approx(found(BOATHOUSE, name, 0.010).sd / 2.0)


def test_a_grip_square_to_the_arm_can_be_nearer_but_not_tilted() -> None:
    names = [one.name for one in unknowns(BOATHOUSE) if one.name.startswith("station.row.")]
    assert names == ["station.row.reach_log"]
    assert found(BOATHOUSE, "station.row.reach_log").sd == pytest.approx(0.010 / math.hypot(1.05, 0.04))


def test_a_cable_tilts_by_its_wheel_as_well_as_by_its_place_on_the_arm() -> None:
    pulley = BOATHOUSE.stations["high-pulley"]
    place, wheel = 0.010 / math.hypot(1.0, 0.03), math.sqrt(2.0) * 0.010 / free_length(BOATHOUSE, pulley)
    assert found(BOATHOUSE, "station.high-pulley.turn_rad").sd == pytest.approx(math.hypot(place, wheel))


def test_stations_without_an_arm_have_nothing_to_find() -> None:
    assert not [one for one in unknowns(BOATHOUSE) if one.name.startswith(("station.handle", "horn.pin"))]


def test_friction_that_the_description_leaves_out_is_guessed() -> None:
    arm = replace(BOATHOUSE.arms["main"], hinge_torque_n_m=0.0)
    pulley = BOATHOUSE.stations["high-pulley"]
    assert isinstance(pulley.drive, Cable)
    smooth = replace(pulley, drive=replace(pulley.drive, efficiency=1.0))
    machine = replace(BOATHOUSE, arms={"main": arm}, stations={"high-pulley": smooth})
    assert math.exp(found(machine, "arm.main.hinge_log").value) == pytest.approx(1.5)
    assert math.exp(found(machine, "station.high-pulley.loss_log").value) == pytest.approx(0.04)


def test_a_counterweight_adds_its_own_doubt_though_it_takes_moment_away() -> None:
    arm = BOATHOUSE.arms["main"]
    balanced = replace(arm, counterweight=Counterweight(15.0, (-0.5, 0.0)))
    weighted = replace(BOATHOUSE, arms={"main": balanced})
    plain, heavy = (found(machine, "arm.main.along_kg_m") for machine in (BOATHOUSE, weighted))
    assert heavy.value == pytest.approx(plain.value - 7.5)
    assert heavy.sd == pytest.approx(math.hypot(plain.sd, 0.05 * 7.5, 0.010 * 15.0))


def test_a_drive_further_out_and_turned_takes_its_point_along() -> None:
    lever = drive_with(AcrossArm((1.0, 0.0)), math.log(1.1), math.pi / 2, None)
    push = drive_with(FixedDirection((1.0, 0.0), 1.5), 0.0, math.pi, None)
    assert isinstance(lever, AcrossArm)
    assert isinstance(push, FixedDirection)
    assert lever.hand_m == pytest.approx((0.0, 1.1))
    assert push.hand_m == pytest.approx((-1.0, 0.0))
    assert push.direction_rad == 1.5


def test_what_is_on_no_arm_stays_as_it_is() -> None:
    assert drive_with(BodyWeight(0.6), 0.1, 0.1, 0.1) == BodyWeight(0.6)
