"""What the events add up to, in whatever order and however often they arrived.

`fold` is pure. It first puts the events in the order (at, id) and drops repetitions, so that nothing after that
can depend on how they came.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from itertools import chain, takewhile

from steelyard.errors import JournalConflict
from steelyard.journal.changed import UNCHANGED, Changed, changes
from steelyard.journal.corrected import corrected
from steelyard.journal.events import (
    BodyMassMeasured,
    Event,
    EventDeleted,
    LifterJoined,
    MachineCalibrated,
    ScaleRead,
    ScreeningAnswered,
    SessionEnded,
    SessionsJoined,
    SessionStarted,
    SetCorrected,
    SetDone,
    SetSkipped,
)
from steelyard.journal.joined import in_turn


@dataclass(frozen=True, slots=True)
class LifterState:
    """A lifter as last described.

    training_months: as it was at joined_at. joined_at: when the details that count were given.
    body_mass_kg, screening: the latest, with their times; None if there is none. [kg]
    """

    lifter: str
    name: str
    unit: str
    training_months: int
    joined_at: datetime
    invented: bool
    body_mass_kg: float | None = None
    body_mass_at: datetime | None = None
    screening: ScreeningAnswered | None = None
    screening_at: datetime | None = None

    @property
    def called(self) -> str:
        """The name without the mark of an invented one, which pages set beside it."""
        return self.name.removesuffix(" (invented)") if self.invented else self.name


@dataclass(frozen=True, slots=True)
class LoggedSet:
    """A set with its corrections applied, and the event it came from."""

    id: str
    at: datetime
    done: SetDone
    origin: str


@dataclass(frozen=True, slots=True)
class SessionState:
    """A session and what was done in it.

    outline:    empty if the start of the session is not known; lifter, machine and started_at are then those of
                its first set.
    ended_at:   the latest end; None while it goes on.
    sets:       those that count, in the order (at, id).
    skipped:    slots left out and not done after all.
    repeats:    further sets for a slot that an earlier set already fills; they do not count.
    order:      places of the outline's exercises in the order chosen; empty for as they stand.
    changed:    what the lifter decided otherwise meanwhile.
    joined:     the sessions it is lived through in turn with, itself included, in the order they were named, also
                those that have ended; empty while the session goes alone.
    """

    session: str
    lifter: str
    outline: str
    machine: str
    started_at: datetime
    ended_at: datetime | None
    sets: tuple[LoggedSet, ...]
    skipped: frozenset[str]
    repeats: tuple[LoggedSet, ...]
    order: tuple[int, ...] = ()
    changed: Changed = UNCHANGED
    joined: tuple[str, ...] = ()

    def is_taken(self, slot: str) -> bool:
        """Whether a slot was done, skipped, or is left out with its exercise or for want of time."""
        if slot in self.skipped or self.changed.leaves_out(slot):
            return True
        return any(logged.done.slot == slot for logged in self.sets)


@dataclass(frozen=True, slots=True)
class LoggedReading:
    """A reading of a scale, and the event it came from."""

    id: str
    at: datetime
    read: ScaleRead
    origin: str


@dataclass(frozen=True, slots=True)
class LoggedCalibration:
    """What was believed of a machine from a moment on, and the event it came from."""

    id: str
    at: datetime
    made: MachineCalibrated
    origin: str


@dataclass(frozen=True, slots=True)
class State:
    """Everything known: lifters by id, sessions by id in the order they began, and sets logged by themselves.

    readings, calibrations: of each machine by name, in the order (at, id).
    joins: the sessions that were joined, by the event that says so.
    by_lifter: the sets of each lifter in the order (at, id), once they were asked for; see `sorted_sets`.
    """

    lifters: Mapping[str, LifterState]
    sessions: Mapping[str, SessionState]
    loose: tuple[LoggedSet, ...]
    readings: Mapping[str, tuple[LoggedReading, ...]] = field(default_factory=dict)
    calibrations: Mapping[str, tuple[LoggedCalibration, ...]] = field(default_factory=dict)
    joins: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    by_lifter: dict[str, tuple[LoggedSet, ...]] = field(default_factory=dict, repr=False, compare=False)

    def sets_of(self, lifter: str) -> tuple[LoggedSet, ...]:
        """All sets of a lifter that count, in sessions or by themselves, in the order (at, id)."""
        return self.sorted_sets().get(lifter, ())

    def sets_since(self, moment: datetime) -> list[LoggedSet]:
        """All sets from a moment on that count, whoever did them, in the order (at, id)."""
        every = self.sorted_sets().values()
        latest = (takewhile(lambda logged: logged.at >= moment, reversed(sets)) for sets in every)
        return sorted(chain.from_iterable(latest), key=in_time)

    def sorted_sets(self) -> Mapping[str, tuple[LoggedSet, ...]]:
        """The sets of each lifter in the order (at, id); sorted once."""
        if not self.by_lifter:
            found: dict[str, list[LoggedSet]] = defaultdict(list)
            for logged in self.sets():
                found[logged.done.lifter].append(logged)
            self.by_lifter.update({lifter: tuple(sorted(sets, key=in_time)) for lifter, sets in found.items()})
        return self.by_lifter

    def sets(self) -> Iterator[LoggedSet]:
        """All sets that count, whoever did them, session by session."""
        for session in self.sessions.values():
            yield from session.sets
        yield from self.loose


def in_time(logged: LoggedSet) -> tuple[datetime, str]:
    """The order of sets: as they were done, and by their ids where that was at the same moment."""
    return logged.at, logged.id


def fold(events: Iterable[Event]) -> State:
    """What the events add up to; any order and repetition of them gives the same.

    Raises: JournalConflict if two different events carry the same id.

    >>> fold([]).loose
    ()
    """
    left = counting(events)
    sets = _corrected_sets(left)
    others = [event for event in left if type(event.body) is not SetDone]  # most are sets, and need no second look
    joins = {event.id: event.body.sessions for event in others if isinstance(event.body, SessionsJoined)}
    return State(
        _lifters(others),
        with_company(_sessions(others, sets), joins.values()),
        tuple(s for s in sets if not s.done.session),
        _readings(others),
        _calibrations(others),
        joins,
    )


def local_day(at: datetime, now: datetime) -> date:
    """The calendar day of a moment where the clock that says now hangs; both have a time zone."""
    return at.astimezone(now.tzinfo).date()


def in_order(events: Iterable[Event]) -> list[Event]:
    """The events in the order (at, id), each once.

    Raises: JournalConflict if two different events carry the same id.
    """
    by_id: dict[str, Event] = {}
    for event in events:
        known = by_id.setdefault(event.id, event)
        if known is not event and known != event:
            raise JournalConflict(
                f"two different events carry the id {event.id}, from {by_id[event.id].origin} and {event.origin}; "
                "an id must belong to one event: log the second one again so that it gets an id of its own"
            )
    return sorted(by_id.values(), key=lambda event: (event.at, event.id))


def counting(events: Iterable[Event]) -> list[Event]:
    """The events that count, in the order (at, id): each once, none that is deleted, and no deletions.

    Raises: as `in_order`.
    """
    return _without_deleted(in_order(events))


def _without_deleted(events: list[Event]) -> list[Event]:
    """The events that count, without the deletions themselves."""
    deleters: dict[str, list[str]] = defaultdict(list)
    for event in events:
        if isinstance(event.body, EventDeleted):
            deleters[event.body.target].append(event.id)
    if not deleters:
        return events
    gone = _deleted(deleters, {event.id: event.body for event in events})
    return [event for event in events if event.id not in gone and not isinstance(event.body, EventDeleted)]


def _deleted(deleters: Mapping[str, list[str]], bodies: Mapping[str, object]) -> set[str]:
    """The ids that are deleted in the end: those with a deletion that is not itself deleted.

    Settles the deletions that nobody deletes first and works inwards from them. Deletions that delete one another
    in a circle, which no honest origin can make, are never settled, and delete nothing.
    """
    gone: set[str] = set()
    open_deleters = {target: len(ids) for target, ids in deleters.items()}
    standing = [id_ for ids in deleters.values() for id_ in ids if id_ not in deleters]
    while standing:
        target = _target(bodies[standing.pop()])
        if target in gone:
            continue
        gone.add(target)
        undone = _target(bodies.get(target))  # what the deletion just deleted would have deleted
        if undone:
            open_deleters[undone] -= 1
            if not open_deleters[undone] and isinstance(bodies.get(undone), EventDeleted):
                standing.append(undone)
    return gone


def _target(body: object) -> str:
    return body.target if isinstance(body, EventDeleted) else ""


def _corrected_sets(events: list[Event]) -> list[LoggedSet]:
    corrections: dict[str, list[SetCorrected]] = defaultdict(list)
    for event in events:
        if isinstance(event.body, SetCorrected):
            corrections[event.body.target].append(event.body)
    sets = []
    for event in events:
        if isinstance(event.body, SetDone):
            done = event.body
            for correction in corrections.get(event.id, ()):
                done = corrected(done, correction)
            sets.append(LoggedSet(event.id, event.at, done, event.origin))
    return sets


def _lifters(events: list[Event]) -> dict[str, LifterState]:
    """Lifters who joined; what was measured of anybody else waits until they do."""
    joined: dict[str, tuple[LifterJoined, datetime]] = {}
    masses: dict[str, tuple[float, datetime]] = {}
    answers: dict[str, tuple[ScreeningAnswered, datetime]] = {}
    for event in events:
        match event.body:
            case LifterJoined(lifter) as details:
                joined[lifter] = (details, event.at)
            case BodyMassMeasured(lifter, body_mass_kg):
                masses[lifter] = (body_mass_kg, event.at)
            case ScreeningAnswered(lifter) as answer:
                answers[lifter] = (answer, event.at)
    nothing = (None, None)
    return {
        lifter: _lifter(*joined[lifter], masses.get(lifter, nothing), answers.get(lifter, nothing))
        for lifter in sorted(joined)
    }


def _lifter(
    details: LifterJoined,
    at: datetime,
    mass: tuple[float, datetime] | tuple[None, None],
    answer: tuple[ScreeningAnswered, datetime] | tuple[None, None],
) -> LifterState:
    return LifterState(
        details.lifter, details.name, details.unit, details.training_months, at, details.invented, *mass, *answer
    )


def _readings(events: list[Event]) -> dict[str, tuple[LoggedReading, ...]]:
    found: dict[str, list[LoggedReading]] = defaultdict(list)
    for event in events:
        if isinstance(event.body, ScaleRead):
            found[event.body.machine].append(LoggedReading(event.id, event.at, event.body, event.origin))
    return {machine: tuple(found[machine]) for machine in sorted(found)}


def _calibrations(events: list[Event]) -> dict[str, tuple[LoggedCalibration, ...]]:
    found: dict[str, list[LoggedCalibration]] = defaultdict(list)
    for event in events:
        if isinstance(event.body, MachineCalibrated):
            found[event.body.machine].append(LoggedCalibration(event.id, event.at, event.body, event.origin))
    return {machine: tuple(found[machine]) for machine in sorted(found)}


def _sessions(events: list[Event], sets: list[LoggedSet]) -> dict[str, SessionState]:
    """The sessions, in the order they began. events: those that are no sets."""
    starts: dict[str, tuple[SessionStarted, datetime]] = {}
    ends: dict[str, datetime] = {}
    skipped: dict[str, set[str]] = defaultdict(set)
    for event in events:
        match event.body:
            case SessionStarted(session) as start:
                starts.setdefault(session, (start, event.at))
            case SessionEnded(session):
                ends[session] = event.at
            case SetSkipped(session, slot):
                skipped[session].add(slot)
    by_session: dict[str, list[LoggedSet]] = defaultdict(list)
    for logged in sets:
        if logged.done.session:
            by_session[logged.done.session].append(logged)
            if logged.done.session not in starts:
                implied = SessionStarted(logged.done.session, logged.done.lifter, "", logged.done.machine)
                starts[logged.done.session] = implied, logged.at
    changed = changes(events)
    sessions = (
        _session(start, at, ends.get(name), by_session[name], skipped[name], changed.get(name, UNCHANGED))
        for name, (start, at) in starts.items()
    )
    return begun(sessions)


def begun(sessions: Iterable[SessionState]) -> dict[str, SessionState]:
    """The sessions by their ids, in the order they began."""
    return {s.session: s for s in sorted(sessions, key=lambda s: (s.started_at, s.session))}


def with_company(sessions: dict[str, SessionState], joins: Iterable[tuple[str, ...]]) -> dict[str, SessionState]:
    """The sessions with those that each is lived through in turn with.

    joins: sessions that were named together, in the order of time.
    """
    company = in_turn(joins, {name: session.lifter for name, session in sessions.items()})
    found = {}
    for name, session in sessions.items():
        joined = company.get(name, ())
        found[name] = session if session.joined == joined else replace(session, joined=joined)
    return found


def _session(
    start: SessionStarted,
    at: datetime,
    ended_at: datetime | None,
    sets: list[LoggedSet],
    skipped: set[str],
    changed: Changed,
) -> SessionState:
    filled: set[str] = set()
    counting: list[LoggedSet] = []
    repeats: list[LoggedSet] = []
    for logged in sets:
        slot = logged.done.slot
        (repeats if slot and slot in filled else counting).append(logged)
        filled.add(slot)
    return SessionState(
        start.session,
        start.lifter,
        start.outline,
        start.machine,
        at,
        ended_at,
        tuple(counting),
        frozenset(skipped - filled),
        tuple(repeats),
        start.order,
        replace(changed, left_out=changed.left_out - filled),
    )
