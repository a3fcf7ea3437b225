"""An outline resolved for one lifter, one machine, one set of plates, one day: what is left to do, in order.

Preparing is a pure function of what happened, so it is simply done again after every set: slots already done or
skipped drop out, and the rest is decided from all that is now known.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import datetime

from steelyard.errors import SteelyardError
from steelyard.journal.fold import LifterState, LoggedSet, SessionState
from steelyard.plates.loading import felt_kg
from steelyard.plates.model import Loading
from steelyard.plates.moves import fewest_moves, move_seconds, moves
from steelyard.strength.estimate import expected_reps
from steelyard.strength.fatigue import Fatigue
from steelyard.strength.model import Estimate
from steelyard.training.allowance import Allowance, allowance, is_first_day
from steelyard.training.decide import Decision, Situation, Wanted, decide
from steelyard.training.gym import Gym, StationLoads
from steelyard.training.history import evidence, sets_at
from steelyard.training.laying import Draft, Item, Laying, begin
from steelyard.training.model import Exercise, Outline, OutlineItem, PreparedSession, Role, Side, Technique
from steelyard.training.nearness import closest_words
from steelyard.training.rules import (
    BETWEEN_ARMS_S,
    CAUTIONS,
    REST_PAUSE_S,
    SECONDS_PER_REP,
    STOPS_CAUTION,
    WARM_UP_REST_S,
    first_session_warnings,
)
from steelyard.training.stacking import build_cost, drop_to, ramp
from steelyard.training.trial import TRIAL_REPS, TRIAL_REST_S, TRIAL_RIR, TrialSet, next_trial, recent
from steelyard.units import show_share

WARM_UP_RIR = 6
"""Reps in reserve that a warm-up leaves at least; it is shown as "easy"."""

SHORT_OF = 0.6
"""After a drop or a pause the reps expected are a prediction that no study has counted; from this share of it up
is as expected (a choice)."""


def prepare(
    gym: Gym,
    outline: Outline,
    lifter: LifterState,
    past: Sequence[LoggedSet],
    *,
    now: datetime,
    today: SessionState | None = None,
    on_horns: Loading | None = None,
) -> PreparedSession:
    """The session that remains, from its first set not yet done.

    past:     all the lifter's sets so far, today's included, in order of time.
    now:      with a time zone.
    today:    the session in progress, if one is; its sets and skips fill their slots.
    on_horns: what is on the machine now; empty if None.
    """
    laying = begin(gym, lifter, past, now=now, today=today, on_horns=on_horns or {})
    allowed = allowance(lifter, past, now)
    laying.notes.extend(allowed.notes)
    if is_first_day(past, now):
        laying.notes.extend(first_session_warnings(outline, gym.exercises))
    warmed: set[str] = set()
    for place, item in enumerate(outline.items, start=1):
        _lay_item(laying, place, item, allowed, warmed)
    return PreparedSession(
        outline=outline,
        lifter=lifter.lifter,
        machine=gym.machine.name,
        sets=tuple(laying.sets),
        ladders=laying.ladders,
        cautions=(*CAUTIONS, *laying.cautions),
        notes=tuple(laying.notes),
        lasts_s=laying.clock_s,
        closest=closest_words(laying.sets, gym.exercises, gym.machine, lifter.body_mass_kg),
    )


def _lay_item(laying: Laying, place: int, item: OutlineItem, allowed: Allowance, warmed: set[str]) -> None:
    """One exercise: a light test set while nothing is known, else warm-up, work sets and what follows."""
    exercise = laying.gym.exercises[item.exercise]
    loads = _station_loads(laying, exercise)
    if loads is None:
        return
    here = sets_at(laying.past, exercise.id, loads.station.name, laying.gym.machine.name)
    known = evidence(here, now=laying.now)
    sides = (Side.LEFT, Side.RIGHT) if exercise.one_arm else (Side.BOTH,)
    of = Item(place, item, exercise, loads, known, allowed, sides)
    if exercise.needs_stops and 0 in item.rir:
        laying.cautions.append(STOPS_CAUTION.format(exercise=exercise.name))
    trial = next_trial(recent(here, laying.now), loads, exercise, laying.lifter.body_mass_kg, now=laying.now)
    if trial is not None:
        _lay_trial(laying, of, trial)
    elif known.estimate is None:
        laying.notes.append(
            f"{exercise.name}: the test sets told nothing; log one and say how many reps were left."
        )
    else:
        for draft in _drafts(laying, of, known.estimate, warm=exercise.pattern not in warmed):
            laying.lay(of, draft)
    warmed.add(exercise.pattern)


def _station_loads(laying: Laying, exercise: Exercise) -> StationLoads | None:
    """The station to use: the one this lifter last did the exercise at, else the first that serves it."""
    stations = {station.name: station for station in laying.gym.stations_for(exercise.id)}
    used = [logged.done.station for logged in reversed(laying.past) if logged.done.exercise == exercise.id]
    problem = f"no station of {laying.gym.machine.name} is made for it"
    for name in dict.fromkeys((*used, *stations)):
        if name in stations:
            try:
                return laying.gym.loads(
                    stations[name], one_arm=exercise.one_arm, body_mass_kg=laying.lifter.body_mass_kg
                )
            except SteelyardError as error:  # a missing body mass, or an empty station over its rating
                problem = str(error)
    laying.notes.append(f"{exercise.name} is left out: {problem}.")
    return None


def _lay_trial(laying: Laying, of: Item, trial: TrialSet) -> None:
    """A light test set instead of work sets; the clock allows for the work sets that follow from it."""
    side = of.sides[0]
    loading = fewest_moves(laying.on_horns, trial.rung.builds, laying.gym.machine.horns)
    wanted = Wanted(TRIAL_REPS, TRIAL_REPS, TRIAL_RIR)
    slot = of.slot(Role.TEST, trial.number, side)
    laying.lay(
        of, Draft(slot, Role.TEST, trial.number, trial.number, side, wanted, TRIAL_REST_S, loading, trial.reason)
    )
    laying.notes.append(f"{of.exercise.name}: the work sets follow from the light test set.")
    laying.clock_s += of.item.sets * (of.item.rest_s + SECONDS_PER_REP * of.item.reps_high)


def _drafts(laying: Laying, of: Item, estimate: Estimate, *, warm: bool) -> Iterator[Draft]:
    """Warm-up, work sets and what follows the last, each decided as the laying reaches it."""
    fatigue, item = of.evidence.fatigue, of.item
    rirs = of.allowed.rirs(item.rir)
    loading: Loading | None = None
    for number, rir in enumerate(rirs, start=1):
        slots = [of.slot(Role.WORK, number, side) for side in of.sides]
        held = laying.first_done(slots)
        if all(map(laying.is_taken, slots)):
            loading = held if held is not None else loading
            continue
        fatigue = fatigue.after_rest(item.rest_s)
        ramped = warm and number == 1
        cost = _build_cost(laying, of, warm=ramped, last=number == len(rirs))
        decision = _decide(laying, of, rir, fatigue, held, cost)
        loading = held if held is not None else min(decision.rung.builds, key=cost)
        if ramped:
            yield from _warm_up(laying, of, loading)
        for side, slot in zip(of.sides, slots, strict=True):
            wanted = Wanted(item.reps_low, item.reps_high, rir)
            rest_s = BETWEEN_ARMS_S if side is Side.RIGHT else item.rest_s
            yield Draft(
                slot, Role.WORK, number, len(rirs), side, wanted, rest_s, loading, decision.reason, decision
            )
        reps = min(max(decision.expected, 0.0), item.reps_high)
        fatigue = fatigue.after_set(decision.rung.felt_kg / estimate.one_rm_kg, reps)
    if of.allowed.techniques and loading is not None:  # none if every work set was skipped
        yield from _afterwards(laying, of, estimate, fatigue, loading)


def _decide(
    laying: Laying, of: Item, rir: int, fatigue: Fatigue, held: Loading | None, cost: Callable[[Loading], float]
) -> Decision:
    """The load of a work set; held is what the other arm has just done it with, cost prices a build. [s]"""
    situation = Situation(
        capacity=fatigue.capacity,
        ease=of.allowed.load,
        held_kg=felt_kg(of.loads.law, held) if held is not None else None,
        handling_s=lambda rung: min(map(cost, rung.builds)),
    )
    wanted = Wanted(of.item.reps_low, of.item.reps_high, rir)
    return decide(of.loads, of.evidence, wanted, situation, unit=laying.unit, now=laying.now)


def _build_cost(laying: Laying, of: Item, *, warm: bool, last: bool) -> Callable[[Loading], float]:
    """What a build costs: few moves, a ramp that fits, and drops that come out near a third. [s]"""
    return build_cost(
        laying.on_horns,
        laying.gym.machine,
        of.loads,
        ramp_reps=of.item.reps_high if warm else None,
        drops=of.item.rounds if last and of.allowed.techniques and of.item.after is Technique.DROP else 0,
    )


def _warm_up(laying: Laying, of: Item, work: Loading) -> Iterator[Draft]:
    steps = ramp(laying.gym.machine, of.loads, work, of.item.reps_high)
    for number, step in enumerate(steps, start=1):
        share = step.felt_kg / felt_kg(of.loads.law, work)
        reason = f"Warm-up at {show_share(share)} of the work load; from here plates are only added."
        wanted = Wanted(step.reps, step.reps, WARM_UP_RIR)
        for side in of.sides:
            slot = of.slot(Role.WARM_UP, number, side)
            rest_s = BETWEEN_ARMS_S if side is Side.RIGHT else WARM_UP_REST_S
            yield Draft(slot, Role.WARM_UP, number, len(steps), side, wanted, rest_s, step.loading, reason)


def _afterwards(
    laying: Laying, of: Item, estimate: Estimate, fatigue: Fatigue, loading: Loading
) -> Iterator[Draft]:
    """Drop sets or rest-pause after the last work set, which was done with this loading."""
    drop = of.item.after is Technique.DROP
    role = Role.DROP if drop else Role.REST_PAUSE
    for number in range(1, of.item.rounds + 1):
        slots = [of.slot(role, number, side) for side in of.sides]
        if all(map(laying.is_taken, slots)):
            done = laying.first_done(slots)
            loading = done if done is not None else loading
            continue
        before, reason = loading, _PAUSE_REASON
        if drop:
            loading, reason = _drop(laying, of, before)
        handling_s = move_seconds(moves(before, loading, laying.gym.machine.horns))
        rest_s = 0.0 if drop else REST_PAUSE_S
        fatigue = fatigue.after_rest(max(rest_s, handling_s))
        felt = felt_kg(of.loads.law, loading)
        able = max(1.0, expected_reps(estimate, felt, capacity=fatigue.capacity))
        wanted = Wanted(max(1, round(SHORT_OF * able)), round(able) + 1, 0)
        for side, slot in zip(of.sides, slots, strict=True):
            yield Draft(slot, role, number, of.item.rounds, side, wanted, rest_s, loading, reason)
        fatigue = fatigue.after_set(felt / estimate.one_rm_kg, able)


_PAUSE_REASON = f"Same load after {REST_PAUSE_S:.0f} s of rest; stop when form goes."


def _drop(laying: Laying, of: Item, before: Loading) -> tuple[Loading, str]:
    """What a drop strips to, and how much that takes off."""
    loading = drop_to(laying.gym.machine, of.loads, before)
    share = 1 - felt_kg(of.loads.law, loading) / felt_kg(of.loads.law, before)
    if share <= 0:
        return loading, "Nothing is left to take off: go on with the same load, in good form."
    return loading, f"{show_share(share)} off, from the outside only; go at once, as many as stay clean."
