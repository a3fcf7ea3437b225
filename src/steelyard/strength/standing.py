"""Where a lift stands now: what can be lifted of it, as a figure of the state, with fatigue worked in.

What is missing bends with the state, so the straight line that stands for it is not a tangent: it is the line that
fits best over what is believed of the two figures of recovery, with what it leaves as a doubt.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from steelyard.strength.fatigue import Pools
from steelyard.strength.gaussian import NODES, Direction, Row
from steelyard.strength.lifts import CARRIED_SD, Lifts
from steelyard.strength.state import CURVE, FAST, FIRST_LIFT, FORM, SLOW

LEAST_CAPACITY = 0.05
"""Capacity is never taken to be less: beyond this the model is only arithmetic."""

Tired = Mapping[tuple[int, str], Pools]
"""What today's sets have cost, by lift and side, in kg: reps times load over the lift's own scale of the curve."""


@dataclass(frozen=True, slots=True)
class Standing:
    """Where a lift stands.

    margin:   mean logarithm of the load in kg that could just not be lifted.
    base:     how it depends on the state, the curve apart; bend is the weight of the curve.
    missing, capacity: shares of the fresh maximum that are missing and left.
    doubt:    variance that no place of the state accounts for.
    """

    margin: float
    base: Direction
    bend: float
    missing: float
    capacity: float
    doubt: float


def standing(
    lifts: Lifts, mean: Row, covariance: Sequence[Row], tired: Tired, fast_s: float, place: int, side: str
) -> Standing:
    """Where a lift stands on a side, with the day's form and what today's sets have left.

    fast_s: fast time constant of the pools. [s]
    """
    at = FIRST_LIFT + place
    maximum = mean[at] + mean[FORM]
    costs = list(_costs(lifts, mean, tired, place, side))
    if not costs:
        return Standing(maximum, ((FORM, 1.0), (at, 1.0)), 0.0, 0.0, 1.0, 0.0)
    share = _logistic(mean[FAST])
    parts = [(source, part * pools.missing(share)) for source, part, pools in costs]
    missing = math.fsum(part for _, part in parts)
    foreign = math.fsum(part for source, part in parts if source != place)
    capacity = max(LEAST_CAPACITY, 1.0 - missing)
    line = _line(mean, covariance, costs)
    weights = {at: 1.0}
    for source, part in parts:
        weights[FIRST_LIFT + source] = weights.get(FIRST_LIFT + source, 0.0) + part / capacity
    base = ((FORM, 1.0 + missing / capacity), (FAST, line.fast), (SLOW, line.slow), *weights.items())
    doubt = (CARRIED_SD * foreign / capacity) ** 2 + line.left
    return Standing(maximum + line.level, base, missing / capacity, missing, capacity, doubt)


def _costs(lifts: Lifts, mean: Row, tired: Tired, place: int, side: str) -> Iterator[tuple[int, float, Pools]]:
    """The pools that a lift feels, each with the factor that makes its kg shares of the maximum."""
    for (source, worked), pools in tired.items():
        apart = "both" not in (side, worked) and side != worked  # one arm is not tired by the other
        part = 0.0 if apart else lifts.carry[place][source]
        if part:
            yield source, part * math.exp(-mean[FIRST_LIFT + source] - mean[FORM] - mean[CURVE]), pools


@dataclass(frozen=True, slots=True)
class _Line:
    """The logarithm of the capacity as a line in the two figures of recovery; left: variance about it."""

    level: float
    fast: float
    slow: float
    left: float


def _line(mean: Row, covariance: Sequence[Row], costs: Sequence[tuple[int, float, Pools]]) -> _Line:
    """Moments over three by three nodes of what is believed of the fast share and the slow time constant."""
    slow_sd = math.sqrt(covariance[SLOW][SLOW])
    across = covariance[SLOW][FAST] / slow_sd
    fast_sd = math.sqrt(max(1e-12, covariance[FAST][FAST] - across * across))
    slow_s = math.exp(mean[SLOW])
    fast = math.fsum(part * pools.fast for _, part, pools in costs)
    level = square = with_slow = with_fast = 0.0
    for slow_weight, slow_node in NODES:
        other_s = slow_s * math.exp(slow_sd * slow_node)
        slow = math.fsum(part * pools.slow_at(slow_s, other_s) for _, part, pools in costs)
        for fast_weight, fast_node in NODES:
            share = _logistic(mean[FAST] + across * slow_node + fast_sd * fast_node)
            log_capacity = math.log(max(LEAST_CAPACITY, 1.0 - share * fast - (1.0 - share) * slow))
            weighed = slow_weight * fast_weight * log_capacity
            level += weighed
            square += weighed * log_capacity
            with_slow += weighed * slow_node
            with_fast += weighed * fast_node
    to_fast = with_fast / fast_sd
    to_slow = (with_slow - to_fast * across) / slow_sd
    left = max(0.0, square - level * level - with_slow * with_slow - with_fast * with_fast)
    return _Line(level, to_fast, to_slow, left)


def _logistic(value: float) -> float:
    return 1.0 / (1.0 + math.exp(-value))
