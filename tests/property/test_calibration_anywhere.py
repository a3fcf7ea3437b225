"""Whatever the machine: readings without error are believed, and a calibration treats a mirrored machine alike."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from machines_at_random import machines, mirrored
from steelyard.machine.calibration import Calibration, felt_band, uncalibrated
from steelyard.machine.felt import felt_law
from steelyard.machine.fit import fit_readings
from steelyard.machine.model import Machine
from steelyard.machine.protocol import pulls_kg, steps
from steelyard.machine.reading import Creep, Reading

SLOW = settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def bare(machine: Machine) -> Machine:
    """Nothing clipped on."""
    return replace(machine, stations={name: replace(s, attachments=()) for name, s in machine.stations.items()})


def perfect(machine: Machine, load_kg: float) -> list[Reading]:
    """The protocol on a machine that is just as described, by a scale and a hand that never err."""
    loads = {"horn0": (load_kg, 0.02 * load_kg)}
    found = []
    for number, step in enumerate(steps(machine, "only", loads)):
        shown = pulls_kg(machine, "only", (step.angle_rad,), step.loads, step.creep)[0]
        if shown > 0.5:
            found.append(Reading(str(number), "only", step.angle_rad, step.creep, step.loads, shown, 0.002))
    return found


@given(machine=machines(), load_kg=st.sampled_from([10.0, 20.0]))
@SLOW
def test_perfect_readings_are_all_believed_and_the_felt_load_is_kept(machine: Machine, load_kg: float) -> None:
    machine = bare(machine)
    readings = perfect(machine, load_kg)
    if not readings:
        return
    fit = fit_readings(machine, readings)
    law = felt_law(machine, machine.stations["only"])
    low, _, high = felt_band(machine, fit.calibration, machine.stations["only"]).interval({})
    assert fit.suspects == ()
    assert low <= law.base_kg <= high


@given(machine=machines(), load_kg=st.sampled_from([10.0, 20.0]))
@SLOW
def test_readings_never_widen_an_interval_of_what_they_read(machine: Machine, load_kg: float) -> None:
    machine = bare(machine)
    readings = [one for one in perfect(machine, load_kg) if one.creep is not Creep.HELD]
    if len(readings) < 20:
        return
    fit, station = fit_readings(machine, readings), machine.stations["only"]
    widths = []
    for known in (uncalibrated(machine), fit.calibration):
        low, _, high = felt_band(machine, known, station).interval({"horn0": (load_kg, 0.02 * load_kg)})
        widths.append(high - low)
    assert widths[1] < widths[0]


@given(machine=machines(), scale=st.floats(0.5, 2.0))
@SLOW
def test_an_interval_grows_with_the_errors_behind_it(machine: Machine, scale: float) -> None:
    known, station = uncalibrated(machine), machine.stations["only"]
    band = felt_band(machine, known, station)
    rows = tuple(tuple(scale * scale * part for part in row) for row in band.covariance)
    low, felt, high = band.interval({})
    wider = replace(band, covariance=rows).interval({})
    assert wider[2] - wider[0] == pytest.approx(scale * (high - low))
    assert wider[1] == felt


@given(machine=machines())
@SLOW
def test_a_mirrored_machine_is_as_unsure(machine: Machine) -> None:
    there, back = (
        felt_band(one, sure_but_horns(one), one.stations["only"]) for one in (machine, mirrored(machine))
    )
    loads = {"horn0": (20.0, 0.4)}
    # Seen from behind, what lies above an arm lies below it in the arm's own frame.
    assert back.interval(loads) == pytest.approx(there.interval(loads), rel=1e-6, abs=1e-9)


def sure_but_horns(machine: Machine) -> Calibration:
    """Only the places of horns are unsure."""
    prior = uncalibrated(machine)
    rows = tuple(
        tuple(part if name.startswith("horn.") else 0.0 for part in row)
        for name, row in zip(prior.names, prior.covariance, strict=True)
    )
    return replace(prior, covariance=rows)


@given(kg=st.floats(5.0, 40.0), gain=st.floats(-0.01, 0.01), count=st.integers(1, 12))
@SLOW
def test_checks_of_the_scale_are_weighed_as_the_textbook_has_it(kg: float, gain: float, count: int) -> None:
    from steelyard.machine.examples import example_text
    from steelyard.machine.file import read_machine

    machine = read_machine(example_text("boathouse"), "boathouse.toml")
    shown = kg * (1.0 + gain)
    checks = [Reading(str(k), "", 0.0, Creep.HELD, {}, shown, 0.002, kg) for k in range(count)]
    calibration = fit_readings(machine, checks).calibration
    scatter = calibration.noise * math.hypot(0.15, 0.01 * kg) / kg
    error = scatter**2 / count + 0.002**2
    # One normal quantity, seen through readings whose plate has an error of its own: closed form.
    assert calibration.values[-1] == pytest.approx(gain * 0.005**2 / (0.005**2 + error), abs=2e-4)
    assert math.sqrt(calibration.covariance[-1][-1]) == pytest.approx(
        math.sqrt(1.0 / (1.0 / 0.005**2 + 1.0 / error)), rel=0.03
    )
