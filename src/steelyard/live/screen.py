"""What stands on the screen of a session, as plain data: the set to do now, what follows, and what was just done.

The screen is a pure function of what happened, and the same Python makes it on the server and inside the page. So
two devices that know the same events show the same, and nothing has to be decided in the page's own script.
docs/live-screen.md names every field.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import partial
from typing import Any

from steelyard.journal.events import SetDone
from steelyard.live import wording
from steelyard.live.card import Shared, cards
from steelyard.live.minds import ends, hurt, minds, parting
from steelyard.live.outcomes import outcome
from steelyard.live.seen import fingerprint, session_events
from steelyard.live.undoing import last_undoable
from steelyard.recording import SessionView
from steelyard.service import Steelyard
from steelyard.training.gym import Gym
from steelyard.training.model import Role
from steelyard.training.resting import reps_by_rest
from steelyard.training.rules import SECONDS_PER_REP, STOP_SIGNS
from steelyard.training.slots import read_slot
from steelyard.training.together import Turn
from steelyard.training.trial import TRIAL_RIR
from steelyard.workshop.turns_live import joined_view

Screen = dict[str, Any]
SHAPE = 2
"""Grows whenever fields change what they mean, so that a page leaves a screen alone that it kept before."""


def screen(steelyard: Steelyard, sessions: Sequence[str]) -> Screen:
    """The screen of a session, with all that are lived through in turn with it.

    sessions: their ids; the first one says which others belong to it.

    Raises: UnknownName for a session that is not known.
    """
    sheet, views = joined_view(steelyard, sessions[0])
    events = session_events(steelyard.events, tuple(views))
    names = wording.exercise_names(steelyard.gym.exercises)
    units = {of: view.unit for view in views.values() for of in (view.lifter.lifter, view.session.session)}
    turns, shared = [(views[turn.session], turn) for turn in sheet.turns], Shared()
    shown = list(cards(steelyard.gym, turns, steelyard.on_horns(), shared))
    first = next(iter(views.values()))
    if shown:
        shown[0]["buys"] = _buys(steelyard, sheet.turns[0])
    return {
        "shape": SHAPE,
        "sessions": list(views),
        "seen": fingerprint(events),
        "based": [event.id for event in events],
        "title": first.prepared.outline.title,
        "ended": all(view.session.ended_at is not None for view in views.values()),
        "now": round(first.now.timestamp(), 3),
        "reckoned": round(first.now.timestamp(), 3),
        "lasts_s": round(sheet.lasts_s, 1),
        "position": sum(view.total_sets - len(view.prepared.sets) for view in views.values()) + 1,
        "total": sum(view.total_sets for view in views.values()),
        "rep_s": SECONDS_PER_REP,
        "lifters": {view.lifter.lifter: _lifter(view) for view in views.values()},
        "last": _last(steelyard.gym, views.values(), names),
        "undo": last_undoable(events, names, units, outcome=partial(outcome, steelyard, views)),
        "cards": shown,
        "pieces": shared.pieces.said,
        "stops": shared.stops.said,
        "notes": _notes(list(views.values())),
        "summary": [] if shown else _summary(views.values(), names),
        "stop_signs": list(STOP_SIGNS),
        "ends": ends(views.values()),
        "parting": parting(steelyard, sessions[0]) if len(views) > 1 else [],
        "minds": minds(steelyard, views, next(iter(sheet.turns), None)),
    }


def _buys(steelyard: Steelyard, now: Turn) -> list[tuple[float, float]]:
    """The reps to be expected of the set to do now after each rest. [s], [reps]"""
    task = steelyard.session_task(now.session)
    known = task.known.at(task.now)
    table = reps_by_rest(known, now.one, task.gym.machine.name, longest_s=now.pause_s)
    return [(rest_s, round(reps, 2)) for rest_s, reps in table]


def _lifter(view: SessionView) -> dict[str, Any]:
    """Who it is, and since when they have rested: since now at the latest, whatever a device's clock said."""
    name = view.lifter.called
    rested_from = round(min(view.last.at, view.now).timestamp(), 3) if view.last else None
    return {"name": name, "unit": str(view.unit), "rested_from": rested_from}


def _last(gym: Gym, views: Iterable[SessionView], names: dict[str, str]) -> dict[str, Any] | None:
    """The latest set of all these sessions, and whether how it ended is still to be said."""
    done = [(view.last.at, view.last.id, view, view.last.done) for view in views if view.last]
    if not done:
        return None
    at, id_, view, last = max(done, key=lambda each: each[:2])
    return {
        "id": id_,
        "session": last.session,
        "lifter": last.lifter,
        "slot": last.slot,
        "role": last.role,
        "reps": last.reps,
        "words": wording.done_words(last, view.unit),
        "exercise": names.get(last.exercise, last.exercise),
        "said": wording.effort_words(last),
        "wanted": _left_wanted(view, last),
        "hurt": hurt(gym, view, last),
        "helped": last.helped,
        "note": last.note,
        "ask": last.role != Role.WARM_UP and last.ended == "unsaid",
        "at": round(at.timestamp(), 3),
    }


def _left_wanted(view: SessionView, done: SetDone) -> int:
    """How many reps the outline wanted to be left after a set; none for what follows a last one."""
    slot, items = read_slot(done.slot), view.prepared.outline.items
    if done.role != Role.WORK or slot is None or not 1 <= slot.place <= len(items):
        return TRIAL_RIR if done.role == Role.TEST else 0
    rir = items[slot.place - 1].rir
    return rir[min(max(slot.number, 1), len(rir)) - 1]


def _notes(views: Sequence[SessionView]) -> list[str]:
    """What was changed, each note once; whose it is, where it is not everybody's who goes on."""
    going = [view for view in views if view.session.ended_at is None] or views
    whose: dict[str, list[str]] = {}
    for view in going:
        for note in dict.fromkeys(view.prepared.notes):
            whose.setdefault(note, []).append(view.lifter.called)
    return [
        note if len(names) == len(going) else f"{' and '.join(names)}: {note}" for note, names in whose.items()
    ]


def _summary(views: Iterable[SessionView], names: dict[str, str]) -> list[dict[str, Any]]:
    """What the session came to, of every lifter."""
    return [
        {
            "lifter": view.lifter.lifter,
            "ended": view.session.ended_at is not None,
            "sentences": list(wording.summary(_done(view), names, view.unit)),
            "work_sets": sum(1 for done in _done(view) if done.role == Role.WORK),
            "took_s": round(_took_s(view), 1),
            "left_out": len(view.session.skipped),
        }
        for view in views
    ]


def _done(view: SessionView) -> list[SetDone]:
    return [logged.done for logged in view.session.sets]


def _took_s(view: SessionView) -> float:
    sets = view.session.sets
    return max(0.0, (sets[-1].at - view.session.started_at).total_seconds()) if sets else 0.0
