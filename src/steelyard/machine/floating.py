"""Where a load floats: the force at the handle falls below zero, and handle or cable no longer carry it.

Raising, it happens near the end, where the hand slows down faster than gravity slows the load; lowering, at the
start, where the hand goes down faster than the load falls. The load leaves the hand or the cable goes slack, and
then drops with a shock. Along a stroke the force is F = S + K/T², S at rest, K/T² of inertia and T the stroke's
time: so the shortest time in which nothing floats is T² = max(-K/S), if S is above zero everywhere. Where S itself
is below zero the load floats at any tempo.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from steelyard.machine.extremes import SAMPLES, evenly, highest
from steelyard.machine.motion import Stroke
from steelyard.machine.statics import Way
from steelyard.machine.strokes import Course, LoadedLift, course_of, strokes_of
from steelyard.machine.tempo import MOST_S, Tempo

AFLOAT_N = -1e-6
"""A force is below zero if it is below this; nearer to it lies what rounding makes of zero. [N]"""


@dataclass(frozen=True, slots=True)
class Slackness:
    """A force that must not fall below zero: at each share of a stroke's time, at rest and in motion.

    slack: whether it is a cable's tension, so that the cable goes slack; else the hand's own force.
    """

    slack: bool
    at_rest: Callable[[Sequence[float]], Sequence[float]]
    moving: Callable[[Sequence[float]], Sequence[float]]


@dataclass(frozen=True, slots=True)
class Span:
    """A part of the range, with the smallest force in it and where that is. [rad], [N]"""

    from_rad: float
    to_rad: float
    least_n: float
    least_rad: float


@dataclass(frozen=True, slots=True)
class Floating:
    """A stroke in which a load floats.

    slack:        whether a cable goes slack; else the handle leaves the hand.
    least_n, least_rad: the smallest force on one handle or cable, below zero, and the arm angle there. [N], [rad]
    at_rest:      where it floats however slowly the stroke is done; empty if a slower one helps.
    least_time_s: the shortest time of this stroke in which nothing floats, up to the tenth of a second; None if no
                  time up to a minute is long enough. [s]
    """

    stroke: Stroke
    slack: bool
    least_n: float
    least_rad: float
    at_rest: tuple[Span, ...]
    least_time_s: float | None


def floating(lift: LoadedLift, stroke: Stroke) -> Floating | None:
    """Whether a load floats in a stroke; None if it does not, not even at rest.

    On a cable that carries something at the hand, the cable's tension and the hand's own force are both looked at,
    and the one that falls lower is told.

    Raises: OutOfRange if wheels overlap.
    """
    found = [one for kind in slacknesses(lift, stroke) if (one := floats(lift, stroke, kind)) is not None]
    if not found:
        return None
    times = [one.least_time_s for one in found]
    worst = min(found, key=lambda one: one.least_n)
    longest = None if None in times else max(time for time in times if time is not None)
    spans = next((one.at_rest for one in found if one.at_rest), ())
    return replace(worst, least_time_s=longest, at_rest=worst.at_rest or spans)


def slacknesses(lift: LoadedLift, stroke: Stroke) -> Iterator[Slackness]:
    """The forces that must not fall below zero: of one handle, and of the cable where it is another one."""

    def columns(
        rest: Callable[[Course], Sequence[float]], moving: Callable[[Course], Sequence[float]]
    ) -> Slackness:
        return Slackness(
            lift.on_cable,
            lambda shares: rest(course_of(lift, stroke, shares)),
            lambda shares: moving(course_of(lift, stroke, shares)),
        )

    yield columns(lambda course: course.rest_tension_n, lambda course: course.tension_n)
    if lift.hanging_kg > 0.0:
        hands = lift.hands
        of_hand = columns(
            lambda course: [force / hands for force in course.rest_force_n],
            lambda course: [force / hands for force in course.force_n],
        )
        yield replace(of_hand, slack=False)


def floats(lift: LoadedLift, stroke: Stroke, kind: Slackness) -> Floating | None:
    """Whether one of the forces falls below zero."""
    at, negative_n = highest(lambda shares: [-force for force in kind.moving(shares)])
    spans = tuple(spans_below_zero(lift, stroke, kind))
    if not spans and -negative_n >= AFLOAT_N:
        return None
    least_s = math.inf if spans else shortest_time(stroke, kind)
    rounded = math.ceil(10.0 * least_s - 1e-9) / 10.0 if least_s <= MOST_S else None
    return Floating(stroke, kind.slack, -negative_n, angle_at(lift, stroke, at), spans, rounded)


def shortest_time(stroke: Stroke, kind: Slackness) -> float:
    """The shortest time of a stroke in which a force, above zero at rest, does not fall below it. [s]

    Source: F = S + K/T² at every share of the time, solved for T.
    """

    def needed(shares: Sequence[float]) -> list[float]:
        return [
            (rest - moving) / rest if rest > 0.0 else math.inf
            for rest, moving in zip(kind.at_rest(shares), kind.moving(shares), strict=True)
        ]

    return stroke.duration_s * math.sqrt(max(0.0, highest(needed)[1]))


def spans_below_zero(lift: LoadedLift, stroke: Stroke, kind: Slackness) -> Iterator[Span]:
    """The parts of a stroke in which a force is below zero even at rest."""
    shares = evenly(0.0, 1.0, SAMPLES)
    below = [force < AFLOAT_N for force in kind.at_rest(shares)]
    if not any(below):
        return
    edges = [0.0] if below[0] else []
    for (share, inside), (after, inside_after) in pairwise(zip(shares, below, strict=True)):
        if inside != inside_after:
            edges.append(edge_between(kind, share, after, inside))
    if below[-1]:
        edges.append(1.0)
    for start, end in zip(edges[::2], edges[1::2], strict=True):
        at, negative_n = highest(lambda places: [-force for force in kind.at_rest(places)], start, end)
        ends = sorted((angle_at(lift, stroke, start), angle_at(lift, stroke, end)))
        yield Span(ends[0], ends[1], -negative_n, angle_at(lift, stroke, at))


def edge_between(kind: Slackness, low: float, high: float, inside_low: bool) -> float:
    """Where a force passes through zero between two shares, by halving."""
    for _ in range(40):
        middle = (low + high) / 2.0
        if (kind.at_rest((middle,))[0] < AFLOAT_N) == inside_low:
            low = middle
        else:
            high = middle
    return high if inside_low else low


def angle_at(lift: LoadedLift, stroke: Stroke, share: float) -> float:
    """The arm angle at a share of a stroke's time. [rad]"""
    return course_of(lift, stroke, (share,)).path.swept.angles_rad[0]


def resting_spans(lift: LoadedLift, way: Way) -> tuple[Span, ...]:
    """The parts of a station's range in which its load floats however slowly the arm goes this way.

    Raising, the arm would go up by itself there; lowering, it does not come down by itself. Empty if nowhere.

    Raises: OutOfRange if wheels overlap.
    """
    mechanism = lift.mechanism
    ends = (mechanism.from_rad, mechanism.to_rad)
    start, end = ends if way is Way.RAISING else ends[::-1]
    stroke = Stroke(start, end, 1.0, way)
    found = [span for kind in slacknesses(lift, stroke) for span in spans_below_zero(lift, stroke, kind)]
    return tuple(sorted(found, key=lambda span: span.from_rad))


def steady_tempo(lift: LoadedLift, tempo: Tempo) -> Tempo | None:
    """The tempo with its strokes as long as they must be for nothing to float; None if no tempo helps.

    A tempo in which nothing floats is returned as it is.

    Raises: OutOfRange if wheels overlap.
    """
    steady = tempo
    for stroke in strokes_of(lift, tempo):
        found = floating(lift, stroke)
        if found is None:
            continue
        if found.least_time_s is None:
            return None
        if stroke.way is Way.RAISING:
            steady = replace(steady, raising_s=found.least_time_s)
        else:
            steady = replace(steady, lowering_s=found.least_time_s)
    return steady
