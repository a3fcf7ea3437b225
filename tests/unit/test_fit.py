"""Fitting readings: the truth comes back, wrong readings are named with the likely slip, the rest remarked on."""

from __future__ import annotations

import math
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from random import Random

import pytest

from simulated_scales import Case, Stop, World, protocol, readings_of
from steelyard.errors import OutOfRange
from steelyard.machine.bench import bench_of, expected, slopes
from steelyard.machine.calibration import calibrated, felt_averages, felt_band, parameters, uncalibrated
from steelyard.machine.examples import example_text
from steelyard.machine.file import read_machine
from steelyard.machine.fit import Fit, fit_readings
from steelyard.machine.model import Cable, Machine
from steelyard.machine.reading import Creep, Reading

BOATHOUSE = read_machine(example_text("boathouse"), "boathouse.toml")
COUNTERBEAM = read_machine(example_text("counterbeam"), "counterbeam.toml")
WRONG = (1, 4, 11, 13, 18)
EXACT = World(scale_kg=0.0, gain=0.0, off_axis_rad=0.0, angle_rad=0.0, plates=0.0)


def differing() -> Machine:
    """The boathouse gym as it might really be."""
    arm = replace(BOATHOUSE.arms["main"], mass_kg=18.0, com_m=(0.54, 0.02), hinge_torque_n_m=3.0)
    horn = replace(BOATHOUSE.horns["tip"], at_m=(0.91, 0.035))
    pulley = BOATHOUSE.stations["high-pulley"]
    assert isinstance(pulley.drive, Cable)
    worn = replace(pulley, drive=replace(pulley.drive, efficiency=0.95))
    return replace(
        BOATHOUSE,
        arms={"main": arm},
        horns={**BOATHOUSE.horns, "tip": horn},
        stations={**BOATHOUSE.stations, "high-pulley": worn},
    )


def exact(station: str, repeats: int = 1) -> list[Reading]:
    """Readings without any error, of the standard protocol."""
    case = Case(BOATHOUSE, differing(), station)
    return readings_of(Random(1), case, protocol(case, repeats=repeats), EXACT)


def wrong(readings: list[Reading], row: int, **changes: object) -> Fit:
    """The fit with one reading written down wrongly."""
    changed = [*readings]
    changed[row] = replace(readings[row], **changes)  # type: ignore[arg-type]
    return fit_readings(BOATHOUSE, changed)


@pytest.mark.parametrize("station", ["row", "high-pulley", "low-pulley", "squat"])
def test_readings_without_error_bring_the_truth_back(station: str) -> None:
    fit = fit_readings(BOATHOUSE, exact(station, repeats=3))
    found = felt_averages(calibrated(BOATHOUSE, fit.calibration), station)
    truth = felt_averages(differing(), station)
    weights = (1.0, 20.0, 0.4)
    felt, true = (sum(a * b for a, b in zip(law, weights, strict=True)) for law in (found, truth))
    # The scale and the tape are trusted a little less than these readings deserve: half a percent remains.
    assert felt == pytest.approx(true, rel=0.005)
    assert not fit.suspects


def test_a_fit_says_less_scatter_where_there_is_none_and_more_where_there_is() -> None:
    calm = fit_readings(BOATHOUSE, exact("row", repeats=3))
    rough = [replace(one, scale_kg=one.scale_kg * (1.04, 0.96)[k % 2]) for k, one in enumerate(exact("row", 3))]
    assert calm.calibration.noise < 0.5
    assert fit_readings(BOATHOUSE, rough).calibration.noise > 1.5


def test_the_efficiency_of_the_wheels_is_found_within_its_interval() -> None:
    fit = fit_readings(BOATHOUSE, exact("high-pulley", repeats=3))
    told = {one.name: one for one in parameters(BOATHOUSE, fit.calibration)}["station.high-pulley.loss_log"]
    assert told.low < 0.95 < told.high
    assert told.high - told.low < 0.02


def test_the_order_of_the_readings_does_not_matter() -> None:
    there, back = exact("row"), exact("row")[::-1]
    assert fit_readings(BOATHOUSE, back).calibration.values == pytest.approx(
        fit_readings(BOATHOUSE, there).calibration.values, abs=1e-6
    )


def test_what_no_reading_tells_of_stays_as_described() -> None:
    fit, before = fit_readings(BOATHOUSE, exact("row")), uncalibrated(BOATHOUSE)
    place = before.names.index("station.low-pulley.loss_log")
    assert fit.calibration.names == before.names
    assert fit.calibration.values[place] == pytest.approx(before.values[place])
    assert fit.calibration.covariance[place][place] == pytest.approx(before.covariance[place][place])


def test_every_covariance_is_symmetric_and_no_variance_grows() -> None:
    fit, before = fit_readings(BOATHOUSE, exact("high-pulley")).calibration, uncalibrated(BOATHOUSE)
    for one, row in enumerate(fit.covariance):
        assert row[one] <= before.covariance[one][one] * (1.0 + 1e-6)
        assert row == pytest.approx([line[one] for line in fit.covariance], rel=1e-6)


def test_a_check_of_the_scale_tells_of_its_gain_and_of_nothing_else() -> None:
    checks = [Reading(f"c{k}", "", 0.0, Creep.HELD, {}, 20.2, 0.002, 20.0) for k in range(6)]
    fit = fit_readings(BOATHOUSE, checks)
    told = {one.name: one for one in parameters(BOATHOUSE, fit.calibration)}
    assert 0.3 < told["scale.gain"].value < 1.0
    assert felt_band(BOATHOUSE, fit.calibration, BOATHOUSE.stations["row"]).interval({}) == pytest.approx(
        felt_band(BOATHOUSE, uncalibrated(BOATHOUSE), BOATHOUSE.stations["row"]).interval({})
    )
    assert fit.remarks == ("only the scale was checked; read the empty arm next",)


def test_many_checks_with_one_plate_are_no_better_than_the_plate() -> None:
    checks = [Reading(f"c{k}", "", 0.0, Creep.HELD, {}, 20.0, 0.015, 20.0) for k in range(200)]
    told = parameters(BOATHOUSE, fit_readings(BOATHOUSE, checks).calibration)[-1]
    assert told.high - told.low > 0.9 * 2 * 1.96 * 100.0 / math.hypot(1 / 0.005, 1 / 0.015)


def test_weighed_plates_make_a_surer_horn_than_plates_as_cast() -> None:
    weighed = fit_readings(BOATHOUSE, exact("row"))
    cast = fit_readings(BOATHOUSE, [replace(one, plates_sd=0.015) for one in exact("row")])
    place = weighed.calibration.names.index("horn.tip.along_m")
    assert weighed.calibration.covariance[place][place] < 0.95 * cast.calibration.covariance[place][place]


def test_held_readings_leave_more_open_than_the_same_creeping() -> None:
    up = [one for one in exact("high-pulley") if one.creep is Creep.UP]
    held = [replace(one, creep=Creep.HELD) for one in up]
    widths = []
    for readings in (up, held):
        fit = fit_readings(BOATHOUSE, readings)
        low, _, high = felt_band(BOATHOUSE, fit.calibration, BOATHOUSE.stations["high-pulley"]).interval({})
        widths.append(high - low)
    assert widths[0] < widths[1]


@pytest.mark.parametrize(
    ("slip", "likely"),
    [
        (lambda loaded, empty: loaded / 0.45359237, "kg: typed in lb?"),
        (lambda loaded, empty: loaded * 0.45359237, "kg, typed as lb?"),
        (lambda loaded, empty: 1.5 * loaded, "read or typed wrongly, or the arm stuck?"),
        (lambda loaded, empty: empty, "the empty arm would show"),
    ],
)
def test_a_wrong_reading_is_named_with_the_likely_slip(slip: Callable[[float, float], float], likely: str) -> None:
    readings = exact("high-pulley")
    row = next(k for k, one in enumerate(readings) if one.loads and one.creep is Creep.DOWN)
    fit = wrong(readings, row, scale_kg=slip(readings[row].scale_kg, readings[row - 10].scale_kg))
    assert [suspect.reading.id for suspect in fit.suspects] == [readings[row].id]
    assert likely in fit.suspects[0].likely


def test_up_and_down_swapped_is_said_so() -> None:
    readings = exact("high-pulley", repeats=3)
    row = next(k for k, one in enumerate(readings) if one.loads and one.creep is Creep.UP)
    fit = wrong(readings, row, creep=Creep.DOWN)
    assert "up and down swapped?" in fit.suspects[0].likely


def test_a_suspect_lies_outside_what_the_others_expect_and_is_left_out() -> None:
    readings = exact("row")
    fit = wrong(readings, 3, scale_kg=readings[3].scale_kg * 1.5)
    (suspect,) = fit.suspects
    assert suspect.low_kg < readings[3].scale_kg < suspect.high_kg < suspect.reading.scale_kg
    assert len(fit.used) == len(readings) - 1
    assert suspect.expected_kg == pytest.approx(readings[3].scale_kg, rel=0.02)


def test_two_wrong_readings_do_not_hide_each_other() -> None:
    readings = exact("high-pulley", repeats=3)
    for row in (5, 6):
        readings[row] = replace(readings[row], scale_kg=readings[row].scale_kg * 2.2046)
    assert {suspect.reading.id for suspect in fit_readings(BOATHOUSE, readings).suspects} == {"5", "6"}


def test_readings_that_mostly_disagree_are_remarked_on() -> None:
    readings = [
        replace(one, scale_kg=one.scale_kg * (2.2 if k % 3 else 1.0)) for k, one in enumerate(exact("row"))
    ]
    assert any(
        "times as much as those of a household" in said for said in fit_readings(BOATHOUSE, readings).remarks
    )


def test_many_wrong_readings_put_what_was_written_down_in_doubt() -> None:
    readings = [
        replace(one, scale_kg=one.scale_kg * (1.0 if k not in WRONG else 2.2))
        for k, one in enumerate(exact("row"))
    ]
    fit = fit_readings(BOATHOUSE, readings)
    assert [suspect.reading.id for suspect in fit.suspects] == [str(row) for row in WRONG]
    assert any("5 of 20 readings don't fit the others" in remark for remark in fit.remarks)


def test_everything_typed_in_pounds_is_noticed() -> None:
    readings = [replace(one, scale_kg=one.scale_kg / 0.45359237) for one in exact("row")]
    assert any("was everything typed in lb?" in remark for remark in fit_readings(BOATHOUSE, readings).remarks)


def test_a_stop_where_the_arm_binds_is_remarked_on() -> None:
    readings = exact("high-pulley", repeats=3)
    angle = readings[12].angle_rad
    off = {Creep.UP: 1.15, Creep.DOWN: 0.85}
    readings = [
        replace(one, scale_kg=one.scale_kg * (off[one.creep] if one.angle_rad == angle else 1.0))
        for one in readings
    ]
    assert any("does the arm bind" in remark for remark in fit_readings(BOATHOUSE, readings).remarks)


def test_a_stop_off_the_model_is_remarked_on() -> None:
    readings = exact("row", repeats=6)
    angle = readings[24].angle_rad
    readings = [
        replace(one, scale_kg=one.scale_kg * (1.07 if one.angle_rad == angle else 1.0)) for one in readings
    ]
    assert any(
        "is the machine described as it is" in remark for remark in fit_readings(BOATHOUSE, readings).remarks
    )


def test_readings_without_error_earn_no_remark() -> None:
    assert fit_readings(BOATHOUSE, exact("high-pulley", repeats=3)).remarks == ()


@pytest.mark.parametrize(
    ("keep", "remark"),
    [
        (lambda one: not one.loads, "no reading with plates on"),
        (lambda one: bool(one.loads), "the empty arm was not read"),
        (lambda one: one.creep is Creep.UP, "friction is a guess: row"),
        (lambda one: one.angle_rad == exact("row")[0].angle_rad, "fewer than 3 angles"),
    ],
)
def test_what_the_readings_cannot_tell_is_said(keep: object, remark: str) -> None:
    readings = [one for one in exact("row") if keep(one)]  # type: ignore[operator]
    assert any(remark in said for said in fit_readings(BOATHOUSE, readings).remarks)


@pytest.mark.parametrize(
    ("readings", "tape_m", "message"),
    [
        ([], 0.01, "number of readings is 0; it must be 1 or more"),
        ([*exact("row")[:1], *exact("row")[:1]], 0.01, "reading id is '0' twice; it must be different"),
        (exact("row")[:1], 0.0, "error of the tape is 0 mm; it must be above 0 mm and at most 200 mm"),
    ],
)
def test_what_cannot_be_fitted_is_refused(readings: list[Reading], tape_m: float, message: str) -> None:
    with pytest.raises(OutOfRange) as caught:
        fit_readings(BOATHOUSE, readings, tape_m=tape_m)
    assert str(caught.value).startswith(message)


@pytest.mark.parametrize("machine", [BOATHOUSE, COUNTERBEAM], ids=["boathouse", "counterbeam"])
def test_the_slopes_of_a_bench_are_those_of_what_it_expects(machine: Machine) -> None:
    import numpy as np

    stations = [station.name for station in machine.stations.values() if station.arm]
    horns = {name: machine.horns_of(machine.stations[name])[0].name for name in stations}
    stops = [(name, creep, on) for name in stations for creep in Creep for on in ({}, {horns[name]: (20.0, 1.5)})]
    readings = [Reading(str(k), name, 0.1, creep, on, 9.0) for k, (name, creep, on) in enumerate(stops)]
    bench = bench_of(machine, [*readings, Reading("c", "", 0.0, Creep.HELD, {}, 20.0, hung_kg=20.0)], 0.01)
    x = bench.prior + 0.3 * bench.prior_sd
    steps = np.diag(1e-4 * bench.prior_sd)
    wanted = [(expected(bench, x + step) - expected(bench, x - step)) / (2.0 * step.sum()) for step in steps]
    assert slopes(bench, x) == pytest.approx(np.array(wanted).T, rel=1e-5, abs=1e-6)


def test_a_bench_expects_what_the_statics_say() -> None:
    case = Case(BOATHOUSE, BOATHOUSE, "high-pulley")
    stops = [Stop(0.1, creep, {"tip": (15.0, 0.3)}) for creep in (Creep.UP, Creep.DOWN)]
    bench = bench_of(BOATHOUSE, readings_of(Random(1), case, stops, EXACT), 0.01)
    x = bench.prior.copy()
    x[bench.pull] = 0.0
    assert expected(bench, x) == pytest.approx(bench.shown_kg, rel=1e-12)


def test_fitting_is_imported_without_what_it_computes_with() -> None:
    modules = "sys, steelyard.machine.fit, steelyard.machine.protocol"
    code = f"import {modules}; print({{'numpy', 'scipy'}} & set(sys.modules))"
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert found.stdout.strip() == "set()"
