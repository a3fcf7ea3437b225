"""Fitting a machine to scale readings: the estimates, the readings that can't be right, and what else stands out.

See docs/model-calibration.md. numpy and scipy are imported when readings are fitted, never before.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from statistics import fmean

from steelyard.errors import OutOfRange
from steelyard.machine.bench import Bench, bench_of, expected
from steelyard.machine.calibration import Calibration, uncalibrated
from steelyard.machine.model import Machine
from steelyard.machine.reading import Creep, Reading, check_reading
from steelyard.machine.solve import Solution, noise_whole
from steelyard.machine.suspects import Suspect, sound_fit, suspects_of
from steelyard.machine.unknowns import TAPE_M

MOST_TAPE_M = 0.2
JUMP = 2.0
"""A friction gap so many times the middle one says that something binds at that angle (common practice)."""
MOST_RESIDUAL = 0.03
"""A stop whose readings lie further off than this share points at the mechanism (common practice)."""
LEAST_ANGLES = 3
STOP_RAD = math.radians(2.0)
CERTAIN_SD = 3.0
"""A remark needs a departure of so many standard deviations."""

__all__ = ["Fit", "Suspect", "fit_readings"]


@dataclass(frozen=True, slots=True)
class Fit:
    """What readings make of a machine.

    used: the readings behind the calibration. suspects: those left out, for they can't be right.
    remarks: what else a person should know, one sentence each.
    """

    calibration: Calibration
    used: tuple[Reading, ...]
    suspects: tuple[Suspect, ...]
    remarks: tuple[str, ...]


def fit_readings(machine: Machine, readings: Sequence[Reading], *, tape_m: float = TAPE_M) -> Fit:
    """The calibration that scale readings give, with readings that can't be right left out and named.

    machine:  as described.
    readings: in any order, from any stations, with or without checks of the scale.
    tape_m:   standard deviation of each coordinate in the description. [m]

    Raises: OutOfRange if there is no reading, two have one id, or the tape is none; and as `check_reading` for a
            reading that can't have been taken.
    Holds:  rigid arm, taut weightless cable, handle moving slowly; friction as in `statics`.
    Source: Bayesian linear models with Gaussian priors, solved by Gauss-Newton steps (textbook; from memory).
    """
    check_readings(machine, readings, tape_m)
    bench = bench_of(machine, readings, tape_m)
    solution = sound_fit(bench)
    used = tuple(reading for reading, kept in zip(readings, solution.used, strict=True) if kept)
    remarks = (
        *missing(used),
        *many_wrong(bench, solution),
        *bindings(bench, solution),
        *off_the_model(bench, solution),
    )
    calibration = calibration_of(uncalibrated(machine, tape_m=tape_m), bench, solution)
    return Fit(calibration, used, suspects_of(bench, solution), remarks)


def check_readings(machine: Machine, readings: Sequence[Reading], tape_m: float) -> None:
    """Refuse what can't be fitted."""
    if not readings:
        raise OutOfRange("number of readings", 0, "1 or more; begin with the empty arm")
    if not 0.0 < tape_m <= MOST_TAPE_M:
        accepted = f"above 0 mm and at most {1000 * MOST_TAPE_M:g} mm"
        raise OutOfRange("error of the tape", f"{1000 * tape_m:g} mm", accepted)
    for reading in readings:
        check_reading(machine, reading)
    ids = [reading.id for reading in readings]
    twice = next((one for one in ids if ids.count(one) > 1), None)
    if twice is not None:
        raise OutOfRange("reading id", f"'{twice}' twice", "different for every reading")


def calibration_of(before: Calibration, bench: Bench, solution: Solution) -> Calibration:
    """The unknowns of the whole machine: those read as found, the others as they were before.

    Rounded to what is meaningful, so that a calibration stays short when it is written down.
    """
    found = {one.name: place for place, one in enumerate(bench.unknowns)}
    places = [found.get(name) for name in before.names]
    values = (
        old if place is None else float(solution.x[place])
        for place, old in zip(places, before.values, strict=True)
    )
    rows = (
        tuple(
            old[j] if one is None or other is None else float(solution.covariance[one, other])
            for j, other in enumerate(places)
        )
        for one, old in zip(places, before.covariance, strict=True)
    )
    return Calibration(
        before.names,
        tuple(digits(value, 12) for value in values),
        tuple(tuple(digits(part, 8) for part in row) for row in rows),
        digits(noise_whole(solution), 6),
    )


def digits(value: float, count: int) -> float:
    """A number rounded to so many significant digits."""
    return float(f"{value:.{count}g}")


def missing(used: Sequence[Reading]) -> Iterator[str]:
    """What the readings can't tell, and which reading would."""
    handles = [reading for reading in used if not reading.is_check]
    if not handles:
        yield "only the scale was checked; read the empty arm next"
        return
    if all(reading.loads for reading in handles):
        yield "the empty arm was not read; its weight is only as sure as its description"
    if not any(reading.loads for reading in handles):
        yield "no reading with plates on; where the horns sit is only as sure as the tape measure"
    by_station: dict[str, list[Reading]] = defaultdict(list)
    for reading in handles:
        by_station[reading.station].append(reading)
    one_way = [
        name for name, here in by_station.items() if not {Creep.UP, Creep.DOWN} <= {one.creep for one in here}
    ]
    if one_way:
        yield f"not read creeping both up and down, so that friction is a guess: {', '.join(one_way)}"
    few = [
        name for name, here in by_station.items() if len({round(one.angle_rad, 3) for one in here}) < LEAST_ANGLES
    ]
    if few:
        yield f"read at fewer than {LEAST_ANGLES} angles; the change over the range is a guess: {', '.join(few)}"


def stops(bench: Bench, solution: Solution) -> dict[tuple[str, int], list[int]]:
    """Rows of the readings used, by station and stop. Angles in the same two degrees are one stop."""
    found: dict[tuple[str, int], list[int]] = defaultdict(list)
    for row, reading in enumerate(bench.readings):
        if solution.used[row] and not reading.is_check:
            found[reading.station, round(reading.angle_rad / STOP_RAD)].append(row)
    return found


def bindings(bench: Bench, solution: Solution) -> Iterator[str]:
    """Stops where up and down lie further apart than friction elsewhere: binding, or a cable off its groove."""
    up, down = (expected(bench, solution.x, creep=creep) for creep in (Creep.UP, Creep.DOWN))
    for (station, _), rows in stops(bench, solution).items():
        ways = [[row for row in rows if bench.readings[row].creep is creep] for creep in (Creep.UP, Creep.DOWN)]
        if not all(ways):
            continue
        over, under = (mean_misfit(bench, solution, way) for way in ways)
        usual = fmean(float((up[row] - down[row]) / solution.expected_kg[row]) for row in rows)
        more, sd = over[0] - under[0], math.hypot(over[1], under[1])
        if more > (JUMP - 1.0) * usual and more > CERTAIN_SD * sd:
            yield (
                f"station {station} at {angle_words(bench, rows)}: up and down differ by {usual + more:.0%}, "
                f"where {usual:.0%} fits the rest; does the arm bind, or the cable leave its groove?"
            )


def off_the_model(bench: Bench, solution: Solution) -> Iterator[str]:
    """Stops whose readings all lie to one side of what a rigid arm as described could show."""
    for (station, _), rows in stops(bench, solution).items():
        share, sd = mean_misfit(bench, solution, rows)
        if abs(share) > MOST_RESIDUAL and abs(share) > CERTAIN_SD * sd:
            yield (
                f"station {station} at {angle_words(bench, rows)}: the scale showed {share:+.1%} beside the "
                "model; is the machine described as it is, the cable's way and the range above all?"
            )


def mean_misfit(bench: Bench, solution: Solution, rows: list[int]) -> tuple[float, float]:
    """Mean departure of readings from what is expected, as a share, and its standard deviation."""
    best = solution.expected_kg
    shares = [float((bench.shown_kg[row] - best[row]) / best[row]) for row in rows]
    squares = [float(solution.sd_kg[row] / best[row]) ** 2 for row in rows]
    return fmean(shares), math.sqrt(math.fsum(squares)) / len(rows)


def angle_words(bench: Bench, rows: list[int]) -> str:
    """Where the readings of one stop were taken."""
    return f"{math.degrees(fmean(bench.readings[row].angle_rad for row in rows)):.0f} degrees"


def many_wrong(bench: Bench, solution: Solution) -> Iterator[str]:
    """Whether so many readings were left out that the description is the likelier fault."""
    wrong, count = int((~solution.used).sum()), len(bench.readings)
    if wrong > max(1, count // 5):
        yield (
            f"{wrong} of {count} readings don't fit the others; are the unit, the station and the plates as "
            "written down, and is the machine?"
        )
