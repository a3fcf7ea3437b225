"""Events that a page made by itself, checked before they are kept: a page may have been alone for an hour."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import timedelta
from typing import Any

from steelyard.errors import OutOfRange, SteelyardError
from steelyard.journal.codec import event_from_plain
from steelyard.journal.events import Event, EventDeleted, SessionsJoined, SessionStarted, SetCorrected, SetDone
from steelyard.service import Steelyard
from steelyard.training.model import Role
from steelyard.training.slots import read_slot
from steelyard.training.together import MOST_LIFTERS

MOST_EVENTS = 50
"""In one delivery; a page that has more sends them in several."""
MOST_AHEAD = timedelta(days=366)
"""How far an event may be ahead of this clock. A small computer without a network starts with the time at which it
was last switched off, so the page's clock may well be the right one; what it kept must not be lost for that."""


@dataclass(slots=True)
class Receipt:
    """What became of a delivery. have: ids that are on disk now. refused: ids that never will be, and why."""

    have: list[str] = field(default_factory=list)
    refused: dict[str, str] = field(default_factory=dict)


def receive(steelyard: Steelyard, delivered: Iterable[Any]) -> Receipt:
    """Keep the events of sessions that a page delivers; the same event again is kept once.

    They may be of any session that is known: who trained in turn may have parted before a page could deliver.

    delivered: events as plain data, in the order in which they were made. One that is refused keeps nobody back.
    """
    receipt = Receipt()
    for place, plain in enumerate(delivered, start=1):
        name = str(plain.get("id", "")) if isinstance(plain, dict) else ""
        try:
            event = event_from_plain(plain, f"event {place} of the delivery")
            _check(steelyard, event)
            steelyard.keep(event)
            receipt.have.append(event.id)
        except SteelyardError as problem:
            receipt.refused[name] = str(problem)
    return receipt


def _check(steelyard: Steelyard, event: Event) -> None:
    """Raises: OutOfRange for an event that is no session's business, or that can't be; LimitExceeded."""
    if steelyard.knows(event.id):
        return
    _check_time(steelyard, event)
    match event.body:
        case SetCorrected(target) | EventDeleted(target):
            _check_spoken_of(steelyard, event, target)
        case SessionsJoined(sessions):
            _check_joined(steelyard, sessions)
        case SessionStarted():
            raise OutOfRange("the event", "the start of a session", "something done in one that was begun here")
        case body:
            _check_session(steelyard, getattr(body, "session", ""))
            if isinstance(body, SetDone):
                _check_set(steelyard, body)


def _check_time(steelyard: Steelyard, event: Event) -> None:
    latest = steelyard.now() + MOST_AHEAD
    if event.at > latest:
        accepted = f"{latest:%Y-%m-%d} at the latest: set the clocks of both devices, then log it anew"
        raise OutOfRange("the day of the event", f"{event.at:%Y-%m-%d}", accepted)


def _check_session(steelyard: Steelyard, session: str) -> None:
    if session not in steelyard.state.sessions:
        known = "one of a session that is known here"
        raise OutOfRange("the event", f"of session '{session[:32]}'", known)


def _check_spoken_of(steelyard: Steelyard, event: Event, target: str) -> None:
    """What is corrected or taken back happened in a session, and is not its start."""
    spoken_of = steelyard.events.event(target)
    is_start = spoken_of is not None and isinstance(spoken_of.body, SessionStarted)
    about = () if spoken_of is None or is_start else steelyard.events.borne_on(event)
    if steelyard.state.sessions.keys().isdisjoint(about):
        accepted = "one of a session that is known here, delivered before it"
        raise OutOfRange("the event spoken of", f"'{target[:32]}'", accepted)


def _check_joined(steelyard: Steelyard, sessions: tuple[str, ...]) -> None:
    """Those whom one leaves stay together."""
    for session in sessions:
        _check_session(steelyard, session)
    if len(sessions) > MOST_LIFTERS:
        raise OutOfRange("the number of sessions in turn", len(sessions), f"at most {MOST_LIFTERS}")


def _check_set(steelyard: Steelyard, done: SetDone) -> None:
    """A set is the session's own lifter's, on a machine and plates that are here, inside every limit."""
    gym, lifter = steelyard.gym, steelyard.session_lifter(done.session)
    if done.lifter != lifter.lifter:
        raise OutOfRange("lifter of the set", f"'{done.lifter}'", f"{lifter.lifter}, whose session it is")
    if done.helped > done.reps:
        raise OutOfRange("helped reps of the set", done.helped, f"at most its {done.reps} reps")
    _check_slot(steelyard, done)
    if done.machine != gym.machine.name:
        return  # it was done before the machine was described anew; that can't be checked any more
    station = gym.machine.station(done.station)
    exercise = gym.exercises.get(done.exercise)
    one_arm = exercise is not None and exercise.one_arm
    loads = gym.loads(station, one_arm=one_arm, body_mass_kg=lifter.body_mass_kg)
    gym.allowed(loads, done.loading)


def _check_slot(steelyard: Steelyard, done: SetDone) -> None:
    """A set fills a place that its outline has, or none."""
    outline = steelyard.home.outlines.get(steelyard.state.sessions[done.session].outline)
    if not done.slot or outline is None:  # an outline that is gone can't be asked any more
        return
    slot, places = read_slot(done.slot), len(outline.items)
    if slot is None or slot.place > places or slot.number < 1 or slot.role not in set(Role):
        accepted = f"such as '{places}.work.1', with one of the places 1 to {places} of the outline {outline.name}"
        raise OutOfRange("slot of the set", f"'{done.slot[:32]}'", accepted)
