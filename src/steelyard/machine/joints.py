"""Where in its range a curl or a press is hard: torque at the elbow or the shoulder, from the handle's force.

Held still and in one plane: torque is the handle's force times its lever about the joint, plus the weight of what
is beyond the joint. Turns count in the sense in which the joint turns during the lift, so that a torque above zero
is one that the lifter's muscles must give. See docs/model-body.md.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import dataclass

from steelyard.machine.model import Joint, Point

CAPACITY = (
    (0.0, 0.3695),
    (10.505, 0.4554),
    (19.697, 0.5294),
    (30.202, 0.6124),
    (39.394, 0.6825),
    (44.646, 0.7201),
    (49.899, 0.7797),
    (60.404, 0.8836),
    (69.596, 0.9524),
    (74.848, 0.9789),
    (80.101, 0.9950),
    (85.354, 1.0),
    (90.606, 0.9935),
    (99.798, 0.9548),
    (110.303, 0.8709),
    (119.495, 0.7685),
    (130.0, 0.6277),
)
"""Elbow flexion in degrees, and what the flexors can give there while held still, as a share of their best.

Source: moment arms and forces of biceps and brachialis, fully active, in a musculoskeletal model (read in
BMClab/BMC, data/r_elbowflexors.mot and f_elbowflexors.mot); the sums of their products are ours. No
brachioradialis."""

PEAK_PER_KG_N_M = (0.78, 0.12)
"""Peak torque of one elbow while flexing, of 199 young men: mean and standard deviation per kilogram of body mass.
Source: Lategan and Kruger 2003 (read). Context only. [N m/kg]"""


@dataclass(frozen=True, slots=True)
class JointPoint:
    """One moment of the lift; all of it for one arm.

    flexion_rad: of the elbow, 0 straight; None for a shoulder. [rad]
    travel_m:    handle travel since the lift began. [m]
    force_n:     what the hand pulls or pushes. [N]
    torque_n_m:  what the joint must give; own_n_m is the part of it that carries the arm itself. [N m]
    capacity:    what the elbow can give here as a share of its best; None where nothing is published.
    """

    flexion_rad: float | None
    travel_m: float
    force_n: float
    torque_n_m: float
    own_n_m: float
    capacity: float | None

    @property
    def demand_n_m(self) -> float | None:
        """The torque over the share of their best that the muscles can give here: how hard it is. [N m]"""
        return None if self.capacity is None else self.torque_n_m / self.capacity


@dataclass(frozen=True, slots=True)
class JointView:
    """A joint through one lift at a station, from where the lift begins.

    estimated: whether the joint's place was estimated from the handle's path, or from how a lifter usually stands.
    notes:     what was taken for granted, in plain sentences.
    """

    station: str
    title: str
    joint: Joint
    points: tuple[JointPoint, ...]
    estimated: bool
    notes: tuple[str, ...]

    def hardness_n_m(self, point: JointPoint) -> float | None:
        """How hard it is at a point: the demand on an elbow, None if unknown; the torque of a shoulder. [N m]"""
        return point.demand_n_m if self.joint is Joint.ELBOW else abs(point.torque_n_m)

    @property
    def ranked(self) -> tuple[JointPoint, ...]:
        """The points that can be compared, hardest first, the earlier of equals first."""
        known = [(hard, point) for point in self.points if (hard := self.hardness_n_m(point)) is not None]
        return tuple(point for _, point in sorted(known, key=lambda pair: -pair[0]))

    def hardness(self, point: JointPoint) -> float | None:
        """How hard it is at a point compared with the hardest; None where that is unknown, or nothing is hard."""
        hard, ranked = self.hardness_n_m(point), self.ranked
        most = self.hardness_n_m(ranked[0]) if ranked else None
        return hard / most if hard is not None and most is not None and most > 0.0 else None


def capacity_share(flexion_rad: float) -> float | None:
    """What the elbow flexors can give at this flexion, as a share of their best; None outside 0 to 130 degrees.

    Source: as `CAPACITY`, straight lines between its rows.

    >>> capacity_share(math.radians(30.202))
    0.6124
    >>> capacity_share(math.radians(140)) is None
    True
    """
    flexion_deg = round(math.degrees(flexion_rad), 9)
    if not CAPACITY[0][0] <= flexion_deg <= CAPACITY[-1][0]:
        return None
    above = min(bisect_right(CAPACITY, flexion_deg, key=lambda row: row[0]), len(CAPACITY) - 1)
    (low_deg, low), (high_deg, high) = CAPACITY[above - 1], CAPACITY[above]
    return low + (high - low) * (flexion_deg - low_deg) / (high_deg - low_deg)


def cross(first: Point, second: Point) -> float:
    """Counter-clockwise turning of the second vector about the tail of the first."""
    return first[0] * second[1] - first[1] * second[0]


def wrapped(angle_rad: float) -> float:
    """The same direction between minus and plus half a turn. [rad]"""
    return math.remainder(angle_rad, math.tau)
