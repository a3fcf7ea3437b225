"""From what was done to the event that records it: sets of a prepared session, and sets logged by themselves."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from steelyard.errors import OutOfRange, UnknownName
from steelyard.journal.events import SetDone
from steelyard.journal.fold import LifterState, LoggedSet, SessionState
from steelyard.machine.model import Station
from steelyard.plates.loading import felt_kg
from steelyard.plates.model import Loading, plate_names
from steelyard.training.gym import Gym
from steelyard.training.model import PreparedSession, PreparedSet, Role, Side
from steelyard.training.rules import SECONDS_PER_REP
from steelyard.units import Unit

MOST_REPS = 200
MOST_LEFT = 20


@dataclass(frozen=True, slots=True)
class SessionView:
    """A session as it stands: what was done, what is left, and what is on the horns.

    total_sets: done, skipped and remaining together.
    """

    session: SessionState
    lifter: LifterState
    prepared: PreparedSession
    total_sets: int
    on_horns: Loading
    last: LoggedSet | None
    now: datetime

    @property
    def current(self) -> PreparedSet | None:
        """The next set; None when all is done."""
        return self.prepared.sets[0] if self.prepared.sets else None

    @property
    def unit(self) -> Unit:
        """The unit the lifter reads."""
        return Unit(self.lifter.unit)


def planned_set(
    view: SessionView, slot: str, reps: int, *, rir: int | None, failed: bool, at: datetime
) -> SetDone:
    """A set of the prepared session, done as planned but for the reps.

    at: when it ended.

    Raises: UnknownName if there is no such slot; OutOfRange if it was done already, and for impossible reps.
    """
    planned = left_to_do(view, slot)
    left, ended = ending(rir, failed)
    return SetDone(
        session=view.session.session,
        lifter=view.lifter.lifter,
        machine=view.prepared.machine,
        station=planned.station,
        exercise=planned.exercise,
        slot=slot,
        role=planned.role,
        side=planned.side,
        loading=plate_names(planned.loading),
        felt_kg=planned.felt_kg,
        reps=checked(reps, "reps", 0, MOST_REPS),
        rir=left,
        ended=ended,
        rest_s=rest_s(view, at, reps),
        advised_kg=planned.advised_kg,
    )


def left_to_do(view: SessionView, slot: str) -> PreparedSet:
    """The set of this slot.

    Raises: OutOfRange if it was done or skipped already; UnknownName if there is no such slot.
    """
    for one in view.prepared.sets:
        if one.slot == slot:
            return one
    following = [one.slot for one in view.prepared.sets[:3]]
    if view.session.is_taken(slot):
        left = ", ".join(following) or "none is left"
        raise OutOfRange(
            "set", f"'{slot}', done or skipped already", f"one that is left to do ({left}), or undo it"
        )
    raise UnknownName("set", slot, following)


def loose_set(
    gym: Gym,
    lifter: LifterState,
    exercise: str,
    loading: Mapping[str, tuple[str, ...]],
    reps: int,
    *,
    rir: int | None,
    failed: bool,
    station: str | None,
) -> SetDone:
    """A set outside any session, at the first station that serves the exercise unless one is named.

    Raises: UnknownName; LimitExceeded if the loading breaks a rated limit; OutOfRange for impossible reps.
    """
    if exercise not in gym.exercises:
        raise UnknownName("exercise", exercise, sorted(gym.exercises))
    place = _station(gym, exercise, station)
    loads = gym.loads(place, one_arm=gym.exercises[exercise].one_arm, body_mass_kg=lifter.body_mass_kg)
    stacks = gym.allowed(loads, loading)
    left, ended = ending(rir, failed)
    return SetDone(
        session="",
        lifter=lifter.lifter,
        machine=gym.machine.name,
        station=place.name,
        exercise=exercise,
        slot="",
        role=Role.WORK,
        side=Side.BOTH,
        loading=dict(loading),
        felt_kg=felt_kg(loads.law, stacks),
        reps=checked(reps, "reps", 0, MOST_REPS),
        rir=left,
        ended=ended,
    )


def _station(gym: Gym, exercise: str, named: str | None) -> Station:
    places = {place.name: place for place in gym.stations_for(exercise)}
    if not places or (named is not None and named not in places):
        raise UnknownName(f"station for {exercise}", named or "any", sorted(places))
    return places[named] if named is not None else next(iter(places.values()))


def ending(rir: int | None, failed: bool) -> tuple[int | None, str]:
    """Reps in reserve and how the set ended, as the journal keeps them. Raises: OutOfRange."""
    if failed:
        return 0, "failure"
    if rir is None:
        return None, "unsaid"
    return checked(rir, "reps left", 0, MOST_LEFT), "reported"


def checked(value: int, name: str, least: int, most: int) -> int:
    """The value, if it lies in the range. Raises: OutOfRange."""
    if not least <= value <= most:
        raise OutOfRange(name, value, f"a whole number from {least} to {most}")
    return value


def rest_s(view: SessionView, at: datetime, reps: int) -> float | None:
    """Rest before a set that was logged at its end; None for the first of a session. [s]"""
    if view.last is None:
        return None
    return max(0.0, (at - view.last.at).total_seconds() - SECONDS_PER_REP * reps)
