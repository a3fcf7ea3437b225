"""What a lifter's sets say of one exercise at one station: the evidence that decisions rest on."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, datetime
from itertools import groupby

from steelyard.journal.events import SetDone
from steelyard.journal.fold import LoggedSet, local_day
from steelyard.strength.fatigue import Fatigue
from steelyard.strength.model import Ended, Observation
from steelyard.strength.session import estimate_sessions, fatigue_after
from steelyard.training.decide import Evidence
from steelyard.training.model import Role, Side
from steelyard.training.rules import LIGHT_RIR, SECONDS_PER_REP

SECONDS_PER_DAY = 86400.0
TOLD = (Role.WORK, Role.TEST, Role.DROP, Role.REST_PAUSE)
"""Warm-ups stop far from failure; they say nothing of strength."""


def sets_at(past: Sequence[LoggedSet], exercise: str, station: str, machine: str) -> tuple[LoggedSet, ...]:
    """The sets of one exercise at one station of one machine, in the order given."""
    place = (exercise, station, machine)
    return tuple(
        logged for logged in past if (logged.done.exercise, logged.done.station, logged.done.machine) == place
    )


def evidence(sets: Sequence[LoggedSet], *, now: datetime) -> Evidence:
    """What sets of one exercise at one station say today, in the order they were done."""
    telling = [logged for logged in sets if logged.done.role in TOLD]
    chains = [(chain, _observations(chain, now)) for chain in _chains(telling, now)]
    known = estimate_sessions([seen for _, seen in chains])
    today = [(chain, seen) for chain, seen in chains if local_day(chain[0].at, now) == now.date()]
    left = [Fatigue()]
    if known is not None and _both_begun(chain for chain, _ in today):
        left = [fatigue_after(seen, known.one_rm_kg) for _, seen in today] or left
    return Evidence(
        estimate=known,
        last=_basis(telling, now),
        heaviest_kg=_heaviest_work(telling, now),
        fatigue=max(left, key=lambda each: each.capacity),
    )


def _chains(sets: Sequence[LoggedSet], now: datetime) -> list[list[LoggedSet]]:
    """The sets by day and by arm: each arm tires by itself."""

    def key(logged: LoggedSet) -> tuple[date, str]:
        return local_day(logged.at, now), logged.done.side

    return [list(chain) for _, chain in groupby(sorted(sets, key=key), key=key)]


def _both_begun(chains: Iterable[Sequence[LoggedSet]]) -> bool:
    """Whether no arm is still fresh: an arm that has not begun today has no chain."""
    sides = {chain[0].done.side for chain in chains}
    return sides not in ({Side.LEFT}, {Side.RIGHT})


def _observations(chain: Sequence[LoggedSet], now: datetime) -> tuple[Observation, ...]:
    found = []
    before: LoggedSet | None = None
    for logged in chain:
        done = logged.done
        found.append(
            Observation(
                felt_kg=done.felt_kg,
                reps=done.reps,
                rir=done.rir,
                ended=_ended(done),
                days_ago=max(0.0, (now - logged.at).total_seconds() / SECONDS_PER_DAY),
                rest_s=None if before is None else _rest_s(before, logged),
            )
        )
        before = logged
    return tuple(found)


def _ended(done: SetDone) -> Ended:
    """How a set ended; the pad's "5 or more" says no figure, only a least one."""
    return Ended.UNSAID if done.rir is not None and done.rir >= LIGHT_RIR else Ended(done.ended)


def _rest_s(before: LoggedSet, logged: LoggedSet) -> float:
    """Rest between two sets of one arm: as recorded, unless the other arm worked in between."""
    if logged.done.rest_s is not None and logged.done.side == Side.BOTH:
        return logged.done.rest_s
    return max(0.0, (logged.at - before.at).total_seconds() - SECONDS_PER_REP * logged.done.reps)


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
