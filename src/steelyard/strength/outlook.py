"""What one lift promises now: the distribution of reps at any load, and the loads that promise given reps.

Reps to failure at a load are the whole part of n = scale · (able / load − 1), where ln able is normal and a set
scatters about it, an odd one widely. Every probability is rounded to 1e-6, so that every device decides alike.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field

from steelyard.errors import OutOfRange
from steelyard.strength import population as people
from steelyard.strength.gaussian import normal_below

MOST_COUNTED = 60
"""No set of more reps is looked at."""
HALVINGS = 36


@dataclass(frozen=True, slots=True)
class Outlook:
    """What a lift promises now.

    Its questions take rir, the reps in reserve that a set is to stop at as the lifter feels it; 0 is failure.

    log_able_kg: mean logarithm of the load that could just not be lifted; variance is its own, with_curve its
              covariance with the logarithm of the curve's scale, curve_variance the variance of that one.
    scale:    of the load-repetition curve, the lifter's own; typical_scale is most people's. [reps]
    missing, capacity: shares of the fresh maximum that are missing and left.
    candour, candour_sd: how many more reps the lifter has than they say.
    log_max, sd_log_max: mean and standard deviation of the logarithm of the fresh maximum, a single, in kg felt
              load, the day's form apart.
    """

    log_able_kg: float
    variance: float
    with_curve: float
    curve_variance: float
    scale: float
    typical_scale: float
    missing: float
    capacity: float
    candour: float
    candour_sd: float
    log_max: float
    sd_log_max: float
    _loads: dict[tuple[int, float, int], float] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )

    @property
    def one_rm_kg(self) -> float:
        """Median of the fresh maximum: the load of a single. [kg]"""
        return math.exp(self.log_max)

    def expected_reps(self, load_kg: float, *, rir: int = 0) -> float:
        """Counted reps that the set comes to, on average; 0 if the load is too heavy for any.

        load_kg: felt load, above 0. [kg]
        """
        _check_load(load_kg)
        able = self.scale * (math.exp(self.log_able_kg) / load_kg - 1.0)
        return max(0.0, able - self._left(rir) - 0.5)

    def chance_of_reps(self, load_kg: float, reps: int, *, rir: int = 0) -> float:
        """Probability that the set comes to at least so many reps, rounded to 1e-6.

        load_kg: felt load, above 0. [kg]

        Raises: OutOfRange.
        """
        _check_load(load_kg)
        return round(self._chance(math.log(load_kg), reps, rir), 6)

    def _chance(self, log_load: float, reps: int, rir: int) -> float:
        if reps < 1:
            return 1.0
        able = reps + self._left(rir)
        margin = self.log_able_kg - log_load - math.log1p(able / self.scale)
        return _mixed(margin, *self._spread(able, rir, reps))

    def load_for(self, reps: int, chance: float, *, rir: int = 0) -> float:
        """The heaviest felt load that gives at least so many reps with this chance. [kg]

        reps: at least 1. chance: from 0.05 to 0.95.

        Raises: OutOfRange.
        """
        if not reps >= 1:
            raise OutOfRange("reps", reps, "at least 1")
        if not 0.05 <= chance <= 0.95:
            raise OutOfRange("chance", chance, "from 0.05 to 0.95")
        known = self._loads.get((reps, chance, rir))
        if known is None:
            known = self._loads[reps, chance, rir] = self._load_for(reps, chance, rir)
        return known

    def _load_for(self, reps: int, chance: float, rir: int) -> float:
        able = reps + self._left(rir)
        even = self.log_able_kg - math.log1p(able / self.scale)
        usual_sd, odd_sd = self._spread(able, rir, reps)
        low, high = even - 4.0 * odd_sd, even + 4.0 * odd_sd
        for _ in range(HALVINGS):
            middle = (low + high) / 2.0
            if _mixed(even - middle, usual_sd, odd_sd) >= chance:
                low = middle
            else:
                high = middle
        return math.exp(low)

    def chances(self, load_kg: float, *, rir: int = 0) -> Iterator[float]:
        """Probability of exactly 0, 1, 2 … reps, until next to nothing is left.

        Raises: OutOfRange.
        """
        _check_load(load_kg)
        log_load, before = math.log(load_kg), 1.0
        for reps in range(1, MOST_COUNTED + 1):
            at_least = self._chance(log_load, reps, rir)
            yield max(0.0, before - at_least)
            before = min(before, at_least)
            if before < 1e-9:
                return
        yield before

    def interval(self, load_kg: float, share: float, *, rir: int = 0) -> tuple[int, int]:
        """The run of whole reps that holds a share of the probability as nearly as whole reps can. [reps]

        share: between 0 and 1, such as 0.8. Of runs equally near, the shortest, then the lowest.
        """
        chances = list(self.chances(load_kg, rir=rir))
        below = [0.0]
        for each in chances:
            below.append(below[-1] + each)
        runs = (
            (round(abs(below[high + 1] - below[low] - share), 6), high - low, low, high)
            for low in range(len(chances))
            for high in range(low, min(len(chances), low + 25))
        )
        _, _, low, high = min(runs)
        return low, high

    def median_reps(self, load_kg: float, *, rir: int = 0) -> int:
        """Reps that the set comes to or passes in half of all cases. [reps]"""
        total = 0.0
        for reps, each in enumerate(self.chances(load_kg, rir=rir)):
            total += each
            if total >= 0.5:
                return reps
        return MOST_COUNTED

    def _left(self, rir: int) -> float:
        """Reps really left where the lifter stops, on average."""
        return rir + people.candour_weight(rir) * self.candour if rir else 0.0

    def _spread(self, able: float, rir: int, reps: float) -> tuple[float, float]:
        """Error of the log load that just gives so many reps, of a usual set and of an odd one."""
        part = able / (self.scale + able)
        variance = self.variance + 2.0 * part * self.with_curve + part * part * self.curve_variance
        stretch = (self.typical_scale + able) / (self.scale + able)
        variance += (stretch * people.SET_SD) ** 2 + near_max_doubt(able, self.missing, self.capacity)
        if rir:
            guess = people.rir_error_reps(rir, int(reps))
            bias = people.candour_weight(rir) * self.candour_sd
            variance += (guess * guess + bias * bias) / (self.scale + able) ** 2
        return math.sqrt(variance), math.sqrt(variance + (stretch * people.ODD_SD) ** 2)


def _mixed(margin: float, usual_sd: float, odd_sd: float) -> float:
    """Probability that a margin is kept, by a set that may be an odd one."""
    usual, odd = normal_below(margin / usual_sd), normal_below(margin / odd_sd)
    return usual + people.ODD_SHARE * (odd - usual)


def near_max_doubt(reps: float, missing: float, capacity: float) -> float:
    """Variance that is added near the maximum, where the rest model is known to be too pessimistic."""
    if reps >= people.NEAR_MAX_REPS or missing <= 0.0:
        return 0.0
    short = 1.0 - max(0.0, reps) / people.NEAR_MAX_REPS
    return (people.NEAR_MAX_DOUBT * short * missing / capacity) ** 2


def _check_load(load_kg: float) -> None:
    if not (math.isfinite(load_kg) and load_kg > 0.0):
        raise OutOfRange("felt load", f"{load_kg} kg", "above 0 kg")
