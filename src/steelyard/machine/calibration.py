"""A calibration: what readings said of a machine, how sure, and what that makes of every felt load.

A calibration is plain data. Putting it into a machine gives a machine like any other; its covariance, carried
through the felt law, gives every felt load its interval. The scale's own error belongs to the scale and stays out.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from steelyard.machine.curve import resistance_curve
from steelyard.machine.felt import attached, averaged_law, felt_law
from steelyard.machine.model import AcrossArm, Cable, FeltLaw, FixedDirection, Machine, Station
from steelyard.machine.statics import Way, mechanism_of
from steelyard.machine.unknowns import TAPE_M, point_of, unknowns, with_values

TWO_SIDED_95 = 1.959964
"""Standard deviations of a normal distribution that hold 95 % of it."""

Vector = tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Calibration:
    """Estimates of a machine's unknowns, in the coordinates of `unknowns`, and how they err together.

    Shape:  covariance is square, in the order of the names.
    noise: scatter of the readings over the one expected of a household scale.
    """

    names: tuple[str, ...]
    values: Vector
    covariance: tuple[Vector, ...]
    noise: float = 1.0


@dataclass(frozen=True, slots=True)
class Parameter:
    """One unknown for people: in words, in a unit, as described and as found, with its 95 % interval."""

    name: str
    words: str
    unit: str
    described: float
    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class FeltBand:
    """A felt law and how sure it is.

    covariance: of (base, then per_kg and per_kg_m of each horn, all its sides together). [kg², ...]
    """

    law: FeltLaw
    covariance: tuple[Vector, ...]

    def interval(self, masses: Mapping[str, tuple[float, float]]) -> tuple[float, float, float]:
        """Low end, best estimate and high end of the felt load of a loading, 95 %. [kg]

        masses: by horn, mass on one post and its `stack_moment`; a horn left out is empty. [kg], [kg m]
        """
        row = [1.0]
        for share in self.law.shares:
            row.extend(masses.get(share.horn.name, (0.0, 0.0)))
        felt = math.fsum(part * weight for part, weight in zip(law_vector(self.law), row, strict=True))
        half = TWO_SIDED_95 * spread(row, self.covariance)
        return felt - half, felt, felt + half


def uncalibrated(machine: Machine, *, tape_m: float = TAPE_M) -> Calibration:
    """What is known before any reading: the machine as described, with the errors of a tape measure.

    tape_m: standard deviation of each measured coordinate. [m]
    """
    found = unknowns(machine, tape_m=tape_m)
    rows = tuple(tuple(one.sd**2 if one is other else 0.0 for other in found) for one in found)
    return Calibration(tuple(one.name for one in found), tuple(one.value for one in found), rows)


def calibrated(machine: Machine, calibration: Calibration) -> Machine:
    """The machine as described with the best estimates put in.

    Parts it no longer has are left out; parts that the calibration does not know of are taken as `unknowns` has
    them before any reading.
    """
    known = completed(machine, calibration)
    return with_values(machine, dict(zip(known.names, known.values, strict=True)))


def felt_band(
    machine: Machine,
    calibration: Calibration,
    station: Station,
    *,
    one_arm: bool = False,
    body_mass_kg: float | None = None,
    attachment: str | None = None,
) -> FeltBand:
    """The felt law of a station of the calibrated machine, with its uncertainty.

    machine: as described, not calibrated yet.
    one_arm, body_mass_kg, attachment: as for `felt_law`.

    Raises: as `felt_law`.
    """

    best = calibrated(machine, calibration)
    law = felt_law(
        best, best.stations[station.name], one_arm=one_arm, body_mass_kg=body_mass_kg, attachment=attachment
    )

    def averages(found: Machine) -> Vector:
        return felt_averages(found, station.name, one_arm=one_arm, attachment=attachment)

    slopes, variances = carried(machine, calibration, station, averages)
    return FeltBand(law, sandwich(slopes, variances, len(law_vector(law))))


def curve_band(
    machine: Machine,
    calibration: Calibration,
    station: Station,
    angles_rad: Sequence[float],
    loads: Mapping[str, tuple[float, float]],
    *,
    one_arm: bool = False,
) -> tuple[Vector, Vector]:
    """Low and high end of the raising force at each angle, 95 %. [N]

    machine: as described. angles_rad, loads, one_arm: as for `resistance_curve`.

    Raises: as `resistance_curve`.
    """

    def raising(found: Machine) -> Vector:
        return resistance_curve(found, found.stations[station.name], angles_rad, loads, one_arm=one_arm).raising_n

    slopes, variances = carried(machine, calibration, station, raising)
    best = raising(calibrated(machine, calibration))
    columns = zip(*slopes, strict=True) if slopes else ((0.0,),) * len(best)
    halves = [TWO_SIDED_95 * spread(column, variances) for column in columns]
    low = tuple(force - half for force, half in zip(best, halves, strict=True))
    return low, tuple(force + half for force, half in zip(best, halves, strict=True))


def felt_averages(machine: Machine, name: str, *, one_arm: bool = False, attachment: str | None = None) -> Vector:
    """`law_vector` of a lever or cable station, without the peaks that a whole felt law looks for."""
    station = machine.stations[name]
    mechanism, horns = mechanism_of(machine, station), machine.horns_of(station)
    hands = 2 if mechanism.arm.paired and not one_arm else 1
    extra_kg = attached(station, attachment).mass_kg
    return law_vector(averaged_law(mechanism, station, horns, hands=hands, extra_kg=extra_kg, way=Way.RAISING))


def law_vector(law: FeltLaw) -> Vector:
    """A felt law as one row of numbers, every horn with all its sides."""
    shares = ((share.sides * share.per_kg, share.sides * share.per_kg_m) for share in law.shares)
    return (law.base_kg, *(part for pair in shares for part in pair))


def carried(
    machine: Machine, calibration: Calibration, station: Station, result: Callable[[Machine], Vector]
) -> tuple[list[Vector], tuple[Vector, ...]]:
    """How each unknown that a station feels moves a result, and the covariance of just those unknowns."""
    known = completed(machine, calibration)
    felt = felt_names(machine, station)
    places = [place for place, name in enumerate(known.names) if name in felt]
    slopes = slopes_of(alone(machine, station), known, [known.names[place] for place in places], result)
    return slopes, tuple(tuple(known.covariance[one][other] for other in places) for one in places)


def alone(machine: Machine, station: Station) -> Machine:
    """The machine with one station only, which is quicker to change."""
    return replace(machine, stations={station.name: machine.stations[station.name]})


def slopes_of(
    machine: Machine, known: Calibration, names: Sequence[str], result: Callable[[Machine], Vector]
) -> list[Vector]:
    """How each of these unknowns moves a result.

    A slope is the secant over one standard deviation either way, so that a curved dependence counts as wide as it
    is where the unknown may lie.
    """
    values = dict(zip(known.names, known.values, strict=True))
    slopes: list[Vector] = []
    for name in names:
        place = known.names.index(name)
        step = math.sqrt(known.covariance[place][place]) or 1e-9
        above = result(with_values(machine, {**values, name: values[name] + step}))
        below = result(with_values(machine, {**values, name: values[name] - step}))
        slopes.append(tuple((high - low) / (2.0 * step) for high, low in zip(above, below, strict=True)))
    return slopes


def felt_names(machine: Machine, station: Station) -> frozenset[str]:
    """Names of the unknowns that a station feels; none for body weight and free weights."""
    if station.arm is None:
        return frozenset()
    arm = (f"arm.{station.arm}.{part}" for part in ("along_kg_m", "up_kg_m", "hinge_log"))
    horns = (f"horn.{horn.name}.{part}" for horn in machine.horns_of(station) for part in ("along_m", "up_m"))
    own = (f"station.{station.name}.{part}" for part in ("reach_log", "turn_rad", "loss_log"))
    return frozenset((*arm, *horns, *own))


def completed(machine: Machine, calibration: Calibration) -> Calibration:
    """The calibration with what it does not know of taken as described: a station added since, say."""
    missing = [one for one in unknowns(machine) if one.name not in set(calibration.names)]
    if not missing:
        return calibration
    rows = [(*row, *(0.0 for _ in missing)) for row in calibration.covariance]
    for place, one in enumerate(missing):
        own = tuple(one.sd**2 if other == place else 0.0 for other in range(len(missing)))
        rows.append((*(0.0 for _ in calibration.names), *own))
    names = (*calibration.names, *(one.name for one in missing))
    values = (*calibration.values, *(one.value for one in missing))
    return Calibration(names, values, tuple(rows), calibration.noise)


def sandwich(slopes: Sequence[Vector], covariance: Sequence[Vector], size: int) -> tuple[Vector, ...]:
    """Covariance of that many results, from their slope in each cause and the covariance of the causes."""
    half = [
        [math.fsum(weight * slope[k] for weight, slope in zip(row, slopes, strict=True)) for row in covariance]
        for k in range(size)
    ]
    return tuple(
        tuple(math.fsum(slope[j] * part for slope, part in zip(slopes, column, strict=True)) for column in half)
        for j in range(size)
    )


def spread(row: Sequence[float], covariance: Sequence[Vector]) -> float:
    """Standard deviation of a weighted sum of things that err together."""
    variance = math.fsum(
        one * other * part
        for one, line in zip(row, covariance, strict=True)
        for other, part in zip(row, line, strict=True)
    )
    return math.sqrt(max(0.0, variance))


@dataclass(frozen=True, slots=True)
class _Said:
    """How an unknown is told to a person: in words, in a unit, and what turns its coordinate into that unit."""

    words: str
    unit: str
    shown: Callable[[float], float]


def parameters(machine: Machine, calibration: Calibration) -> tuple[Parameter, ...]:
    """Every unknown of the machine for people to read, with its 95 % interval.

    machine: as described.
    """
    known = completed(machine, calibration)
    described = {one.name: one.value for one in unknowns(machine)}
    rows = zip(known.names, known.values, known.covariance, range(len(known.names)), strict=True)
    return tuple(
        parameter(machine, name, described[name], value, math.sqrt(max(0.0, row[place])))
        for name, value, row, place in rows
        if name in described
    )


def parameter(machine: Machine, name: str, described: float, value: float, sd: float) -> Parameter:
    """One unknown for people."""
    said = saying(machine, name)
    ends = sorted((said.shown(value - TWO_SIDED_95 * sd), said.shown(value + TWO_SIDED_95 * sd)))
    return Parameter(name, said.words, said.unit, said.shown(described), said.shown(value), ends[0], ends[1])


def saying(machine: Machine, name: str) -> _Said:
    """Words, unit and conversion of an unknown."""
    _, part, kind = name.split(".") if name.count(".") == 2 else ("", "", name)
    if kind == "reach_log":
        drive = machine.stations[part].drive
        assert isinstance(drive, AcrossArm | FixedDirection | Cable), "only a drive on an arm has a reach"
        hand_mm = 1000.0 * math.hypot(*point_of(drive))
        what = "cable" if isinstance(drive, Cable) else "grip"
        return _Said(f"station {part}: from the hinge to the {what}", "mm", lambda v: hand_mm * math.exp(v))
    words, unit, shown = SAYINGS[kind]
    return _Said(words.format(part), unit, shown)


SAYINGS: dict[str, tuple[str, str, Callable[[float], float]]] = {
    "along_kg_m": ("arm {}: pull of the empty arm when level (mass times balance point)", "kg m", lambda v: v),
    "up_kg_m": ("arm {}: the same when it points up", "kg m", lambda v: v),
    "hinge_log": ("arm {}: friction of the hinge", "N m", math.exp),
    "along_m": ("horn {}: place along the arm", "mm", lambda v: 1000.0 * v),
    "up_m": ("horn {}: place above the arm's line", "mm", lambda v: 1000.0 * v),
    "turn_rad": ("station {}: tilt of grip or cable", "degrees", math.degrees),
    "loss_log": ("station {}: share of the pull that a wheel passes on", "", lambda v: math.exp(-math.exp(v))),
    "scale.gain": ("the scale shows too much by", "%", lambda v: 100.0 * math.expm1(v)),
}
