"""Best estimates of a bench's unknowns: Bayesian least squares.

Every reading counts by its expected scatter, every unknown by what the description knows of it beforehand. The
scatter is adapted to the one found, where the expected one is worth a few readings itself.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from steelyard.machine.bench import Bench, expected, scatter, slopes

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[Any]

NOISE_WORTH = 8.0
"""How many readings the expected scatter is worth against the scatter found."""


FAR_SD, MOST_STEPS = 6.0, 40
Noise = tuple[float, float]
EXPECTED: Noise = (1.0, 1.0)
"""Scatter over the one expected of a household scale: of its fixed part, and of its share."""


@dataclass(frozen=True, slots=True)
class Solution:
    """What some of a bench's readings say.

    x, covariance: of the unknowns. noise: the scatter taken, over the one expected.
    used:  whether each reading stands behind x.
    expected_kg, parts_kg, sd_kg: of every reading, used or not: what it should show, the two parts of the scale's
           scatter as expected, and the whole of its scatter as taken. [kg]
    doubt: of every reading, variance of what it should show for x being uncertain, in units of sd squared.
    """

    x: Array
    covariance: Array
    noise: Noise
    used: Array
    expected_kg: Array
    parts_kg: tuple[Array, Array]
    sd_kg: Array
    doubt: Array


def solve(
    bench: Bench, used: Array, start: Array, noise: Noise, *, slack: Array | float = 1.0, rough: bool = False
) -> Solution:
    """Best estimates from the readings used, for a scale that scatters so many times as much as expected.

    slack: how much less sharply than that each reading counts, as a factor on its scatter.
    rough: stop as soon as a step no longer matters much; for a solution that is only on the way.
    """
    import numpy as np
    from scipy.optimize import least_squares

    fixed, share, added = scatter(bench, start)
    sd = slack * np.sqrt((noise[0] * fixed) ** 2 + (noise[1] * share) ** 2 + added**2)
    prior = np.diag(1.0 / bench.prior_sd)

    def near(x: Array) -> Array:  # a step far beyond belief would overflow the exponentials of logarithms
        return np.clip(x, bench.prior - FAR_SD * bench.prior_sd, bench.prior + FAR_SD * bench.prior_sd)

    def misfits(x: Array) -> Array:
        readings = (expected(bench, near(x)) - bench.shown_kg) / sd
        return np.concatenate((readings[used], (x - bench.prior) / bench.prior_sd))

    def misfit_slopes(x: Array) -> Array:
        return np.vstack(((slopes(bench, near(x)) / sd[:, None])[used], prior))

    close = 1e-2 if rough else 1e-7
    options = {"method": "lm", "x_scale": bench.prior_sd, "ftol": close, "xtol": close, "max_nfev": MOST_STEPS}
    x = near(least_squares(misfits, start, misfit_slopes, **options).x)
    rows = slopes(bench, x) / sd[:, None]
    covariance = np.linalg.inv(rows[used].T @ rows[used] + prior**2)
    doubt = np.einsum("ij,jk,ik->i", rows, covariance, rows)
    return Solution(x, covariance, noise, used, expected(bench, x), (fixed, share), sd, doubt)


def noise_found(bench: Bench, solution: Solution) -> Noise:
    """The scatter of the readings used over the one expected, part by part.

    Every reading counts by the share that a part has in its scatter, and only as far as the fit has not taken its
    departure up.
    """
    squares = ((bench.shown_kg - solution.expected_kg) / solution.sd_kg) ** 2
    found = []
    for noise, part in zip(solution.noise, solution.parts_kg, strict=True):
        share = ((noise * part / solution.sd_kg) ** 2)[solution.used]
        departure = NOISE_WORTH + noise**2 * float((share * squares[solution.used]).sum())
        free = NOISE_WORTH + float((share * (1.0 - solution.doubt[solution.used])).sum())
        found.append(float((departure / free) ** 0.5))
    return found[0], found[1]


def usual_sd_kg(solution: Solution) -> Array:
    """The whole scatter of every reading if the scale scattered as expected. [kg]"""
    fixed, share = solution.parts_kg
    taken = (solution.noise[0] * fixed) ** 2 + (solution.noise[1] * share) ** 2
    usual: Array = (solution.sd_kg**2 - taken + fixed**2 + share**2) ** 0.5
    return usual


def noise_whole(solution: Solution) -> float:
    """The scatter taken over the one expected, over all readings used."""
    fixed, share = (part[solution.used] for part in solution.parts_kg)
    taken = (solution.noise[0] * fixed) ** 2 + (solution.noise[1] * share) ** 2
    return float((taken.sum() / (fixed**2 + share**2).sum()) ** 0.5)
