"""What a lifter's sets say: the belief that decisions rest on, and of one exercise the sets a lifter thinks of."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from itertools import takewhile
from threading import Lock

from steelyard.journal.events import SetDone
from steelyard.journal.fold import LifterState, LoggedSet, local_day
from steelyard.strength.belief import Belief, learn, newcomer, on_day
from steelyard.strength.lifts import Lift
from steelyard.strength.model import Ended, Observation
from steelyard.training.allowance import DAYS_PER_MONTH
from steelyard.training.model import Exercise, Role
from steelyard.training.past import TOLD, past_of, shared_start
from steelyard.training.priors import lift_name, lift_of
from steelyard.training.rules import LIGHT_RIR, SECONDS_PER_REP

SECONDS_PER_DAY = 86400.0
UNTIMED_REST_S = 120.0
"""Rest before a set that was noted by itself, at some time afterwards. [s]"""
ODD = 0.5
"""From this probability on a set is asked about."""
OTHERWISE = 0.01
"""A load nearer to the one advised than this share of it was not chosen against advice."""
ANOTHER_PURPOSE = 0.25
"""A load further from the one advised is mistyped or was meant for something else: no opinion on strength."""
MOST_TRAILS = 12
"""Ways through sets that are kept: of a few lifters, each with a few outlines."""
STOPS_KEPT, STOPS_APART = 48, 32
"""Of the latest sets, as many as a long session has, what was known is kept after every one; before them, of one
in so many: to read an old set differently is rare."""
PLATES_SD = 0.01
"""Relative error of one felt load against another at the same station: plates are seldom weighed (a judgement)."""


@dataclass(frozen=True, slots=True)
class OddSet:
    """A set that is hard to believe. low, high: reps that were likely, 8 chances in 10. [reps]"""

    logged: LoggedSet
    low: int
    high: int


@dataclass(frozen=True, slots=True)
class Knowledge:
    """What is known of a lifter as of the end of their latest set.

    belief: with all lifts they have done or are about to do. odd: sets that are hard to believe, oldest first.
    ended_at: when the latest telling set ended; None before the first.
    """

    belief: Belief
    odd: tuple[OddSet, ...]
    ended_at: datetime | None
    started_at: datetime
    _days: dict[float, Belief] = field(default_factory=dict, init=False, repr=False, compare=False)

    def at(self, now: datetime) -> Belief:
        """The belief now, on the day it is, as the latest set of today has left the lifter; no rest counted."""
        day = _days(self.started_at, now)
        if day not in self._days:
            self._days[day] = on_day(self.belief, day)
        return self._days[day]

    def rested(self, now: datetime) -> Belief:
        """The belief at some time from now on when the lifter is rested again."""
        return on_day(self.belief, _days(self.started_at, now) + 1.0)

    def rest_s(self, now: datetime) -> float:
        """Time since the latest telling set. [s]"""
        return 0.0 if self.ended_at is None else max(0.0, (now - self.ended_at).total_seconds())


@dataclass(frozen=True, slots=True)
class Evidence:
    """What a lifter would name of one exercise at one station.

    last:     the set to name as the reason: today's latest, else the first of the latest day.
    heaviest_kg: heaviest work set of the latest day that had one; None before the first. [kg]
    """

    last: LoggedSet | None
    heaviest_kg: float | None


def sets_at(past: Sequence[LoggedSet], exercise: str, station: str, machine: str) -> tuple[LoggedSet, ...]:
    """The sets of one exercise at one station of one machine, in the order given."""
    place = (exercise, station, machine)
    return tuple(
        logged for logged in past if (logged.done.exercise, logged.done.station, logged.done.machine) == place
    )


@dataclass(frozen=True, slots=True)
class Beginning:
    """What is believed before the first set follows from these alone."""

    lifts: tuple[Lift, ...]
    months: float
    started_at: datetime


@dataclass(frozen=True, slots=True)
class Stop:
    """What is known once so many sets have been gone through.

    before: the latest telling set; None before the first. warmed: a warm-up was done since.
    """

    count: int
    belief: Belief
    odd: tuple[OddSet, ...] = ()
    before: LoggedSet | None = None
    warmed: bool = False


@dataclass(frozen=True, slots=True)
class Trail:
    """A lifter's sets as they were last gone through, and what was known at some of them, by their number."""

    beginning: Beginning
    sets: tuple[LoggedSet, ...]
    stops: Mapping[int, Stop]


class Learned:
    """What sets have told, kept along the way, so that a set more, or one read differently, costs what follows it.

    To go on from a stop is to do the very same sums again, so nothing that is kept changes what is known.
    """

    def __init__(self) -> None:
        self._trails: dict[tuple[str, ...], Trail] = {}
        self._lock = Lock()

    def of(self, lifter: str, beginning: Beginning, sets: tuple[LoggedSet, ...]) -> Stop:
        """What is known of a lifter at the end of these sets, in order of time."""
        key = (lifter, *(lift.name for lift in beginning.lifts))
        with self._lock:
            trail = self._trails.pop(key, None)
        if trail is None or trail.beginning != beginning:
            newcomers = newcomer(beginning.lifts, training_months=beginning.months)
            trail = Trail(beginning, (), {0: Stop(0, newcomers)})
        shared = shared_start(trail.sets, sets)
        stops = {count: stop for count, stop in trail.stops.items() if count <= shared}
        latest = stops[max(stops)]
        for logged in sets[latest.count :]:
            latest = _gone_on(latest, logged, beginning.started_at)
            stops[latest.count] = latest
        kept = {count: stop for count, stop in stops.items() if _is_kept(count, len(sets))}
        for count, stop in kept.items():
            if count < len(sets) - 1:  # nobody prepares from there any more
                stop.belief.forget()
        with self._lock:
            while len(self._trails) >= MOST_TRAILS:
                del self._trails[next(iter(self._trails))]
            self._trails[key] = Trail(beginning, sets, kept)
        return latest


def _is_kept(count: int, of: int) -> bool:
    """Whether to keep the stop after so many sets: the latest ones, some further back, and the beginning."""
    return count > of - STOPS_KEPT or count % STOPS_APART == 0


def _gone_on(stop: Stop, logged: LoggedSet, started_at: datetime) -> Stop:
    """What is known once one more set was gone through."""
    if logged.done.role not in TOLD:
        return replace(stop, count=stop.count + 1, warmed=True)
    rest_s = None if stop.before is None else rest_since(stop.before, logged, noted=not stop.warmed)
    seen = observation(logged, rest_s, started_at)
    lesson = learn(stop.belief, seen)
    odd = stop.odd
    if lesson.odd > ODD:
        odd = (*odd, OddSet(logged, *lesson.before.interval(seen.felt_kg, 0.8)))
    return Stop(stop.count + 1, lesson.belief, odd, logged)


def knowledge(
    exercises: Mapping[str, Exercise],
    lifter: LifterState,
    past: Sequence[LoggedSet],
    wanted: Iterable[Lift],
    *,
    now: datetime,
    learned: Learned | None = None,
) -> Knowledge:
    """What a lifter's sets say.

    past:   all their sets, in order of time. wanted: lifts to believe in even if they were never done.
    learned: what was kept of the last time; it is gone on from.
    """
    past = past_of(past)
    told = {place: sets for place, sets in past.told.items() if place[0] in exercises}
    lifts = {lift.name: lift for lift in wanted}
    for exercise, station, machine in told:
        name = lift_name(exercise, station, machine)
        if name not in lifts:
            lifts[name] = lift_of(exercises[exercise], station, machine, lifter.body_mass_kg)
    started_at = next(iter(told.values()))[0].at if told else now
    months = lifter.training_months + max(0.0, _days(lifter.joined_at, started_at)) / DAYS_PER_MONTH
    beginning = Beginning(tuple(lifts.values()), months, started_at)
    gone = set(past.exercises) - exercises.keys()
    known = past.sets if not gone else tuple(each for each in past if each.done.exercise not in gone)
    last = (learned or Learned()).of(lifter.lifter, beginning, known)
    ended_at = max((sets[-1].at for sets in told.values()), default=None)
    return Knowledge(last.belief, last.odd, ended_at, started_at)


def name_of(done: SetDone) -> str:
    """The lift that a set was done on."""
    return lift_name(done.exercise, done.station, done.machine)


def observation(logged: LoggedSet, rest_s: float | None, started_at: datetime) -> Observation:
    """A logged set as strength sees it. rest_s: since the lifter's telling set before. [s]"""
    done = logged.done
    return Observation(
        lift=name_of(done),
        felt_kg=max(done.felt_kg, 0.001),
        reps=done.reps,
        rir=done.rir,
        ended=_ended(done),
        day=_days(started_at, logged.at),
        rest_s=rest_s,
        side=done.side,
        helped=min(done.helped, done.reps),
        load_sd=PLATES_SD,
        chosen=was_chosen(done),
    )


def was_chosen(done: SetDone) -> bool:
    """Whether the lifter took another load than the one advised.

    A load that somebody chose against advice says what they think of themselves. One that was given says nothing,
    and neither does one of a set that ended without a word: it may have been meant to be light.
    """
    if not done.advised_kg or done.role != Role.WORK or _ended(done) is Ended.UNSAID:
        return False
    return OTHERWISE < abs(done.felt_kg / done.advised_kg - 1) < ANOTHER_PURPOSE


def rest_since(before: LoggedSet, logged: LoggedSet, *, noted: bool) -> float:
    """Rest of a telling set since the telling one before, of whatever exercise. [s]

    noted: what was noted as the rest counts before the clock, as no warm-up lay in between.
    """
    done = logged.done
    if noted and done.rest_s is not None:
        return done.rest_s
    by_clock_s = max(0.0, (logged.at - before.at).total_seconds() - SECONDS_PER_REP * done.reps)
    return by_clock_s if done.session else max(by_clock_s, UNTIMED_REST_S)


def evidence(sets: Sequence[LoggedSet], *, now: datetime) -> Evidence:
    """What a lifter would name of one exercise at one station. sets: of it, in the order they were done."""
    return Evidence(last=_basis(sets, now), heaviest_kg=_heaviest_work(sets, now))


def _days(since: datetime, at: datetime) -> float:
    return (at - since).total_seconds() / SECONDS_PER_DAY


def _ended(done: SetDone) -> Ended:
    """How a set ended; the pad's "5 or more" says no figure, only a least one."""
    return Ended.UNSAID if done.rir is not None and done.rir >= LIGHT_RIR else Ended(done.ended)


def _basis(sets: Sequence[LoggedSet], now: datetime) -> LoggedSet | None:
    """The set a lifter would think of: today's latest, else the first of the latest day."""
    latest = next((logged for logged in reversed(sets) if logged.done.role in (Role.WORK, Role.TEST)), None)
    if latest is None or local_day(latest.at, now) == now.date():
        return latest
    work = [logged for logged in _of_its_day(sets, latest, now) if logged.done.role == Role.WORK]
    return work[-1] if work else latest


def _heaviest_work(sets: Sequence[LoggedSet], now: datetime) -> float | None:
    """The heaviest work set of the latest day that had one. [kg]"""
    latest = next((logged for logged in reversed(sets) if _is_work(logged)), None)
    if latest is None:
        return None
    return max(logged.done.felt_kg for logged in _of_its_day(sets, latest, now) if _is_work(logged))


def _is_work(logged: LoggedSet) -> bool:
    return logged.done.role == Role.WORK and logged.done.reps > 0


def _of_its_day(sets: Sequence[LoggedSet], one: LoggedSet, now: datetime) -> Iterator[LoggedSet]:
    """The sets of the same day as one of them and of later ones, the latest first; none before is looked at."""
    day = local_day(one.at, now)
    return takewhile(lambda logged: local_day(logged.at, now) >= day, reversed(sets))
