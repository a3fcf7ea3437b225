"""Strength from recent sets, by published equations and their error, and what it says of the next set.

Every set gives a maximum by the same curve that predicts (`curve`), with an error made of

- one rep of set noise and 2 % of day-to-day form. Together that is 3.2 % of the maximum at ten reps, between the
  2 % of one set to failure a week apart (0.7 reps at 90 %, 1.1 at 70 %: Mitter and others 2022, doi
  10.1371/journal.pone.0268074) and the median 4.2 % of tested maxima (Grgic and others 2020, doi
  10.1186/s40798-020-00260-z);
- the error of reps said to be left (`RIR_ERROR_REPS`), taken without bias. Lifters have about 0.95 reps more left
  than they say (Halperin and others 2022, doi 10.1007/s40279-021-01559-x), so the estimate errs to the light side;
- the error of what fatigue left, for a set that was not the first (`fatigue.capacity_error`).

Days are combined by inverse variance, oldest first, while strength drifts between them. Sets whose effort nobody
said, or that left "five or more", bound the estimate from below only, and a first rep that failed from above.
Where no source is named, the figure is a judgement.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from steelyard.errors import OutOfRange
from steelyard.strength.curve import HALF_REP, REPS_SCALE, reps_to_failure
from steelyard.strength.fatigue import capacity_error
from steelyard.strength.model import Ended, Estimate, Observation

OLDEST_DAYS = 60.0
"""Older sets say nothing of today."""
MOST_REPS = 30
"""Sets of more reps, those left included, are not used."""
SURE_REPS = 15
"""Beyond so many reps a set is used, with the curve's own error added."""
SET_NOISE_REPS = 1.0
"""Standard deviation of the reps of one set about what form and fatigue allow."""
DAY_SD = 0.02
"""Standard deviation of a day's form, relative."""
DRIFT_PER_WEEK = 0.01
"""Standard deviation of a week's change of strength, relative: between the 2 to 3 % a week of a first month and
the 0.2 % of advanced lifters (competition totals; single-set cohort of 14,690 people)."""
SAME_SESSION_DAYS = 0.25
RIR_ERROR_REPS = (0.85, 1.0, 1.15, 1.3, 1.65, 2.0)
"""Standard deviation of the reps really left, by the reps said to be left, 0 to 5; 0.35 more for each rep beyond.
Judged from Zourdos 2021 (doi 10.1519/JSC.0000000000002995) and Refalo 2024 (doi 10.1519/JSC.0000000000004653)."""
LONG_SET_REPS = 12
"""Above it the error of reps said to be left doubles: it grows by 0.06 a rep below, by 0.47 above (Halperin)."""
SHAPE_SD = 0.2
"""How far people, and the published equations, differ in the slope of the curve, relative: the error of predicting
at other reps than those seen. Men differ by 2.5 reps at 80 % in the pulldown (Johnson and others 2009, doi
10.1519/JSC.0b013e3181a2d7f5), which less the noise of a set and of a tested maximum leaves 0.21 of the distance in
log load; eight published equations differ by 0.16 to 0.28 of it between 3 and 10 reps."""


@dataclass(frozen=True, slots=True)
class _Reading:
    """What one set says of the logarithm of the maximum. side: 0 it is so, 1 at least so, -1 at most so."""

    log_max: float
    variance: float
    days_ago: float
    reps: float
    side: int


def estimate(observations: Sequence[Observation]) -> Estimate | None:
    """Today's fresh maximum on one station from a lifter's sets there, in any order.

    None unless at least one set of the last 60 days tells it: failed after a rep or more, or stopped with a number
    of reps said to be left, 30 reps at most.

    >>> known = estimate([Observation(75.0, 10, 0, Ended.FAILURE, days_ago=3.0)])
    >>> round(known.one_rm_kg, 2), round(known.sd_log, 3), round(expected_reps(known, 75.0), 6)
    (101.25, 0.038, 10.0)
    """
    readings = sorted(
        map(_read, filter(_is_usable, observations)), key=lambda each: (-each.days_ago, each.log_max)
    )
    telling = [each for each in readings if each.side == 0]
    if not telling:
        return None
    mean, variance = _today(telling)
    mean = _bounded(mean, variance, (each for each in readings if each.side != 0))
    weights = [1.0 / (each.variance + _ageing(each)) for each in telling]
    seen = math.fsum(weight * each.reps for weight, each in zip(weights, telling, strict=True)) / math.fsum(
        weights
    )
    return Estimate(math.exp(mean), math.sqrt(variance), len(telling), telling[-1].days_ago, seen)


def error_at(known: Estimate, reps: float) -> float:
    """Relative error of the load that gives so many counted reps; it grows away from the reps that were seen.

    >>> known = Estimate(100.0, 0.03, 4, 2.0, reps_seen=10.0)
    >>> error_at(known, 10.0), round(error_at(known, 3.0), 3)
    (0.03, 0.048)
    """
    distance = math.log((REPS_SCALE + reps + HALF_REP) / (REPS_SCALE + known.reps_seen + HALF_REP))
    return math.hypot(known.sd_log, SHAPE_SD * distance)


def expected_reps(known: Estimate, load_kg: float, *, capacity: float = 1.0) -> float:
    """Counted reps to failure on average, 0 if the load is too heavy for any.

    load_kg:  felt load, above 0. [kg]
    capacity: share of the fresh maximum left before the set, above 0.

    Raises: OutOfRange.
    """
    return max(0.0, reps_to_failure(load_kg / known.one_rm_kg, capacity=capacity) - HALF_REP)


def chance_of_reps(known: Estimate, load_kg: float, reps: int, *, capacity: float = 1.0) -> float:
    """Probability of at least so many reps to failure, rounded to 1e-6 so that every device decides alike.

    load_kg:  felt load, above 0. [kg]
    capacity: share of the fresh maximum left before the set, above 0.

    Raises: OutOfRange.

    >>> chance_of_reps(Estimate(100.0, 0.03, 4, 2.0, reps_seen=10.0), 75.0, 10)
    0.5
    """
    able = reps_to_failure(load_kg / known.one_rm_kg, capacity=capacity)
    if reps < 1:
        return 1.0
    margin = math.log((REPS_SCALE + able) / (REPS_SCALE + reps))
    return round(_normal_share(margin / _spread(known, reps, capacity)), 6)


def load_for(known: Estimate, reps: int, chance: float, *, capacity: float = 1.0) -> float:
    """The heaviest felt load that gives at least so many reps with this chance. [kg]

    reps:     to failure, at least 1.
    chance:   from 0.001 to 0.999.
    capacity: share of the fresh maximum left before the set, above 0.

    Raises: OutOfRange.

    >>> round(load_for(Estimate(100.0, 0.03, 4, 2.0, reps_seen=10.0), 10, 0.5), 3)
    75.0
    """
    if not reps >= 1:
        raise OutOfRange("reps", reps, "at least 1")
    if not 0.001 <= chance <= 0.999:
        raise OutOfRange("chance", chance, "from 0.001 to 0.999")
    if not capacity > 0:
        raise OutOfRange("capacity", capacity, "above 0, as a share of the fresh maximum")
    even_kg = known.one_rm_kg * capacity * REPS_SCALE / (REPS_SCALE + reps)
    return even_kg * math.exp(-_normal_point(chance) * _spread(known, reps, capacity))


def _is_usable(seen: Observation) -> bool:
    reps = seen.reps + (seen.rir or 0)
    return seen.felt_kg > 0 and seen.days_ago <= OLDEST_DAYS and 0 <= reps <= MOST_REPS and seen.capacity > 0


def _read(seen: Observation) -> _Reading:
    """One set by the curve: n is half a rep more than counted at failure, and a bound where nobody said."""
    failed = seen.ended is Ended.FAILURE
    left = seen.rir if seen.ended is Ended.REPORTED else None
    if failed and seen.reps == 0:
        able, side = 1.0, -1
    elif failed or left is not None:
        able, side = seen.reps + (left or 0) + HALF_REP, 0
    else:
        able, side = float(seen.reps + (seen.rir or 0)), 1
    reps_sd = math.hypot(SET_NOISE_REPS, 0.0 if left is None else _rir_error_reps(seen.reps, left))
    beyond = SHAPE_SD * math.log(max(1.0, (REPS_SCALE + able) / (REPS_SCALE + SURE_REPS + HALF_REP)))
    sd = math.hypot(reps_sd / (REPS_SCALE + able), beyond, capacity_error(seen.capacity))
    log_max = math.log(seen.felt_kg * (REPS_SCALE + able) / (REPS_SCALE * seen.capacity))
    return _Reading(log_max, sd * sd, max(0.0, seen.days_ago), able - HALF_REP, side)


def _rir_error_reps(reps: int, left: int) -> float:
    """Standard deviation of the reps really left.

    Whether a set is long goes by the reps done: with the guess itself added, high guesses would weigh less than
    low ones and the estimate would come out low (by 1.5 % with simulated lifters).
    """
    last = len(RIR_ERROR_REPS) - 1
    sd = RIR_ERROR_REPS[min(left, last)] + 0.35 * max(0, left - last)
    return 2.0 * sd if reps > LONG_SET_REPS else sd


def _ageing(reading: _Reading) -> float:
    """Variance that lies between a set's day and today: its form and the drift since."""
    return DAY_SD**2 + _drift(reading.days_ago)


def _drift(days: float) -> float:
    return DRIFT_PER_WEEK**2 * days / 7.0


def _today(telling: Sequence[_Reading]) -> tuple[float, float]:
    """Mean and variance of today's log maximum: the level followed from day to day, with today's form on top.

    The sets of a day share its form, so that many sets of one day don't pass for many days. Today's own sets are
    about today's form itself.
    """
    mean, variance, at = 0.0, math.inf, telling[0].days_ago
    for day in _days(telling):
        seen, own = _combined(day)
        age = day[-1].days_ago
        variance += _drift(max(0.0, at - age))
        at = age
        if age < SAME_SESSION_DAYS:
            return _meet(mean, variance + DAY_SD**2, seen, own)
        mean, variance = _meet(mean, variance, seen, own + DAY_SD**2)
    return mean, variance + _drift(at) + DAY_SD**2


def _days(telling: Iterable[_Reading]) -> list[list[_Reading]]:
    """The readings by session, oldest first: less than six hours apart is one session."""
    days: list[list[_Reading]] = []
    for each in telling:
        if days and days[-1][-1].days_ago - each.days_ago < SAME_SESSION_DAYS:
            days[-1].append(each)
        else:
            days.append([each])
    return days


def _combined(day: Sequence[_Reading]) -> tuple[float, float]:
    """Inverse-variance mean of a day's readings, and its variance."""
    total = math.fsum(1.0 / each.variance for each in day)
    return math.fsum(each.log_max / each.variance for each in day) / total, 1.0 / total


def _meet(mean: float, variance: float, seen: float, seen_variance: float) -> tuple[float, float]:
    """Two independent values of one quantity, by inverse variance; an infinite variance knows nothing."""
    if math.isinf(variance):
        return seen, seen_variance
    gain = variance / (variance + seen_variance)
    return mean + gain * (seen - mean), gain * seen_variance


def _bounded(mean: float, variance: float, bounds: Iterable[_Reading]) -> float:
    """The mean moved by the one bound that it breaks furthest, an upper one first: heavy loads are the danger.

    A bound leaves the variance as it is, so that a row of sets nobody judged neither ratchets nor makes sure.
    """
    moved = [
        _meet(mean, variance, bound.log_max, bound.variance + _ageing(bound))[0]
        for bound in bounds
        if bound.side * (bound.log_max - mean) > 0
    ]
    lowest = min(moved, default=mean)
    return lowest if lowest < mean else max(moved, default=mean)


def _spread(known: Estimate, reps: int, capacity: float) -> float:
    """Error of the log load that just gives so many reps: of belief, curve, fatigue and the set itself."""
    noise = SET_NOISE_REPS / (REPS_SCALE + reps)
    return math.hypot(error_at(known, reps - HALF_REP), capacity_error(capacity), noise)


def _normal_share(deviation: float) -> float:
    """Standard normal probability below a deviation."""
    return 0.5 * math.erfc(-deviation / math.sqrt(2.0))


def _normal_point(share: float) -> float:
    """Standard normal deviation below which this share lies, by halving."""
    low, high = -8.0, 8.0
    for _ in range(60):
        middle = (low + high) / 2.0
        if _normal_share(middle) < share:
            low = middle
        else:
            high = middle
    return (low + high) / 2.0
