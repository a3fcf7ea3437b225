"""An outline resolved for one lifter, one machine, one set of plates, one day: what is left to do, in order.

Preparing is a pure function of what happened, so it is simply done again after every set: slots already done or
skipped drop out, and the rest is decided from all that is now known.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime

from steelyard.errors import SteelyardError
from steelyard.journal.changed import UNCHANGED, Changed
from steelyard.journal.fold import LifterState, LoggedSet, SessionState
from steelyard.plates.changeover import Change
from steelyard.plates.model import Loading
from steelyard.training.allowance import Allowance, allowance, is_first_day
from steelyard.training.asking import trial_wish
from steelyard.training.changing import (
    blocks,
    changed_words,
    in_turn_words,
    instead_words,
    put_off,
    stations_in_turn,
    swapped,
    swaps,
)
from steelyard.training.choosing import Chosen, choose_plates
from steelyard.training.decide import Wanted
from steelyard.training.dose import count_done
from steelyard.training.gym import Gym, StationLoads
from steelyard.training.hanging import left_hanging
from steelyard.training.history import Knowledge, Learned, evidence, knowledge
from steelyard.training.laying import Asked, Draft, Item, Laying, begin
from steelyard.training.model import Exercise, Outline, PreparedSession, Role, Side
from steelyard.training.nearness import closest_words
from steelyard.training.odd import questions
from steelyard.training.pauses import Pause
from steelyard.training.priors import lift_name, lift_of
from steelyard.training.rules import CAUTIONS, SECONDS_PER_REP, STOPS_CAUTION, first_session_warnings
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
from steelyard.training.working import Work, as_chosen, lay_in_turn, work_of


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
    task = with_usual(task, on_horns)
    return prepared_with(task, choose_plates(task.gym_today, asked_of(task), on_horns))


def with_usual(task: Task, on_horns: Loading) -> Task:
    """The task with what its sets would have without the loads that the lifter chose, if they did for one left."""
    if task.today is None or task.usual_kg:
        return task
    done = {logged.done.slot for logged in task.today.sets}
    if not task.changed.loads_kg.keys() - done:
        return task
    today = replace(task.today, changed=replace(task.changed, loads_kg={}))
    session = prepare_task(replace(task, today=today), on_horns)
    return replace(task, usual_kg={one.slot: one.felt_kg for one in session.sets})


@dataclass(frozen=True, slots=True)
class Task:
    """Who is to be prepared for what; fields as the arguments of `prepare`.

    left_out: slots that are left out, as if they had been skipped.
    pauses: rests that others' turns make longer than wanted, by slot.
    usual_kg: what sets would have if the lifter had chosen no load, by slot. [kg]
    kept: what sets have told, once it was worked out; learned: what of it is kept for the next task.
    """

    gym: Gym
    outline: Outline
    lifter: LifterState
    past: Sequence[LoggedSet]
    now: datetime
    today: SessionState | None = None
    order: tuple[int, ...] = ()
    left_out: frozenset[str] = frozenset()
    pauses: Mapping[str, Pause] = field(default_factory=dict)
    usual_kg: Mapping[str, float] = field(default_factory=dict)
    kept: list[Knowledge] = field(default_factory=list, repr=False, compare=False)
    learned: Learned | None = field(default=None, repr=False, compare=False)

    @property
    def known(self) -> Knowledge:
        """What the lifter's sets have told; worked out once."""
        if not self.kept:
            self.kept.append(_told(self))
        return self.kept[0]

    @property
    def changed(self) -> Changed:
        """What the lifter decided otherwise since the session began."""
        return self.today.changed if self.today is not None else UNCHANGED

    @property
    def gym_today(self) -> Gym:
        """The gym without the plates that are missing; those that can't be missing are passed over."""
        missing = self.changed.missing
        misread = self.gym.misread(missing)
        return self.gym.without(tuple(name for name in missing if name not in misread))

    @property
    def outline_today(self) -> Outline:
        """The outline with the exercises that its places are now."""
        return swapped(self.outline, self.changed, self.gym)

    @property
    def places(self) -> tuple[int, ...]:
        """The places of the exercises in the order in which they are done."""
        items = self.outline.items
        listed = tuple(range(1, len(items) + 1))
        begun = self.today.order if self.today is not None else ()
        order = next((order for order in (self.order, begun) if tuple(sorted(order)) == listed), listed)
        return put_off(order, items, self.changed.postponed)


def _told(task: Task) -> Knowledge:
    """What sets have told of all that was done or is to be done, wherever on the machine it can be."""
    gym, lifter = task.gym, task.lifter
    wanted = [
        lift_of(gym.exercises[item.exercise], station.name, gym.machine.name, lifter.body_mass_kg)
        for item in task.outline_today.items
        for station in gym.stations_for(item.exercise)
    ]
    return knowledge(gym.exercises, lifter, task.past, wanted, now=task.now, learned=task.learned)


def asked_of(task: Task) -> tuple[Asked, ...]:
    """What the sets that remain ask of the plates, in their order."""
    return tuple(_laid(task, None).asked)


def prepared_with(task: Task, chosen: Chosen) -> PreparedSession:
    """The session with the plates that were chosen for it."""
    laying, lifter, gym = _laid(task, chosen.changes), task.lifter, task.gym
    asked_about = questions(task.known.odd, gym.exercises, laying.unit, task.now)
    otherwise = changed_words(task.outline_today, task.changed, gym, laying.sets)
    return PreparedSession(
        outline=task.outline_today,
        lifter=lifter.lifter,
        machine=gym.machine.name,
        sets=tuple(laying.sets),
        ladders=laying.ladders,
        cautions=(*CAUTIONS, *laying.cautions),
        notes=(*otherwise, *asked_about, *laying.notes, *chosen.notes),
        lasts_s=laying.clock_s,
        closest=closest_words(laying.sets, gym.exercises, gym.machine, lifter.body_mass_kg),
    )


def _laid(task: Task, changes: Mapping[str, Change] | None) -> Laying:
    """The session laid out, with these plates or, while none are chosen, with what is wanted."""
    laying = begin(
        task.gym_today, task.lifter, task.past, now=task.now, today=task.today, changes=changes, known=task.known
    )
    laying.skipped, laying.pauses = laying.skipped | task.left_out, task.pauses
    laying.usual_kg = task.usual_kg
    allowed, outline = allowance(task.lifter, task.past, task.now), task.outline_today
    laying.notes.extend(allowed.notes)
    if is_first_day(task.past, task.now):
        laying.notes.extend(first_session_warnings(outline, task.gym.exercises))
    warmed: set[str] = set()
    for block in blocks(task.places, outline.items):
        found = (_item(laying, place, outline, allowed) for place in block)
        works = [work for of in found if of is not None for work in _work(laying, of, warmed)]
        if len(works) > 1:
            laying.notes.append(in_turn_words([work.of.exercise for work in works]))
        lay_in_turn(laying, works)
    return laying


def _item(laying: Laying, place: int, outline: Outline, allowed: Allowance) -> Item | None:
    """One exercise at the station where it is done; None if it is over, or no station is open for it."""
    item = outline.items[place - 1]
    exercise = laying.gym.exercises[item.exercise]
    if place in laying.changed.ended:
        count_done(laying, place, exercise)
        return None
    loads = _station_loads(laying, exercise, outline)
    if loads is None:
        return None
    machine = laying.gym.machine.name
    here = laying.past.told_at(exercise.id, loads.station.name, machine)
    lift = lift_name(exercise.id, loads.station.name, machine)
    sides = (Side.LEFT, Side.RIGHT) if exercise.one_arm else (Side.BOTH,)
    if exercise.needs_stops and 0 in item.rir:
        laying.cautions.append(STOPS_CAUTION.format(exercise=exercise.name))
    return Item(place, item, exercise, loads, lift, evidence(here, now=laying.now), allowed, sides)


def _work(laying: Laying, of: Item, warmed: set[str]) -> Iterator[Work]:
    """The work of one exercise; a light test set is laid instead while nothing is known.

    warmed: the movement patterns that are warmed up by then; an exercise left out altogether warms none.
    """
    exercise = of.exercise
    lately = recent(laying.past.told_at(exercise.id, of.loads.station.name, laying.gym.machine.name), laying.now)
    known = known_here(lately)
    if known:
        work = work_of(laying, of, warm=exercise.pattern not in warmed)
        if work.stays(laying):
            warmed.add(exercise.pattern)
        yield work
        return
    warmed.add(exercise.pattern)
    trial = _trial(laying, of, lately)
    if trial is not None:
        _lay_trial(laying, of, trial)
    else:
        laying.notes.append(
            f"{exercise.name}: the test sets told nothing; log one and say how many reps were left."
        )


def _trial(laying: Laying, of: Item, lately: Sequence[LoggedSet]) -> TrialSet | None:
    """The next light test set of an exercise of which nothing is known; None if there is none."""
    body_mass_kg, sure_kg = laying.lifter.body_mass_kg, _sure_kg(laying, of)
    return next_trial(lately, of.loads, of.exercise, body_mass_kg, now=laying.now, sure_kg=sure_kg)


def _sure_kg(laying: Laying, of: Item) -> float | None:
    """A load that is light by what the lifter's other exercises tell; None for who has done none. [kg]"""
    if not known_here(recent(laying.past, laying.now)):
        return None
    return laying.outlook(of, of.sides[0]).load_for(TRIAL_REPS + TRIAL_RIR, SURE)


def _station_loads(laying: Laying, exercise: Exercise, outline: Outline) -> StationLoads | None:
    """The open station to use: the one this lifter last did the exercise at, else the first that serves it."""
    gym, closed = laying.gym, laying.changed.closed
    body_mass_kg = laying.lifter.body_mass_kg
    problem, instead, broken = f"no station of {gym.machine.name} is made for it", "", ""
    for station in stations_in_turn(gym, exercise.id, laying.past.of(exercise.id)):
        if station.name in closed:
            taken = [item.exercise for item in outline.items]
            broken = problem = f"{station.title} is out of order"
            instead = instead_words(swaps(gym, exercise, taken, closed=closed, body_mass_kg=body_mass_kg))
            continue
        try:
            loads = gym.loads(station, one_arm=exercise.one_arm, body_mass_kg=body_mass_kg)
        except SteelyardError as error:  # a missing body mass, or an empty station over its rating
            problem = str(error)
            continue
        if broken:
            laying.notes.append(f"{exercise.name} is done at {station.title}: {broken}.")
        return loads
    laying.notes.append(f"{exercise.name} is left out: {problem}.{instead}")
    return None


def _lay_trial(laying: Laying, of: Item, trial: TrialSet) -> None:
    """A light test set instead of work sets; the clock allows for the work sets that follow from it."""
    side = of.sides[0]
    wanted = Wanted(TRIAL_REPS, TRIAL_REPS, TRIAL_RIR)
    number = trial.number + laying.spent(of, Role.TEST)
    slot = of.slot(Role.TEST, number, side)
    climbs = trial.climbs and laying.at_station == of.loads.station.name
    wish = trial_wish(of.loads.law, trial.rung.felt_kg, least_kg=trial.least_kg, climbs=climbs)
    draft = Draft(slot, Role.TEST, number, number, side, wanted, TRIAL_REST_S, wish, trial.reason)
    laying.lay(of, as_chosen(laying, of, draft))
    laying.notes.append(f"{of.exercise.name}: the work sets follow from the light test set.")
    laying.clock_s += of.item.sets * (of.item.rest_s + SECONDS_PER_REP * of.item.reps_high)
