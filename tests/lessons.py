"""Lifts and sets of which beliefs are made in tests, and what is asked of a belief."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from steelyard.strength.belief import Belief, learn, newcomer, on_day, outlook
from steelyard.strength.lifts import Lift
from steelyard.strength.model import Ended, Observation

ROW = Lift("row", math.log(55.0), 0.4, 30.0, {"lats": 1.0, "mid_back": 1.0, "elbow_flexors": 0.5})
CURL = Lift("curl", math.log(22.0), 0.4, 30.0, {"elbow_flexors": 1.0, "forearms": 0.5})
PRESS = Lift("press", math.log(45.0), 0.4, 30.0, {"chest": 1.0, "triceps": 0.5})
SQUAT = Lift("squat", math.log(90.0), 0.55, 44.0, {"quads": 1.0, "glutes": 1.0})
LIFTS = (ROW, CURL, PRESS, SQUAT)


def failed(reps: int = 10, felt_kg: float = 60.0, day: float = 0.0, **changes: Any) -> Observation:
    """A rested set of rows to failure, changed as told."""
    usual: dict[str, Any] = {"lift": "row", "rir": 0, "ended": Ended.FAILURE}
    return Observation(**{"felt_kg": felt_kg, "reps": reps, "day": day} | usual | changes)


def stopped(reps: int, rir: int, **changes: Any) -> Observation:
    """The same, stopped with so many said to be left."""
    return failed(reps, **{"rir": rir, "ended": Ended.REPORTED} | changes)


def unsaid(reps: int, **changes: Any) -> Observation:
    """The same, with nobody saying why it ended."""
    return failed(reps, **{"rir": None, "ended": Ended.UNSAID} | changes)


def new() -> Belief:
    """Someone two years in training, of whom no set is known."""
    return newcomer(LIFTS, training_months=24.0)


def taught(belief: Belief, *sets: Observation) -> Belief:
    """A belief after some sets."""
    for each in sets:
        belief = learn(belief, each).belief
    return belief


def known(sessions: int = 8, *, reps: int = 10, felt_kg: float = 60.0, lift: str = "row") -> Belief:
    """Someone who failed at so many reps, twice a week until day 0."""
    days = (3.5 * (number - sessions + 1) for number in range(sessions))
    return taught(new(), *(failed(reps, felt_kg, day, lift=lift) for day in days))


def fresh(belief: Belief) -> Belief:
    """The belief as if nothing had been done today."""
    return replace(belief, pools={})


def maximum_kg(belief: Belief, lift: str = "row") -> float:
    """Median of the fresh maximum of a lift."""
    return outlook(fresh(belief), lift).one_rm_kg


def sd_log(belief: Belief, lift: str = "row") -> float:
    """Standard deviation of its logarithm."""
    return outlook(fresh(belief), lift).sd_log_max


def moved(belief: Belief, seen: Observation, lift: str = "row") -> float:
    """By how much the logarithm of a maximum moves once a set is known of."""
    before = on_day(belief, seen.day)
    return math.log(maximum_kg(learn(belief, seen).belief, lift) / maximum_kg(before, lift))
