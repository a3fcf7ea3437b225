"""What a lifter may change their mind about, each ready as the event that it would be, and the ways to stop.

What takes long to work out, such as a session that is to end in ten minutes, is worked out when it is asked for.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import dropwhile
from typing import Any

from steelyard.journal.codec import plain_body
from steelyard.journal.events import (
    Body,
    ExerciseEnded,
    ExerciseSwapped,
    LoadChosen,
    SessionEnded,
    SetDone,
    SetSkipped,
    StationClosed,
)
from steelyard.recording import SessionView
from steelyard.service import Steelyard
from steelyard.training.changing import same_muscles
from steelyard.training.gym import Gym
from steelyard.training.model import PreparedSet
from steelyard.training.rules import PAIN_CAUTION, SIGN_CAUTION
from steelyard.training.slots import read_slot
from steelyard.training.together import Turn
from steelyard.units import show_mass
from steelyard.workshop.changing import (
    heavier,
    in_minutes,
    lighter,
    plates_that_may_be_missing,
    put_off,
    swaps_for,
)
from steelyard.workshop.turns_live import in_company, parted

Offer = dict[str, Any]
"""``{"words": …, "kind": …, "version": …, "body": …}``: what is tapped, and the event that it makes."""
MOST_SWAPS = 4


def offer(words: str, body: Body) -> Offer:
    """An event as it is offered."""
    return {"words": words, **plain_body(body)}


def stops(gym: Gym, view: SessionView, one: PreparedSet) -> list[Offer]:
    """The ways to stop at a set, with the caution that follows: its exercise ends, or all that is left."""
    session, place, name = view.session.session, place_of(one), gym.exercises[one.exercise].name
    later = dropwhile(lambda each: each.slot != one.slot, view.prepared.sets)
    sign = offer("One of these signs: stop for today", ExerciseEnded(session, place, "sign"))
    return [
        _pain(f"Something hurts: end {name}", ExerciseEnded(session, place, "pain"), name)
        | {"leave": _alike(gym, session, one.exercise, later)},
        sign | {"why": "sign", "caution": [SIGN_CAUTION]},
    ]


def _pain(words: str, ended: ExerciseEnded, name: str) -> Offer:
    """name: of the exercise."""
    return offer(words, ended) | {"why": "pain", "caution": [PAIN_CAUTION.format(exercise=name)]}


def _alike(gym: Gym, session: str, hurt: str, later: Iterable[PreparedSet]) -> list[Offer]:
    """To leave out what is still to come of other exercises that work the muscles of the one that hurt."""
    places = {place_of(one): gym.exercises[one.exercise] for one in later if one.exercise != hurt}
    known = [gym.exercises[hurt]] if hurt in gym.exercises else []
    alike = ((place, other, same_muscles(known, other)) for place, other in places.items())
    return [
        offer(
            f"Leave out {other.name} too: it works the same muscles ({', '.join(both)})",
            ExerciseEnded(session, place, "enough"),
        )
        for place, other, both in alike
        if both
    ]


def ends(views: Iterable[SessionView]) -> list[Offer]:
    """The end of each session that goes on; whose it is, where there are several, and what to heed after a sign to
    stop."""
    every = list(views)
    return [_end(view, alone=len(every) == 1) for view in every if view.session.ended_at is None]


def _end(view: SessionView, *, alone: bool) -> Offer:
    words = "End the session" if alone else f"End the session of {view.lifter.called}"
    heed = SIGN_CAUTION if view.session.changed.stopped else ""
    return offer(words, SessionEnded(view.session.session)) | {"why": "end", "heed": heed}


def hurt(gym: Gym, view: SessionView, done: SetDone) -> Offer | None:
    """That a set hurt, so that its exercise ends; None for a set of no exercise of the outline."""
    slot = read_slot(done.slot)
    if slot is None:
        return None
    name = gym.exercises[done.exercise].name if done.exercise in gym.exercises else done.exercise
    leave = _alike(gym, done.session, done.exercise, view.prepared.sets)
    return _pain("It hurt", ExerciseEnded(done.session, slot.place, "pain"), name) | {"leave": leave}


def minds(steelyard: Steelyard, views: Mapping[str, SessionView], now: Turn | None) -> list[dict[str, Any]]:
    """What may go otherwise with the set to do now, its exercise and its plates, in groups."""
    if now is None:
        return []
    view = views[now.session]
    groups = (
        ("This set", _this_set(steelyard, view, now.one)),
        ("This exercise", _this_exercise(steelyard, view, now.one)),
        ("A plate is missing", _plates(steelyard, view, now.one)),
    )
    found = [{"title": title, "choices": list(choices)} for title, choices in groups]
    return [group for group in found if group["choices"]]


def parting(steelyard: Steelyard, session: str) -> list[Offer]:
    """What is to be said for a session to go on alone. Raises: UnknownName."""
    return [offer("Go on alone", body) for body in parted(steelyard, session)]


def _this_set(steelyard: Steelyard, view: SessionView, one: PreparedSet) -> Iterator[Offer]:
    session = view.session.session
    more, less = heavier(steelyard, session, one), lighter(steelyard, session, one)
    if more is not None:
        yield _load("Heavier", more, view)
    if less is not None:
        yield _load("Lighter", less, view)
    yield offer("Leave it out", SetSkipped(session, one.slot))


def _load(words: str, chosen: LoadChosen, view: SessionView) -> Offer:
    return offer(f"{words}: {show_mass(chosen.load_kg, view.unit)}", chosen)


def _this_exercise(steelyard: Steelyard, view: SessionView, one: PreparedSet) -> Iterator[Offer]:
    session, place = view.session.session, place_of(one)
    gym = steelyard.gym
    later = put_off(steelyard, session, place, view.prepared.sets)
    if later is not None:
        yield offer("Somebody is at the station: do another first", later)
    for other in swaps_for(steelyard, session, place)[:MOST_SWAPS]:
        yield offer(f"{other.name} instead", ExerciseSwapped(session, place, other.id))
    title = gym.machine.stations[one.station].title
    yield offer(f"{title} is broken", StationClosed(session, one.station))
    yield offer("No more of it today", ExerciseEnded(session, place, "enough"))


def _plates(steelyard: Steelyard, view: SessionView, one: PreparedSet) -> Iterator[Offer]:
    for name, missing in plates_that_may_be_missing(steelyard, view.session.session, one).items():
        yield offer(f"One {name}", missing)


def place_of(one: PreparedSet) -> int:
    """The place of a set's exercise in the outline, from 1."""
    slot = read_slot(one.slot)
    assert slot is not None  # what was prepared has slots of this form
    return slot.place


def wished(steelyard: Steelyard, session: str, minutes: int) -> list[Offer]:
    """The session, and those in turn with it, ended in so many minutes: an event for each.

    Raises: UnknownName; OutOfRange for less than a minute or more than a day.
    """
    sessions = in_company(steelyard, session)
    return [offer(f"{minutes} min left", in_minutes(steelyard, each, minutes)) for each in sessions]
