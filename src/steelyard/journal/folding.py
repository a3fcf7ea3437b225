"""What the events add up to once some more are known: only what these are about is added up anew.

Nothing that is said of one session changes another, so the state is the very one that `fold` makes of all events.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Collection, Iterable, Mapping
from dataclasses import replace

from steelyard.journal.events import (
    BodyMassMeasured,
    LifterJoined,
    MachineCalibrated,
    ScaleRead,
    ScreeningAnswered,
    SessionsJoined,
    SetDone,
)
from steelyard.journal.fold import LoggedSet, SessionState, State, begun, fold, in_time, with_company
from steelyard.journal.happened import Happened, Subject

HOUSE = (LifterJoined, BodyMassMeasured, ScreeningAnswered, ScaleRead, MachineCalibrated, SessionsJoined)
"""What belongs to no session, sets apart: so few events that they are added up together."""

Anew = Mapping[str, SessionState | None]
"""Sessions as they are now; None for one of which nothing is left."""


def folded_on(before: State, happened: Happened, touched: Collection[Subject]) -> State:
    """The state of all that happened.

    before: the state of what happened earlier. touched: what the events that came since bear on.
    """
    if len(touched) > len(before.sessions):  # then to add up everything is less work
        return fold(happened)
    anew = {name: _session(before, happened, name) for name in touched if isinstance(name, str)}
    house = before if set(HOUSE).isdisjoint(touched) else fold(happened.of(*HOUSE))
    loose = before.loose
    if SetDone in touched:
        loose = _as_known(fold(happened.of(SetDone)).loose, before.loose)
    sessions = _sessions(before, house, anew)
    state = State(house.lifters, sessions, loose, house.readings, house.calibrations, house.joins)
    state.by_lifter.update(_by_lifter(before, state, anew))
    return state


def _session(before: State, happened: Happened, name: str) -> SessionState | None:
    """A session as it is now; nothing but its company depends on other ones."""
    found, known = fold(happened.of(name)).sessions.get(name), before.sessions.get(name)
    if found is None or known is None:
        return found
    return replace(found, sets=_as_known(found.sets, known.sets), joined=known.joined)


def _as_known(sets: Iterable[LoggedSet], known: Iterable[LoggedSet]) -> tuple[LoggedSet, ...]:
    """The sets, those that are as they were as the very same objects, so that what is kept of them is found."""
    by_id = {logged.id: logged for logged in known}
    return tuple(by_id[each.id] if by_id.get(each.id) == each else each for each in sets)


def _sessions(before: State, house: State, anew: Anew) -> Mapping[str, SessionState]:
    """All sessions in the order they began, with their company."""
    sessions = dict(before.sessions)
    for name, session in anew.items():
        sessions.pop(name, None) if session is None else sessions.update({name: session})
    moved = _whose(sessions, anew) != _whose(before.sessions, anew)
    if moved:
        sessions = begun(sessions.values())
    return with_company(sessions, house.joins.values()) if moved or house.joins != before.joins else sessions


def _whose(sessions: Mapping[str, SessionState], names: Iterable[str]) -> list[object]:
    """What order and company depend on, of those sessions that there are."""
    return [(name, sessions[name].started_at, sessions[name].lifter) for name in names if name in sessions]


def _by_lifter(before: State, state: State, anew: Anew) -> dict[str, tuple[LoggedSet, ...]]:
    """The sets of each lifter, sorted in anew where they changed."""
    found = dict(before.sorted_sets())
    were, are = _sets(before, anew), _sets(state, anew)
    if state.loose is not before.loose:
        were, are = [*were, *before.loose], [*are, *state.loose]
    gone, come = _beyond(were, are), _beyond(are, were)
    for lifter in {logged.done.lifter for logged in (*gone, *come)}:
        its = ([logged for logged in sets if logged.done.lifter == lifter] for sets in (gone, come))
        found[lifter] = _renewed(found.get(lifter, ()), *its)
    return found


def _sets(state: State, names: Iterable[str]) -> list[LoggedSet]:
    return [logged for name in names if name in state.sessions for logged in state.sessions[name].sets]


def _beyond(sets: Iterable[LoggedSet], others: Iterable[LoggedSet]) -> list[LoggedSet]:
    """Those that are not among the others, as objects."""
    known = set(map(id, others))
    return [logged for logged in sets if id(logged) not in known]


def _renewed(
    sets: tuple[LoggedSet, ...], gone: Collection[LoggedSet], come: Collection[LoggedSet]
) -> tuple[LoggedSet, ...]:
    """Sets in order of time without some and with others; those before the first that changed stay in place."""
    at = bisect_left(sets, min(map(in_time, (*gone, *come))), key=in_time)
    left = {logged.id for logged in gone}
    rest = [logged for logged in sets[at:] if logged.id not in left]
    return sets[:at] + tuple(sorted([*rest, *come], key=in_time))
