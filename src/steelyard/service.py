"""The use cases: what a face may ask for. Takes a home, a journal, a clock and a source of random ids.

Everything a face shows comes from here, and everything it records goes through here; when a recording call
returns, the event is on disk.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta

from steelyard.errors import OutOfRange, UnknownName
from steelyard.journal.events import (
    Body,
    BodyMassMeasured,
    Event,
    EventDeleted,
    LifterJoined,
    ScreeningAnswered,
    SessionEnded,
    SessionStarted,
    new_id,
)
from steelyard.journal.exchange import export_csv, export_ndjson, import_ndjson
from steelyard.journal.fold import LifterState, SessionState, local_day
from steelyard.machine.model import BodyWeight, Station
from steelyard.machine.rating import check_user
from steelyard.plates.model import Loading
from steelyard.recording import SessionView, checked, loose_set
from steelyard.remembered import Remembered
from steelyard.review.report import Review, review
from steelyard.training.gym import StationLoads
from steelyard.training.hanging import left_hanging
from steelyard.training.model import PreparedSession
from steelyard.training.prepare import Task, prepare_task
from steelyard.training.rules import screening_advice
from steelyard.units import Unit

SCREENING_HOLDS = timedelta(days=91)
"""Screening is asked again after three months without a session."""
PLATES_STAY = timedelta(hours=4)
"""What was loaded longer ago than this is taken to have been put away."""
LONG_AGO = datetime.min.replace(tzinfo=UTC)


class Steelyard(Remembered):
    """One gym's software: a home, a journal, a clock and a random source."""

    def lifters(self) -> tuple[LifterState, ...]:
        """Everyone who trains here, by name."""
        return tuple(sorted(self.state.lifters.values(), key=lambda lifter: lifter.name))

    def lifter(self, lifter: str) -> LifterState:
        """One lifter. Raises: UnknownName."""
        if lifter not in self.state.lifters:
            raise UnknownName("lifter", lifter, sorted(self.state.lifters))
        return self.state.lifters[lifter]

    def next_outline(self, lifter: str) -> str:
        """The outline whose turn it is: the one done least recently, in the order of their names."""
        latest = dict.fromkeys(self.home.outlines, LONG_AGO)
        for session in self.state.sessions.values():
            if session.lifter == lifter and session.outline in latest and session.sets:
                latest[session.outline] = max(latest[session.outline], session.started_at)
        return min(latest, key=lambda name: (latest[name], name))

    def open_session(self, lifter: str) -> str | None:
        """The lifter's session of today that was begun and not ended."""
        now = self._clock()
        begun = [
            session
            for session in self.state.sessions.values()
            if session.lifter == lifter
            and session.ended_at is None
            and session.outline in self.home.outlines
            and local_day(session.started_at, now) == now.date()
        ]
        return max(begun, key=lambda session: session.started_at).session if begun else None

    def turn_of(self, lifter: str) -> str:
        """The outline of the session in progress, else the one whose turn it is. Raises: UnknownName."""
        begun = self.open_session(self.lifter(lifter).lifter)
        return self.state.sessions[begun].outline if begun else self.next_outline(lifter)

    def prepare(self, lifter: str, outline: str, *, order: tuple[int, ...] = ()) -> PreparedSession:
        """An outline resolved for today; what remains of it, if it is the session in progress.

        order: places of its exercises in the order wanted, from 1; as they stand if empty.

        Raises: UnknownName; LimitExceeded if the lifter weighs more than the machine is rated for.
        """
        return self._prepared(self.task(lifter, outline, order=order))

    def task(self, lifter: str, outline: str, *, order: tuple[int, ...] = ()) -> Task:
        """Who is to be prepared for what, and what is done of it. Raises: as `prepare`."""
        begun = self.open_session(self.lifter(lifter).lifter)
        today = self.state.sessions[begun] if begun else None
        same = today if today is not None and today.outline == outline else None
        return self._task(self.lifter(lifter), outline, same, order)

    def _task(
        self, lifter: LifterState, outline: str, today: SessionState | None, order: tuple[int, ...] = ()
    ) -> Task:
        if outline not in self.home.outlines:
            raise UnknownName("outline", outline, self.home.outlines)
        if lifter.body_mass_kg is not None:
            check_user(self.gym.machine, lifter.body_mass_kg)
        known = self.believed
        today = known.session_recounted(today and self._in_house(today))
        return Task(
            known.gym,
            self.home.outlines[outline],
            lifter,
            self.past_of(lifter.lifter),
            self._clock(),
            today,
            order,
            learned=self._learned,
        )

    def _prepared(self, task: Task) -> PreparedSession:
        prepared = prepare_task(task, self.on_horns())
        note = self.believed.note
        return replace(prepared, notes=(f"{note}.", *prepared.notes)) if note else prepared

    def on_horns(self) -> Loading:
        """What is on the machine now: what the sets that anyone did on it left there, for some hours."""
        machine, since = self.gym.machine.name, self._clock() - PLATES_STAY
        return left_hanging(self.gym, [one for one in self.state.sets_since(since) if one.done.machine == machine])

    def start_session(
        self, lifter: str, outline: str, *, order: tuple[int, ...] = (), event_id: str | None = None
    ) -> str:
        """Begin a session, its exercises in the order given by their places; returns its id."""
        if outline not in self.home.outlines:
            raise UnknownName("outline", outline, self.home.outlines)
        session = event_id or self._new_id()
        machine = self.gym.machine.name
        self.record(SessionStarted(session, self.lifter(lifter).lifter, outline, machine, order), session)
        return session

    def session(self, session: str) -> SessionView:
        """A session as it stands. Raises: UnknownName."""
        return self.view(session, self._prepared(self.session_task(session)))

    def session_task(self, session: str) -> Task:
        """What is to be prepared of a session, and what is done of it. Raises: UnknownName."""
        known = self._session(session)
        return self._task(self.lifter(known.lifter), known.outline, known)

    def _in_house(self, today: SessionState) -> SessionState:
        """A session that heeds what those who share the machine have found broken or missing."""
        others = (self.state.sessions[each].changed for each in today.joined if each != today.session)
        return replace(today, changed=today.changed.with_house(others))

    def view(self, session: str, prepared: PreparedSession) -> SessionView:
        """A session as it stands, with what remains of it prepared so. Raises: UnknownName."""
        known = self._session(session)
        if known.ended_at is not None:
            prepared = replace(prepared, sets=(), lasts_s=0.0)
        return SessionView(
            session=known,
            lifter=self.lifter(known.lifter),
            prepared=prepared,
            total_sets=len(known.sets) + len(known.skipped) + len(prepared.sets),
            on_horns=self.on_horns(),
            last=known.sets[-1] if known.sets else None,
            now=self._clock(),
        )

    def session_lifter(self, session: str) -> LifterState:
        """Whose session it is. Raises: UnknownName."""
        return self.lifter(self._session(session).lifter)

    def _session(self, session: str) -> SessionState:
        if session not in self.state.sessions:
            raise unknown_session(session)
        return self.state.sessions[session]

    def log_loose(
        self,
        lifter: str,
        exercise: str,
        loading: dict[str, tuple[str, ...]],
        reps: int,
        *,
        rir: int | None = None,
        failed: bool = False,
        station: str | None = None,
        at: datetime | None = None,
    ) -> str:
        """Record a set outside any session, such as one of the two that tell a newcomer's strength.

        Raises: UnknownName; LimitExceeded if the loading breaks a rated limit; OutOfRange.
        """
        done = loose_set(
            self.gym,
            self.lifter(lifter),
            exercise,
            loading,
            reps,
            rir=rir,
            failed=failed,
            station=station,
        )
        return self.record(done, None, at)

    def delete(self, target: str, *, event_id: str | None = None) -> str:
        """Undo: an event is to be read as if it had not happened. Raises: UnknownName."""
        if not self.knows(target):
            raise UnknownName("event", target, ())
        return self.record(EventDeleted(target), event_id)

    def end_session(self, session: str, *, event_id: str | None = None) -> str:
        """The session is over. Raises: UnknownName."""
        return self.record(SessionEnded(self._session(session).session), event_id)

    def add_lifter(self, lifter: str, name: str, unit: Unit, training_months: int) -> str:
        """A lifter joins, or changes name, unit or training age."""
        months = checked(training_months, "months of training", 0, 1000)
        return self.record(LifterJoined(lifter, name, unit, months))

    def record_body_mass(self, lifter: str, body_mass_kg: float) -> str:
        """A lifter's body mass. [kg] Raises: LimitExceeded if the machine is not rated for it."""
        if not 20 <= body_mass_kg <= 400:
            raise OutOfRange("body mass", f"{body_mass_kg:g} kg", "from 20 to 400 kg")
        check_user(self.gym.machine, body_mass_kg)
        return self.record(BodyMassMeasured(self.lifter(lifter).lifter, body_mass_kg))

    def answer_screening(self, lifter: str, active: bool, disease: bool, symptoms: bool) -> str:
        """The three screening questions, answered."""
        return self.record(ScreeningAnswered(self.lifter(lifter).lifter, active, disease, symptoms))

    def needs_screening(self, lifter: str) -> bool:
        """Whether the three questions are to be asked: never answered, or three months without a session since."""
        known = self.lifter(lifter)
        if known.screening is None or known.screening_at is None:
            return True
        latest = max([known.screening_at, *(logged.at for logged in self.state.sets_of(lifter))])
        return self._clock() - latest > SCREENING_HOLDS

    def screening_advice(self, lifter: str) -> str | None:
        """What the answers call for; None if nothing, or if not answered yet."""
        answers = self.lifter(lifter).screening
        if answers is None:
            return None
        return screening_advice(answers.active_last_3_months, answers.known_disease, answers.symptoms)

    def review(self, lifter: str) -> Review:
        """What was done and what comes next."""
        known, sets = self.believed, self.state.sets_of(lifter)
        who, recounted = self.lifter(lifter), self.past_of(lifter)
        looked = review(known.gym, self.home.outlines, who, recounted, now=self._clock())
        return replace(looked, sentences=(*looked.sentences, *known.told(sets)))

    def stations(
        self, lifter: str | None = None, *, one_arm: bool = False, only: str | None = None
    ) -> tuple[StationLoads, ...]:
        """The stations with all their loads.

        lifter: whose body mass counts; without one, stations that need a body mass are left out.
        only:   a single station by name.

        Raises: UnknownName; OutOfRange if the only station asked for needs a body mass.
        """
        machine = self.gym.machine
        if only is not None:
            machine.station(only)
        body_mass_kg = self.lifter(lifter).body_mass_kg if lifter else None
        return tuple(
            self.gym.loads(station, one_arm=one_arm, body_mass_kg=body_mass_kg)
            for station in machine.stations.values()
            if station.name == only
            or (only is None and (body_mass_kg is not None or not needs_body_mass(station)))
        )

    def export_events(self) -> Iterator[str]:
        """Every event, one NDJSON line each."""
        return export_ndjson(self._journal.events())

    def export_sets(self) -> Iterator[str]:
        """Every set as CSV."""
        return export_csv(self.state)

    def import_events(self, lines: Iterable[str | bytes], source: str) -> tuple[int, int]:
        """Bring in an export; returns how many events it holds and how many were new.

        Raises: DamagedJournal naming the line; JournalConflict. Nothing is stored then.
        """
        events = import_ndjson(lines, source)
        return len(events), self._journal.append(events)

    def _new_id(self) -> str:
        return new_id(self._random)

    def record(self, body: Body, event_id: str | None = None, at: datetime | None = None) -> str:
        """Put an event on disk and return its id; the same event_id twice is one event.

        at: when it happened, if not now.
        """
        if event_id is not None and self.knows(event_id):  # asked again because the answer was lost
            return event_id
        return self.keep(Event(event_id or self._new_id(), self._origin, at or self._clock(), body))

    def keep(self, event: Event) -> str:
        """Put an event that was made elsewhere on disk and return its id; again, it is one event.

        Raises: JournalConflict if another event has this id.
        """
        self._journal.append([event])
        return event.id


def unknown_session(session: str) -> UnknownName:
    """What is said of a session that is not known; nobody types one, so that others like it are no help."""
    way_out = "begin one, or go on with one, from the first page"
    return UnknownName("session", session[:32], (), way_out=way_out)


def needs_body_mass(station: Station) -> bool:
    """Whether a station's load depends on who hangs from it."""
    return isinstance(station.drive, BodyWeight)
