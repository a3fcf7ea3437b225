"""Fitting a machine to scale readings: the estimates, the readings that can't be right, and what else stands out.

See docs/model-calibration.md. numpy and scipy are imported when readings are fitted, never before.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from statistics import fmean, median

from steelyard.errors import OutOfRange
from steelyard.machine.bench import Bench, bench_of, expected
from steelyard.machine.calibration import Calibration, uncalibrated
from steelyard.machine.model import Machine
from steelyard.machine.reading import Creep, Reading, check_reading
from steelyard.machine.solve import Solution, noise_whole, usual_sd_kg
from steelyard.machine.suspects import MIDDLE_SQUARE, Suspect, sound_fit, suspects_of
from steelyard.machine.unknowns import TAPE_M
from steelyard.units import KG_PER_LB, show_share

MOST_TAPE_M = 0.2
JUMP = 2.0
"""A friction gap so many times the middle one says that something binds at that angle (common practice)."""
MOST_RESIDUAL = 0.03
"""A stop whose readings lie further off than this share points at the mechanism (common practice)."""
LEAST_ANGLES = 3
RESTLESS = 2.0
"""Readings that scatter so many times as much as expected need an explanation."""
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
        *restless(machine, bench, solution),
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
    """Rows of readings by station and stop. Angles in the same two degrees are one stop.

    A single reading left out as wrong says nothing of its stop; several left out there, all creeping alike, do.
    """
    found: dict[tuple[str, int], list[int]] = defaultdict(list)
    places = [(one.station, round(one.angle_rad / STOP_RAD)) for one in bench.readings]
    left_out = Counter(
        (place, one.creep)
        for place, one, used in zip(places, bench.readings, solution.used, strict=True)
        if not used
    )
    for row, (place, reading) in enumerate(zip(places, bench.readings, strict=True)):
        if not reading.is_check and (solution.used[row] or left_out[place, reading.creep] > 1):
            found[place].append(row)
    return found


def bindings(bench: Bench, solution: Solution) -> Iterator[str]:
    """Stops where up and down lie further apart than at the others: binding, or a cable off its groove."""
    gaps: dict[str, list[tuple[float, float, list[int]]]] = defaultdict(list)
    for (station, _), rows in stops(bench, solution).items():
        if {bench.readings[row].creep for row in rows} >= {Creep.UP, Creep.DOWN}:
            gaps[station].append((*friction_gap(bench, solution, rows), rows))
    for station, found in gaps.items():
        usual = median(gap for gap, _, _ in found)
        for gap, sd, rows in found:
            if gap > JUMP * usual and gap - usual > CERTAIN_SD * sd:
                apart = f"up and down differ by {show_share(gap)}, elsewhere by {show_share(max(0.0, usual))}"
                yield (
                    f"station {station} at {angle_words(bench, rows)}: {apart}; does the arm bind there, or the "
                    "cable leave its groove?"
                )


def friction_gap(bench: Bench, solution: Solution, rows: list[int]) -> tuple[float, float]:
    """How far up and down lie apart at a stop, as a share of the force, and its standard deviation."""
    up, down = (expected(bench, solution.x, creep=creep) for creep in (Creep.UP, Creep.DOWN))
    fitted = fmean(float((up[row] - down[row]) / solution.expected_kg[row]) for row in rows)
    over, under = (
        mean_misfit(bench, solution, [row for row in rows if bench.readings[row].creep is creep])
        for creep in (Creep.UP, Creep.DOWN)
    )
    return fitted + over[0] - under[0], math.hypot(over[1], under[1])


def off_the_model(bench: Bench, solution: Solution) -> Iterator[str]:
    """Stops whose readings all lie to one side of what a rigid arm as described could show."""
    for (station, _), rows in stops(bench, solution).items():
        share, sd = mean_misfit(bench, solution, rows)
        if abs(share) > MOST_RESIDUAL and abs(share) > CERTAIN_SD * sd:
            beside = show_share(share, places=1, signed=True)
            yield (
                f"station {station} at {angle_words(bench, rows)}: the scale showed {beside} beside the "
                "model; is the machine described as it is, the cable's way and the range above all?"
            )


def mean_misfit(bench: Bench, solution: Solution, rows: list[int]) -> tuple[float, float]:
    """Mean departure of readings from what is expected, as a share, and its standard deviation.

    The scatter is that of the middle reading: the one adapted has taken in just what is looked for here.
    """
    best, usual = solution.expected_kg, usual_sd_kg(solution)
    squares = ((bench.shown_kg - best) / usual)[solution.used] ** 2
    calm = math.sqrt(max(1.0, median(squares) / MIDDLE_SQUARE))
    shares = [float((bench.shown_kg[row] - best[row]) / best[row]) for row in rows]
    sd = calm * math.sqrt(math.fsum(float(usual[row] / best[row]) ** 2 for row in rows)) / len(rows)
    return fmean(shares), sd


def angle_words(bench: Bench, rows: list[int]) -> str:
    """Where the readings of one stop were taken."""
    return f"{math.degrees(fmean(bench.readings[row].angle_rad for row in rows)):.0f} degrees"


def restless(machine: Machine, bench: Bench, solution: Solution) -> Iterator[str]:
    """Whether so much doesn't fit that the unit or the description is the likelier fault."""
    wrong, count, noise = int((~solution.used).sum()), len(bench.readings), noise_whole(solution)
    if wrong > max(1, count // 5):
        yield (
            f"{wrong} of {count} readings don't fit the others; are the unit, the station and the plates as "
            "written down, and is the machine?"
        )
    if noise < RESTLESS:
        return
    in_kg = [replace(one, scale_kg=one.scale_kg * float(KG_PER_LB)) for one in bench.readings]
    # Smaller readings scatter less by themselves: they must fit better than that, and as well as any.
    if noise_whole(sound_fit(bench_of(machine, in_kg, TAPE_M))) < min(RESTLESS, float(KG_PER_LB) * noise / 2.0):
        yield "taken as pounds, the readings would fit far better; was everything typed in lb?"
    else:
        yield (
            f"the readings scatter {noise:.1f} times as much as those of a household scale; are the station, the "
            "angles and the plates as written down?"
        )
