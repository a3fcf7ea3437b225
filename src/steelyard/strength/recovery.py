"""How the reps of a set come back during a rest: one person's parameters, and those of people at large.

Two pools hold what reps have cost, a fast and a slow one, and each empties exponentially (docs/model-fatigue.md).
After a set to failure the share of its reps that is back is the same at every load.

A study prints means over people, and the mean of many is not the reps of the typical one: who recovers well is
held back by the cap, who recovers badly can't do less than none. So means are taken over people, by quadrature.

Source: constants fitted for this project to published rest-interval studies, authorities/rest_studies.csv, by
builders/fit_recovery.py, which prints every figure given here.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from steelyard.errors import OutOfRange
from steelyard.strength.curve import REPS_SCALE
from steelyard.strength.gaussian import normal_below


@dataclass(frozen=True, slots=True)
class Recovery:
    """How one person recovers between sets.

    fast_share: share of a rep's cost that goes to the fast pool, above 0 and below 1.
    fast_s:     time constant of the fast pool, above 0. [s]
    slow_s:     time constant of the slow pool, above 0. [s]

    Raises: OutOfRange.
    """

    fast_share: float
    fast_s: float
    slow_s: float

    def __post_init__(self) -> None:
        if not 0.0 < self.fast_share < 1.0:
            raise OutOfRange("fast share", self.fast_share, "above 0 and below 1")
        for name, seconds in (("fast time constant", self.fast_s), ("slow time constant", self.slow_s)):
            if not (math.isfinite(seconds) and seconds > 0.0):
                raise OutOfRange(name, seconds, "above 0, in seconds")


@dataclass(frozen=True, slots=True)
class Spread:
    """Standard deviations between people, of a day and of a set, each 0 or more.

    logit_fast_share: between people, of the logit of the fast share. [1]
    ln_slow_s:        between people, of the logarithm of the slow time constant. [1]
    form_reps:        of a day's form, which all its sets share. [reps]
    set_reps:         of one set. [reps]
    """

    logit_fast_share: float
    ln_slow_s: float
    form_reps: float
    set_reps: float


FAST_SHARE = 0.338
FAST_S = 19.8
SLOW_S = 198.0
MEN = Recovery(FAST_SHARE, FAST_S, SLOW_S)
"""The typical man: the median of every parameter."""
LN_WOMEN = -1.0
"""Added to ln slow_s for women (standard error 0.17): one bench press study, so doubtful."""
LN_ADOLESCENTS = -1.62
"""Added to ln slow_s for boys of about 14 (standard error 0.26): one bench press study."""
LN_BOYS = -2.2
"""Added to ln slow_s for boys of about 11: a bound rather than an estimate, since nearly all reached the cap."""
WOMEN = Recovery(FAST_SHARE, FAST_S, SLOW_S * math.exp(LN_WOMEN))
"""The typical woman; older women too, whose ratios of volume it meets."""
ADOLESCENTS = Recovery(FAST_SHARE, FAST_S, SLOW_S * math.exp(LN_ADOLESCENTS))
"""The typical adolescent."""
BOYS = Recovery(FAST_SHARE, FAST_S, SLOW_S * math.exp(LN_BOYS))
"""The typical boy of about 11."""
MENS_BENCH_KG, WOMENS_BENCH_KG = 104.8, 42.0
"""Bench press 1RM of the men and the women of Ratamess 2010, who differ by LN_WOMEN. [kg]"""
STRENGTH_EXPONENT = LN_WOMEN / math.log(WOMENS_BENCH_KG / MENS_BENCH_KG)
"""slow_s goes with this power of the bench press 1RM, if strength is all that men and women differ by in it. It
foretells part of what Ratamess 2012 saw in men of 81 and 141 kg, withheld from the fit."""
SE_LOGIT_FAST_SHARE = 0.35
"""Standard error of the logit of the typical fast share."""
SE_LN_FAST_S = 0.37
"""Standard error of ln fast_s; nearly all of it comes from what was put in beforehand (20 s, 0.4)."""
SE_LN_SLOW_S = 0.15
"""Standard error of ln slow_s of the typical man."""
SD_LOGIT_FAST_SHARE = 0.82
"""Standard deviation between people of the logit of the fast share (standard error of its logarithm 0.44)."""
SD_LN_SLOW_S = 0.46
"""Standard deviation between people of ln slow_s (standard error of its logarithm 0.36)."""
SD_LN_SLOW_S_STUDIES = 0.40
"""Standard deviation between studies of men of ln slow_s, from six, one of them withheld. The squares of both
add up for someone new."""
PEOPLE = Spread(SD_LOGIT_FAST_SHARE, SD_LN_SLOW_S, form_reps=0.8, set_reps=0.6)
"""People at large. Form and set make 1 rep together: retests scatter by 0.7 reps at 90 % and 1.1 at 70 % of the
maximum (Mitter and others 2022, doi 10.1371/journal.pone.0268074); how it divides is a judgement."""

NODES = (
    (0.0, 8.0 / 15.0),
    (math.sqrt(5.0 - math.sqrt(10.0)), (7.0 + 2.0 * math.sqrt(10.0)) / 60.0),
    (-math.sqrt(5.0 - math.sqrt(10.0)), (7.0 + 2.0 * math.sqrt(10.0)) / 60.0),
    (math.sqrt(5.0 + math.sqrt(10.0)), (7.0 - 2.0 * math.sqrt(10.0)) / 60.0),
    (-math.sqrt(5.0 + math.sqrt(10.0)), (7.0 - 2.0 * math.sqrt(10.0)) / 60.0),
)
"""Gauss-Hermite nodes and weights of the standard normal distribution, exact to the ninth power."""
FAR = 8.0
"""Standard deviations beyond which a chance is 0 or 1 in double precision."""


@dataclass(frozen=True, slots=True)
class StraightSets:
    """Sets at one load with one rest.

    first_reps: counted reps of a fresh set to failure at this load, on average; above 0.
    sets:       1 or more.
    rest_s:     rest between sets, 0 or more. [s]
    cap:        reps at which every set is stopped, 1 or more; None if all go to failure.

    Raises: OutOfRange.
    """

    first_reps: float
    sets: int
    rest_s: float
    cap: int | None = None

    def __post_init__(self) -> None:
        if not (math.isfinite(self.first_reps) and self.first_reps > 0.0):
            raise OutOfRange("reps of a fresh set", self.first_reps, "above 0")
        if self.sets < 1:
            raise OutOfRange("sets", self.sets, "1 or more")
        if self.cap is not None and self.cap < 1:
            raise OutOfRange("cap", self.cap, "1 or more")
        _check_rest(self.rest_s)


def man_of_strength(bench_kg: float) -> Recovery:
    """The typical man of this bench press 1RM: stronger men recover more slowly. [kg]

    bench_kg: above 0; seen from 81 to 141. [kg]

    Raises: OutOfRange.

    >>> man_of_strength(MENS_BENCH_KG) == MEN
    True
    """
    if not (math.isfinite(bench_kg) and bench_kg > 0.0):
        raise OutOfRange("bench press 1RM", bench_kg, "above 0, in kg")
    return Recovery(FAST_SHARE, FAST_S, SLOW_S * (bench_kg / MENS_BENCH_KG) ** STRENGTH_EXPONENT)


def recovered(seconds: float, recovery: Recovery) -> float:
    """Reps of a second set to failure as a share of the first at the same load, after a rest. [1]

    seconds: rest, 0 or more. [s]

    Raises: OutOfRange.

    >>> round(recovered(60, MEN), 1), round(recovered(180, MEN), 1)
    (0.5, 0.7)
    """
    _check_rest(seconds)
    fast = recovery.fast_share * math.exp(-seconds / recovery.fast_s)
    slow = (1.0 - recovery.fast_share) * math.exp(-seconds / recovery.slow_s)
    return 1.0 - fast - slow


def typical_reps(sets: StraightSets, recovery: Recovery) -> tuple[float, ...]:
    """Expected counted reps of each set of someone who recovers just so. [reps]

    >>> [round(reps) for reps in typical_reps(StraightSets(10, 3, 120), MEN)]
    [10, 6, 6]
    """
    return tuple(mean for mean, _ in _outcomes(sets, recovery, 0.0, PEOPLE.set_reps))


def mean_reps(sets: StraightSets, typical: Recovery, *, people: Spread = PEOPLE) -> tuple[float, ...]:
    """Mean reps of each set over people of whom this one is typical. [reps]

    >>> [round(reps) for reps in mean_reps(StraightSets(10, 3, 120), MEN)]
    [10, 6, 6]
    """
    means = [0.0] * sets.sets
    for weight, person, form in _persons(typical, people):
        for number, (mean, _) in enumerate(_outcomes(sets, person, form, people.set_reps)):
            means[number] += weight * mean
    return tuple(means)


def total_sd(sets: StraightSets, typical: Recovery, *, people: Spread = PEOPLE) -> float:
    """Standard deviation over people of the reps of all sets together. [reps]

    >>> round(total_sd(StraightSets(10, 3, 120, cap=10), MEN))
    3
    """
    first = second = 0.0
    for weight, person, form in _persons(typical, people):
        outcomes = tuple(_outcomes(sets, person, form, people.set_reps))
        total = math.fsum(mean for mean, _ in outcomes)
        first += weight * total
        second += weight * (total * total + math.fsum(variance for _, variance in outcomes))
    return math.sqrt(max(0.0, second - first * first))


def _persons(typical: Recovery, people: Spread) -> Iterator[tuple[float, Recovery, float]]:
    """Weight, parameters and day's form of everyone the mean is taken over."""
    logit = math.log(typical.fast_share / (1.0 - typical.fast_share))
    for fast, fast_weight in NODES:
        share = 1.0 / (1.0 + math.exp(-logit - people.logit_fast_share * fast))
        for slow, slow_weight in NODES:
            person = Recovery(share, typical.fast_s, typical.slow_s * math.exp(people.ln_slow_s * slow))
            for form, form_weight in NODES:
                yield fast_weight * slow_weight * form_weight, person, people.form_reps * form


def _outcomes(sets: StraightSets, person: Recovery, form: float, noise: float) -> Iterator[tuple[float, float]]:
    """Mean and variance of the counted reps of each set. What a set leaves behind is taken at its mean."""
    load = REPS_SCALE / (REPS_SCALE + sets.first_reps + 0.5)
    kept_fast, kept_slow = math.exp(-sets.rest_s / person.fast_s), math.exp(-sets.rest_s / person.slow_s)
    fast = slow = 0.0
    for _ in range(sets.sets):
        able = REPS_SCALE * ((1.0 - fast - slow) / load - 1.0) + form
        yield _counted(able, noise, sets.cap)
        cost = _done(able, noise, sets.cap) * load / REPS_SCALE
        fast = (fast + person.fast_share * cost) * kept_fast
        slow = (slow + (1.0 - person.fast_share) * cost) * kept_slow


def _counted(able: float, noise: float, cap: int | None) -> tuple[float, float]:
    """Mean and variance of whole reps counted, when those able to be done scatter normally."""
    most = max(0, math.ceil(able + FAR * noise))
    sure = max(0, math.floor(able - FAR * noise))
    if cap is not None:
        most, sure = min(most, cap), min(sure, cap)
    mean, square = float(sure), float(sure * sure)
    for rep in range(sure + 1, most + 1):
        chance = normal_below((able - rep) / noise) if noise > 0.0 else float(able >= rep)
        mean += chance
        square += (2 * rep - 1) * chance
    return mean, square - mean * mean


def _done(able: float, noise: float, cap: int | None) -> float:
    """Mean of the continuous reps done, 0 to the cap: a failed set ends with all it was able to."""
    return _over(able, noise) - (0.0 if cap is None else _over(able - cap, noise))


def _over(mean: float, sd: float) -> float:
    """Mean of the part of a normal variable above 0."""
    if sd == 0.0:
        return max(0.0, mean)
    z = mean / sd
    return sd * (z * normal_below(z) + math.exp(-0.5 * z * z) / math.sqrt(2.0 * math.pi))


def _check_rest(seconds: float) -> None:
    if not (math.isfinite(seconds) and seconds >= 0.0):
        raise OutOfRange("rest", seconds, "0 or more, in seconds")
