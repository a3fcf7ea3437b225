"""What a lifter's sets say: the belief that decisions rest on, and of one exercise the sets a lifter thinks of."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from steelyard.journal.events import SetDone
from steelyard.journal.fold import LifterState, LoggedSet, local_day
from steelyard.strength.belief import Belief, learn, newcomer, on_day
from steelyard.strength.lifts import Lift
from steelyard.strength.model import Ended, Observation
from steelyard.training.allowance import DAYS_PER_MONTH
from steelyard.training.model import Exercise, Role
from steelyard.training.priors import lift_name, lift_of
from steelyard.training.rules import LIGHT_RIR, SECONDS_PER_REP

SECONDS_PER_DAY = 86400.0
TOLD = (Role.WORK, Role.TEST, Role.DROP, Role.REST_PAUSE)
"""Warm-ups stop far from failure; they say nothing of strength."""
UNTIMED_REST_S = 120.0
"""Rest before a set that was noted by itself, at some time afterwards. [s]"""
ODD = 0.5
"""From this probability on a set is asked about."""
OTHERWISE = 0.01
"""A load nearer to the one advised than this share of it was not chosen against advice."""
ANOTHER_PURPOSE = 0.25
"""A load further from the one advised is mistyped or was meant for something else: no opinion on strength."""
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

    def at(self, now: datetime) -> Belief:
        """The belief now, on the day it is, as the latest set of today has left the lifter; no rest counted."""
        return on_day(self.belief, _days(self.started_at, now))

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


def knowledge(
    exercises: Mapping[str, Exercise],
    lifter: LifterState,
    past: Sequence[LoggedSet],
    wanted: Iterable[Lift],
    *,
    now: datetime,
) -> Knowledge:
    """What a lifter's sets say.

    past:   all their sets, in order of time. wanted: lifts to believe in even if they were never done.
    """
    known = [each for each in past if each.done.exercise in exercises]
    telling = [each for each in known if each.done.role in TOLD]
    lifts = {lift.name: lift for lift in wanted}
    for logged in telling:
        name = name_of(logged.done)
        if name not in lifts:
            done = logged.done
            lifts[name] = lift_of(exercises[done.exercise], done.station, done.machine, lifter.body_mass_kg)
    started_at = telling[0].at if telling else now
    months = lifter.training_months + max(0.0, _days(lifter.joined_at, started_at)) / DAYS_PER_MONTH
    belief = newcomer(list(lifts.values()), training_months=months)
    odd = []
    for logged, rest_s in with_rests(known):
        lesson = learn(belief, observation(logged, rest_s, started_at))
        belief = lesson.belief
        if lesson.odd > ODD:
            odd.append(OddSet(logged, *lesson.before.interval(logged.done.felt_kg, 0.8)))
    return Knowledge(belief, tuple(odd), telling[-1].at if telling else None, started_at)


def name_of(done: SetDone) -> str:
    """The lift that a set was done on."""
    return lift_name(done.exercise, done.station, done.machine)


def with_rests(sets: Iterable[LoggedSet]) -> Iterator[tuple[LoggedSet, float | None]]:
    """The telling sets, each with the rest since the telling one before, of whatever exercise; None for the first.

    What was noted as the rest counts before the clock, unless a warm-up lay in between. [s]
    """
    before: LoggedSet | None = None
    warmed = False
    for logged in sets:
        if logged.done.role not in TOLD:
            warmed = True
            continue
        yield logged, None if before is None else _rest_s(before, logged, noted=not warmed)
        before, warmed = logged, False


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


def evidence(sets: Sequence[LoggedSet], *, now: datetime) -> Evidence:
    """What a lifter would name of one exercise at one station. sets: of it, in the order they were done."""
    telling = [logged for logged in sets if logged.done.role in TOLD]
    return Evidence(last=_basis(telling, now), heaviest_kg=_heaviest_work(telling, now))


def _days(since: datetime, at: datetime) -> float:
    return (at - since).total_seconds() / SECONDS_PER_DAY


def _ended(done: SetDone) -> Ended:
    """How a set ended; the pad's "5 or more" says no figure, only a least one."""
    return Ended.UNSAID if done.rir is not None and done.rir >= LIGHT_RIR else Ended(done.ended)


def _rest_s(before: LoggedSet, logged: LoggedSet, *, noted: bool) -> float:
    done = logged.done
    if noted and done.rest_s is not None:
        return done.rest_s
    by_clock_s = max(0.0, (logged.at - before.at).total_seconds() - SECONDS_PER_REP * done.reps)
    return by_clock_s if done.session else max(by_clock_s, UNTIMED_REST_S)


def _basis(sets: Sequence[LoggedSet], now: datetime) -> LoggedSet | None:
    """The set a lifter would think of: today's latest, else the first of the latest day."""
    whole = [logged for logged in sets if logged.done.role in (Role.WORK, Role.TEST)]
    if not whole:
        return None
    day = local_day(whole[-1].at, now)
    if day == now.date():
        return whole[-1]
    work = [logged for logged in whole if local_day(logged.at, now) == day and logged.done.role == Role.WORK]
    return work[0] if work else whole[-1]


def _heaviest_work(sets: Sequence[LoggedSet], now: datetime) -> float | None:
    """The heaviest work set of the latest day that had one. [kg]"""
    work = [logged for logged in sets if logged.done.role == Role.WORK and logged.done.reps > 0]
    if not work:
        return None
    latest = local_day(work[-1].at, now)
    return max(logged.done.felt_kg for logged in work if local_day(logged.at, now) == latest)
