"""How heavy the next set should be, how sure that is, and the sentence that says why.

The rule is one sentence: take the heaviest loading that still gives at least the low end of the rep range, with
the effort wanted, at the confidence asked for, that is no more than a tenth above the heaviest of last time (or
one step up, where steps are larger). Where a trifle less saves more plate work than it is worth, the plates say so
afterwards: see `asking`. Where the smallest step up is too big, the same rule keeps the load until the reps have
grown enough to pay for it: double progression falls out.
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from steelyard.journal.fold import local_day
from steelyard.plates.model import Rung
from steelyard.strength.outlook import Outlook
from steelyard.training.gym import StationLoads
from steelyard.training.history import Evidence
from steelyard.training.rules import AUTOMATIC_RISE, LIGHT_RIR
from steelyard.units import Unit, show_mass, show_share

CONFIDENCE = 0.75
"""Chance of reaching the low end of the range that a load must keep. With a spread of about two reps it puts the
expected set in the middle of a range of three, where a planned set belongs (a choice of this project)."""
LEAST_CONFIDENCE = 0.55
"""Where steps are coarse, one step more is given down to this chance, if it is likelier to end inside the range:
else rounding down would cost half a step on average (a choice)."""
TELLABLE = 0.01
"""A smaller step than this share of the load is none to speak of (a choice)."""
HALF_A_GRAM = 0.0005
"""Ladders step by whole grams; this keeps a load on its own rung. [kg]"""


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a work set should come to: reps in a range, stopping with rir left."""

    reps_low: int
    reps_high: int
    rir: int


@dataclass(frozen=True, slots=True)
class Situation:
    """What the moment adds to the wish.

    ease:     share of the usual load that a break leaves.
    held_kg:  the felt load that is settled, by the other arm or by the plates; None to choose. [kg]
    """

    ease: float = 1.0
    held_kg: float | None = None


@dataclass(frozen=True, slots=True)
class Choice:
    """The load of one set, before anything is said of it.

    index:    of the rung in the ladder. capped: the lifter could do more than is given unasked.
    expected: as in `Decision`.
    """

    index: int
    rung: Rung
    capped: bool
    expected: float


@dataclass(frozen=True, slots=True)
class Decision:
    """The load of one set, with its reason.

    expected: reps the lifter is expected to do, stopping with the rir wanted.
    fitting_kg: loads for which the expected reps lie in the range. [kg]
    """

    rung: Rung
    chance: float
    expected: float
    fitting_kg: tuple[float, float]
    reason: str
    runner_up: str


def choose(
    loads: StationLoads, outlook: Outlook, evidence: Evidence, wanted: Wanted, situation: Situation
) -> Choice:
    """The load of the next work set; arguments as for `decide`."""
    felt_kg = loads.felt_kg
    able_kg = able(outlook, wanted, ease=situation.ease)
    cap_kg = most_unasked(felt_kg, evidence.heaviest_kg)
    if situation.ease < 1:  # after a break no step more
        cap_kg = min(cap_kg, able_kg)
    if situation.held_kg is None:
        index = settled(felt_kg, outlook, wanted, able_kg=able_kg, cap_kg=cap_kg)
    else:
        index = at_most(felt_kg, situation.held_kg + HALF_A_GRAM)
    rung = loads.ladder[index]
    return Choice(index, rung, cap_kg < able_kg, outlook.expected_reps(rung.felt_kg, rir=wanted.rir))


def decide(
    loads: StationLoads,
    outlook: Outlook,
    evidence: Evidence,
    wanted: Wanted,
    situation: Situation,
    *,
    unit: Unit,
    now: datetime,
) -> Decision:
    """The load of the next work set, with all that is said of it.

    outlook:  what the lift promises when the set begins. evidence: what the lifter would name of it.
    """
    choice = choose(loads, outlook, evidence, wanted, situation)

    def chance(at: Rung) -> float:
        return outlook.chance_of_reps(at.felt_kg, wanted.reps_low, rir=wanted.rir)

    above, likely = _next_notch(loads, choice.index), chance(choice.rung)
    odds = _odds(wanted, likely, lightest=choice.index == 0, capped=choice.capped, above=above)
    return Decision(
        rung=choice.rung,
        chance=likely,
        expected=choice.expected,
        fitting_kg=fitting_kg(outlook, wanted),
        reason=f"{_basis(evidence, unit, now)} {odds}".strip(),
        runner_up=_runner_up(above, wanted, chance(above), unit) if above else "",
    )


def fitting_kg(outlook: Outlook, wanted: Wanted) -> tuple[float, float]:
    """The loads that are as likely as not to lead into the rep range. [kg]"""
    return (
        outlook.load_for(wanted.reps_high, 0.5, rir=wanted.rir),
        outlook.load_for(wanted.reps_low, 0.5, rir=wanted.rir),
    )


def able(outlook: Outlook, wanted: Wanted, *, ease: float = 1.0) -> float:
    """The heaviest load that gives the low end of the range, with the confidence asked for. [kg]

    ease: share of it that is given.
    """
    return ease * outlook.load_for(wanted.reps_low, CONFIDENCE, rir=wanted.rir)


def settled(loads_kg: Sequence[float], outlook: Outlook, wanted: Wanted, *, able_kg: float, cap_kg: float) -> int:
    """Index of the load to give: the heaviest that may be given, or the next one if that is likelier to fit.

    loads_kg: those at hand, ascending. able_kg: the heaviest that keeps the confidence asked for. cap_kg: the most
    to give unasked. [kg]
    """
    index = at_most(loads_kg, min(able_kg, cap_kg))
    if index + 1 >= len(loads_kg) or loads_kg[index] > able_kg or loads_kg[index + 1] > cap_kg + HALF_A_GRAM:
        return index

    def low(at: int) -> float:
        return outlook.chance_of_reps(loads_kg[at], wanted.reps_low, rir=wanted.rir)

    def inside(at: int) -> float:
        return low(at) - outlook.chance_of_reps(loads_kg[at], wanted.reps_high + 1, rir=wanted.rir)

    heavier = index + 1
    return heavier if low(heavier) >= LEAST_CONFIDENCE and inside(heavier) > inside(index) else index


def most_unasked(loads_kg: Sequence[float], heaviest_kg: float | None) -> float:
    """The most to give unasked: a tenth above the heaviest of last time, or the smallest step there is. [kg]

    loads_kg: those at hand, ascending. heaviest_kg: of last time; None before the first.

    >>> most_unasked((10.0, 20.0, 21.0), 10.0), most_unasked((10.0, 20.0, 21.0), 20.0)
    (20.0, 22.0)
    """
    if heaviest_kg is None:
        return math.inf
    step = min(at_most(loads_kg, heaviest_kg + HALF_A_GRAM) + 1, len(loads_kg) - 1)
    return max((1 + AUTOMATIC_RISE) * heaviest_kg, loads_kg[step])


def at_most(loads_kg: Sequence[float], limit_kg: float) -> int:
    """Index of the heaviest load not above the limit; the lightest if all are above it. loads_kg ascend. [kg]"""
    return max(0, bisect_right(loads_kg, limit_kg) - 1)


def _next_notch(loads: StationLoads, index: int) -> Rung | None:
    """The next load up that a hand could tell from this one; mixed kg and lb plates make some that none could."""
    least_kg = (1 + TELLABLE) * loads.ladder[index].felt_kg
    at = bisect_left(loads.ladder, least_kg, key=lambda rung: rung.felt_kg)
    return loads.ladder[at] if at < len(loads.ladder) else None


def _basis(evidence: Evidence, unit: Unit, now: datetime) -> str:
    """What the decision rests on: the latest telling set."""
    if evidence.last is None:
        return ""
    done = evidence.last.done
    said = {"failure": ", to failure", "form": ", form broke", "unsaid": ""}
    left = said.get(done.ended, f", {left_words(done.rir)} left")
    days = (now.date() - local_day(evidence.last.at, now)).days
    when = "Just now" if days == 0 else "Yesterday" if days == 1 else f"{days} days ago"
    helped = f", {done.helped} of them helped or cut short" if done.helped else ""
    return f"{when}: {done.reps} reps at {show_mass(done.felt_kg, unit)}{helped}{left}."


def _odds(wanted: Wanted, chance: float, *, lightest: bool, capped: bool, above: Rung | None) -> str:
    """Why this load and not the next."""
    odds = f"{odds_words(chance)} for {wanted.reps_low} or more"
    if chance < CONFIDENCE - 0.05 and lightest:
        return f"This is the lightest the station can be, yet only {odds}."
    if above is None:
        return f"This is all the station can be loaded to; go up to {wanted.reps_high} reps."
    if capped:
        return f"{odds[0].upper()}{odds[1:]}; more than {show_share(AUTOMATIC_RISE)} up at once is left to you."
    return f"{odds[0].upper()}{odds[1:]} here."


def _runner_up(above: Rung, wanted: Wanted, chance: float, unit: Unit) -> str:
    return f"Next up is {show_mass(above.felt_kg, unit)}: {odds_words(chance)} for {wanted.reps_low} or more."


def left_words(rir: int | None) -> str:
    """Reps said to be left, as they were said.

    >>> left_words(2), left_words(5)
    ('2', '5 or more')
    """
    return f"{rir} or more" if rir is not None and rir >= LIGHT_RIR else f"{rir}"


def odds_words(chance: float) -> str:
    """A probability as a lifter says it.

    >>> odds_words(0.83)
    '8 chances in 10'
    """
    if chance >= 0.95:
        return "near certain"
    if chance < 0.05:
        return "hardly a chance"
    tenths = max(1, round(chance * 10))
    return f"{tenths} chance{'s' if tenths > 1 else ''} in 10"
