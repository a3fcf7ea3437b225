"""Fatigue as three compartments of a muscle: resting, active and tired, with a slow part that pure rest leaves.

The model is that of Frey-Law and others 2012 (PMC3397684) with the rest recovery of Looft and others 2018
(PMC6092960). While a load is held, the active part follows
the target within a fraction of a second (the published rates of 10/s), so the tired part obeys dF/dt = f·TL − R·F,
and at rest dF/dt = −r·R·F; both are solved in closed form here. The load fails once 1 − F < TL.

Ours: a share of what tires goes to a slow pool that recovers in minutes. Without it 87 to 99 % would be back after
180 s, and sets to failure show about 73 %.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

NEWTON_STEPS = 4


@dataclass(frozen=True, slots=True)
class Controller:
    """Published rates of one muscle group.

    fatigue, recovery: f and R. [1/s]
    rest_factor: r, by which recovery is faster at rest.
    """

    fatigue: float
    recovery: float
    rest_factor: float


CONTROLLERS = {
    "ankle": Controller(0.00589, 0.00058, 15),
    "knee": Controller(0.01500, 0.00149, 15),
    "trunk": Controller(0.00755, 0.00075, 15),
    "shoulder": Controller(0.01820, 0.00168, 15),
    "elbow": Controller(0.00912, 0.00094, 15),
    "grip": Controller(0.00980, 0.00064, 30),
    "general": Controller(0.00970, 0.00091, 15),
}
"""f and R: Frey-Law and others 2012, table 1, read in two public repositories that agree; r: Looft and others
2018, and Looft and Frey-Law 2020."""

GROUP_OF = {
    "lats": "shoulder",
    "mid_back": "shoulder",
    "upper_traps": "shoulder",
    "chest": "shoulder",
    "chest_upper": "shoulder",
    "front_delt": "shoulder",
    "side_delt": "shoulder",
    "rear_delt": "shoulder",
    "rotator_cuff": "shoulder",
    "erectors": "trunk",
    "abs": "trunk",
    "obliques": "trunk",
    "elbow_flexors": "elbow",
    "triceps": "elbow",
    "forearms": "grip",
    "quads": "knee",
    "hamstrings": "knee",
    "calves": "ankle",
}
"""Which joint's rates a muscle takes; the hip's muscles, which nobody measured, take the general ones."""


@dataclass(frozen=True, slots=True)
class Kinetics:
    """How one person's muscle group tires and recovers.

    controller: its rates.
    fast_share: share of fatigue that the controller recovers; the rest is slow.
    slow_s:     time constant of the slow pool at rest. [s]
    """

    controller: Controller
    fast_share: float
    slow_s: float


class Pool:
    """The tired part of one muscle: fast and slow, as shares of the whole, as they were at `at_s`. [s]"""

    __slots__ = ("at_s", "fast", "kinetics", "slow")

    def __init__(self, kinetics: Kinetics) -> None:
        self.kinetics = kinetics
        self.fast = self.slow = self.at_s = 0.0

    def rest_until(self, now_s: float) -> None:
        """Recover at rest until now. [s]"""
        passed_s = now_s - self.at_s
        self.at_s = now_s
        if passed_s > 0 and (self.fast or self.slow):
            rates = self.kinetics.controller
            self.fast *= math.exp(-rates.rest_factor * rates.recovery * passed_s)
            self.slow *= math.exp(-passed_s / self.kinetics.slow_s)

    def tire(self, step: Step, reps: float, now_s: float) -> None:
        """Take so many reps, of which `step` is one, that end now. [s]"""
        kept = step.keep**reps
        self.fast = kept * self.fast + step.fast * (1 - kept) / (1 - step.keep)
        self.slow += step.slow * reps
        self.at_s = now_s


@dataclass(frozen=True, slots=True)
class Step:
    """What a stretch of work does to a pool.

    keep: share of its fast part that stays.  fast, slow: what comes to its parts.
    """

    keep: float
    fast: float
    slow: float


@dataclass(frozen=True, slots=True)
class Drive:
    """What an exercise asks of a pool.

    weight: what the pool is worth to the exercise; in all they may come to less than 1.
    share:  of a rep's time for which it is driven.
    """

    pool: Pool
    weight: float
    share: float


def steps_of(drives: Sequence[Drive], share: float, fresh_reps: float) -> list[Step]:
    """One rep for each pool driven, such that a fresh pool would last for `fresh_reps`, if driven all the time.

    share: load over the fresh maximum, between 0 and 1.
    """
    found: dict[tuple[int, float], Step] = {}
    steps = []
    for drive in drives:
        key = (id(drive.pool.kinetics), drive.share)
        if key not in found:
            kinetics = drive.pool.kinetics
            found[key] = worked(kinetics, share, drive.share * endurance_s(kinetics, share) / fresh_reps)
        steps.append(found[key])
    return steps


def reps_until_failure(drives: Sequence[Drive], steps: Sequence[Step], share: float, most: int) -> int:
    """Whole reps until what is left of the pools no longer carries the load.

    share: load over the fresh maximum.  most: where to stop counting.
    """
    weights = [drive.weight for drive in drives]
    fasts = [drive.pool.fast for drive in drives]
    slows = [drive.pool.slow for drive in drives]
    for reps in range(most):
        lost = 0.0
        for place, step in enumerate(steps):
            fasts[place] = fast = step.keep * fasts[place] + step.fast
            slows[place] = slow = slows[place] + step.slow
            lost += weights[place] * (fast + slow)
        if 1 - lost < share:
            return reps
    return most


def worked(kinetics: Kinetics, share: float, working_s: float) -> Step:
    """What holding a load for some time does to a pool; the slow part does not recover meanwhile.

    share: of the fresh maximum.  working_s: how long. [s]
    """
    rates = kinetics.controller
    keep = math.exp(-rates.recovery * working_s)
    flow = rates.fatigue * share
    fast = kinetics.fast_share * flow * (1 - keep) / rates.recovery
    return Step(keep, fast, (1 - kinetics.fast_share) * flow * working_s)


def endurance_s(kinetics: Kinetics, share: float) -> float:
    """How long a fresh muscle holds a share of its maximum; infinite if for ever. [s]

    Holds:  the closed form of the published model, -ln(1 - R (1 - TL) / (f TL)) / R, where nothing is slow.
    Source: Frey-Law and others 2012, solved for a constant load.

    >>> round(endurance_s(Kinetics(CONTROLLERS["elbow"], 1.0, 300.0), 0.5), 1)
    115.7
    """
    rates = kinetics.controller
    if kinetics.fast_share == 1:
        lost = rates.recovery * (1 - share) / (rates.fatigue * share)
        return -math.log1p(-lost) / rates.recovery if lost < 1 else math.inf
    time_s = (1 - share) / (rates.fatigue * share)
    for _ in range(NEWTON_STEPS):  # concave and started from the left: every step stays left of the root
        step = worked(kinetics, share, time_s)
        slope = rates.fatigue * share * (kinetics.fast_share * step.keep + 1 - kinetics.fast_share)
        time_s += (1 - share - step.fast - step.slow) / slope
    return time_s
