"""A session being laid out: sets get their place on the clock, and the plate moves from the set before."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime

from steelyard.journal.fold import LifterState, LoggedSet, SessionState
from steelyard.plates.loading import felt_kg, lowering_kg
from steelyard.plates.model import Loading, Move
from steelyard.plates.moves import move_seconds, moves
from steelyard.training.allowance import Allowance
from steelyard.training.decide import Decision, Evidence, Wanted
from steelyard.training.gym import Gym, StationLoads
from steelyard.training.model import Exercise, OutlineItem, PreparedSet, Role, Side
from steelyard.training.nearness import nearest_rating
from steelyard.training.rules import SECONDS_PER_REP
from steelyard.units import Unit


@dataclass(frozen=True, slots=True)
class Draft:
    """A set before its place on the clock and its plate moves are known; fields as in `PreparedSet`."""

    slot: str
    role: Role
    number: int
    of: int
    side: Side
    wanted: Wanted
    rest_s: float
    loading: Loading
    reason: str
    decision: Decision | None = None


@dataclass(frozen=True, slots=True)
class Item:
    """One exercise of the outline, at its station. place: its number in the outline, from 1."""

    place: int
    item: OutlineItem
    exercise: Exercise
    loads: StationLoads
    evidence: Evidence
    allowed: Allowance
    sides: tuple[Side, ...]

    def slot(self, role: Role, number: int, side: Side) -> str:
        """The name of a set's place in the session, such as ``2.work.1.left``."""
        tail = "" if side is Side.BOTH else f".{side}"
        return f"{self.place}.{role}.{number}{tail}"


@dataclass(slots=True)
class Laying:
    """The session so far: what is on the horns, where the lifter stands, and the clock.

    past:     all the lifter's sets, today's included, in order of time.
    done:     today's sets by slot; skipped are the slots left out.
    """

    gym: Gym
    lifter: LifterState
    past: Sequence[LoggedSet]
    now: datetime
    on_horns: Loading
    done: Mapping[str, LoggedSet]
    skipped: frozenset[str]
    at_station: str | None
    clock_s: float = 0.0
    sets: list[PreparedSet] = field(default_factory=list)
    ladders: dict[str, tuple[float, ...]] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)
    cautions: list[str] = field(default_factory=list)

    @property
    def unit(self) -> Unit:
        """What the lifter reads."""
        return Unit(self.lifter.unit)

    def is_taken(self, slot: str) -> bool:
        """Whether a slot was done or skipped."""
        return slot in self.done or slot in self.skipped

    def first_done(self, slots: Sequence[str]) -> Loading | None:
        """What the first of these slots done today was done with; None if none was, or with plates gone since."""
        known = (self.gym.known_loading(self.done[slot].done.loading) for slot in slots if slot in self.done)
        return next((loading for loading in known if loading is not None), None)

    def lay(self, of: Item, draft: Draft) -> None:
        """Put a set in the session, unless its slot is taken."""
        if self.is_taken(draft.slot):
            return
        station = of.loads.station
        change = moves(self.on_horns, draft.loading, self.gym.machine.horns)
        walk_s = station.setup_s if self.at_station != station.name else 0.0
        rest_s = draft.rest_s if self.at_station is not None else 0.0
        starts_s = self.clock_s + max(rest_s, walk_s + move_seconds(change))
        lasts_s = SECONDS_PER_REP * (draft.wanted.reps_low + draft.wanted.reps_high) / 2
        one = _prepared(of, draft, change=change, rest_s=rest_s, starts_s=starts_s, lasts_s=lasts_s)
        nearest = nearest_rating(self.gym.machine, of.loads.law, draft.loading)
        self.sets.append(replace(one, nearest=nearest))
        self.ladders[station.name] = of.loads.felt_kg
        self.on_horns, self.at_station = draft.loading, station.name
        self.clock_s = starts_s + lasts_s


def begin(
    gym: Gym,
    lifter: LifterState,
    past: Sequence[LoggedSet],
    *,
    now: datetime,
    today: SessionState | None,
    on_horns: Loading,
) -> Laying:
    """A session with nothing laid yet, where today's sets have left the lifter."""
    return Laying(
        gym=gym,
        lifter=lifter,
        past=past,
        now=now,
        on_horns=on_horns,
        done={logged.done.slot: logged for logged in today.sets} if today else {},
        skipped=today.skipped if today else frozenset(),
        at_station=today.sets[-1].done.station if today and today.sets else None,
    )


def _prepared(
    of: Item, draft: Draft, *, change: tuple[Move, ...], rest_s: float, starts_s: float, lasts_s: float
) -> PreparedSet:
    decision = draft.decision
    return PreparedSet(
        slot=draft.slot,
        exercise=of.exercise.id,
        station=of.loads.station.name,
        role=draft.role,
        number=draft.number,
        of=draft.of,
        side=draft.side,
        reps_low=draft.wanted.reps_low,
        reps_high=draft.wanted.reps_high,
        rir=draft.wanted.rir,
        rest_s=rest_s,
        loading=draft.loading,
        felt_kg=felt_kg(of.loads.law, draft.loading),
        lowering_kg=lowering_kg(of.loads.law, draft.loading),
        moves=change,
        reason=draft.reason,
        runner_up=decision.runner_up if decision else "",
        chance=decision.chance if decision else None,
        fitting_kg=decision.fitting_kg if decision else None,
        starts_s=starts_s,
        lasts_s=lasts_s,
    )
