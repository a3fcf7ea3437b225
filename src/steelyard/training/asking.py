"""What each set of a session asks of the plates, and what it is worth to have it exactly.

One percent of load is worth 0.4 of a rep at ten reps, by Epley's equation; a load that is off costs that now, and
once more the part of it that the next rest does not repay. So missing a load is dearer the
shorter the rest is: about 10 s of plate work for one percent at two minutes of rest, 14 s where there is none.
"""

from __future__ import annotations

from dataclasses import dataclass

from steelyard.machine.model import FeltLaw
from steelyard.plates.loading import wanted_grams
from steelyard.plates.model import Rung
from steelyard.plates.wishes import Way, Wish
from steelyard.strength.curve import REPS_SCALE
from steelyard.strength.recovery import MEN, recovered
from steelyard.training.rules import DROP_SHARE, warm_up_steps

USUAL_REPS = 10
REP_S = 18.0
"""Seconds of plate work that a rep is worth: a third of the rest that would buy one at two minutes of rest, which
is 54 s by the two pools of `strength.fatigue`. Nobody pays the full price for an exact load (a choice). [s]"""
SHORT_OF = 0.05
"""Plate work never costs more than this share of a work set's load, and never makes it heavier (a choice)."""
RAMP_WITHIN = 0.08
"""A warm-up step may be off by this share of the work load, half a step of the steepest ramp (a choice)."""
RAMP_PRICE_S = 150.0
"""What a warm-up step is worth being nearer by the whole work load: a sixth of a work set's price, for it is done
far from failure (a choice). [s]"""
TEST_PRICE_S = 100.0
"""What a light test set is worth being nearer by all of its load: a tenth less is worth ten seconds of plate work,
which is little, for it may take one more test set in the end, and mostly takes none (a choice). [s]"""
TOO_NEAR = 0.9
"""A warm-up step at or above this share of the work load warms nothing; it is left out."""
ABOUT = 0.05
"""Within so much of a third, as a share of the load dropped from, a drop is about a third (a choice)."""
LEAST_OFF = SHORT_OF
"""A drop takes off more than this share, by which plates may make the set before it lighter; less is none."""
LEAST_KG = 0.001
"""A station that can't be loaded at all may be felt as nothing; what is wanted there is next to nothing. [kg]"""
DROP_HASTE = 3.0
"""What a second of plate work counts in a drop set, where every second lets the muscle recover and spoils the
drop: after 18 s, which is three plates, a quarter of the last set is repaid (a choice)."""


def price_s(rest_s: float) -> float:
    """What missing a load by all of it would cost in seconds of plate work, if this rest follows. [s]

    >>> round(price_s(120.0)), round(price_s(60.0)), round(price_s(0.0))
    (981, 1084, 1440)
    """
    return (REPS_SCALE + USUAL_REPS) * REP_S * (2.0 - recovered(rest_s, MEN))


def work_wish(law: FeltLaw, load_kg: float, rest_s: float) -> Wish:
    """A work set: this load, or a little less where that saves plates; never more. [kg], [s]"""
    return Wish(law, max(load_kg, LEAST_KG), SHORT_OF * load_kg, over_kg=0.0, price_s=price_s(rest_s))


def trial_wish(law: FeltLaw, load_kg: float, *, least_kg: float, climbs: bool) -> Wish:
    """A light test set: any load from the least to this, as few plates as will do; never more. [kg]

    climbs: plates only go on.
    """
    wanted_kg = max(load_kg, LEAST_KG)
    way = Way.ADD if climbs else Way.FREE
    within_kg = max(0.0, wanted_kg - least_kg)
    return Wish(law, wanted_kg, within_kg, over_kg=0.0, price_s=TEST_PRICE_S, way=way)


def same_wish(law: FeltLaw, load_kg: float) -> Wish:
    """Exactly this load: the other arm, or another go at what is on the horns. [kg]"""
    return Wish(law, max(load_kg, LEAST_KG), 0.0)


def drop_wish(law: FeltLaw, before_kg: float) -> Wish:
    """A drop of about a third from a load, by taking plates off the outside only. [kg]

    About a third off is common practice.
    """
    wanted_kg = max((1 - DROP_SHARE) * before_kg, LEAST_KG)
    return Wish(
        law,
        wanted_kg,
        0.0,
        near_kg=ABOUT * before_kg,
        price_s=price_s(0.0),
        way=Way.STRIP,
        haste=DROP_HASTE,
    )


@dataclass(frozen=True, slots=True)
class RampStep:
    """One warm-up set before it has its plates. reps: to do; wish: what it asks for."""

    reps: int
    wish: Wish


def ramp_steps(law: FeltLaw, ladder: tuple[Rung, ...], work_kg: float, reps_high: int) -> tuple[RampStep, ...]:
    """The warm-up before work at a load. [kg]

    A step that the empty station exceeds is left out, and one for which there is no load of its own: none under
    nine tenths of the work load, or none but that of the step before.
    """
    lighter = [rung.felt_kg for rung in ladder if rung.felt_kg < TOO_NEAR * work_kg]
    found: list[RampStep] = []
    before_kg = 0.0
    for share, reps in warm_up_steps(reps_high):
        aim_kg = share * work_kg
        if not lighter or lighter[0] > aim_kg:
            continue
        near_kg = min(lighter, key=lambda kg: (abs(wanted_grams(kg) - wanted_grams(aim_kg)), kg))
        if near_kg <= before_kg:
            continue
        found.append(RampStep(reps, _ramp_wish(law, work_kg, aim_kg, near_kg)))
        before_kg = near_kg
    return tuple(found)


def _ramp_wish(law: FeltLaw, work_kg: float, aim_kg: float, near_kg: float) -> Wish:
    """About this share of the work load; what lies nearest, where that is further off."""
    within_kg = RAMP_WITHIN * work_kg
    over_kg = min(within_kg, TOO_NEAR * work_kg - aim_kg)
    wanted_kg = aim_kg if aim_kg - within_kg <= near_kg <= aim_kg + over_kg else near_kg
    return Wish(law, wanted_kg, within_kg, over_kg=max(0.0, over_kg), price_s=RAMP_PRICE_S * wanted_kg / work_kg)
