"""An outline resolved for one lifter, one machine, one set of plates, one day: what is left to do, in order.

Preparing is a pure function of what happened, so it is simply done again after every set: slots already done or
skipped drop out, and the rest is decided from all that is now known.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from steelyard.errors import SteelyardError
from steelyard.journal.fold import LifterState, LoggedSet, SessionState
from steelyard.plates.changeover import Change
from steelyard.plates.model import Loading
from steelyard.plates.wishes import Wish
from steelyard.training.allowance import Allowance, allowance, is_first_day
from steelyard.training.asking import drop_wish, ramp_steps, same_wish, work_wish
from steelyard.training.choosing import Chosen, choose_plates
from steelyard.training.decide import TELLABLE, Decision, Situation, Wanted, decide
from steelyard.training.dose import efforts, is_over
from steelyard.training.gym import Gym, StationLoads
from steelyard.training.hanging import left_hanging
from steelyard.training.history import Knowledge, evidence, knowledge, sets_at
from steelyard.training.laying import Asked, Draft, Item, Laying, begin
from steelyard.training.model import Exercise, Outline, OutlineItem, PreparedSession, Role, Side, Technique
from steelyard.training.nearness import closest_words
from steelyard.training.odd import questions
from steelyard.training.priors import lift_name, lift_of
from steelyard.training.resting import with_rest
from steelyard.training.rules import (
    BETWEEN_ARMS_S,
    CAUTIONS,
    REST_PAUSE_S,
    SECONDS_PER_REP,
    STOPS_CAUTION,
    WARM_UP_REST_S,
    first_session_warnings,
)
from steelyard.training.trial import (
    SURE,
    TRIAL_REPS,
    TRIAL_REST_S,
    TRIAL_RIR,
    TrialSet,
    known_here,
    next_trial,
    recent,
)
from steelyard.units import Unit, show_mass, show_share

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
    order: tuple[int, ...] = (),
) -> PreparedSession:
    """The session that remains, from its first set not yet done.

    past:     all the lifter's sets so far, today's included, in order of time.
    now:      with a time zone.
    today:    the session in progress, if one is; its sets and skips fill their slots.
    on_horns: what is on the machine now; if None, what today's sets have left there.
    order:    places of the exercises in the order wanted, from 1; that of the session in progress, or of the
              outline, if empty or no order of this outline.
    """
    if on_horns is None:
        on_horns = left_hanging(gym, today.sets if today else ())
    return prepare_task(Task(gym, outline, lifter, past, now, today, order), on_horns)


def prepare_task(task: Task, on_horns: Loading) -> PreparedSession:
    """The session that remains of a task, with this on the machine now."""
    return prepared_with(task, choose_plates(task.gym, asked_of(task), on_horns))


@dataclass(frozen=True, slots=True)
class Task:
    """Who is to be prepared for what; fields as the arguments of `prepare`.

    left_out: slots that are left out, as if they had been skipped.
    kept: what sets have told, once it was worked out.
    """

    gym: Gym
    outline: Outline
    lifter: LifterState
    past: Sequence[LoggedSet]
    now: datetime
    today: SessionState | None = None
    order: tuple[int, ...] = ()
    left_out: frozenset[str] = frozenset()
    kept: list[Knowledge] = field(default_factory=list, repr=False, compare=False)

    @property
    def known(self) -> Knowledge:
        """What the lifter's sets have told; worked out once."""
        if not self.kept:
            self.kept.append(_told(self))
        return self.kept[0]

    @property
    def places(self) -> tuple[int, ...]:
        """The places of the exercises in the order in which they are done."""
        listed = tuple(range(1, len(self.outline.items) + 1))
        begun = self.today.order if self.today is not None else ()
        return next((order for order in (self.order, begun) if tuple(sorted(order)) == listed), listed)


def _told(task: Task) -> Knowledge:
    """What sets have told of all that was done or is to be done, wherever on the machine it can be."""
    gym, lifter = task.gym, task.lifter
    wanted = [
        lift_of(gym.exercises[item.exercise], station.name, gym.machine.name, lifter.body_mass_kg)
        for item in task.outline.items
        for station in gym.stations_for(item.exercise)
    ]
    return knowledge(gym.exercises, lifter, task.past, wanted, now=task.now)


def asked_of(task: Task) -> tuple[Asked, ...]:
    """What the sets that remain ask of the plates, in their order."""
    return tuple(_laid(task, None).asked)


def prepared_with(task: Task, chosen: Chosen) -> PreparedSession:
    """The session with the plates that were chosen for it."""
    laying, lifter = _laid(task, chosen.changes), task.lifter
    asked_about = questions(task.known.odd, task.gym.exercises, laying.unit, task.now)
    return PreparedSession(
        outline=task.outline,
        lifter=lifter.lifter,
        machine=task.gym.machine.name,
        sets=tuple(laying.sets),
        ladders=laying.ladders,
        cautions=(*CAUTIONS, *laying.cautions),
        notes=(*asked_about, *laying.notes, *chosen.notes),
        lasts_s=laying.clock_s,
        closest=closest_words(laying.sets, task.gym.exercises, task.gym.machine, lifter.body_mass_kg),
    )


def _laid(task: Task, changes: Mapping[str, Change] | None) -> Laying:
    """The session laid out, with these plates or, while none are chosen, with what is wanted."""
    laying = begin(
        task.gym, task.lifter, task.past, now=task.now, today=task.today, changes=changes, known=task.known
    )
    laying.skipped |= task.left_out
    allowed = allowance(task.lifter, task.past, task.now)
    laying.notes.extend(allowed.notes)
    if is_first_day(task.past, task.now):
        laying.notes.extend(first_session_warnings(task.outline, task.gym.exercises))
    warmed: set[str] = set()
    for place in task.places:
        _lay_item(laying, place, task.outline.items[place - 1], allowed, warmed)
    return laying


def _lay_item(laying: Laying, place: int, item: OutlineItem, allowed: Allowance, warmed: set[str]) -> None:
    """One exercise: a light test set while nothing is known, else warm-up, work sets and what follows."""
    exercise = laying.gym.exercises[item.exercise]
    loads = _station_loads(laying, exercise)
    if loads is None:
        return
    machine = laying.gym.machine.name
    here = sets_at(laying.past, exercise.id, loads.station.name, machine)
    lift = lift_name(exercise.id, loads.station.name, machine)
    sides = (Side.LEFT, Side.RIGHT) if exercise.one_arm else (Side.BOTH,)
    of = Item(place, item, exercise, loads, lift, evidence(here, now=laying.now), allowed, sides)
    if exercise.needs_stops and 0 in item.rir:
        laying.cautions.append(STOPS_CAUTION.format(exercise=exercise.name))
    lately = recent(here, laying.now)
    body_mass_kg, sure_kg = laying.lifter.body_mass_kg, _sure_kg(laying, of)
    trial = next_trial(lately, loads, exercise, body_mass_kg, now=laying.now, sure_kg=sure_kg)
    if trial is not None:
        _lay_trial(laying, of, trial)
    elif not known_here(lately):
        laying.notes.append(
            f"{exercise.name}: the test sets told nothing; log one and say how many reps were left."
        )
    else:
        for draft in _drafts(laying, of, warm=exercise.pattern not in warmed):
            laying.lay(of, draft)
    warmed.add(exercise.pattern)


def _sure_kg(laying: Laying, of: Item) -> float | None:
    """A load that is light by what the lifter's other exercises tell; None for who has done none. [kg]"""
    if not known_here(recent(laying.past, laying.now)):
        return None
    return laying.outlook(of, of.sides[0]).load_for(TRIAL_REPS + TRIAL_RIR, SURE)


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
    wanted = Wanted(TRIAL_REPS, TRIAL_REPS, TRIAL_RIR)
    slot = of.slot(Role.TEST, trial.number, side)
    wish = same_wish(of.loads.law, trial.rung.felt_kg)
    laying.lay(
        of, Draft(slot, Role.TEST, trial.number, trial.number, side, wanted, TRIAL_REST_S, wish, trial.reason)
    )
    laying.notes.append(f"{of.exercise.name}: the work sets follow from the light test set.")
    laying.clock_s += of.item.sets * (of.item.rest_s + SECONDS_PER_REP * of.item.reps_high)


def _drafts(laying: Laying, of: Item, *, warm: bool) -> Iterator[Draft]:
    """Warm-up, work sets and what follows the last, each decided as the laying reaches it."""
    item = of.item
    rirs = efforts(laying, of)
    last: Wish | None = None
    last_kg = 0.0
    for number, rir in enumerate(rirs, start=1):
        slots = [of.slot(Role.WORK, number, side) for side in of.sides]
        held_kg = laying.first_done(of, slots)
        if held_kg is not None:
            last = same_wish(of.loads.law, held_kg)
        if all(map(laying.is_taken, slots)):
            continue
        before = laying.belief
        laying.rest(item.rest_s)
        free = _decide(laying, of, rir, held_kg)
        if held_kg is None and is_over(laying, of, free.rung.felt_kg):
            return
        wish = last if held_kg is not None and last else work_wish(of.loads.law, free.rung.felt_kg, item.rest_s)
        ramped = False
        if warm and number == 1:
            for step in _warm_up(laying, of, free.rung.felt_kg, slots):
                ramped = True
                yield step
        given_kg = laying.given_kg(next(slot for slot in slots if not laying.is_taken(slot)), free.rung.felt_kg)
        decision = _decide(laying, of, rir, given_kg)
        reason = decision.reason + _for_the_plates(free, decision, laying.unit)
        if last is not None and held_kg is None:
            decision = with_rest(
                decision, before, of, Wanted(item.reps_low, item.reps_high, rir), last_kg, laying.unit
            )
        reps = min(max(decision.expected, 0.0), item.reps_high)
        for side, slot in zip(of.sides, slots, strict=True):
            wanted = Wanted(item.reps_low, item.reps_high, rir)
            rest_s = BETWEEN_ARMS_S if side is Side.RIGHT else item.rest_s
            yield Draft(slot, Role.WORK, number, len(rirs), side, wanted, rest_s, wish, reason, decision, ramped)
            _tire(laying, of, slot, side, decision.rung.felt_kg, reps)
            ramped = False
        last, last_kg = wish, decision.rung.felt_kg
    if of.allowed.techniques and last is not None:  # none if every work set was skipped
        yield from _afterwards(laying, of, last)


def _tire(laying: Laying, of: Item, slot: str, side: Side, felt_kg: float, reps: float) -> None:
    """What a set that is still to come takes out of the lifter; one that was done has done so already."""
    if not laying.is_taken(slot):
        if side is Side.RIGHT:
            laying.rest(BETWEEN_ARMS_S)
        laying.spend(of, felt_kg, reps, side)


def _decide(laying: Laying, of: Item, rir: int, held_kg: float | None) -> Decision:
    """The load of a work set; held_kg: the one to keep, if it is settled. [kg]"""
    situation = Situation(ease=of.allowed.load, held_kg=held_kg)
    wanted = Wanted(of.item.reps_low, of.item.reps_high, rir)
    promised = laying.outlook(of, of.sides[0])
    return decide(of.loads, promised, of.evidence, wanted, situation, unit=laying.unit, now=laying.now)


def _for_the_plates(free: Decision, given: Decision, unit: Unit) -> str:
    """Why the load is less than it could be, if a hand could tell."""
    short = 1 - given.rung.felt_kg / free.rung.felt_kg if free.rung.felt_kg else 0.0
    if short < TELLABLE:
        return ""
    return f" {show_mass(free.rung.felt_kg, unit)} would do; this saves plates."


def _warm_up(laying: Laying, of: Item, work_kg: float, work_slots: Sequence[str]) -> Iterator[Draft]:
    """The ramp to a work load. [kg]"""
    steps = ramp_steps(of.loads.law, of.loads.ladder, work_kg, of.item.reps_high)
    given_kg = laying.given_kg(work_slots[0], work_kg)
    for number, step in enumerate(steps, start=1):
        wanted = Wanted(step.reps, step.reps, WARM_UP_RIR)
        for side in of.sides:
            slot = of.slot(Role.WARM_UP, number, side)
            share = laying.given_kg(slot, step.wish.wanted_kg) / given_kg
            reason = f"Warm-up at {show_share(share)} of the work load."
            rest_s = BETWEEN_ARMS_S if side is Side.RIGHT else WARM_UP_REST_S
            ramped = number > 1 and side is of.sides[0]
            yield Draft(
                slot, Role.WARM_UP, number, len(steps), side, wanted, rest_s, step.wish, reason, ramped=ramped
            )


def _afterwards(laying: Laying, of: Item, last: Wish) -> Iterator[Draft]:
    """Drop sets or rest-pause after the last work set, which asked for this."""
    drop = of.item.after is Technique.DROP
    role = Role.DROP if drop else Role.REST_PAUSE
    wish, felt = (
        last,
        laying.given_kg(of.slot(Role.WORK, len(of.allowed.rirs(of.item.rir)), of.sides[0]), last.wanted_kg),
    )
    for number in range(1, of.item.rounds + 1):
        slots = [of.slot(role, number, side) for side in of.sides]
        done_kg = laying.first_done(of, slots)
        if all(map(laying.is_taken, slots)):
            felt = done_kg if done_kg is not None else felt
            continue
        before, rest_s, reason = felt, REST_PAUSE_S, _PAUSE_REASON
        if drop:
            wish = drop_wish(of.loads.law, before) if done_kg is None else same_wish(of.loads.law, done_kg)
            felt = laying.given_kg(slots[-1], wish.wanted_kg)
            rest_s, reason = 0.0, _drop_reason(before, felt)
        laying.rest(max(rest_s, laying.handling_s(slots[0])))
        able = max(1.0, laying.outlook(of, of.sides[-1]).expected_reps(felt))
        wanted = Wanted(max(1, round(SHORT_OF * able)), round(able) + 1, 0)
        for side, slot in zip(of.sides, slots, strict=True):
            yield Draft(slot, role, number, of.item.rounds, side, wanted, rest_s, wish, reason)
            _tire(laying, of, slot, side, felt, able)


_PAUSE_REASON = f"Same load after {REST_PAUSE_S:.0f} s of rest; stop when form goes."


def _drop_reason(before_kg: float, felt_kg: float) -> str:
    """How much a drop takes off. [kg]"""
    share = 1 - felt_kg / before_kg if before_kg else 0.0
    if share <= 0:
        return "Nothing is left to take off: go on with the same load, in good form."
    return f"{show_share(share)} off, from the outside only; go at once, as many as stay clean."
