"""The first review: last sets, next loads, and sets per muscle, sentences first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from math import exp

from steelyard.journal.events import SetDone
from steelyard.journal.fold import LifterState, LoggedSet, local_day
from steelyard.plates.model import Loading
from steelyard.review.volume import MuscleWeek, muscle_weeks
from steelyard.strength.belief import outlook
from steelyard.strength.outlook import Outlook
from steelyard.training.decide import TELLABLE, Decision, Situation, Wanted, decide
from steelyard.training.gym import Gym, StationLoads
from steelyard.training.handbook import beside_handbooks
from steelyard.training.history import Knowledge, evidence, knowledge, sets_at
from steelyard.training.model import Outline, OutlineItem, Role
from steelyard.training.odd import questions
from steelyard.training.priors import lift_name
from steelyard.training.trial import known_here
from steelyard.units import Unit, show_mass

NINETY_PERCENT = 1.645
"""Half width of a 90 % interval of a normal distribution, in standard deviations."""


@dataclass(frozen=True, slots=True)
class ReviewLine:
    """One exercise at one station.

    last_sets: the work sets of the latest day.
    handbook: what the handbooks' rules say beside it; empty where they say nothing else.
    next_felt_kg, next_loading: the first work set of next time; None without an estimate or an outline.
    one_rm_kg, one_rm_low_kg, one_rm_high_kg: estimated fresh maximum with a 90 % interval; None if not known. [kg]
    """

    exercise: str
    name: str
    station: str
    last_on: date
    last_sets: tuple[SetDone, ...]
    next_felt_kg: float | None
    next_loading: Loading | None
    ladder_kg: tuple[float, ...]
    one_rm_kg: float | None
    one_rm_low_kg: float | None
    one_rm_high_kg: float | None
    sentence: str
    handbook: str = ""


@dataclass(frozen=True, slots=True)
class Review:
    """What a lifter did and what comes next: sentences, a line for each exercise, and the muscles' week."""

    lifter: LifterState
    sentences: tuple[str, ...]
    lines: tuple[ReviewLine, ...]
    muscles: tuple[MuscleWeek, ...]


def review(
    gym: Gym, outlines: Mapping[str, Outline], lifter: LifterState, sets: Sequence[LoggedSet], *, now: datetime
) -> Review:
    """Look back over all sets of a lifter on this machine, in order of time."""
    here = [
        logged
        for logged in sets
        if logged.done.machine == gym.machine.name
        and logged.done.exercise in gym.exercises
        and logged.done.station in gym.machine.stations
    ]
    latest = {
        (logged.done.exercise, logged.done.station): logged for logged in here if logged.done.role == Role.WORK
    }
    ordered = sorted(latest, key=lambda key: (latest[key].at, key), reverse=True)
    items = {item.exercise: item for outline in outlines.values() for item in outline.items}
    known = knowledge(gym.exercises, lifter, sets, (), now=now)
    lines = tuple(_line(gym, items.get(key[0]), lifter, known, here, latest[key], now) for key in ordered)
    muscles = muscle_weeks(gym.exercises, here, now=now)
    asked = tuple(questions(known.odd, gym.exercises, Unit(lifter.unit), now))
    return Review(lifter, (*_sentences(here, lines, muscles, now), *asked), lines, muscles)


def _line(
    gym: Gym,
    item: OutlineItem | None,
    lifter: LifterState,
    known: Knowledge,
    sets: Sequence[LoggedSet],
    latest: LoggedSet,
    now: datetime,
) -> ReviewLine:
    exercise = gym.exercises[latest.done.exercise]
    station = gym.machine.stations[latest.done.station]
    loads = gym.loads(station, one_arm=exercise.one_arm, body_mass_kg=lifter.body_mass_kg)
    past = sets_at(sets, exercise.id, station.name, gym.machine.name)
    promised = None
    if known_here(past):
        promised = outlook(known.rested(now), lift_name(exercise.id, station.name, gym.machine.name))
    decision = None
    if item is not None and promised is not None:
        wanted = Wanted(item.reps_low, item.reps_high, item.rir[0])
        seen = evidence(past, now=now)
        decision = decide(loads, promised, seen, wanted, Situation(), unit=Unit(lifter.unit), now=now)
    day = local_day(latest.at, now)
    last_sets, earlier_sets = _work_of_two_days(past, now)
    low, middle, high = _interval(promised)
    return ReviewLine(
        exercise=exercise.id,
        name=exercise.name,
        station=station.name,
        last_on=day,
        last_sets=last_sets,
        next_felt_kg=decision.rung.felt_kg if decision else None,
        next_loading=decision.rung.loading if decision else None,
        ladder_kg=loads.felt_kg,
        one_rm_kg=middle,
        one_rm_low_kg=low,
        one_rm_high_kg=high,
        sentence=_next_sentence(decision, last_sets, Unit(lifter.unit)),
        handbook=_handbook(item, decision, loads, last_sets, earlier_sets),
    )


def _work_of_two_days(past: Sequence[LoggedSet], now: datetime) -> tuple[tuple[SetDone, ...], tuple[SetDone, ...]]:
    """The work sets of the latest day that had some, and of the one before."""
    days: dict[date, list[SetDone]] = {}
    for logged in past:
        if logged.done.role == Role.WORK:
            days.setdefault(local_day(logged.at, now), []).append(logged.done)
    latest, before = [*(tuple(days[day]) for day in sorted(days, reverse=True)), (), ()][:2]
    return latest, before


def _handbook(
    item: OutlineItem | None,
    decision: Decision | None,
    loads: StationLoads,
    latest: tuple[SetDone, ...],
    before: tuple[SetDone, ...],
) -> str:
    if item is None or decision is None:
        return ""
    next_kg = decision.rung.felt_kg
    above = next((kg for kg in loads.felt_kg if kg > (1 + TELLABLE) * next_kg), None)
    return beside_handbooks(latest, before, item, next_kg, above)


def _interval(promised: Outlook | None) -> tuple[float | None, float | None, float | None]:
    """Low, middle and high of the fresh maximum; 90 % lie between low and high. [kg]"""
    if promised is None:
        return None, None, None
    factor = exp(NINETY_PERCENT * promised.sd_log_max)
    return promised.one_rm_kg / factor, promised.one_rm_kg, promised.one_rm_kg * factor


def _next_sentence(decision: Decision | None, last_sets: tuple[SetDone, ...], unit: Unit) -> str:
    if decision is None:
        return "Nothing can be said of next time yet."
    before_kg, after_kg = last_sets[0].felt_kg, decision.rung.felt_kg
    if abs(after_kg - before_kg) < 0.05:
        return f"Start at the same load again, {show_mass(after_kg, unit)}."
    way = "up" if after_kg > before_kg else "down"
    return f"Start at {show_mass(after_kg, unit)}, {way} from {show_mass(before_kg, unit)}."


def _sentences(
    sets: Sequence[LoggedSet], lines: tuple[ReviewLine, ...], muscles: tuple[MuscleWeek, ...], now: datetime
) -> tuple[str, ...]:
    if not sets:
        return ("Nothing has been logged on this machine yet.",)
    days = {local_day(logged.at, now) for logged in sets}
    recent = sum(1 for day in days if (now.date() - day).days < 28)
    rising = [line for line in lines if line.next_felt_kg and line.next_felt_kg > line.last_sets[0].felt_kg + 0.05]
    said = [f"{len(days)} training days on record, {recent} of them in the last four weeks."]
    if lines:
        said.append(f"{len(rising)} of {len(lines)} exercises start heavier next time.")
    if muscles:
        most = muscles[0]
        said.append(f"Most worked in the last seven days: {most.name}, {most.sets:g} sets ({most.label}).")
    return tuple(said)
