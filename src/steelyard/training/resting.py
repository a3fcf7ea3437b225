"""How long a rest makes a load possible again."""

from __future__ import annotations

from dataclasses import replace

from steelyard.strength.belief import Belief, outlook, rested
from steelyard.training.asking import LEAST_KG
from steelyard.training.decide import CONFIDENCE, TELLABLE, Decision, Wanted
from steelyard.training.laying import Item
from steelyard.training.model import PreparedSet, Role
from steelyard.training.pauses import STEP_S, Pause, at_it
from steelyard.training.priors import lift_name
from steelyard.units import Unit, show_mass

LONGEST_REST_S = 300.0
"""Handbooks rest no longer between sets of such work (NSCA: 2 to 5 minutes for heavy ones). [s]"""


def rest_for(belief: Belief, lift: str, load_kg: float, wanted: Wanted, *, side: str = "both") -> float | None:
    """The shortest rest, in steps of ten seconds, after which a load keeps the confidence asked for. [s]

    belief: at the end of the set before. None if not even five minutes do.

    Raises: UnknownName; OutOfRange.
    """

    def enough(seconds: float) -> bool:
        after = outlook(rested(belief, seconds), lift, side=side)
        return after.chance_of_reps(load_kg, wanted.reps_low, rir=wanted.rir) >= CONFIDENCE

    if not enough(LONGEST_REST_S):
        return None
    low, high = -1, round(LONGEST_REST_S / STEP_S)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if enough(middle * STEP_S) else (middle, high)
    return high * STEP_S


def reps_by_rest(
    belief: Belief, one: PreparedSet, machine: str, *, longest_s: float = LONGEST_REST_S
) -> tuple[tuple[float, float], ...]:
    """The reps to be expected of a set after each rest, in steps of ten seconds up to five minutes. [s], [reps]

    They stop with as many left as the set asks for. Empty for warm-up and test sets, which no rest limits, and
    while nothing was done that rest could repay.

    belief:  at the end of the set before. machine: name of the machine.
    longest_s: the rest that is known to come; beyond five minutes they go so far. [s]

    Raises: UnknownName for an exercise or station that is not believed in.
    """
    if one.role in (Role.WARM_UP, Role.TEST) or not belief.pools:
        return ()
    lift = lift_name(one.exercise, one.station, machine)
    steps = round(max(LONGEST_REST_S, longest_s) / STEP_S)
    rests = (STEP_S * step for step in range(steps + 1))
    return tuple((rest_s, _expected(rested(belief, rest_s), lift, one)) for rest_s in rests)


def _expected(belief: Belief, lift: str, one: PreparedSet) -> float:
    return outlook(belief, lift, side=one.side).expected_reps(max(one.felt_kg, LEAST_KG), rir=one.rir)


def with_rest(
    decision: Decision, before: Belief, of: Item, wanted: Wanted, last_kg: float, rest_s: float, unit: Unit
) -> Decision:
    """A decision whose runner-up is the load of the set before, after a longer rest, where it is not given again.

    before: belief at the end of that set. last_kg: its load. [kg] rest_s: what comes after it. [s]
    """
    if decision.rung.felt_kg >= (1 - TELLABLE) * last_kg:
        return decision
    enough_s = rest_for(before, of.lift, last_kg, wanted, side=of.sides[0])
    if enough_s is None or enough_s <= rest_s:
        return decision
    return replace(
        decision, runner_up=f"{show_mass(last_kg, unit)} again would need {rest_words(enough_s)} of rest."
    )


def longer_words(pause: Pause, rest_s: float, usual: str) -> str:
    """Why a load is heavier than after the rest of the outline.

    usual: what it would be then, as it is shown. rest_s: of the outline. [s]

    >>> longer_words(Pause(220.0, ("Bo",)), 90.0, "50.0 kg")
    'You rest 3 min 40 s while Bo lifts; after 1 min 30 s it would be 50.0 kg.'
    """
    rest = f"You rest {rest_words(pause.seconds)} while {at_it(pause.others)}"
    return f"{rest}; after {rest_words(rest_s)} it would be {usual}."


def rest_words(seconds: float) -> str:
    """A rest as it is said.

    >>> rest_words(50.0), rest_words(120.0), rest_words(190.0)
    ('50 s', '2 min', '3 min 10 s')
    """
    minutes, left = divmod(round(seconds), 60)
    return " ".join([f"{minutes} min"] * bool(minutes) + [f"{left} s"] * bool(left or not minutes))
