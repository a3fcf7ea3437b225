"""Events that a page made by itself, checked before they are kept: a page may have been alone for an hour."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from steelyard.errors import OutOfRange, SteelyardError
from steelyard.journal.codec import event_from_plain
from steelyard.journal.events import Event, EventDeleted, SessionStarted, SetCorrected, SetDone
from steelyard.live.seen import session_events
from steelyard.service import Steelyard

MOST_EVENTS = 50
"""In one delivery; a page that has more sends them in several."""


@dataclass(slots=True)
class Receipt:
    """What became of a delivery. have: ids that are on disk now. refused: ids that never will be, and why."""

    have: list[str] = field(default_factory=list)
    refused: dict[str, str] = field(default_factory=dict)


def receive(steelyard: Steelyard, sessions: Sequence[str], delivered: Iterable[Any]) -> Receipt:
    """Keep the events of these sessions that a page delivers; the same event again is kept once.

    delivered: events as plain data, in the order in which they were made. One that is refused keeps nobody back.
    """
    receipt = Receipt()
    for place, plain in enumerate(delivered, start=1):
        name = str(plain.get("id", "")) if isinstance(plain, dict) else ""
        try:
            event = event_from_plain(plain, f"event {place} of the delivery")
            _check(steelyard, sessions, event)
            steelyard.keep(event)
            receipt.have.append(event.id)
        except SteelyardError as problem:
            receipt.refused[name] = str(problem)
    return receipt


def _check(steelyard: Steelyard, sessions: Sequence[str], event: Event) -> None:
    """Raises: OutOfRange for an event that is none of these sessions' business; LimitExceeded."""
    if steelyard.knows(event.id):
        return
    body = event.body
    if isinstance(body, SetCorrected | EventDeleted):
        about = {known.id for known in session_events(steelyard.events, sessions)} - set(sessions)
        if body.target not in about:
            raise OutOfRange("the event spoken of", f"'{body.target}'", "one of this session, delivered before it")
        return
    session = getattr(body, "session", "")
    if isinstance(body, SessionStarted) or session not in sessions:
        raise OutOfRange("the event", f"a {type(body).__name__} of '{session[:32]}'", "one made in this session")
    if isinstance(body, SetDone):
        _check_set(steelyard, body)


def _check_set(steelyard: Steelyard, done: SetDone) -> None:
    """A set is the session's own lifter's, on a machine and plates that are here, inside every limit."""
    gym, lifter = steelyard.gym, steelyard.session_lifter(done.session)
    if done.lifter != lifter.lifter:
        raise OutOfRange("lifter of the set", f"'{done.lifter}'", f"{lifter.lifter}, whose session it is")
    if done.machine != gym.machine.name:
        return  # it was done before the machine was described anew; that can't be checked any more
    station = gym.machine.station(done.station)
    exercise = gym.exercises.get(done.exercise)
    one_arm = exercise is not None and exercise.one_arm
    loads = gym.loads(station, one_arm=one_arm, body_mass_kg=lifter.body_mass_kg)
    gym.allowed(loads, done.loading)
