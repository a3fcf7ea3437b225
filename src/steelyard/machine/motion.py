"""An arm in motion: minimum-jerk strokes, and the force that moves the load and its inertia.

F = (dV/dθ + I α) / G, with friction as in statics by the way the arm goes. The arm is rigid and the force acts
through G at the same angle, so that the arm's own speed does not enter; only what hangs at the hand of a cable has
an acceleration of its own, G α + (dG/dθ) ω².
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from steelyard.errors import OutOfRange
from steelyard.machine.cable import Column, Strands
from steelyard.machine.carried import carried_moment, sides_counted
from steelyard.machine.inertia import carried_inertia, horn_point, squared
from steelyard.machine.model import Axis, Cable, Horn
from steelyard.machine.statics import (
    Mechanism,
    Sweep,
    Way,
    effective_ratios,
    gravity_torques,
    handle_forces,
    horn_moment,
    sweep,
    turned,
)

PATH_SHARES = tuple(number / 64 for number in range(65))
"""Shares of a stroke's time at which its largest force is looked for; a test holds what hides between them."""
LARGEST_OWN_KG_M2 = 0.0455
"""Own inertia of a kilogram of plate, at most. [kg m² per kg]

A disc of 600 mm with a hole of 60 mm, the largest a plates file accepts: (0.3² + 0.03²)/2. Own inertia per
kilogram grows with both, and lying along the plane it is less still; so no plate has more. A competition disc of
450 mm has 0.0256, which makes a difference of 3 % of the inertial part at most.
"""


@dataclass(frozen=True, slots=True)
class Stroke:
    """One way of a repetition: from rest to rest by minimum jerk, in a given time. [rad], [s]

    way: `Way.RAISING` or `Way.LOWERING`, for the friction.
    """

    from_rad: float
    to_rad: float
    duration_s: float
    way: Way

    def __post_init__(self) -> None:
        if not 0.0 < self.duration_s < math.inf:
            raise OutOfRange("duration of a stroke", f"{self.duration_s:g} s", "above 0 s")


def raise_stroke(mechanism: Mechanism, duration_s: float) -> Stroke:
    """The lift over the whole range. [s] Raises: OutOfRange for a time that is none."""
    return Stroke(mechanism.from_rad, mechanism.to_rad, duration_s, Way.RAISING)


def lowering_stroke(mechanism: Mechanism, duration_s: float) -> Stroke:
    """The way back over the whole range. [s] Raises: OutOfRange for a time that is none."""
    return Stroke(mechanism.to_rad, mechanism.from_rad, duration_s, Way.LOWERING)


def minimum_jerk(share: float) -> tuple[float, float, float]:
    """Place, speed and acceleration of a minimum-jerk stroke of length 1 that takes time 1.

    share: of the time gone by, from 0 to 1.

    Fastest at half time, 1.875; the acceleration is largest at a share of (3 - √3)/6, 10/√3 = 5.7735.

    Source: the fifth-degree polynomial between two rests; Flash and Hogan 1985 (from memory).

    >>> minimum_jerk(0.5)
    (0.5, 1.875, 0.0)
    """
    square = share * share
    left = 1.0 - share  # products keep their digits near the end, where sums of powers lose them
    place = square * share * (10.0 - 15.0 * share + 6.0 * square)
    return place, 30.0 * square * left * left, 60.0 * share * left * (1.0 - 2.0 * share)


@dataclass(frozen=True, slots=True)
class Path:
    """A stroke at several moments: the mechanism there, with speed and acceleration of its arm.

    speeds_rad_s, accelerations_rad_s2: of the arm angle. [rad/s], [rad/s²]
    """

    swept: Sweep
    speeds_rad_s: Sequence[float]
    accelerations_rad_s2: Sequence[float]


def path_of(mechanism: Mechanism, stroke: Stroke, shares: Sequence[float]) -> Path:
    """A stroke at these shares of its time. Raises: OutOfRange if wheels overlap."""
    turn, time = stroke.to_rad - stroke.from_rad, stroke.duration_s
    shapes = [minimum_jerk(share) for share in shares]
    return Path(
        sweep(mechanism, [stroke.from_rad + turn * place for place, _, _ in shapes]),
        [turn / time * speed for _, speed, _ in shapes],
        [turn / time**2 * acceleration for _, _, acceleration in shapes],
    )


def ratio_slopes(swept: Sweep, cable: Cable) -> list[float]:
    """How the handle ratio of a cable changes with the arm angle, at each angle. [m/rad²]

    A straight part of length l and direction d turns by -(A' . J d)/l per radian at the arm's end, and by the same
    with plus at a dead end; A' = J r with r the lever of the cable's point. So dG/dθ loses (r . d)²/l for each.

    Source: derivative of docs/model-felt-load.md's handle ratio; elementary geometry.
    """
    assert swept.paths is not None, "a sweep of a cable has its paths"
    levers = turned(cable.arm_m, swept.cosines, swept.sines)
    pulls = parts_along(levers, swept.paths.pull)
    slopes = [-part - part * part / length for part, length in zip(pulls, swept.paths.pull.length_m, strict=True)]
    if swept.paths.hold is None:
        return slopes
    holds = parts_along(levers, swept.paths.hold)
    columns = zip(slopes, holds, swept.paths.hold.length_m, strict=True)
    return [slope + part - part * part / length for slope, part, length in columns]


def parts_along(levers_m: tuple[Column, Column], strands: Strands) -> list[float]:
    """The part of each lever that lies along the straight part of the cable. [m]"""
    columns = zip(*levers_m, strands.along, strands.up, strict=True)
    return [x * along + z * up for x, z, along, up in columns]


def moving_peaks(
    mechanism: Mechanism, horns: Sequence[Horn], extra_kg: float, duration_s: float
) -> tuple[tuple[float, ...], tuple[tuple[float, ...], ...]]:
    """`peak_forces` of a minimum-jerk raise in this time: empty, and per kg on one post of each horn. [N], [N/kg]

    Force on one handle, or tension of one cable at the hand's end, at moments over the raise. As at rest, an
    attachment on a cable hangs at the hand and strains the hand and not the cable, its inertia included; one on a
    lever moves with the arm. The plates' own inertia, and their place on a horn along the plane, count at their
    worst: so no stack of that mass asks for more.

    Raises: OutOfRange for a time that is none.
    Shape:  both by moment; the inner ones by horn.
    """
    path = path_of(mechanism, raise_stroke(mechanism, duration_s), PATH_SHARES)
    swept = path.swept
    gravity = gravity_torques(carried_moment(mechanism, extra_kg), swept.cosines, swept.sines)
    inertia = carried_inertia(mechanism, extra_kg)
    torques = [g + inertia * a for g, a in zip(gravity, path.accelerations_rad_s2, strict=True)]
    ratios = effective_ratios(swept, Way.RAISING)
    columns = [largest_moving_per_kg(path, horn, ratios) for horn in horns]
    rows = tuple(zip(*columns, strict=True)) if columns else ((),) * len(PATH_SHARES)
    return tuple(handle_forces(swept, torques, Way.RAISING)), rows


def largest_moving_per_kg(path: Path, horn: Horn, ratios_m: Sequence[float]) -> list[float]:
    """Handle force for a kilogram on each post of a horn, wherever on it that asks most, at each moment. [N/kg]"""
    mechanism, swept = path.swept.mechanism, path.swept
    offsets = (0.0,) if horn.axis is Axis.ACROSS else (0.0, horn.length_m)
    asked = zip(
        *(gravity_torques(horn_moment(horn, 1.0, offset), swept.cosines, swept.sines) for offset in offsets),
        strict=True,
    )
    sides, (least, most) = sides_counted(mechanism, horn, 1), inertia_span(horn)
    columns = zip(asked, ratios_m, path.accelerations_rad_s2, strict=True)
    return [
        sides * (max(torque / ratio for torque in torques) + max(least * turning / ratio, most * turning / ratio))
        for torques, ratio, turning in columns
    ]


def inertia_span(horn: Horn) -> tuple[float, float]:
    """The least and the most that a kilogram of plates on one post can have about the hinge. [kg m² per kg]"""
    if horn.axis is Axis.ACROSS:
        at = squared(horn.at_m)
        return at, at + (LARGEST_OWN_KG_M2 if horn.plates_turn_with_arm else 0.0)
    out = horn.axis_angle_rad
    nearest = -(horn.at_m[0] * math.cos(out) + horn.at_m[1] * math.sin(out))
    least = squared(horn_point(horn, min(max(nearest, 0.0), horn.length_m)))
    return least, max(squared(horn.at_m), squared(horn_point(horn, horn.length_m))) + LARGEST_OWN_KG_M2
