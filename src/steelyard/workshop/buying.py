"""What to buy for the stations somebody uses, as they use them."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta

from steelyard.errors import LimitExceeded
from steelyard.journal.fold import LoggedSet
from steelyard.plates.advice import Told, finer_told, further_told, shift_told
from steelyard.plates.buying import Use, what_to_buy
from steelyard.plates.shifting import shift
from steelyard.plates.steps import FINE_PERCENT, Span
from steelyard.service import Steelyard, needs_body_mass
from steelyard.training.gym import Gym
from steelyard.training.model import Role
from steelyard.units import Unit

LATELY = timedelta(weeks=13)
"""Loads used longer ago, before the last set at a station, say little of what is lifted there now (a choice)."""


@dataclass(frozen=True, slots=True)
class Shopping:
    """What to buy, in sentences.

    stations: those looked at, by title.
    moved:    what plates on another horn do already, with nothing to buy.
    """

    stations: tuple[str, ...]
    finer: Told
    further: Told
    moved: tuple[str, ...]


def shopping(
    steelyard: Steelyard,
    *,
    lifter: str | None = None,
    stations: Sequence[str] = (),
    units: Sequence[Unit] = tuple(Unit),
    shown: Unit = Unit.KG,
) -> Shopping:
    """Which plates to buy.

    lifter:   whose sets tell the stations and loads that matter; without one, all stations on arms and the upper
              part of their ladders.
    stations: only these, by name.
    units:    what the plates may be cast in; shown is what the sentences are in.

    Raises: UnknownName; OutOfRange if a station needs a body mass that is not known.
    """
    uses = tuple(uses_of(steelyard, lifter, stations))
    return shopping_at(steelyard.gym, uses, units=units, shown=shown)


def shopping_at(
    gym: Gym, uses: Sequence[Use], *, units: Sequence[Unit] = tuple(Unit), shown: Unit = Unit.KG
) -> Shopping:
    """Which plates to buy for these uses of the machine; takes seconds where it has horns along the plane."""
    machine, inventory = gym.machine, gym.inventory
    advice = what_to_buy(machine, uses, inventory, units)
    found = [shift(machine, each.use.law, inventory, each.working_kg) for each in advice.now if each.working_kg]
    return Shopping(
        tuple(use.law.station.title for use in uses),
        finer_told(advice, shown),
        further_told(advice, shown),
        tuple(shift_told(each, shown) for each in found if each and each.alone.largest.percent > FINE_PERCENT),
    )


Place = tuple[str, bool]
"""A station, and whether one of a pair of arms is used there."""


def uses_of(steelyard: Steelyard, lifter: str | None, stations: Sequence[str] = ()) -> Iterator[Use]:
    """The stations to look at, with the loads used there; those whose empty arm breaks a limit are left out."""
    gym = steelyard.gym
    for name in stations:
        gym.machine.station(name)
    body_mass_kg = steelyard.lifter(lifter).body_mass_kg if lifter else None
    done = _done_at(steelyard, lifter) if lifter else {}
    for name, one_arm in _places(steelyard, done, lifter, stations):
        station = gym.machine.stations[name]
        try:
            law = gym.loads(station, one_arm=one_arm, body_mass_kg=body_mass_kg).law
        except LimitExceeded:
            continue
        yield Use(law, _span(done.get((name, one_arm), ())))


def _places(
    steelyard: Steelyard, done: Mapping[Place, object], lifter: str | None, stations: Sequence[str]
) -> Iterator[Place]:
    """Where somebody trains: the stations named, else those trained at, else of the outlines, else of the arms."""
    machine = steelyard.gym.machine
    wanted: Collection[str] = stations or {name for name, _ in done}
    if not wanted and lifter:
        items = [item for outline in steelyard.home.outlines.values() for item in outline.items]
        served = (steelyard.gym.stations_for(item.exercise)[:1] for item in items)
        wanted = {station.name for first in served for station in first if not needs_body_mass(station)}
    for name, station in machine.stations.items():
        if name in wanted or (not wanted and station.arm is not None):
            known = [one_arm for one_arm in (False, True) if (name, one_arm) in done]
            yield from ((name, one_arm) for one_arm in known or [False])


def _done_at(steelyard: Steelyard, lifter: str) -> dict[Place, list[LoggedSet]]:
    """A lifter's work sets on this machine by place, in the order they were done."""
    gym = steelyard.gym
    found: dict[Place, list[LoggedSet]] = {}
    for logged in steelyard.state.sets_of(lifter):
        done = logged.done
        station = gym.machine.stations.get(done.station)
        if done.machine == gym.machine.name and station is not None and done.role not in (Role.WARM_UP, Role.TEST):
            paired = station.arm is not None and gym.machine.arms[station.arm].paired
            exercise = gym.exercises.get(done.exercise)
            one_arm = paired and exercise is not None and exercise.one_arm
            found.setdefault((station.name, one_arm), []).append(logged)
    return found


def _span(sets: Sequence[LoggedSet]) -> Span | None:
    """The lightest and the heaviest load of late; None if none was above nothing. [kg]"""
    late = [each.done.felt_kg for each in sets if sets[-1].at - each.at <= LATELY and each.done.felt_kg > 0]
    return (min(late), max(late)) if late else None
