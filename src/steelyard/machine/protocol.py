"""How to take readings safely, in which order, and which further reading would help most."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import chain

from steelyard.machine.calibration import (
    Calibration,
    Vector,
    alone,
    calibrated,
    completed,
    felt_averages,
    felt_names,
    slopes_of,
)
from steelyard.machine.felt import loaded_moment
from steelyard.machine.fit import Fit
from steelyard.machine.model import Horn, Machine, Station
from steelyard.machine.reading import PLATES_SD_WEIGHED, Creep, mechanism_at
from steelyard.machine.statics import Way, gravity_torques, handle_forces, mechanism_of, sweep
from steelyard.machine.unknowns import ANGLE_RAD, PULL_SD, SCALE_KG, SCALE_SHARE
from steelyard.units import STANDARD_GRAVITY

Loads = Mapping[str, tuple[float, float]]

CAUTIONS: tuple[str, ...] = (
    "The maker's manual and the label on the machine come first; where they say otherwise, follow them.",
    "Bolt the frame down or weigh it down, so that it can't tip when the arm is pulled.",
    "Nobody stands, sits or reaches under the arm, not even for a moment.",
    "Set the safety stop, or lay blocks, just below each angle at which you read, before the arm is loaded.",
    "Keep hands off the horns and away from wheels and cables while the arm can move.",
    "Put collars on. Load at most 30 to 50 % of what the label allows.",
    "Choose plates and place so that the scale shows at most 60 % of its range.",
    "Hook the scale in at the middle of the grip with a strap that can't slip, nothing else clipped on.",
    "Pull exactly along the way the handle goes: 10 degrees off reads 1.5 % too much, 15 degrees 3.5 %.",
    "Creep slower than 2 degrees a second. At rest, friction hides which way it acts.",
)
"""What to see to before the first reading. Common practice; the figures of the pull are geometry."""

ANGLES = 5
LEAST_PULL_KG = 1.0
"""A handle that pulls less tells a scale nothing. [kg]"""
LEAST_GAIN = 0.01
"""A reading that narrows the felt loads by less is not worth a trip to the machine."""
TEST_PLATE_KG, TEST_RATED_SHARE = 20.0, 0.4
"""The plate meant if nobody says which, and the most of a post's label that it may use."""
PLATE_CENTRE_M = 0.02
"""How far out on a horn along the plane the centre of one plate lies. [m]"""


@dataclass(frozen=True, slots=True)
class Step:
    """One reading of the protocol, in words and as data. loads: by horn, as in `Reading`. [kg], [kg m]"""

    words: str
    station: str
    angle_rad: float
    creep: Creep
    loads: Loads


@dataclass(frozen=True, slots=True)
class Suggestion:
    """The further reading that helps most. narrows: by which share the felt-load intervals shrink on average.

    station: empty for a check of the scale, with hung_kg on it. [kg]
    """

    words: str
    station: str
    angle_rad: float
    creep: Creep
    loads: Loads
    narrows: float
    hung_kg: float = 0.0


def steps(machine: Machine, station: str, loads: Loads, *, angles: int = ANGLES) -> tuple[Step, ...]:
    """The readings of the protocol for a station: the empty arm first, then loaded; up, then down, at each angle.

    loads:  one middle plate, weighed first, on each post of one horn; nothing for the empty arm alone.
    angles: how many, over the whole range, both ends included.

    Raises: OutOfRange for a station without an arm; UnknownName.
    """
    stops = mechanism_at(machine, station).angles(angles)
    return tuple(
        Step(step_words(station, angle, creep, on), station, angle, creep, on)
        for on in ({}, loads)[: 2 if loads else 1]
        for angle in stops
        for creep in (Creep.UP, Creep.DOWN)
    )


def validation_steps(machine: Machine, station: str, loads: Loads) -> tuple[Step, ...]:
    """Readings that are kept out of the fit and held against it: another load, the middle of the range.

    loads: a load that was not read before, by the same cautions.
    """
    middle = mechanism_at(machine, station).angles(3)[1]
    return tuple(
        Step(step_words(station, middle, creep, loads), station, middle, creep, loads)
        for creep in (Creep.UP, Creep.DOWN)
    )


def check_words(hung_kg: float) -> str:
    """How to check the scale itself.

    hung_kg: mass of the weighed plate. [kg]

    >>> check_words(20.0)
    'Hang the weighed plate of 20.0 kg straight on the scale, let it come to rest, and read it.'
    """
    return f"Hang the weighed plate of {hung_kg:.1f} kg straight on the scale, let it come to rest, and read it."


CREEP_WORDS = {
    Creep.UP: "creep up through it and read",
    Creep.DOWN: "go 5 degrees past, creep down through it and read",
    Creep.HELD: "hold it there and read",
}


def step_words(station: str, angle_rad: float, creep: Creep, loads: Loads) -> str:
    """One reading in words.

    >>> step_words("row", 0.0, Creep.UP, {"tip": (20.0, 0.4)})
    'Station row, 20.0 kg on each post of horn tip: bring the arm to 0 degrees; creep up through it and read.'
    """
    on = " and ".join(f"{mass_kg:.1f} kg on each post of horn {name}" for name, (mass_kg, _) in loads.items())
    place = f"bring the arm to {math.degrees(angle_rad) + 0.0:.0f} degrees"
    return f"Station {station}, {on or 'arm empty'}: {place}; {CREEP_WORDS[creep]}."


def most_useful(
    machine: Machine, fit: Fit, *, plate_kg: float | None = None, plates_sd: float = PLATES_SD_WEIGHED
) -> Suggestion | None:
    """The further reading that narrows the felt loads of the whole machine most; None if none is worth it.

    machine:  as described.
    plate_kg: mass of the test plate on each post; unless given, the heaviest read so far. [kg]
    plates_sd: relative standard deviation of its mass.
    Source: expected shrinkage of a Gaussian posterior by one more linear observation (textbook; from memory).
    """
    known = completed(machine, fit.calibration)
    plate = plate_kg or max((mass for one in fit.used for mass, _ in one.loads.values()), default=TEST_PLATE_KG)
    wanted = [doubt_of(machine, known, station, plate) for station in on_arms(machine)]
    best: Suggestion | None = None
    for candidate, slopes, noise in candidates(machine, known, plate, plates_sd):
        narrows = shrinkage(known, wanted, slopes, noise**2)
        if narrows > (best.narrows if best else LEAST_GAIN):
            best = replace(candidate, narrows=narrows)
    return best


def on_arms(machine: Machine) -> list[Station]:
    """The stations that a scale can be hooked in at."""
    return [station for station in machine.stations.values() if station.arm is not None]


def plate_on(horn: Horn, plate_kg: float) -> tuple[float, float]:
    """The test plate on a post, or less where the label asks for less. [kg], [kg m]"""
    mass_kg = plate_kg if horn.rated_kg is None else min(plate_kg, TEST_RATED_SHARE * horn.rated_kg)
    return mass_kg, mass_kg * PLATE_CENTRE_M


Row = dict[str, float]
"""How something moves with each unknown, by name."""


def doubt_of(machine: Machine, known: Calibration, station: Station, plate_kg: float) -> Row:
    """How the felt load of a station, test plates on, moves with each unknown, as a share of itself."""
    weights = [1.0]
    for horn in machine.horns_of(station):
        weights.extend(plate_on(horn, plate_kg))

    def felt(found: Machine) -> Vector:
        law = felt_averages(found, station.name)
        return (math.fsum(part * weight for part, weight in zip(law, weights, strict=True)),)

    names = [name for name in known.names if name in felt_names(machine, station)]
    (best,) = felt(calibrated(machine, known))
    slopes = slopes_of(alone(machine, station), known, names, felt)
    return {name: slope / (abs(best) or 1.0) for name, (slope,) in zip(names, slopes, strict=True)}


def candidates(
    machine: Machine, known: Calibration, plate_kg: float, plates_sd: float
) -> Iterator[tuple[Suggestion, Row, float]]:
    """Readings that could be taken, how each moves with the unknowns, and its own scatter. [kg]"""
    hung = Suggestion(check_words(plate_kg), "", 0.0, Creep.HELD, {}, 0.0, plate_kg)
    yield hung, {"scale.gain": plate_kg}, scatter_kg(known, plate_kg, plates_sd * plate_kg)
    for station in on_arms(machine):
        yield from at_handle(machine, known, station, plate_kg, plates_sd)


def at_handle(
    machine: Machine, known: Calibration, station: Station, plate_kg: float, plates_sd: float
) -> Iterator[tuple[Suggestion, Row, float]]:
    """Readings of one station: low, middle and high, up and down, empty and with plates on each horn."""
    loadings: list[Loads] = [{}]
    loadings += [{horn.name: plate_on(horn, plate_kg)} for horn in machine.horns_of(station)]
    angles = mechanism_of(machine, station).angles(3)
    places = [
        (loads, creep, k) for loads in loadings for creep in (Creep.UP, Creep.DOWN) for k in range(len(angles))
    ]
    names = [name for name in known.names if name in felt_names(machine, station)]

    def pulled(found: Machine, tilt_rad: float = 0.0) -> Vector:
        tilted = tuple(angle + tilt_rad for angle in angles)
        pulls = (
            pulls_kg(found, station.name, tilted, loads, creep)
            for loads in loadings
            for creep in (Creep.UP, Creep.DOWN)
        )
        return tuple(chain.from_iterable(pulls))

    best = calibrated(machine, known)
    shown, tilted = pulled(best), pulled(best, ANGLE_RAD)
    slopes = slopes_of(alone(machine, station), known, names, pulled)
    for row, (loads, creep, k) in enumerate(places):
        if shown[row] < LEAST_PULL_KG:
            continue
        plates_kg = shown[row] - shown[row % (2 * len(angles))]  # what the plates add to the empty arm
        other = math.hypot(tilted[row] - shown[row], PULL_SD * shown[row], plates_sd * plates_kg)
        moved = {name: slope[row] for name, slope in zip(names, slopes, strict=True)} | {"scale.gain": shown[row]}
        words = step_words(station.name, angles[k], creep, loads)
        found = Suggestion(words, station.name, angles[k], creep, loads, 0.0)
        yield found, moved, scatter_kg(known, shown[row], other)


def pulls_kg(machine: Machine, name: str, angles_rad: Vector, loads: Loads, creep: Creep) -> Vector:
    """What a true scale would show at a handle. [kg]"""
    station = machine.stations[name]
    mechanism = mechanism_of(machine, station)
    swept = sweep(mechanism, angles_rad)
    moment = loaded_moment(mechanism, machine.horns_of(station), loads, 0.0)
    torques = gravity_torques(moment, swept.cosines, swept.sines)
    way = Way.RAISING if creep is Creep.UP else Way.LOWERING
    return tuple(force / STANDARD_GRAVITY for force in handle_forces(swept, torques, way))


def scatter_kg(known: Calibration, shown_kg: float, other_kg: float) -> float:
    """Scatter of one reading. [kg]"""
    return math.hypot(known.noise * math.hypot(SCALE_KG, SCALE_SHARE * shown_kg), other_kg)


def shrinkage(known: Calibration, wanted: list[Row], slopes: Row, noise_kg2: float) -> float:
    """By which share a reading narrows the intervals of what is wanted, on average."""
    place = {name: k for k, name in enumerate(known.names)}
    moved = {
        name: math.fsum(known.covariance[place[name]][place[other]] * slope for other, slope in slopes.items())
        for name in {*slopes, *(name for row in wanted for name in row)}
    }
    whole = noise_kg2 + math.fsum(moved[name] * slope for name, slope in slopes.items())
    widths = []
    for row in wanted:
        before = math.fsum(
            one * other * known.covariance[place[a]][place[b]]
            for a, one in row.items()
            for b, other in row.items()
        )
        taken = math.fsum(moved[name] * slope for name, slope in row.items()) ** 2 / whole
        widths.append(math.sqrt(max(0.0, 1.0 - taken / before)) if before > 0.0 else 1.0)
    return 1.0 - math.fsum(widths) / len(widths) if widths else 0.0
