"""Plain ways to foretell the reps of the next set from earlier ones of the same lift: what belief has to beat.

Each takes the earlier sets, oldest first, as loads [kg] and reps to failure (said reps left counted in), and the
load that comes next, and says the reps to failure that it expects.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from steelyard.strength.equations import brzycki, epley

Earlier = Sequence[tuple[float, float]]
Foretelling = Callable[[Earlier, float], float]

HALF = 0.5
"""Weight of the newest set in a running average."""
LOG_LOAD_PER_REP = 0.05
"""Of the scalar filter: a rep is worth so much of the load. Fitted to the trial that `population` names."""
DRIFT_VARIANCE, SET_VARIANCE = 0.02**2, 0.05**2
"""Of the scalar filter, in log load, from set to set and of one set (a choice: the ratio is what matters)."""


def last_reps(earlier: Earlier, _: float) -> float:
    """As many as last time, whatever the load.

    >>> last_reps([(50.0, 10.0), (55.0, 8.0)], 60.0)
    8.0
    """
    return earlier[-1][1]


def epley_average(earlier: Earlier, load_kg: float) -> float:
    """Epley's equation on a half-weight running average of the maxima that it gives. load_kg: next. [kg]

    >>> round(epley_average([(60.0, 10.0)], 60.0), 6)
    10.0
    """
    return 30.0 * (_average([epley(load, max(1.0, reps)) for load, reps in earlier]) / load_kg - 1.0)


def brzycki_average(earlier: Earlier, load_kg: float) -> float:
    """Brzycki's equation in the same way, reps held below its pole at 37. load_kg: next. [kg]

    >>> round(brzycki_average([(60.0, 10.0)], 60.0), 6)
    10.0
    """
    average = _average([brzycki(load, min(max(1.0, reps), 30.0)) for load, reps in earlier])
    return (1.0278 - load_kg / average) / 0.0278


def scalar_filter(earlier: Earlier, load_kg: float) -> float:
    """One number, the log load of no reps, followed from set to set by a Kalman filter. load_kg: next. [kg]

    >>> round(scalar_filter([(60.0, 10.0)], 60.0), 6)
    10.0
    """
    level, variance = math.nan, math.inf
    for load, reps in earlier:
        seen = math.log(load) + LOG_LOAD_PER_REP * reps
        variance += DRIFT_VARIANCE
        gain = 1.0 if math.isinf(variance) else variance / (variance + SET_VARIANCE)
        level = seen if math.isnan(level) else level + gain * (seen - level)
        variance = SET_VARIANCE if math.isinf(variance) else (1.0 - gain) * variance
    return (level - math.log(load_kg)) / LOG_LOAD_PER_REP


FORETELLINGS: dict[str, Foretelling] = {
    "last reps": last_reps,
    "Epley, running average": epley_average,
    "Brzycki, running average": brzycki_average,
    "scalar filter": scalar_filter,
}
"""By the name they have in tables."""


def _average(maxima: Sequence[float]) -> float:
    level = maxima[0]
    for each in maxima[1:]:
        level += HALF * (each - level)
    return level
