"""A joint normal distribution that learns one linear figure at a time, from an interval that the figure was seen
in.

The figure m = direction · state is normal; what is seen is m with noise, and only that it lies between two ends.
The mean and the variance of m given that are exact (those of a truncated normal), and the state follows m as it
does in a Kalman filter. Seeing an interval instead of a point is what counting whole reps does; an open end makes
a bound.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

Row = tuple[float, ...]
Direction = Sequence[tuple[int, float]]
"""The places of a state that count in a figure, each with its weight; the rest weigh nothing."""

ROOT_2 = math.sqrt(2.0)
DENSITY = 1.0 / math.sqrt(2.0 * math.pi)
NODES = ((1.0 / 6.0, -math.sqrt(3.0)), (2.0 / 3.0, 0.0), (1.0 / 6.0, math.sqrt(3.0)))
"""Weights and places of Gauss-Hermite quadrature with three nodes, for a standard normal variable."""
LEAST_CHANCE = 1e-12
"""What is seen with less chance than this says nothing that arithmetic could tell."""


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure before and after something is seen of it. chance: how probable that was before."""

    chance: float
    mean: float
    variance: float


def normal_below(deviation: float) -> float:
    """Standard normal probability below a deviation.

    >>> round(normal_below(1.96), 3)
    0.975
    """
    return 0.5 * math.erfc(-deviation / ROOT_2)


def normal_point(share: float) -> float:
    """Standard normal deviation below which this share lies, by halving. share: between 0 and 1.

    >>> round(normal_point(0.8), 4)
    0.8416
    """
    low, high = -9.0, 9.0
    for _ in range(60):
        middle = (low + high) / 2.0
        if normal_below(middle) < share:
            low = middle
        else:
            high = middle
    return (low + high) / 2.0


def between(mean: float, variance: float, noise_sd: float, low: float, high: float) -> Figure:
    """A figure of which was seen, with noise, that it lies between two ends; either may be infinite.

    Where that had next to no chance, the figure stays as it was.

    >>> seen = between(0.0, 1.0, 0.0, 0.0, math.inf)
    >>> seen.chance, round(seen.mean, 4), round(seen.variance, 4)
    (0.5, 0.7979, 0.3634)
    """
    total = math.sqrt(variance + noise_sd * noise_sd)
    below, above = (low - mean) / total, (high - mean) / total
    chance = 0.5 * (math.erfc(below / ROOT_2) - math.erfc(above / ROOT_2))
    if chance < LEAST_CHANCE:
        return Figure(max(0.0, chance), mean, variance)
    low_density = 0.0 if below == -math.inf else DENSITY * math.exp(-0.5 * below * below)
    high_density = 0.0 if above == math.inf else DENSITY * math.exp(-0.5 * above * above)
    shift = (low_density - high_density) / chance
    bend = (
        (above * high_density if high_density else 0.0) - (below * low_density if low_density else 0.0)
    ) / chance
    gain = variance / total
    left = variance - gain * gain * (bend + shift * shift)
    return Figure(chance, mean + gain * shift, max(left, LEAST_CHANCE * variance))


def either(first: Figure, second: Figure, second_share: float) -> Figure:
    """A figure of which one of two things was seen, the second with this share beforehand: their mixture's
    moments.

    >>> either(Figure(0.5, 1.0, 1.0), Figure(0.5, 3.0, 1.0), 0.5)
    Figure(chance=0.5, mean=2.0, variance=2.0)
    """
    one, other = (1.0 - second_share) * first.chance, second_share * second.chance
    chance = one + other
    if chance <= 0.0:
        return Figure(0.0, first.mean, first.variance)
    share = other / chance
    apart = second.mean - first.mean
    mean = first.mean + share * apart
    variance = (1.0 - share) * first.variance + share * second.variance + share * (1.0 - share) * apart * apart
    return Figure(chance, mean, variance)


def along(covariance: Sequence[Row], direction: Direction) -> list[float]:
    """Covariance of every place of the state with the figure in a direction."""
    (place, weight), *rest = direction
    found = [weight * each for each in covariance[place]]
    for place, weight in rest:
        found = [sum_ + weight * each for sum_, each in zip(found, covariance[place], strict=True)]
    return found


def variance_of(direction: Direction, with_figure: Sequence[float]) -> float:
    """Variance of the figure in a direction, from what `along` gives."""
    return math.fsum(weight * with_figure[place] for place, weight in direction)


def following(
    mean: Row, covariance: Sequence[Row], with_figure: Sequence[float], before: tuple[float, float], after: Figure
) -> tuple[Row, tuple[Row, ...]]:
    """The state once a figure of it has gone from one mean and variance to others.

    with_figure: covariance of every place with the figure. before: its mean and variance.
    """
    figure_mean, variance = before
    step = (after.mean - figure_mean) / variance
    shrink = (after.variance - variance) / (variance * variance)
    moved = tuple([at + step * each for at, each in zip(mean, with_figure, strict=True)])
    rows = tuple(
        [
            tuple([at + scaled * other for at, other in zip(row, with_figure, strict=True)])
            for row, scaled in zip(covariance, [shrink * each for each in with_figure], strict=True)
        ]
    )
    return moved, rows


@dataclass(frozen=True, slots=True)
class Pair:
    """Means, variances and covariance of two figures, as changes from what they were: both are measured from their
    earlier means, and were independent.
    """

    first: float
    second: float
    first_variance: float
    second_variance: float
    both: float


def following_both(
    mean: Row,
    covariance: Sequence[Row],
    with_both: tuple[Sequence[float], Sequence[float]],
    variances: tuple[float, float],
    after: Pair,
) -> tuple[Row, tuple[Row, ...]]:
    """The state once two independent figures of it have new means and variances.

    with_both: covariance of every place with each figure. variances: of the figures before.
    """
    (one, other), (of_one, of_other) = with_both, variances
    step_one, step_other = after.first / of_one, after.second / of_other
    bend_one = (after.first_variance - of_one) / (of_one * of_one)
    bend_other = (after.second_variance - of_other) / (of_other * of_other)
    cross = after.both / (of_one * of_other)
    moved = tuple([at + step_one * x + step_other * y for at, x, y in zip(mean, one, other, strict=True)])
    rows = []
    for row, x, y in zip(covariance, one, other, strict=True):
        p, q = bend_one * x + cross * y, cross * x + bend_other * y
        rows.append(tuple([at + p * u + q * v for at, u, v in zip(row, one, other, strict=True)]))
    return moved, tuple(rows)
