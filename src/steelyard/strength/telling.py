"""What one set tells: from the reps counted to new means and variances of the state.

The margin between what could be lifted and the load is normal once the curve's scale is fixed, and the set says
that it lies between two ends. Both ends, and the scatter, depend on the scale; so the margin is cut exactly at
three values of the scale, and the moments of margin and scale together move the state.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from steelyard.strength import population as people
from steelyard.strength.gaussian import (
    LEAST_CHANCE,
    NODES,
    Figure,
    Pair,
    Row,
    along,
    between,
    following,
    following_both,
    variance_of,
)
from steelyard.strength.model import Ended, Observation
from steelyard.strength.outlook import near_max_doubt
from steelyard.strength.standing import Standing
from steelyard.strength.state import CANDOUR, CURVE


@dataclass(frozen=True, slots=True)
class Told:
    """The state after a set, how probable the set was, and how probable it is that it was an odd one."""

    mean: Row
    covariance: tuple[Row, ...]
    chance: float
    odd: float


@dataclass(frozen=True, slots=True)
class _Reading:
    """What a set says of the reps that could have been done: from low on and below high, about so many.

    noise_reps: standard deviation of a person's own judgement in it. [reps] candour: weight of candour in it.
    """

    low: float
    high: float
    about: float
    noise_reps: float = 0.0
    candour: float = 0.0


def tell(
    mean: Row, covariance: tuple[Row, ...], now: Standing, scale: float, typical_scale: float, seen: Observation
) -> Told:
    """The state once a set's reps are known.

    now:   where the lift stood before the set. scale: of the curve, the lifter's own as believed; typical_scale:
    most
           people's. [reps]
    """
    said = _read(seen, mean[CANDOUR])
    if said.about > people.MOST_REPS:
        return Told(mean, covariance, 1.0, 0.0 if seen.ended is Ended.UNSAID else 1.0)
    curve = covariance[CURVE]
    direction = [*now.base, (CURVE, now.bend)]
    if said.candour:
        direction.append((CANDOUR, -said.candour / (scale + _foreseen(now, scale, seen.felt_kg))))
    with_margin = along(covariance, direction)
    slope = with_margin[CURVE] / curve[CURVE]
    own = variance_of(direction, with_margin) - slope * with_margin[CURVE]
    moments = _moments(said, now, seen, (scale, typical_scale), (slope, own, curve[CURVE]))
    if moments is None:
        return Told(mean, covariance, 0.0, 1.0)
    after, chance, odd = moments
    rest = [each - slope * with_curve for each, with_curve in zip(with_margin, curve, strict=True)]
    moved, rows = following_both(mean, covariance, (curve, rest), (curve[CURVE], own), after)
    return Told(moved, rows, chance, odd)


def _moments(
    said: _Reading,
    now: Standing,
    seen: Observation,
    scales: tuple[float, float],
    figures: tuple[float, float, float],
) -> tuple[Pair, float, float] | None:
    """Moments of the curve and of what it leaves of the margin, the chance of the set and that of an odd one.

    scales:  the lifter's own and most people's. [reps]
    figures: slope of the margin on the curve, variance that it leaves, variance of the curve.

    None where the set had next to no chance.
    """
    (scale, typical), (slope, own, of_curve) = scales, figures
    log_load, about = math.log(seen.felt_kg), max(said.about, 0.5)
    doubt = now.doubt + near_max_doubt(about, now.missing, now.capacity) + seen.load_sd**2
    chance = odd_chance = 0.0
    first = second = first_square = second_square = both = 0.0
    for share, node in NODES:
        curve = node * math.sqrt(of_curve)
        here = scale * math.exp(curve)
        margin = now.margin + slope * curve
        low = log_load + math.log1p(said.low / here) if said.low > -here else -math.inf
        high = log_load + math.log1p(said.high / here) if said.high < math.inf else math.inf
        stretch = (typical + about) / (here + about)
        noise = doubt + (stretch * people.SET_SD) ** 2 + (said.noise_reps / (here + about)) ** 2
        for part, wider in ((1.0 - people.ODD_SHARE, 0.0), (people.ODD_SHARE, stretch * people.ODD_SD)):
            cut = between(margin, own, math.sqrt(noise + wider * wider), low, high)
            weight, off = share * part * cut.chance, cut.mean - margin
            chance += weight
            odd_chance += weight if wider else 0.0
            first += weight * curve
            second += weight * off
            first_square += weight * curve * curve
            second_square += weight * (off * off + cut.variance)
            both += weight * curve * off
    if chance < LEAST_CHANCE:
        return None
    first, second = first / chance, second / chance
    after = Pair(
        first,
        second,
        first_square / chance - first * first,
        second_square / chance - second * second,
        both / chance - first * second,
    )
    return after, chance, odd_chance / chance


def _read(seen: Observation, candour: float) -> _Reading:
    done = float(seen.reps - seen.helped)
    if seen.ended is Ended.FAILURE or seen.helped:
        return _Reading(done or -math.inf, done + 1.0, done + 0.5)
    if seen.ended is Ended.FORM:
        return _Reading(done, done + 1.0, done + 0.5, noise_reps=1.0)
    if seen.ended is Ended.UNSAID or seen.rir is None:
        return _Reading(done + (seen.rir or 0), math.inf, done + (seen.rir or 0))
    weight = people.candour_weight(seen.rir)
    low = done + seen.rir + weight * candour
    return _Reading(low, low + 1.0, low + 0.5, people.rir_error_reps(seen.rir, seen.reps), weight)


def _foreseen(now: Standing, scale: float, felt_kg: float) -> float:
    """Reps to failure that were foreseen: where the slope is taken, so that it does not follow the surprise."""
    able = scale * math.expm1(min(now.margin - math.log(felt_kg), people.FARTHEST))
    return min(max(able, 0.5), float(people.MOST_REPS))


def choose(
    mean: Row, covariance: Sequence[Row], now: Standing, scale: float, log_load: float, aim: tuple[float, float]
) -> tuple[Row, tuple[Row, ...]]:
    """The state once it is known that the lifter chose a load for so many reps.

    aim: those reps, and the error of the choice in log load.
    """
    reps, sd = aim
    able = reps + 0.5
    direction = (*now.base, (CURVE, now.bend + able / (scale + able)))
    with_figure = along(covariance, direction)
    variance = variance_of(direction, with_figure)
    margin = now.margin - log_load - math.log1p(able / scale)
    kept = sd * sd / (variance + sd * sd)
    return following(
        mean, covariance, with_figure, (margin, variance), Figure(1.0, kept * margin, kept * variance)
    )
