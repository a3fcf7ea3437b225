"""How heavy the next set should be, how sure that is, and the sentence that says why.

The rule is one sentence: take the heaviest loading that still gives at least the low end of the rep range, with
the effort wanted, at the confidence asked for, and that is no more than a tenth above the heaviest of last time.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from steelyard.errors import OutOfRange
from steelyard.journal.fold import LoggedSet
from steelyard.plates.model import Rung
from steelyard.strength.estimate import chance_of_reps, expected_reps, load_for
from steelyard.strength.fatigue import Fatigue
from steelyard.strength.model import Estimate
from steelyard.training.gym import StationLoads
from steelyard.training.rules import AUTOMATIC_RISE
from steelyard.units import Unit, show_mass

CONFIDENCE = 0.8
"""Chance of reaching the low end of the range that a load must keep. With a spread of about two reps it puts the
expected set in the middle of a range of three, which is where a planned set belongs (a choice of this project)."""
HALF_A_GRAM = 0.0005
"""Ladders step by whole grams; this keeps a load on its own rung. [kg]"""


@dataclass(frozen=True, slots=True)
class Evidence:
    """What is known of a lifter on one exercise at one station.

    estimate: fresh one-rep maximum; None if there is no telling set yet.
    last:     the latest telling set.
    heaviest_kg: heaviest work set of the latest day that had one; None before the first.
    fatigue:  what today's sets of this exercise have left, as of the end of the last one.
    """

    estimate: Estimate | None
    last: LoggedSet | None
    heaviest_kg: float | None
    fatigue: Fatigue


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a work set should come to: reps in a range, stopping with rir left."""

    reps_low: int
    reps_high: int
    rir: int


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


def decide(
    loads: StationLoads,
    evidence: Evidence,
    wanted: Wanted,
    *,
    capacity: float,
    unit: Unit,
    now: datetime,
    ease: float = 1.0,
    held_kg: float | None = None,
) -> Decision:
    """The load of the next work set.

    evidence: must hold an estimate.
    capacity: share of the fresh maximum that is left when the set begins, above 0 and at most 1.
    ease:     share of the usual load that a break leaves.
    held_kg:  the felt load to keep, if one arm has just done the set and the other follows; None to choose. [kg]

    Raises: OutOfRange if nothing is known of the lifter here; a light test set comes first then.
    """
    estimate = evidence.estimate
    if estimate is None:
        raise OutOfRange("strength at this station", "not known", "found by a light test set first")
    needed = wanted.reps_low + wanted.rir
    able_kg = ease * load_for(estimate, needed, CONFIDENCE, capacity=capacity)
    cap_kg = (1 + AUTOMATIC_RISE) * evidence.heaviest_kg if evidence.heaviest_kg is not None else able_kg
    index = loads.at_most(min(able_kg, cap_kg) if held_kg is None else held_kg + HALF_A_GRAM)
    rung = loads.ladder[index]

    def chance(at: Rung) -> float:
        return chance_of_reps(estimate, at.felt_kg, needed, capacity=capacity)

    above = loads.ladder[index + 1] if index + 1 < len(loads.ladder) else None
    odds = _odds(rung, wanted, chance(rung), capped=cap_kg < able_kg, above=above, unit=unit)
    return Decision(
        rung=rung,
        chance=chance(rung),
        expected=expected_reps(estimate, rung.felt_kg, capacity=capacity) - wanted.rir,
        fitting_kg=(
            load_for(estimate, wanted.reps_high + wanted.rir, 0.5, capacity=capacity),
            load_for(estimate, needed, 0.5, capacity=capacity),
        ),
        reason=f"{_basis(evidence, unit, now)} {odds}".strip(),
        runner_up=_runner_up(above, wanted, chance(above), unit) if above else "",
    )


def _basis(evidence: Evidence, unit: Unit, now: datetime) -> str:
    """What the decision rests on: the latest telling set."""
    if evidence.last is None:
        return ""
    done = evidence.last.done
    left = {"failure": ", to failure", "unsaid": ""}.get(done.ended, f", {done.rir} left")
    days = (now.date() - evidence.last.at.astimezone(now.tzinfo).date()).days
    when = "Just now" if days == 0 else "Yesterday" if days == 1 else f"{days} days ago"
    return f"{when}: {done.reps} reps at {show_mass(done.felt_kg, unit)}{left}."


def _odds(rung: Rung, wanted: Wanted, chance: float, *, capped: bool, above: Rung | None, unit: Unit) -> str:
    """Why this load and not the next."""
    if chance < CONFIDENCE - 0.05:
        return (
            f"This is the lightest the station can be, and {wanted.reps_low} reps are only {odds_words(chance)}."
        )
    if capped and above is not None:
        rise = f"a rise of more than {AUTOMATIC_RISE:.0%} at once"
        return f"{odds_words(chance).capitalize()} for {wanted.reps_low} or more; {rise} is left to you."
    if above is None:
        return f"This is all the station can be loaded to; go up to {wanted.reps_high} reps."
    return f"{odds_words(chance).capitalize()} for {wanted.reps_low} or more here."


def _runner_up(above: Rung, wanted: Wanted, chance: float, unit: Unit) -> str:
    return f"Next up is {show_mass(above.felt_kg, unit)}: {odds_words(chance)} for {wanted.reps_low} or more."


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
