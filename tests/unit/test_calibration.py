"""Calibrations as plain data: put into a machine, told to people, and carried into felt loads and curves."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from steelyard.errors import OutOfRange
from steelyard.machine.calibration import (
    Calibration,
    calibrated,
    curve_band,
    felt_averages,
    felt_band,
    law_vector,
    parameters,
    uncalibrated,
)
from steelyard.machine.curve import resistance_curve
from steelyard.machine.examples import example_text
from steelyard.machine.felt import felt_law
from steelyard.machine.file import read_machine
from steelyard.machine.model import Cable, Machine
from steelyard.machine.statics import arm_moment
from steelyard.machine.unknowns import unknowns

BOATHOUSE = read_machine(example_text("boathouse"), "boathouse.toml")
ROW, PULLEY = BOATHOUSE.stations["row"], BOATHOUSE.stations["high-pulley"]
PRIOR = uncalibrated(BOATHOUSE)
LOADED = {"tip": (20.0, 0.4)}
MACHINES = [read_machine(example_text(name), name) for name in ("boathouse", "counterbeam", "twin-arms")]


def one_known(name: str, value: float, sd: float = 0.0) -> Calibration:
    return Calibration((name,), (value,), ((sd * sd,),))


@pytest.mark.parametrize("machine", MACHINES, ids=lambda machine: machine.name)
def test_before_any_reading_the_machine_is_as_described(machine: Machine) -> None:
    same = calibrated(machine, uncalibrated(machine))
    for station in machine.stations.values():
        law = law_vector(felt_law(machine, station, body_mass_kg=80.0))
        assert law_vector(felt_law(same, same.stations[station.name], body_mass_kg=80.0)) == pytest.approx(law)


def test_a_moment_is_met_by_moving_where_the_arm_balances() -> None:
    arm = calibrated(BOATHOUSE, one_known("arm.main.along_kg_m", 9.0)).arms["main"]
    assert arm_moment(arm) == pytest.approx((9.0, arm_moment(BOATHOUSE.arms["main"])[1]))
    assert arm.mass_kg == BOATHOUSE.arms["main"].mass_kg


def test_an_arm_described_as_weightless_still_takes_a_moment() -> None:
    light = replace(BOATHOUSE, arms={"main": replace(BOATHOUSE.arms["main"], mass_kg=0.0)})
    assert arm_moment(calibrated(light, one_known("arm.main.along_kg_m", 3.0)).arms["main"])[0] == 3.0


def test_friction_and_places_are_put_in() -> None:
    names = ("arm.main.hinge_log", "horn.tip.up_m", "station.high-pulley.loss_log", "station.row.reach_log")
    values = (math.log(3.0), 0.05, math.log(0.05), math.log(1.01))
    machine = calibrated(BOATHOUSE, Calibration(names, values, ((0.0,) * 4,) * 4))
    drive = machine.stations["high-pulley"].drive
    assert machine.arms["main"].hinge_torque_n_m == pytest.approx(3.0)
    assert machine.horns["tip"].at_m == (0.9, 0.05)
    assert isinstance(drive, Cable)
    assert drive.efficiency == pytest.approx(math.exp(-0.05))


def test_a_reach_further_out_makes_the_station_lighter_by_that_share() -> None:
    further = one_known("station.row.reach_log", math.log(1.02))
    assert felt_averages(calibrated(BOATHOUSE, further), "row")[1] == pytest.approx(
        felt_averages(BOATHOUSE, "row")[1] / 1.02
    )


def test_parts_that_the_machine_no_longer_has_are_left_out() -> None:
    gone = one_known("horn.gone.along_m", 0.5)
    assert calibrated(BOATHOUSE, gone) == calibrated(BOATHOUSE, Calibration((), (), ()))
    assert "horn.gone.along_m" not in [one.name for one in parameters(BOATHOUSE, gone)]


def test_a_station_that_a_calibration_does_not_know_is_as_unsure_as_its_description() -> None:
    nothing = felt_band(BOATHOUSE, Calibration((), (), ()), ROW).interval(LOADED)
    assert nothing == pytest.approx(felt_band(BOATHOUSE, PRIOR, ROW).interval(LOADED))


@pytest.mark.parametrize("station", BOATHOUSE.stations.values(), ids=lambda station: station.name)
def test_the_middle_of_a_band_is_the_felt_load_of_the_calibrated_machine(station: object) -> None:
    name = station.name  # type: ignore[attr-defined]
    band = felt_band(BOATHOUSE, PRIOR, BOATHOUSE.stations[name], body_mass_kg=80.0)
    best = calibrated(BOATHOUSE, PRIOR)
    low, felt, high = band.interval(LOADED)
    law = law_vector(felt_law(best, best.stations[name], body_mass_kg=80.0))
    loaded = law[1] * 20.0 + law[2] * 0.4 if "tip" in [share.horn.name for share in band.law.shares] else 0.0
    assert felt == pytest.approx(law[0] + loaded)
    assert low <= felt <= high


def test_the_averages_are_those_of_the_whole_law() -> None:
    for station in (ROW, PULLEY):
        law = law_vector(felt_law(BOATHOUSE, station, attachment=None))
        assert felt_averages(BOATHOUSE, station.name) == pytest.approx(law)


def test_an_interval_is_the_slope_times_the_error_where_one_thing_is_unsure() -> None:
    sure = {one.name: one for one in unknowns(BOATHOUSE)}
    names = tuple(sure)
    variances = [1e-4 if name == "horn.tip.along_m" else 0.0 for name in names]
    rows = tuple(tuple(v if i == j else 0.0 for j in range(len(names))) for i, v in enumerate(variances))
    known = Calibration(names, tuple(one.value for one in sure.values()), rows)
    low, felt, high = felt_band(BOATHOUSE, known, ROW).interval(LOADED)
    moved = one_known("horn.tip.along_m", 0.91)
    wanted = law_vector(felt_law(calibrated(BOATHOUSE, moved), ROW))
    base = law_vector(felt_law(calibrated(BOATHOUSE, Calibration((), (), ())), ROW))
    assert high - felt == pytest.approx(1.959964 * 20.0 * (wanted[1] - base[1]), rel=1e-6)
    assert felt - low == pytest.approx(high - felt)


def test_the_scale_does_not_enter_a_felt_load() -> None:
    wrong = one_known("scale.gain", 0.05, 0.05)
    assert felt_band(BOATHOUSE, wrong, ROW).interval(LOADED) == pytest.approx(
        felt_band(BOATHOUSE, PRIOR, ROW).interval(LOADED)
    )


def test_one_arm_of_two_is_half_as_heavy_and_as_unsure_for_its_weight() -> None:
    twin = read_machine(example_text("twin-arms"), "twin-arms")
    station = next(one for one in twin.stations.values() if one.arm and twin.arms[one.arm].paired)
    both, one = (felt_band(twin, uncalibrated(twin), station, one_arm=single) for single in (False, True))
    assert one.interval({}) == pytest.approx([part / 2.0 for part in both.interval({})])


def test_body_weight_carries_no_error_of_the_arm_and_needs_the_body() -> None:
    inverted = BOATHOUSE.stations["inverted-row"]
    assert felt_band(BOATHOUSE, PRIOR, inverted, body_mass_kg=80.0).interval({}) == (48.0, 48.0, 48.0)
    with pytest.raises(OutOfRange, match="body mass"):
        felt_band(BOATHOUSE, PRIOR, inverted)


def test_a_curve_lies_within_its_band_at_every_angle() -> None:
    angles = (-0.2, 0.0, 0.2)
    low, high = curve_band(BOATHOUSE, PRIOR, PULLEY, angles, LOADED)
    best = calibrated(BOATHOUSE, PRIOR)
    curve = resistance_curve(best, best.stations["high-pulley"], angles, LOADED).raising_n
    assert all(a < force < b for a, force, b in zip(low, curve, high, strict=True))


def test_a_curve_band_of_a_sure_machine_has_no_width() -> None:
    names = PRIOR.names
    sure = Calibration(names, PRIOR.values, tuple((0.0,) * len(names) for _ in names))
    low, high = curve_band(BOATHOUSE, sure, ROW, (0.0, 0.1), {}, one_arm=True)
    assert low == pytest.approx(high)


def test_parameters_are_told_in_the_units_of_a_workshop() -> None:
    told = {one.name: one for one in parameters(BOATHOUSE, PRIOR)}
    assert [one.name for one in parameters(BOATHOUSE, PRIOR)] == [one.name for one in unknowns(BOATHOUSE)]
    assert (told["horn.tip.along_m"].unit, told["horn.tip.along_m"].value) == ("mm", pytest.approx(900.0))
    assert told["station.high-pulley.loss_log"].described == pytest.approx(0.97)
    assert told["station.row.reach_log"].value == pytest.approx(1000.0 * math.hypot(1.05, 0.04))
    assert told["scale.gain"].high == pytest.approx(100.0 * math.expm1(1.959964 * 0.005))


def test_every_parameter_lies_within_its_interval() -> None:
    assert all(one.low <= one.value <= one.high for one in parameters(BOATHOUSE, PRIOR))
