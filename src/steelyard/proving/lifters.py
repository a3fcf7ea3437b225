"""The shipped lifters: `steelyard.proving.lifters:lifter`.

They are made on purpose of another model than the advice believes in: fatigue in three compartments of every
muscle with a slow pool, an exponential load-repetition curve, strength that answers to what it is given, bad days,
effort misjudged, entries mistyped. docs/proving.md states every law.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from random import Random

from steelyard.proving.compartments import GROUP_OF, Drive, Pool, Step, reps_until_failure, steps_of
from steelyard.proving.people import curve_factor, person, ratio, training_weeks
from steelyard.proving.protocol import FIVE_OR_MORE, TEST_DAY, Answer, Ask
from steelyard.strength.model import Ended
from steelyard.training.exercises import exercises

REP_S = 4.0
"""Two seconds up, two down. [s]"""
MOST_REPS = 99
LEAST_SHARE = 0.02
SECONDARY_TIME = 0.5
"""A muscle worked indirectly is driven for half of the time; ours, after the half set that it counts for."""
SECONDARY_WEIGHT = 0.25
"""What indirectly worked muscles are worth to an exercise, of all its muscles; ours."""
LAST_TRY = 0.5
"""The rep that fails tires like half a rep; ours."""
FORM_SD = 0.016
SET_SD = 0.012
"""Of strength, from day to day and from set to set. Together 2 %: reps to failure repeat within that (Mitter
2022, doi 10.1371/journal.pone.0268074, worked out with Epley's slope)."""
BAD_DAY = 0.04
BAD_DAY_LOSS = (0.06, 0.10)
"""How often a day is bad, and what it takes; ours."""
MISTYPED = 0.005
"""Share of sets that are written down wrongly; ours."""
FULL_EFFORT_LEFT = 3
FADING_LEFT = 4.0
FULL_STIMULUS_REPS = 6
LEAST_STIMULUS = 0.25
"""The law of stimulus, see `stimulus`; a quarter of the gain comes whatever the sets were. Ours."""
NOISE = 0.7
NOISE_PER_LEFT = 0.15
MOST_NOISE = 4.0
LONG_SET = 12
LOST_TRACK = 0.1
"""Noise of the reps felt to be left: sd 0.85 at one left, 1.15 at three, 1.45 at five; twice that in sets of twice
twelve reps, and in one set of ten in which track was lost; never more than four reps. A judgement from Halperin
and others 2022, Zourdos and others 2021 and Refalo and others 2024."""
BIAS_NEAR = 0.4
BIAS_PER_LEFT = 0.2
"""The person's bias is whole at three left and smaller near failure; ours."""
GAIN_DAYS = 7.0
IDLE_DAYS = 14.0
LOSS_PER_DAY = 0.005 / 7
"""A session is worth a week of gain at the most; after two idle weeks 0.5 % are lost a week. Ours, inside the -2
to +1 % of three weeks off (Ogasawara and others)."""


@dataclass(slots=True)
class Skill:
    """One exercise of one lifter.

    one_rm_kg: fresh maximum on an ordinary day, as of `last_day`. [kg]
    rate:      of the exponential curve: share = exp(-rate (reps - 1)).
    drives:    what it asks of the lifter's muscles.
    quality:   stimulus of each work set of the newest session.
    """

    one_rm_kg: float
    rate: float
    drives: tuple[Drive, ...]
    quality: list[float]
    last_day: float | None = None


@dataclass(frozen=True, slots=True)
class Luck:
    """Everything by chance in one set, always the same number of draws, so that all advice meets the same."""

    capacity: float
    feel: float
    silent: float
    mistyped: float
    which: float


class SimulatedLifter:
    """A lifter of the protocol with the hidden truth of this module; `person` says who it is."""

    def __init__(self, number: int) -> None:
        self._number = number
        self._random = Random(number)
        self.person = person(self._random)
        self._kinetics = self.person.kinetics()
        self._pools: dict[str, Pool] = {}
        self._skills: dict[str, Skill] = {}
        self._day = -math.inf
        self._form = 1.0
        self._now_s = 0.0

    @property
    def exercises(self) -> Sequence[str]:
        """In the order of the session."""
        return self.person.exercises

    @property
    def training_months(self) -> float:
        """Before the test day. [months]"""
        return self.person.training_months

    @property
    def body_mass_kg(self) -> float:
        """Body mass. [kg]"""
        return self.person.body_mass_kg

    def best_kg(self, exercise: str, day: float) -> float:
        """One-rep maximum, fresh, on an ordinary day. [kg]"""
        skill = self.skill(exercise)
        return skill.one_rm_kg * math.exp(self._progress(skill, day))

    def load_for(self, exercise: str, day: float, reps: float) -> float:
        """The load that fails after so many reps, fresh, on an ordinary day. [kg]"""
        return self.best_kg(exercise, day) * math.exp(-self.skill(exercise).rate * (reps - 1))

    def skill(self, exercise: str) -> Skill:
        """What it can in an exercise, any word: drawn from its number and that word when first asked for."""
        if exercise not in self._skills:
            random = Random(f"{self._number} {exercise}")
            one_rm_kg = self.person.pulldown_kg * ratio(exercise, random)
            rate = self.person.curve_rate * curve_factor(random)
            self._skills[exercise] = Skill(one_rm_kg, rate, self._drives(exercise), [])
        return self._skills[exercise]

    def do(self, ask: Ask) -> Answer:
        """Do a set; see `Lifter.do`."""
        self._come_to(ask)
        skill, luck = self.skill(ask.exercise), self._luck()
        share = max(LEAST_SHARE, ask.felt_kg / (skill.one_rm_kg * self._form * luck.capacity))
        steps, able = self._able(skill, share)
        reps, felt = self._stop(ask, able, luck)
        self._now_s += REP_S * reps
        for drive, step in zip(skill.drives, steps, strict=False):
            drive.pool.tire(step, reps if felt is not None else reps + LAST_TRY, self._now_s)
        if ask.technique != "test":
            skill.quality.append(stimulus(reps, able - reps))
        return mistyped(self._said(reps, felt, luck), luck)

    def _come_to(self, ask: Ask) -> None:
        """A new day with its form, or the same one after a rest."""
        if ask.rest_s is None or ask.day != self._day:
            self._day, self._now_s = ask.day, 0.0
            for pool in self._pools.values():
                pool.fast = pool.slow = pool.at_s = 0.0
            self._form = math.exp(self._random.gauss(0.0, FORM_SD))
            bad, loss = self._random.random(), self._random.uniform(*BAD_DAY_LOSS)
            self._form *= 1 - loss if bad < BAD_DAY else 1.0
        else:
            self._now_s += ask.rest_s
        skill = self.skill(ask.exercise)
        if skill.last_day is None or ask.day > skill.last_day:
            skill.one_rm_kg *= math.exp(self._progress(skill, ask.day))
            skill.last_day, skill.quality = ask.day, []

    def _progress(self, skill: Skill, day: float) -> float:
        """Gain of the logarithm of strength since the newest session of an exercise."""
        if skill.last_day is None or day <= skill.last_day:
            return 0.0
        days = day - skill.last_day
        weeks = training_weeks(self.person.training_months) + (skill.last_day - TEST_DAY) / 7
        quality = sum(skill.quality) / len(skill.quality) if skill.quality else 0.0
        gained = self.person.gain * math.log1p(min(days, GAIN_DAYS) / 7 / weeks)
        return gained * (LEAST_STIMULUS + (1 - LEAST_STIMULUS) * quality) - LOSS_PER_DAY * max(
            0.0, days - IDLE_DAYS
        )

    def _drives(self, exercise: str) -> tuple[Drive, ...]:
        """Its own part, then the muscles that others share; an unknown exercise shares none."""
        known = exercises().get(exercise)
        if known is None:
            return (Drive(self._pool(f"{exercise} itself", "general"), 1.0, 1.0),)
        carry = self.person.carry
        indirect = SECONDARY_WEIGHT if known.secondary else 0.0
        own = self._pool(f"{exercise} itself", GROUP_OF.get(known.primary[0], "general"))
        drives = [Drive(own, 1 - carry, 1.0)]
        for muscles, weight, time in (
            (known.primary, 1 - indirect, 1.0),
            (known.secondary, indirect, SECONDARY_TIME),
        ):
            pools = [self._pool(muscle, GROUP_OF.get(muscle, "general")) for muscle in muscles]
            drives += [Drive(pool, carry * weight / len(pools), time) for pool in pools]
        driven = sum(drive.weight * drive.share for drive in drives)
        return tuple(Drive(drive.pool, drive.weight / driven, drive.share) for drive in drives)

    def _pool(self, name: str, group: str) -> Pool:
        return self._pools.setdefault(name, Pool(self._kinetics[group]))

    def _luck(self) -> Luck:
        draw = self._random
        return Luck(
            capacity=math.exp(draw.gauss(0.0, SET_SD)),
            feel=draw.gauss(0.0, 2.0 if draw.random() < LOST_TRACK else 1.0),
            silent=draw.random(),
            mistyped=draw.random(),
            which=draw.random(),
        )

    def _able(self, skill: Skill, share: float) -> tuple[list[Step], int]:
        """What one rep costs every muscle, and the whole reps that could be done now."""
        if share >= 1:
            return [], 0
        for drive in skill.drives:
            drive.pool.rest_until(self._now_s)
        fresh_reps = 1 - math.log(share) / skill.rate
        steps = steps_of(skill.drives, share, fresh_reps)
        return steps, reps_until_failure(skill.drives, steps, share, MOST_REPS)

    def _stop(self, ask: Ask, able: int, luck: Luck) -> tuple[int, float | None]:
        """Reps done, and how many were felt to be left; None if the set ended in failure."""
        for reps in range(1, able + 1):
            felt = self._felt(able - reps, able, luck)
            if ask.technique == "test" and reps >= ask.reps_high:
                return reps, felt
            if ask.rir > 0 and felt < ask.rir + 0.5:
                return reps, felt
        return able, None

    def _felt(self, left: int, able: int, luck: Luck) -> float:
        """How many reps seem to be left: less noise and bias near failure, more noise in long sets."""
        long = min(2.0, max(1.0, able / LONG_SET))
        noise = (NOISE + NOISE_PER_LEFT * left) * long * self.person.feel * luck.feel
        return (
            left
            - self.person.rir_bias * min(1.0, BIAS_NEAR + BIAS_PER_LEFT * left)
            + max(-MOST_NOISE, min(MOST_NOISE, noise))
        )

    def _said(self, reps: int, felt: float | None, luck: Luck) -> Answer:
        if felt is None:
            return Answer(reps, Ended.FAILURE, None)
        if luck.silent < self.person.silence:
            return Answer(reps, Ended.UNSAID, None)
        return Answer(reps, Ended.REPORTED, min(FIVE_OR_MORE, max(0, round(felt))))


def lifter(number: int) -> SimulatedLifter:
    """Lifter `number` of the shipped ones: the same number is the same person, as before the season."""
    return SimulatedLifter(number)


def stimulus(reps: int, left: int) -> float:
    """What a set is worth for getting stronger, from 0 to 1: less if far from failure, or too heavy for reps.

    reps: done.  left: how many more there really were.

    Full from six reps on and with up to three left, then falling by 1 - 1/e for every four more. Ours: the
    direction is common practice, the figures are chosen.

    >>> stimulus(10, 2), stimulus(3, 0), round(stimulus(12, 7), 2)
    (1.0, 0.5, 0.37)
    """
    near = math.exp(-max(0, left - FULL_EFFORT_LEFT) / FADING_LEFT)
    return near * min(1.0, reps / FULL_STIMULUS_REPS)


def mistyped(answer: Answer, luck: Luck) -> Answer:
    """The answer as it is written down: now and then a digit is doubled or lost, or reps and rir change places."""
    if luck.mistyped >= MISTYPED:
        return answer
    if answer.rir is not None and luck.which < 0.5:
        return Answer(answer.rir, answer.ended, answer.reps)
    text = str(answer.reps)
    lost = len(text) == 2 and text[0] == text[1] and luck.which > 0.75
    return Answer(int(text[0] if lost else text + text[-1]), answer.ended, answer.rir)
