"""Laws of mechanics that every machine keeps, whatever its geometry."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from machines_at_random import loads, machines, mirrored
from steelyard.machine.curve import resistance_curve
from steelyard.machine.felt import carried_moment, felt_law, hung_kg, loaded_moment
from steelyard.machine.model import Cable, FeltLaw, Machine, Station
from steelyard.machine.statics import handle_ratio, handle_travel, mechanism_of, potential_energy
from steelyard.units import STANDARD_GRAVITY

Loads = dict[str, tuple[float, float]]
STEPS = 400


def only(machine: Machine) -> Station:
    return machine.stations["only"]


def felt_by_law(law: FeltLaw, plates: Loads) -> float:
    parts = [
        share.sides * (share.per_kg * plates[share.horn.name][0] + share.per_kg_m * plates[share.horn.name][1])
        for share in law.shares
    ]
    return law.base_kg + math.fsum(parts)


def felt_by_brute_force(machine: Machine, plates: Loads, *, raising: bool = True, one_arm: bool = False) -> float:
    """Force in the middle of many small steps, times the handle's way in each, over its whole way."""
    station = only(machine)
    mechanism = mechanism_of(machine, station)
    ends = mechanism.angles(STEPS + 1)
    middles = [(a + b) / 2 for a, b in pairwise(ends)]
    ways = [handle_travel(mechanism, angle) for angle in ends]
    found = resistance_curve(machine, station, middles, plates, one_arm=one_arm)
    forces = found.raising_n if raising else found.lowering_n
    work = math.fsum(force * (b - a) for force, (a, b) in zip(forces, pairwise(ways), strict=True))
    return work / ways[-1] / STANDARD_GRAVITY


def without_friction(machine: Machine) -> Machine:
    arm, station = replace(machine.arms["main"], hinge_torque_n_m=0.0), only(machine)
    if isinstance(station.drive, Cable):
        station = replace(station, drive=replace(station.drive, efficiency=1.0))
    return replace(machine, arms={"main": arm}, stations={"only": station})


@given(machines(), st.data())
def test_felt_law_is_the_force_averaged_over_the_handle_travel(machine: Machine, data: st.DataObject) -> None:
    plates = data.draw(loads(machine))
    felt = felt_by_law(felt_law(machine, only(machine)), plates)
    assert felt == pytest.approx(felt_by_brute_force(machine, plates), rel=1e-5)


@given(machines(), st.data())
def test_lowering_law_is_the_average_while_lowering(machine: Machine, data: st.DataObject) -> None:
    plates = data.draw(loads(machine))
    law = felt_law(machine, only(machine))
    felt = felt_by_law(law.lowering or law, plates)
    assert felt == pytest.approx(felt_by_brute_force(machine, plates, raising=False), rel=1e-5, abs=1e-3)


@given(machines(), st.data())
def test_one_arm_law_is_the_average_of_one_arm(machine: Machine, data: st.DataObject) -> None:
    plates = data.draw(loads(machine))
    felt = felt_by_law(felt_law(machine, only(machine), one_arm=True), plates)
    assert felt == pytest.approx(felt_by_brute_force(machine, plates, one_arm=True), rel=1e-5)


@given(machines(), st.data())
def test_without_friction_the_hand_s_work_is_the_energy_gained(machine: Machine, data: st.DataObject) -> None:
    smooth, plates = without_friction(machine), data.draw(loads(machine))
    mechanism, law = mechanism_of(smooth, only(smooth)), felt_law(smooth, only(smooth), one_arm=True)
    extra_kg = only(smooth).attachments[0].mass_kg if only(smooth).attachments else 0.0
    moment = loaded_moment(mechanism, list(smooth.horns.values()), plates, extra_kg)
    raised = potential_energy(moment, mechanism.to_rad) - potential_energy(moment, mechanism.from_rad)
    hung = STANDARD_GRAVITY * hung_kg(mechanism, extra_kg) * law.stroke_m
    posts = {share.horn.name: share for share in law.shares}
    felt = law.base_kg + sum(
        (1 if mechanism.arm.paired else share.horn.sides)
        * (share.per_kg * plates[name][0] + share.per_kg_m * plates[name][1])
        for name, share in posts.items()
    )
    assert felt * STANDARD_GRAVITY * law.stroke_m == pytest.approx(raised + hung, rel=1e-10, abs=1e-9)


@given(machines(), st.floats(0.01, 0.99))
def test_handle_ratio_is_the_slope_of_the_handle_s_way(machine: Machine, part: float) -> None:
    mechanism = mechanism_of(machine, only(machine))
    angle = mechanism.from_rad + part * (mechanism.to_rad - mechanism.from_rad)
    slope = (handle_travel(mechanism, angle + 1e-5) - handle_travel(mechanism, angle - 1e-5)) / 2e-5
    assert handle_ratio(mechanism, angle) == pytest.approx(slope, rel=1e-7, abs=1e-9)


@given(machines(), st.data())
def test_raising_never_takes_less_than_lowering_and_smooth_lies_between(
    machine: Machine, data: st.DataObject
) -> None:
    plates, angles = data.draw(loads(machine)), mechanism_of(machine, only(machine)).angles(9)
    smooth = resistance_curve(without_friction(machine), only(without_friction(machine)), angles, plates)
    felt = resistance_curve(machine, only(machine), angles, plates)
    for up, bare, down in zip(felt.raising_n, smooth.raising_n, felt.lowering_n, strict=True):
        assert up >= bare - 1e-9 >= down - 2e-9


@given(machines(), st.data())
def test_force_is_affine_in_the_plates(machine: Machine, data: st.DataObject) -> None:
    one, other = data.draw(loads(machine)), data.draw(loads(machine))
    both = {name: (one[name][0] + other[name][0], one[name][1] + other[name][1]) for name in one}
    angles = mechanism_of(machine, only(machine)).angles(5)
    found = [resistance_curve(machine, only(machine), angles, plates) for plates in (both, {}, one, other)]
    for sum_, none, first, second in zip(*(curve.raising_n for curve in found), strict=True):
        assert sum_ + none == pytest.approx(first + second, rel=1e-9)


@given(machines(), st.data())
def test_a_mirrored_machine_feels_the_same(machine: Machine, data: st.DataObject) -> None:
    plates, twin = data.draw(loads(machine)), mirrored(machine)
    ours, theirs = felt_law(machine, only(machine)), felt_law(twin, only(twin))
    assert felt_by_law(theirs, plates) == pytest.approx(felt_by_law(ours, plates), rel=1e-9)
    assert theirs.stroke_m == pytest.approx(ours.stroke_m, rel=1e-9)


@given(machines(), st.data())
def test_peaks_hold_for_the_cable_at_every_angle(machine: Machine, data: st.DataObject) -> None:
    station = replace(only(machine), attachments=())
    plates, law = data.draw(loads(machine)), felt_law(machine, station)
    masses = [plates[share.horn.name][0] for share in law.shares]
    told = max(
        base + math.fsum(a * b for a, b in zip(per_kg, masses, strict=True))
        for base, per_kg in zip(law.peak_base_n, law.peak_per_kg_n, strict=True)
    )
    angles = mechanism_of(machine, station).angles(STEPS)
    met = max(resistance_curve(machine, station, angles, plates, one_arm=True).raising_n)
    assert met <= told * 1.002


@given(machines())
def test_an_attachment_moves_with_its_handle(machine: Machine) -> None:
    mechanism = mechanism_of(machine, only(machine))
    bare, held = carried_moment(mechanism, 0.0), carried_moment(mechanism, 3.0)
    if isinstance(mechanism.drive, Cable):
        assert held == bare
    else:
        assert held[0] - bare[0] == pytest.approx(3.0 * mechanism.drive.hand_m[0])
