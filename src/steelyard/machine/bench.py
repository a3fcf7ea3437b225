"""Readings and unknowns as columns: what each reading should show, and how that moves with each unknown.

The physics is that of `statics`. Torque is linear in moments and masses, so only the handle ratio, which bends
with where the cable runs, is asked of the mechanism again. numpy is imported only where readings are fitted.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from steelyard.machine.calibration import felt_names
from steelyard.machine.carried import sides_counted
from steelyard.machine.model import AcrossArm, Cable, FixedDirection, Machine
from steelyard.machine.reading import Creep, Reading, mechanism_at
from steelyard.machine.statics import Mechanism, Way, effective_ratios, horn_moment, sweep
from steelyard.machine.unknowns import (
    ANGLE_RAD,
    PULL,
    PULL_SD,
    SCALE_KG,
    SCALE_SHARE,
    TAPE_M,
    Unknown,
    drive_with,
    unknowns,
)
from steelyard.units import STANDARD_GRAVITY

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[Any]

WAYS = {Creep.UP: Way.RAISING, Creep.DOWN: Way.LOWERING, Creep.HELD: Way.FRICTIONLESS}
PULL_NAME, GAIN_NAME = "pull", "scale.gain"
STEP = 1e-3
"""Half the width of a difference, in standard deviations known beforehand."""


@dataclass(frozen=True, slots=True)
class Group:
    """Readings of one station that crept the same way. Places are those of unknowns among all.

    rows:    where the readings stand among all.
    mass_kg: by reading and horn, what hangs on all its sides. [kg]
    fixed:   by reading, along and up, the moment of plates for being further out on their horn. [kg m]
    plates:  by reading, the place of the error that its plates have in common with others.
    own:     places of the station's reach, turn and loss, by kind.
    """

    rows: Array
    mechanism: Mechanism
    creep: Creep
    angles_rad: Array
    mass_kg: Array
    fixed: Array
    plates: Array
    arm: tuple[int, int]
    hinge: int
    horns: Array
    own: Mapping[str, int]

    @property
    def places(self) -> set[int]:
        """Places of all unknowns that these readings feel, apart from what the scale does."""
        return {*self.arm, self.hinge, *self.horns.flat, *self.own.values(), *self.plates}


@dataclass(frozen=True, slots=True)
class Bench:
    """The readings of one machine as columns, with the unknowns they tell of.

    checks: rows of the checks of the scale. hung_kg, hung: what hung on it, and the place of that plate's error.
    gain, pull: places of the scale's gain, and of the way a handle is pulled.
    guessed: by unknown, one standard deviation where it is friction that no pair of readings up and down tells.
    """

    machine: Machine
    readings: tuple[Reading, ...]
    unknowns: tuple[Unknown, ...]
    prior: Array
    prior_sd: Array
    shown_kg: Array
    groups: tuple[Group, ...]
    checks: Array
    hung_kg: Array
    hung: Array
    gain: int
    pull: int
    guessed: Array


def bench_of(machine: Machine, readings: Sequence[Reading], tape_m: float) -> Bench:
    """The readings laid out. tape_m: standard deviation of each coordinate as described. [m]"""
    import numpy as np

    read = dict.fromkeys((one.station, one.creep) for one in readings if not one.is_check)
    felt = {GAIN_NAME}.union(*(felt_names(machine, machine.stations[name]) for name, _ in read))
    found = [one for one in unknowns(machine, tape_m=tape_m) if one.name in felt] + nuisances(readings)
    place = {one.name: k for k, one in enumerate(found)}
    checks = [k for k, one in enumerate(readings) if one.is_check]
    return Bench(
        machine=machine,
        readings=tuple(readings),
        unknowns=tuple(found),
        prior=np.array([one.value for one in found]),
        prior_sd=np.array([one.sd for one in found]),
        shown_kg=np.array([one.scale_kg for one in readings]),
        groups=tuple(group_of(machine, readings, *kind, place) for kind in read),
        checks=np.array(checks, dtype=int),
        hung_kg=np.array([readings[k].hung_kg for k in checks]),
        hung=np.array([place[plates_name(readings[k])] for k in checks], dtype=int),
        gain=place[GAIN_NAME],
        pull=place[PULL_NAME],
        guessed=np.array([one.sd if one.name in guesses(machine, read) else 0.0 for one in found]),
    )


def guesses(machine: Machine, read: Iterable[tuple[str, Creep]]) -> set[str]:
    """Names of the frictions that no station read tells: each tells its own if it was read both up and down."""
    creeps: dict[str, set[Creep]] = defaultdict(set)
    for station, creep in read:
        creeps[station].add(creep)
    told: set[str] = set()
    for station, ways in creeps.items():
        if {Creep.UP, Creep.DOWN} <= ways:
            told |= felt_names(machine, machine.stations[station])
    return {one.name for one in unknowns(machine) if one.name.endswith(("hinge_log", "loss_log"))} - told


def with_loads(bench: Bench, row: int, loads: Mapping[str, tuple[float, float]]) -> Bench:
    """The same bench as if one reading had been taken with other plates on. [kg], [kg m]"""
    readings = list(bench.readings)
    readings[row] = replace(readings[row], loads=loads)
    return bench_of(bench.machine, readings, TAPE_M)


def nuisances(readings: Sequence[Reading]) -> list[Unknown]:
    """What disturbs readings and is not of the machine: the way one pulls, and plates that are not what they say.

    Plates on a horn and plates on the scale count apart: whether they are the same ones is not known, and taking
    them for different ones gives the wider interval.
    """
    plates = {plates_name(one): max(one.plates_sd, 1e-6) for one in readings}
    return [Unknown(PULL_NAME, PULL, PULL_SD), *(Unknown(name, 0.0, sd) for name, sd in plates.items())]


def plates_name(reading: Reading) -> str:
    """The name of the error that a reading's plates have in common with others."""
    return f"{'hung' if reading.is_check else 'plates'}:{reading.plates_sd!r}"


def group_of(
    machine: Machine, readings: Sequence[Reading], station: str, creep: Creep, place: Mapping[str, int]
) -> Group:
    """The columns of the readings of one station and creep."""
    import numpy as np

    rows = [k for k, one in enumerate(readings) if (one.station, one.creep) == (station, creep)]
    mechanism, prefix = mechanism_at(machine, station), f"station.{station}."
    loads = [on_horns(machine, mechanism, readings[row]) for row in rows]
    horns = [horn.name for horn in machine.horns_of(machine.stations[station])]
    places = [[place[f"horn.{name}.{kind}_m"] for kind in ("along", "up")] for name in horns]
    arm = f"arm.{mechanism.arm.name}"
    return Group(
        rows=np.array(rows),
        mechanism=mechanism,
        creep=creep,
        angles_rad=np.array([readings[row].angle_rad for row in rows]),
        mass_kg=np.array([[mass.get(name, 0.0) for name in horns] for mass, _ in loads]),
        fixed=np.array([moment for _, moment in loads]),
        plates=np.array([place[plates_name(readings[row])] for row in rows]),
        arm=(place[f"{arm}.along_kg_m"], place[f"{arm}.up_kg_m"]),
        hinge=place[f"{arm}.hinge_log"],
        horns=np.array(places, dtype=int).reshape(len(horns), 2),
        own={name.removeprefix(prefix): k for name, k in place.items() if name.startswith(prefix)},
    )


def on_horns(
    machine: Machine, mechanism: Mechanism, reading: Reading
) -> tuple[dict[str, float], tuple[float, float]]:
    """Mass on all sides of each horn [kg], and the moment of plates for being further out on it. [kg m]"""
    masses: dict[str, float] = {}
    along, up = 0.0, 0.0
    for name, (mass_kg, moment_kg_m) in reading.loads.items():
        sides = sides_counted(mechanism, machine.horns[name], 1)
        masses[name] = sides * mass_kg
        out = horn_moment(machine.horns[name], 0.0, moment_kg_m)
        along, up = along + sides * out[0], up + sides * out[1]
    return masses, (along, up)


def ratios(group: Group, x: Array, *, tilt_rad: float = 0.0, creep: Creep | None = None) -> Array:
    """Handle ratio of each reading, wheel friction included. [m/rad]"""
    import numpy as np

    reach, turn, loss = (x[group.own[kind]] if kind in group.own else None for kind in OWN)
    drive = drive_with(group.mechanism.drive, reach or 0.0, turn or 0.0, loss)
    assert isinstance(drive, AcrossArm | FixedDirection | Cable), "a handle on an arm stays one"
    mechanism = replace(group.mechanism, drive=drive)
    angles, places = np.unique(group.angles_rad, return_inverse=True)  # repeats share one path of the cable
    swept = sweep(mechanism, [float(angle) + tilt_rad for angle in angles])
    return np.array(effective_ratios(swept, WAYS[creep or group.creep]))[places]


OWN = ("reach_log", "turn_rad", "loss_log")


def pulls(group: Group, x: Array, ratios_m: Array, *, tilt_rad: float = 0.0, creep: Creep | None = None) -> Array:
    """Handle force of each reading in terms of mass. [kg]"""
    import numpy as np

    angles = group.angles_rad + tilt_rad
    plates = group.mass_kg @ x[group.horns] + group.fixed
    moment = x[list(group.arm)] + (1.0 + x[group.plates])[:, None] * plates
    way = group.mechanism.lift * int(WAYS[creep or group.creep])
    friction = way * math.exp(x[group.hinge]) / STANDARD_GRAVITY
    pulled: Array = (moment[:, 0] * np.cos(angles) - moment[:, 1] * np.sin(angles) + friction) / ratios_m
    return pulled


def expected(bench: Bench, x: Array, *, tilt_rad: float = 0.0, creep: Creep | None = None) -> Array:
    """What the scale should show at each reading. [kg]

    tilt_rad: as if every arm angle were this much larger. [rad] creep: as if every handle had crept this way.
    """
    import numpy as np

    found = np.empty(len(bench.readings))
    for group in bench.groups:
        ratio = ratios(group, x, tilt_rad=tilt_rad, creep=creep)
        found[group.rows] = pulls(group, x, ratio, tilt_rad=tilt_rad, creep=creep) * math.exp(x[bench.pull])
    found[bench.checks] = bench.hung_kg * (1.0 + x[bench.hung])
    return found * math.exp(x[bench.gain])


def slopes(bench: Bench, x: Array) -> Array:
    """How each expected reading moves with each unknown: one column for each of these."""
    import numpy as np

    columns = np.zeros((len(bench.readings), len(x)))
    scale = math.exp(x[bench.gain] + x[bench.pull])
    for group in bench.groups:
        bent, still = set(group.own.values()), ratios(group, x)
        for place in group.places:
            step = np.zeros(len(x))
            step[place] = STEP * bench.prior_sd[place]
            above, below = ((ratios(group, at) if place in bent else still) for at in (x + step, x - step))
            change = pulls(group, x + step, above) - pulls(group, x - step, below)
            columns[group.rows, place] = scale * change / (2.0 * step[place])
        columns[group.rows, bench.pull] = scale * pulls(group, x, still)
        columns[group.rows, bench.gain] = columns[group.rows, bench.pull]
    weighed = bench.hung_kg * math.exp(x[bench.gain])
    columns[bench.checks, bench.hung] = weighed
    columns[bench.checks, bench.gain] = weighed * (1.0 + x[bench.hung])
    return columns


def scatter(bench: Bench, x: Array) -> tuple[Array, Array, Array]:
    """Of each reading, the fixed part of the scale's scatter, its share of what is shown, and what else there is.

    The last comes from the angle, and from friction where a handle was held. [kg]
    """
    import numpy as np

    shown = expected(bench, x)
    added = expected(bench, x, tilt_rad=ANGLE_RAD) - shown
    held = np.array([one.creep is Creep.HELD and not one.is_check for one in bench.readings])
    if held.any():
        # At rest friction acts with any share of its size, either way: uniform over the gap between up and down.
        # Where its size is a guess, its mean counts, which lies about half a standard deviation up.
        rough = x + bench.guessed / 2.0
        gap = expected(bench, rough, creep=Creep.UP) - expected(bench, rough, creep=Creep.DOWN)
        added = np.hypot(added, np.where(held, gap / math.sqrt(12.0), 0.0))
    return np.full(len(shown), SCALE_KG), SCALE_SHARE * np.abs(shown), np.abs(added)
