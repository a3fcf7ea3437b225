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
"""f and R: Frey-Law and others 2012, table 1, as two public repositures transcribe it alike; r: Looft and others 2018,
and Looft and Frey-Law 2020."""

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
    slow_s:     time constant of the slow pool, at rest and at work alike. [s]
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

    def work(self, share: float, working_s: float) -> None:
        """Hold a share of the fresh maximum for some time, which may be a rep's. [s]"""
        keep, fast, slow = worked(self.kinetics, share, working_s)
        self.fast = keep * self.fast + fast
        self.slow += slow


def worked(kinetics: Kinetics, share: float, working_s: float) -> tuple[float, float, float]:
    """What working does to a pool: the share of its fast part that stays, and what comes to its fast and slow part.

    share: of the fresh maximum.  working_s: how long. [s]
    """
    rates = kinetics.controller
    keep = math.exp(-rates.recovery * working_s)
    flow = rates.fatigue * share
    fast = kinetics.fast_share * flow * (1 - keep) / rates.recovery
    return keep, fast, (1 - kinetics.fast_share) * flow * working_s


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
        keep, fast, slow = worked(kinetics, share, time_s)
        slope = rates.fatigue * share * (kinetics.fast_share * keep + 1 - kinetics.fast_share)
        time_s += (1 - share - fast - slow) / slope
    return time_s
