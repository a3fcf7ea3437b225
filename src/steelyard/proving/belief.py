"""Steelyard's own advice on trial: the belief and the rule that people are given, on a plain list of loads."""

from __future__ import annotations

import math
from collections.abc import Sequence

from steelyard.proving.protocol import Answer, Ask
from steelyard.strength.belief import Belief, learn, newcomer, on_day, outlook, rested
from steelyard.strength.curve import REPS_SCALE
from steelyard.strength.lifts import Lift
from steelyard.strength.model import Ended, Observation
from steelyard.strength.outlook import Outlook
from steelyard.training.decide import Wanted, able, most_unasked, settled
from steelyard.training.exercises import exercises
from steelyard.training.priors import JUDGED_SD, OTHER_SHARE, lift_of
from steelyard.training.rules import LIGHT_RIR

HOLDS = 0.8


class Advice:
    """A policy of `protocol`: what the software believes and decides, without machine and plates."""

    def __init__(self) -> None:
        self._belief: Belief | None = None
        self._day = -math.inf
        self._today: dict[str, float] = {}
        self._heaviest: dict[str, float] = {}

    def begin(self, exercises: Sequence[str], training_months: float, body_mass_kg: float) -> None:
        """Meet a lifter."""
        lifts = [lift_for(name, body_mass_kg) for name in exercises]
        self._belief = newcomer(lifts, training_months=training_months)

    def choose(self, ask: Ask, loads_kg: Sequence[float]) -> float:
        """The load that would be prepared, no plates considered. [kg]"""
        self._turn(ask.day)
        wanted = Wanted(ask.reps_low, ask.reps_high, ask.rir)
        cap_kg = most_unasked(loads_kg, self._heaviest.get(ask.exercise))
        promised = self._outlook(ask)
        return loads_kg[settled(loads_kg, promised, wanted, able_kg=able(promised, wanted), cap_kg=cap_kg)]

    def interval(self, ask: Ask) -> tuple[int, int]:
        """Reps that hold 8 times in 10."""
        return self._outlook(ask).interval(ask.felt_kg, HOLDS, rir=ask.rir)

    def expected(self, ask: Ask) -> float:
        """The median count of reps."""
        return self._outlook(ask).median_reps(ask.felt_kg, rir=ask.rir)

    def learn(self, ask: Ask, answer: Answer) -> None:
        """Take note of a set done."""
        self._turn(ask.day)
        if ask.technique != "test":
            self._today[ask.exercise] = max(ask.felt_kg, self._today.get(ask.exercise, 0.0))
        self._belief = learn(self._known(), observed(ask, answer)).belief

    def _turn(self, day: float) -> None:
        """Yesterday's heaviest loads become those of last time."""
        if day > self._day:
            self._heaviest.update(self._today)
            self._day, self._today = day, {}

    def _outlook(self, ask: Ask) -> Outlook:
        belief = on_day(self._known(), ask.day)
        return outlook(rested(belief, ask.rest_s or 0.0), ask.exercise)

    def _known(self) -> Belief:
        assert self._belief is not None, "begin is called first"
        return self._belief


def lift_for(name: str, body_mass_kg: float) -> Lift:
    """What is believed of an exercise beforehand; next to nothing if the exercise list lacks it. [kg]"""
    known = exercises().get(name)
    if known is None:
        log_max = math.log(OTHER_SHARE * body_mass_kg)
        return Lift(name, log_max, 2 * JUDGED_SD, REPS_SCALE)
    lift = lift_of(known, "", "", body_mass_kg)
    return Lift(name, lift.log_max, lift.sd_log, lift.reps_scale, lift.muscles)


def observed(ask: Ask, answer: Answer) -> Observation:
    """A set of the protocol as strength sees it."""
    rir = answer.rir if answer.ended == Ended.REPORTED else None
    least = rir is not None and rir >= LIGHT_RIR
    return Observation(
        lift=ask.exercise,
        felt_kg=ask.felt_kg,
        reps=answer.reps,
        rir=rir,
        ended=Ended.UNSAID if least else Ended(answer.ended),
        day=ask.day,
        rest_s=ask.rest_s,
    )
