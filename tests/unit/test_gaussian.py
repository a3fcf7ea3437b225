"""One figure of a joint normal distribution, learnt from an interval that it was seen in."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.stats import norm

from steelyard.strength.gaussian import (
    Figure,
    along,
    between,
    either,
    following,
    normal_below,
    normal_point,
    variance_of,
)

MEAN = (1.0, -0.5, 2.0)
COVARIANCE = ((0.5, 0.1, -0.2), (0.1, 0.3, 0.05), (-0.2, 0.05, 0.8))
DIRECTION = ((0, 1.0), (2, -0.5))
WEIGHTS = np.array([1.0, 0.0, -0.5])


def by_sums(mean: float, variance: float, noise_sd: float, low: float, high: float) -> Figure:
    """The same by adding up a fine grid."""
    at = np.linspace(mean - 12.0 * math.sqrt(variance), mean + 12.0 * math.sqrt(variance), 40001)
    seen = norm.cdf((high - at) / noise_sd) - norm.cdf((low - at) / noise_sd)
    weights = norm.pdf(at, mean, math.sqrt(variance)) * (at[1] - at[0]) * seen
    chance = weights.sum()
    middle = (weights * at).sum() / chance
    return Figure(chance, middle, (weights * (at - middle) ** 2).sum() / chance)


@pytest.mark.parametrize("deviation", [-5.0, -1.96, 0.0, 0.3, 4.0])
def test_the_normal_distribution_is_the_one_in_reference_libraries(deviation: float) -> None:
    assert normal_below(deviation) == pytest.approx(norm.cdf(deviation), rel=1e-12)


@pytest.mark.parametrize("share", [1e-6, 0.1, 0.5, 0.8, 0.999])
def test_a_normal_point_has_its_share_below_it(share: float) -> None:
    assert normal_point(share) == pytest.approx(norm.ppf(share), abs=1e-9)
    assert normal_below(normal_point(share)) == pytest.approx(share, rel=1e-9)


@pytest.mark.parametrize(
    ("low", "high"), [(0.2, 0.5), (-0.4, 0.1), (2.0, 3.0), (0.5, math.inf), (-math.inf, -1.0), (-3.0, 3.0)]
)
def test_a_figure_seen_in_an_interval_has_the_moments_of_adding_up(low: float, high: float) -> None:
    seen, summed = between(0.1, 0.6, 0.3, low, high), by_sums(0.1, 0.6, 0.3, low, high)
    assert seen.chance == pytest.approx(summed.chance, rel=1e-6)
    assert (seen.mean, seen.variance) == pytest.approx((summed.mean, summed.variance), rel=1e-6)


def test_an_interval_without_ends_says_nothing() -> None:
    seen = between(0.3, 0.7, 0.2, -math.inf, math.inf)
    assert seen.chance == 1.0
    assert (seen.mean, seen.variance) == pytest.approx((0.3, 0.7))


def test_a_narrow_interval_is_a_measurement() -> None:
    """The update of a Kalman filter, in closed form."""
    seen = between(1.0, 0.5, 0.4, 1.5 - 5e-5, 1.5 + 5e-5)
    gain = 0.5 / (0.5 + 0.16)
    assert (seen.mean, seen.variance) == pytest.approx((1.0 + gain * 0.5, (1.0 - gain) * 0.5), abs=1e-5)


def test_what_had_no_chance_leaves_the_figure_as_it_was() -> None:
    assert between(0.0, 1.0, 0.1, 50.0, 51.0) == Figure(0.0, 0.0, 1.0)


def test_of_two_things_the_likelier_weighs_more() -> None:
    mixed = either(Figure(0.9, 1.0, 0.1), Figure(0.1, 2.0, 0.1), 0.5)
    assert mixed.mean == pytest.approx(1.1)
    assert mixed.variance == pytest.approx(0.1 + 0.9 * 0.1)


def test_of_two_things_without_a_chance_the_first_stays() -> None:
    assert either(Figure(0.0, 1.0, 0.1), Figure(0.0, 2.0, 0.4), 0.5) == Figure(0.0, 1.0, 0.1)


def test_a_figure_goes_with_each_place_as_matrices_have_it() -> None:
    with_figure = along(COVARIANCE, DIRECTION)
    assert with_figure == pytest.approx(np.array(COVARIANCE) @ WEIGHTS)
    assert variance_of(DIRECTION, with_figure) == pytest.approx(WEIGHTS @ np.array(COVARIANCE) @ WEIGHTS)


def test_a_state_follows_a_measured_figure_as_in_a_kalman_filter() -> None:
    with_figure = along(COVARIANCE, DIRECTION)
    variance, noise, seen = variance_of(DIRECTION, with_figure), 0.2, 0.9
    gain = np.array(with_figure) / (variance + noise)
    figure = float(WEIGHTS @ np.array(MEAN))
    share = variance / (variance + noise)
    after = Figure(1.0, figure + share * (seen - figure), variance * noise / (variance + noise))
    mean, rows = following(MEAN, COVARIANCE, with_figure, (figure, variance), after)
    assert mean == pytest.approx(np.array(MEAN) + gain * (seen - figure))
    assert np.array(rows) == pytest.approx(np.array(COVARIANCE) - np.outer(gain, with_figure))


def test_a_state_has_the_figure_that_it_followed() -> None:
    with_figure = along(COVARIANCE, DIRECTION)
    before = (float(WEIGHTS @ np.array(MEAN)), variance_of(DIRECTION, with_figure))
    mean, rows = following(MEAN, COVARIANCE, with_figure, before, Figure(0.5, 3.0, 0.04))
    assert float(WEIGHTS @ np.array(mean)) == pytest.approx(3.0)
    assert float(WEIGHTS @ np.array(rows) @ WEIGHTS) == pytest.approx(0.04)
