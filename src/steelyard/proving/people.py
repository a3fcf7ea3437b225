"""Who the simulated lifters are: everything about a person that advice is not told, drawn from its number.

Every constant names its source; "ours" marks a judgement of this project, "from memory" a figure not looked up.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from random import Random

from steelyard.proving.compartments import CONTROLLERS, Controller, Kinetics

SESSIONS = (
    ("lever_row_chest", "pulldown_front", "chest_press_lever", "curl_cable", "triceps_pushdown"),
    ("pulldown_front", "lever_row_chest", "curl_lever"),
    ("leg_press_lever", "lever_row_chest", "chest_press_lever", "shoulder_press_lever", "curl_cable"),
    ("chest_press_lever", "shoulder_press_lever", "triceps_pushdown"),
    ("squat_lever", "pulldown_front", "chest_press_lever", "leg_curl", "calf_raise_standing"),
    ("leg_extension", "leg_curl", "cable_row_seated", "curl_cable"),
)
"""Sessions, big muscles first; ours."""

RATIOS = {
    "lever_row_chest": 1.05,
    "cable_row_seated": 1.05,
    "pulldown_front": 1.00,
    "chest_press_lever": 1.00,
    "shoulder_press_lever": 0.65,
    "curl_cable": 0.43,
    "curl_lever": 0.45,
    "triceps_pushdown": 0.50,
    "leg_press_lever": 2.40,
    "squat_lever": 1.70,
    "leg_extension": 0.90,
    "leg_curl": 0.65,
    "calf_raise_standing": 1.60,
}
"""Maximum over that of the pulldown: the curl by cut scores of college women (doi
10.1080/02701367.1994.10607605), the press near bench over pull-up (Baker and Newton 2004); the rest ours."""
OTHER_RATIO = 0.5
RATIO_SD = 0.15
"""Spread of an exercise's ratio between people, on the log scale; ours."""

PULLDOWN_SHARE = {"man": (0.93, 0.17), "woman": (0.55, 0.11)}
"""Pulldown maximum over body mass, mean and sd, of college men and women: Johnson 2009, doi
10.1519/JSC.0b013e3181a2d7f5."""
BODY_MASS_KG = {"man": (80.0, 0.14), "woman": (65.0, 0.14)}
"""Median, and sd of the logarithm; ours. [kg]"""
COLLEGE_WEEKS = 52.0
"""Training age at which the pulldown shares are taken to hold; ours. [weeks]"""

MEAN_REPS_AT_80 = 10.0
SD_REPS_AT_80 = 2.5
"""Reps at 80 % of the maximum: 9.9 ± 2.5 in men, 10.0 ± 2.4 in women: Johnson 2009, pulldown."""
TESTED_SD = 0.042
"""Error of a tested maximum (median of Grgic 2020, doi 10.1186/s40798-020-00260-z), a part of that spread."""
SET_REPS_SD = 1.0
"""Scatter of one set, which is another part (Mitter 2022). [reps]"""
WITHIN_SHARE = 0.35
"""Share of that variance that lies between one person's exercises; ours."""

FAST_SHARE = {"man": 0.50, "woman": 0.60}
SLOW_S = {"man": 250.0, "woman": 110.0}
REST_FACTOR = {"man": 1.0, "woman": 1.5}
"""Fast share of fatigue, time constant of the slow pool [s], and a factor on the recovery rate at rest. Ours,
chosen so that population means of sets to failure after 60 to 300 s of rest meet the published ones."""
FAST_SHARE_SD = 0.5
SLOW_SD = 0.4
RECOVERY_CV = 0.43
"""Spread between people: of the logit, of the logarithm (both ours, near the fit of rest studies), and of the
recovery rate in ten people (Liu and others 2002, table 2, grip)."""

CARRY_MEAN = 0.5
CARRY_SD = 0.15
"""Share of an exercise's fatigue that sits in the muscles it shares with others; ours, for want of data: trained
men show none that was detected (Senna 2009), adolescents a large one (doi 10.1080/15438627.2013.825794)."""

GAIN_PER_LN_WEEK = 0.10
GAIN_CV = 0.55
"""Strength grows linearly with the logarithm of weeks, by 7.6 to 12.7 % for each e-fold (14,690 adults: Steele and
others 2022, doi 10.1080/02701367.2022.2070592); people differ by a CV of 0.55 to 0.59 (Hubal and others 2005)."""
HEAD_START_WEEKS = 4.0
"""Added to the training age, where the logarithm would begin at nothing; ours. [weeks]"""
WEEKS_PER_MONTH = 365.25 / 12 / 7
MOST_MONTHS = 120.0

RIR_BIAS = 0.4
RIR_BIAS_SD = 0.7
"""Reps left beyond those felt, at three or more left: 0.95 over twelve studies (Halperin and others 2022), -0.17 ±
1.00 on the bench (Refalo and others 2024); the mean between and the spread are ours."""


@dataclass(frozen=True, slots=True)
class Person:
    """What is fixed about a person.

    sex:             "man" or "woman".
    body_mass_kg:    [kg]
    training_months: before the test day. [months]
    exercises:       in session order.
    pulldown_kg:     one-rep maximum at the pulldown on the test day. [kg]
    curve_rate:      fall of the logarithm of the load per rep, in the middle of this person's exercises.
    gain:            gain of strength for each e-fold of training weeks.
    rir_bias:        reps left beyond those felt.
    feel:            factor on the noise of that feeling.
    silence:         share of stopped sets after which nothing is said.
    carry:           share of fatigue that exercises with the same muscles have in common.
    fast_share, slow_s, rest_factor, recovery: of this person's `Kinetics`. [1, s, 1, 1]
    """

    sex: str
    body_mass_kg: float
    training_months: float
    exercises: tuple[str, ...]
    pulldown_kg: float
    curve_rate: float
    gain: float
    rir_bias: float
    feel: float
    silence: float
    carry: float
    fast_share: float
    slow_s: float
    rest_factor: float
    recovery: float

    def kinetics(self) -> dict[str, Kinetics]:
        """How this person's muscles tire and recover, by group."""
        return {
            group: Kinetics(
                Controller(rates.fatigue, self.recovery * rates.recovery, self.rest_factor * rates.rest_factor),
                self.fast_share,
                self.slow_s,
            )
            for group, rates in CONTROLLERS.items()
        }


def person(random: Random) -> Person:
    """Somebody between novice and advanced, half of them women."""
    sex = random.choice(("man", "woman"))
    median_kg, mass_sd = BODY_MASS_KG[sex]
    body_mass_kg = median_kg * math.exp(random.gauss(0.0, mass_sd))
    months = math.exp(random.uniform(0.0, math.log(MOST_MONTHS)))
    gain = GAIN_PER_LN_WEEK * _around_one(random, GAIN_CV)
    share = PULLDOWN_SHARE[sex][0] * _around_one(random, PULLDOWN_SHARE[sex][1] / PULLDOWN_SHARE[sex][0])
    return Person(
        sex=sex,
        body_mass_kg=round(body_mass_kg, 1),
        training_months=round(months, 1),
        exercises=random.choice(SESSIONS),
        pulldown_kg=body_mass_kg * share * trained(months),
        curve_rate=_curve_rate() * math.exp(random.gauss(0.0, _curve_sd() * math.sqrt(1 - WITHIN_SHARE))),
        gain=gain,
        rir_bias=random.gauss(RIR_BIAS, RIR_BIAS_SD),
        feel=math.exp(random.gauss(0.15 - 0.06 * math.log(1 + months), 0.2)),
        silence=random.choice((0.0, 0.02, 0.05, 0.2)),
        carry=min(0.9, max(0.1, random.gauss(CARRY_MEAN, CARRY_SD))),
        fast_share=_shifted(FAST_SHARE[sex], random.gauss(0.0, FAST_SHARE_SD)),
        slow_s=SLOW_S[sex] * math.exp(random.gauss(0.0, SLOW_SD)),
        rest_factor=REST_FACTOR[sex],
        recovery=_around_one(random, RECOVERY_CV),
    )


def curve_factor(random: Random) -> float:
    """By how much one exercise's curve is steeper than the person's middle one."""
    return math.exp(random.gauss(0.0, _curve_sd() * math.sqrt(WITHIN_SHARE)))


def ratio(exercise: str, random: Random) -> float:
    """This person's maximum in an exercise over that in the pulldown."""
    return RATIOS.get(exercise, OTHER_RATIO) * math.exp(random.gauss(0.0, RATIO_SD))


def training_weeks(months: float) -> float:
    """Training age for the logarithmic law. [weeks]"""
    return HEAD_START_WEEKS + WEEKS_PER_MONTH * months


def trained(months: float) -> float:
    """Strength after so many months over that of the college students measured, by the mean law of gain."""
    ahead = math.log(training_weeks(months) / COLLEGE_WEEKS)
    return math.exp(GAIN_PER_LN_WEEK * ahead)


def _curve_rate() -> float:
    """Rate at which 80 % allows the mean reps counted: the whole part of 1 - ln(share) / rate, half a rep less."""
    return -math.log(0.8) / (MEAN_REPS_AT_80 - 0.5)


def _curve_sd() -> float:
    """Spread of the rate between people: what errors of the test and of the set leave of the spread of reps."""
    tested_reps = TESTED_SD / _curve_rate()
    between = math.sqrt(SD_REPS_AT_80**2 - tested_reps**2 - SET_REPS_SD**2)
    return between / (MEAN_REPS_AT_80 - 0.5)


def _around_one(random: Random, cv: float) -> float:
    """A lognormal draw with mean 1 and a coefficient of variation."""
    sd_log = math.sqrt(math.log1p(cv * cv))
    return math.exp(random.gauss(-sd_log * sd_log / 2, sd_log))


def _shifted(share: float, by: float) -> float:
    """A share moved on the logit scale."""
    return 1 / (1 + math.exp(-math.log(share / (1 - share)) - by))
