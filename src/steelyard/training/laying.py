"""A session being laid out, twice: first to learn what its sets ask of the plates, then with the plates chosen.

The first time every set has the load it wants, and notes its wish. Once the plates of the whole session are
chosen, the sets are laid again with what they really get, and find their place on the clock.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime

from steelyard.journal.changed import UNCHANGED, Changed
from steelyard.journal.events import SetDone
from steelyard.journal.fold import LifterState, LoggedSet, SessionState
from steelyard.plates.changeover import Change
from steelyard.plates.loading import felt_kg, lowering_kg
from steelyard.plates.model import Rung
from steelyard.plates.wishes import Wish
from steelyard.strength.belief import Belief, outlook, rested, spent
from steelyard.strength.outlook import Outlook
from steelyard.training.allowance import Allowance
from steelyard.training.decide import TELLABLE, Decision, Wanted
from steelyard.training.gym import Gym, StationLoads
from steelyard.training.history import Evidence, Knowledge
from steelyard.training.model import Exercise, OutlineItem, PreparedSet, Role, Side
from steelyard.training.nearness import nearest_rating
from steelyard.training.past import Past, past_of
from steelyard.training.pauses import Pause
from steelyard.training.rules import SECONDS_PER_REP
from steelyard.training.slots import read_slot
from steelyard.units import Unit


@dataclass(frozen=True, slots=True)
class Draft:
    """A set before its place on the clock and its plates are known; other fields as in `PreparedSet`.

    ramped: it follows a warm-up step of its own exercise, so that plates should only be added.
    advised_kg: what is advised where the lifter chose another load; None where they did not. [kg]
    paired: it goes straight on from a set of the exercise that it alternates with.
    """

    slot: str
    role: Role
    number: int
    of: int
    side: Side
    wanted: Wanted
    rest_s: float
    wish: Wish
    reason: str
    decision: Decision | None = None
    ramped: bool = False
    advised_kg: float | None = None
    paired: bool = False


@dataclass(frozen=True, slots=True)
class Item:
    """One exercise of the outline, at its station. place: its number in the outline, from 1; lift: its name in
    belief."""

    place: int
    item: OutlineItem
    exercise: Exercise
    loads: StationLoads
    lift: str
    evidence: Evidence
    allowed: Allowance
    sides: tuple[Side, ...]

    def slot(self, role: Role, number: int, side: Side) -> str:
        """The name of a set's place in the session, such as ``2.work.1.left``."""
        tail = "" if side is Side.BOTH else f".{side}"
        return f"{self.place}.{role}.{number}{tail}"


@dataclass(frozen=True, slots=True)
class Asked:
    """What the set of a slot asks of the plates. exercise: its name; ramped and paired as in `Draft`."""

    slot: str
    exercise: str
    wish: Wish
    ramped: bool
    paired: bool = False


@dataclass(slots=True)
class Laying:
    """The session so far: where the lifter stands, and the clock.

    past:     all the lifter's sets, today's included, in order of time.
    done:     today's sets by slot; skipped are the slots left out, or spent on what was done there before a swap.
    changed:  what the lifter decided otherwise today. latest: slot of the set before; empty for none.
    changes:  the plates chosen, by slot; None while the wishes are gathered in `asked`.
    pauses:   rests that others' turns make longer than wanted, by slot.
    usual_kg: what sets would have if the lifter had chosen no load, by slot; empty if they did not. [kg]
    belief:   what is believed of the lifter where the laying stands: tired by the sets laid so far.
    worked:   hard sets of each muscle by the exercises laid so far, done ones included, indirect ones by half.
    """

    gym: Gym
    lifter: LifterState
    past: Past
    now: datetime
    done: Mapping[str, LoggedSet]
    skipped: frozenset[str]
    at_station: str | None
    changes: Mapping[str, Change] | None
    belief: Belief
    changed: Changed = UNCHANGED
    pauses: Mapping[str, Pause] = field(default_factory=dict)
    usual_kg: Mapping[str, float] = field(default_factory=dict)
    latest: str = ""
    asked: list[Asked] = field(default_factory=list)
    clock_s: float = 0.0
    worked: dict[str, float] = field(default_factory=dict)
    sets: list[PreparedSet] = field(default_factory=list)
    ladders: dict[str, tuple[float, ...]] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)
    cautions: list[str] = field(default_factory=list)

    @property
    def unit(self) -> Unit:
        """What the lifter reads."""
        return Unit(self.lifter.unit)

    def is_taken(self, slot: str) -> bool:
        """Whether a slot was done or is left out."""
        if slot in self.done or slot in self.skipped or self.changed.leaves_out(slot):
            return True
        read = read_slot(slot)
        return read is not None and read.whole in self.skipped

    def spent(self, of: Item, role: Role) -> int:
        """How many sets of a place were spent on what was done there before a swap."""
        done = ((read_slot(slot), logged.done.exercise) for slot, logged in self.done.items())
        return len(
            {
                slot.whole
                for slot, exercise in done
                if slot and (slot.place, slot.role) == (of.place, role) and exercise != of.exercise.id
            }
        )

    def first_done(self, of: Item, slots: Sequence[str]) -> float | None:
        """What the first of these slots done today is felt as; None if none was, or its plates are gone. [kg]"""
        here = (of.exercise.id, of.loads.station.name)
        done = (self.done[slot].done for slot in slots if slot in self.done)
        known = (self.gym.known_loading(one.loading) for one in done if (one.exercise, one.station) == here)
        return next((felt_kg(of.loads.law, loading) for loading in known if loading is not None), None)

    def chosen(self, of: Item, slot: str) -> Rung | None:
        """The load that the lifter chose for a slot, else the nearest below that can be made; None for none."""
        load_kg = self.changed.loads_kg.get(slot)
        if load_kg is None:
            return None
        ladder = of.loads.ladder
        near = min(ladder, key=lambda rung: (abs(rung.felt_kg - load_kg), rung.felt_kg))
        as_good = abs(near.felt_kg - load_kg) < TELLABLE * load_kg
        return near if as_good else ladder[of.loads.at_most(load_kg)]

    def walk_s(self, of: Item) -> float:
        """How long it takes to be ready at the station of an exercise, plates aside. [s]"""
        station = of.loads.station
        return station.setup_s if self.at_station != station.name else 0.0

    def longer(self, slot: str, rest_s: float) -> Pause | None:
        """The rest before a slot, where others' turns make it longer than wanted; None where they don't. [s]"""
        pause = self.pauses.get(slot)
        return pause if pause is not None and pause.seconds > rest_s else None

    def rest_before(self, slot: str, rest_s: float) -> float:
        """The rest before a slot: the one wanted, or the longer one that others' turns make. [s]"""
        longer = self.longer(slot, rest_s)
        return rest_s if longer is None else longer.seconds

    def given_kg(self, slot: str, wanted_kg: float) -> float:
        """What a slot gets: the load of the plates chosen for it, or what is wanted while none are. [kg]"""
        if self.changes is None or slot not in self.changes:
            return wanted_kg
        return self.changes[slot].felt_kg

    def handling_s(self, slot: str) -> float:
        """How long the plates of a slot take; 0 while none are chosen. [s]"""
        return 0.0 if self.changes is None or slot not in self.changes else self.changes[slot].handling_s

    def rest(self, seconds: float) -> None:
        """The lifter rests. seconds: 0 or more. [s]"""
        self.belief = rested(self.belief, seconds)

    def spend(self, of: Item, felt_kg: float, reps: float, side: Side) -> None:
        """The lifter does so many reps. [reps]"""
        self.belief = spent(self.belief, of.lift, felt_kg, max(0.0, reps), side=side)

    def outlook(self, of: Item, side: Side, *, rest_s: float = 0.0) -> Outlook:
        """What an exercise promises where the laying stands, after a rest. [s]"""
        return outlook(rested(self.belief, rest_s), of.lift, side=side)

    def lay(self, of: Item, draft: Draft) -> None:
        """Put a set in the session, unless its slot is taken."""
        if self.is_taken(draft.slot):
            return
        walk_s, first = self.walk_s(of), self.at_station is None
        self.at_station, self.latest = of.loads.station.name, draft.slot
        if self.changes is None:
            self.asked.append(Asked(draft.slot, of.exercise.name, draft.wish, draft.ramped, draft.paired))
            return
        station, change = of.loads.station, self.changes[draft.slot]
        rest_s = 0.0 if first else draft.rest_s
        starts_s = self.clock_s + max(rest_s, walk_s + change.handling_s)
        lasts_s = SECONDS_PER_REP * (draft.wanted.reps_low + draft.wanted.reps_high) / 2
        one = _prepared(of, draft, change, rest_s=rest_s, starts_s=starts_s, lasts_s=lasts_s)
        nearest = nearest_rating(self.gym.machine, of.loads.law, change.loading)
        self.sets.append(replace(one, nearest=nearest))
        self.ladders[station.name] = of.loads.felt_kg
        self.clock_s = starts_s + lasts_s


def begin(
    gym: Gym,
    lifter: LifterState,
    past: Sequence[LoggedSet],
    *,
    now: datetime,
    today: SessionState | None,
    changes: Mapping[str, Change] | None,
    known: Knowledge,
) -> Laying:
    """A session with nothing laid yet, where today's sets have left the lifter."""
    return Laying(
        gym=gym,
        lifter=lifter,
        past=past_of(past),
        now=now,
        changes=changes,
        belief=known.at(now),
        done={logged.done.slot: logged for logged in today.sets} if today else {},
        skipped=today.skipped.union(_spent(today)) if today else frozenset(),
        changed=today.changed if today else UNCHANGED,
        latest=today.sets[-1].done.slot if today and today.sets else "",
        at_station=today.sets[-1].done.station if today and today.sets else None,
    )


def _spent(today: SessionState) -> Iterator[str]:
    """Sets of swapped places that were spent on other exercises: done, skipped or left out, whatever the sides."""
    changed = today.changed
    done = (logged.done.slot for logged in today.sets if _is_swapped(logged.done, changed))
    for slot in map(read_slot, (*done, *today.skipped, *changed.left_out)):
        if slot is not None and slot.place in changed.exercises:
            yield slot.whole


def _is_swapped(done: SetDone, changed: Changed) -> bool:
    """Whether a set was of another exercise than its place is now."""
    slot = read_slot(done.slot)
    return slot is not None and changed.exercises.get(slot.place, done.exercise) != done.exercise


def _prepared(
    of: Item, draft: Draft, change: Change, *, rest_s: float, starts_s: float, lasts_s: float
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
        loading=change.loading,
        felt_kg=change.felt_kg,
        lowering_kg=lowering_kg(of.loads.law, change.loading),
        moves=change.moves,
        reason=draft.reason,
        runner_up=decision.runner_up if decision else "",
        chance=decision.chance if decision else None,
        fitting_kg=decision.fitting_kg if decision else None,
        starts_s=starts_s,
        lasts_s=lasts_s,
        advised_kg=change.felt_kg if draft.advised_kg is None else draft.advised_kg,
        paired=draft.paired,
    )
