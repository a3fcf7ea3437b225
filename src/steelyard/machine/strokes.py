"""A loaded lift in motion: forces along a stroke, its figures, and a whole repetition over time."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

from steelyard.machine.extremes import highest
from steelyard.machine.felt import GAUSS_10, attached, loaded_moment
from steelyard.machine.inertia import Stacks, disc_loads, loaded_inertia
from steelyard.machine.model import Cable, Machine, Point, Station
from steelyard.machine.motion import Path, Stroke, lowering_stroke, path_of, raise_stroke, ratio_slopes
from steelyard.machine.statics import (
    Mechanism,
    Way,
    effective_ratios,
    gravity_torques,
    handle_forces,
    handle_travels,
    mechanism_of,
    sweep,
)
from steelyard.machine.tempo import Tempo
from steelyard.units import STANDARD_GRAVITY

PANELS = 4
ROWS_PER_STROKE = 21


@dataclass(frozen=True, slots=True)
class LoadedLift:
    """A lever or cable station with its plates on, as motion sees it.

    moment_kg_m, inertia_kg_m2: of one arm with all it carries, about its hinge. [kg m], [kg m²]
    hanging_kg: what hangs at the hand of a cable; 0 on a lever, whose attachment is part of the arm. [kg]
    hands:      arms lifted together; their forces add up.
    """

    mechanism: Mechanism
    moment_kg_m: Point
    inertia_kg_m2: float
    hanging_kg: float
    hands: int

    @property
    def on_cable(self) -> bool:
        """Whether a cable goes to the hand."""
        return isinstance(self.mechanism.drive, Cable)

    @property
    def stroke_m(self) -> float:
        """Handle travel of one raise. [m]"""
        return handle_travels(sweep(self.mechanism, (self.mechanism.to_rad,)))[0]


def loaded_lift(
    machine: Machine, station: Station, stacks: Stacks, *, one_arm: bool = False, attachment: str | None = None
) -> LoadedLift:
    """A station with these plates on its horns.

    one_arm, attachment: as for `felt_law`.

    Raises: OutOfRange for a station without an arm; UnknownName for an unknown horn or attachment.
    """
    mechanism, horns = mechanism_of(machine, station), machine.horns_of(station)
    extra_kg = attached(station, attachment).mass_kg
    return LoadedLift(
        mechanism,
        loaded_moment(mechanism, horns, disc_loads(stacks), extra_kg),
        loaded_inertia(mechanism, horns, stacks, extra_kg),
        extra_kg if isinstance(mechanism.drive, Cable) else 0.0,
        2 if mechanism.arm.paired and not one_arm else 1,
    )


@dataclass(frozen=True, slots=True)
class Course:
    """A stroke of a loaded lift at several moments.

    speeds_m_s: of the handle, along the lift positive. [m/s]
    tension_n:  on one handle or cable at the hand's end, what hangs at the hand left out. [N]
    force_n:    what the hands need along the lift, all of them together. [N]
    rest_tension_n, rest_force_n: the same while moving ever so slowly. [N]
    """

    path: Path
    speeds_m_s: Sequence[float]
    tension_n: Sequence[float]
    force_n: Sequence[float]
    rest_tension_n: Sequence[float]
    rest_force_n: Sequence[float]


def course_of(lift: LoadedLift, stroke: Stroke, shares: Sequence[float]) -> Course:
    """A stroke of a loaded lift at these shares of its time.

    Raises: OutOfRange if wheels overlap.
    Source: virtual work with d'Alembert's inertia forces; see docs/model-motion.md.
    """
    mechanism = lift.mechanism
    path = path_of(mechanism, stroke, shares)
    swept, speeds = path.swept, path.speeds_rad_s
    gravity = gravity_torques(lift.moment_kg_m, swept.cosines, swept.sines)
    moving = [g + lift.inertia_kg_m2 * a for g, a in zip(gravity, path.accelerations_rad_s2, strict=True)]
    rest_n = handle_forces(swept, gravity, stroke.way)
    tension_n = handle_forces(swept, moving, stroke.way)
    ratios = effective_ratios(swept, Way.FRICTIONLESS)
    hung_rest_n, hung_n = hung_forces(lift, path, ratios)
    return Course(
        path,
        [ratio * speed for ratio, speed in zip(ratios, speeds, strict=True)],
        tension_n,
        [lift.hands * (pull + hung) for pull, hung in zip(tension_n, hung_n, strict=True)],
        rest_n,
        [lift.hands * (pull + hung_rest_n) for pull in rest_n],
    )


def hung_forces(lift: LoadedLift, path: Path, ratios_m: Sequence[float]) -> tuple[float, list[float]]:
    """What the thing that hangs at the hand of a cable asks of one hand, at rest and at each moment. [N]"""
    drive = lift.mechanism.drive
    if not isinstance(drive, Cable) or lift.hanging_kg == 0.0:
        return 0.0, [0.0] * len(ratios_m)
    rest_n = lift.hanging_kg * STANDARD_GRAVITY * math.sin(drive.exit_rad)
    columns = zip(
        ratios_m, ratio_slopes(path.swept, drive), path.speeds_rad_s, path.accelerations_rad_s2, strict=True
    )
    return rest_n, [rest_n + lift.hanging_kg * (g * a + slope * w * w) for g, slope, w, a in columns]


@dataclass(frozen=True, slots=True)
class StrokeFigures:
    """What a stroke comes to. Forces are of all hands together.

    peak_n, peak_rad:   largest force, and the arm angle where it is met. [N], [rad]
    static_n:           force at rest at that angle, friction included. [N]
    least_n, least_rad: smallest force, and where. [N], [rad]
    work_j:      that the hands give while raising, or take back while lowering. [J]
    mean_n:      work over travel, the force that felt load stands for. [N]
    mean_speed_m_s, peak_speed_m_s: of the handle. [m/s]
    mean_power_w, peak_power_w: work over time, and force times speed at its largest. [W]
    """

    stroke: Stroke
    peak_n: float
    peak_rad: float
    static_n: float
    least_n: float
    least_rad: float
    work_j: float
    mean_n: float
    mean_speed_m_s: float
    peak_speed_m_s: float
    mean_power_w: float
    peak_power_w: float

    @property
    def inertial_share(self) -> float:
        """How much more than at rest the largest force is, as a share of the one at rest there."""
        return self.peak_n / self.static_n - 1.0


def stroke_figures(lift: LoadedLift, stroke: Stroke) -> StrokeFigures:
    """The figures of a stroke; extremes are found between moments too, not on a grid.

    Raises: OutOfRange if wheels overlap.
    """

    def extreme(column: Callable[[Course], Sequence[float]]) -> tuple[float, float]:
        return highest(lambda shares: column(course_of(lift, stroke, shares)))

    peak_at, peak_n = extreme(lambda course: course.force_n)
    least_at, least_n = extreme(lambda course: [-force for force in course.force_n])
    _, speed_m_s = extreme(lambda course: list(map(abs, course.speeds_m_s)))
    _, power_w = extreme(power)
    there = course_of(lift, stroke, (peak_at, least_at))
    work_j, travel_m, time_s = stroke_work(lift, stroke), lift.stroke_m, stroke.duration_s
    return StrokeFigures(
        stroke=stroke,
        peak_n=peak_n,
        peak_rad=there.path.swept.angles_rad[0],
        static_n=there.rest_force_n[0],
        least_n=-least_n,
        least_rad=there.path.swept.angles_rad[1],
        work_j=work_j,
        mean_n=work_j / travel_m,
        mean_speed_m_s=travel_m / time_s,
        peak_speed_m_s=speed_m_s,
        mean_power_w=work_j / time_s,
        peak_power_w=power_w,
    )


def power(course: Course) -> list[float]:
    """Force times speed of the handle at each moment, positive both ways. [W]"""
    return [force * abs(speed) for force, speed in zip(course.force_n, course.speeds_m_s, strict=True)]


def stroke_work(lift: LoadedLift, stroke: Stroke) -> float:
    """Work of the hands over a stroke: given while raising, taken back while lowering, positive both ways. [J]

    Source: force times speed over time, by ten-point Gauss-Legendre quadrature on quarters of the time.
    """
    half = 0.5 / PANELS
    nodes = [
        ((2 * panel + 1) * half + side * node * half, weight * half)
        for panel in range(PANELS)
        for node, weight in GAUSS_10
        for side in (-1.0, 1.0)
    ]
    powers = power(course_of(lift, stroke, [share for share, _ in nodes]))
    return stroke.duration_s * math.fsum(weight * watts for (_, weight), watts in zip(nodes, powers, strict=True))


class Phase(StrEnum):
    """The four parts of a repetition that begins with the raise."""

    RAISING = "raising"
    TOP = "top"
    LOWERING = "lowering"
    BOTTOM = "bottom"


@dataclass(frozen=True, slots=True)
class Moment:
    """One moment of a repetition.

    t_s: since the raise began. angle_rad, speed_rad_s, acceleration_rad_s2: of the arm. travel_m, speed_m_s: of
    the handle. force_n: of all hands. tension_n: of one cable at the hand's end, or on one handle.
    """

    t_s: float
    phase: Phase
    angle_rad: float
    speed_rad_s: float
    acceleration_rad_s2: float
    travel_m: float
    speed_m_s: float
    force_n: float
    tension_n: float


def strokes_of(lift: LoadedLift, tempo: Tempo) -> tuple[Stroke, Stroke]:
    """The raise and the lowering of a repetition at this tempo."""
    timed = tempo.over(lift.stroke_m)
    assert timed.raising_s is not None, "a tempo over a travel has all its times"
    return raise_stroke(lift.mechanism, timed.raising_s), lowering_stroke(lift.mechanism, timed.lowering_s)


def repetition(lift: LoadedLift, tempo: Tempo, *, rows: int = ROWS_PER_STROKE) -> tuple[Moment, ...]:
    """A whole repetition over time: raise, pause at the top, lower, pause at the bottom.

    rows: moments of each stroke, both ends included; a pause has two, and none if it takes no time.

    In a pause dry friction takes up whatever lies between raising and lowering; the force told is the one without
    friction, in the middle.

    Raises: OutOfRange if wheels overlap.
    """
    up, down = strokes_of(lift, tempo)
    top_s = up.duration_s + tempo.top_s
    bottom_s = top_s + down.duration_s
    return (
        *stroke_moments(lift, up, Phase.RAISING, 0.0, rows),
        *pause_moments(lift, up.to_rad, Phase.TOP, up.duration_s, tempo.top_s),
        *stroke_moments(lift, down, Phase.LOWERING, top_s, rows),
        *pause_moments(lift, down.to_rad, Phase.BOTTOM, bottom_s, tempo.bottom_s),
    )


def stroke_moments(lift: LoadedLift, stroke: Stroke, phase: Phase, start_s: float, rows: int) -> Iterator[Moment]:
    """The moments of a stroke, evenly spaced in time."""
    shares = [row / (rows - 1) for row in range(rows)]
    course = course_of(lift, stroke, shares)
    path = course.path
    columns = zip(
        shares,
        path.swept.angles_rad,
        path.speeds_rad_s,
        path.accelerations_rad_s2,
        handle_travels(path.swept),
        course.speeds_m_s,
        course.force_n,
        course.tension_n,
        strict=True,
    )
    for share, *quantities in columns:
        yield Moment(start_s + share * stroke.duration_s, phase, *quantities)


def pause_moments(
    lift: LoadedLift, angle_rad: float, phase: Phase, start_s: float, time_s: float
) -> Iterator[Moment]:
    """Beginning and end of a pause."""
    if time_s == 0.0:
        return
    course = course_of(lift, Stroke(angle_rad, angle_rad, 1.0, Way.FRICTIONLESS), (0.0,))
    travel_m = handle_travels(course.path.swept)[0]
    for t_s in (start_s, start_s + time_s):
        yield Moment(t_s, phase, angle_rad, 0.0, 0.0, travel_m, 0.0, course.force_n[0], course.tension_n[0])
