"""Several lifters in turn at the machine: whose set is next as it follows from what was done; starting, parting.

The same functions serve a session that goes alone, which is a turn of one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from steelyard.errors import OutOfRange
from steelyard.journal.events import Body, EventDeleted, SessionsJoined
from steelyard.plates.changeover import within_work
from steelyard.recording import SessionView
from steelyard.service import Steelyard, unknown_session
from steelyard.training.prepare import asked_of
from steelyard.training.together import MOST_LIFTERS, RunSheet, run_sheet, within_a_moment
from steelyard.workshop.sessions import company


def in_company(steelyard: Steelyard, session: str) -> tuple[str, ...]:
    """The sessions lived through in turn with this one, itself and ended ones included. Raises: UnknownName."""
    if session not in steelyard.state.sessions:
        raise unknown_session(session)
    return steelyard.state.sessions[session].joined or (session,)


def joined_view(steelyard: Steelyard, session: str) -> tuple[RunSheet, dict[str, SessionView]]:
    """What is left of a session and of those joined with it, set by set in turn; and each of them as it stands.

    The first turn is the set to do now. What the views hold as prepared has the plates that were chosen for all,
    and the notes on them. A session that has ended has a view, but no turns.

    Raises: UnknownName.
    """
    named = in_company(steelyard, session)
    going_on = [each for each in named if steelyard.state.sessions[each].ended_at is None]
    sheet = RunSheet((), (), 0.0, 0.0, ())
    if going_on:
        tasks = [steelyard.session_task(each) for each in going_on]
        sheet = run_sheet(tasks, steelyard.on_horns(), may_go_on=within_a_moment if tasks[1:] else within_work)
    told = (f"{steelyard.believed.note}.",) if steelyard.believed.note else ()
    prepared = {
        each: replace(one, notes=(*told, *one.notes, *sheet.notes))
        for each, one in zip(going_on, sheet.sessions, strict=True)
    }
    views = {
        each: steelyard.view(each, prepared[each]) if each in prepared else steelyard.session(each)
        for each in named
    }
    return sheet, views


def session_in_turn(steelyard: Steelyard, session: str) -> SessionView:
    """A session as it stands, its plates chosen for all that are joined with it. Raises: UnknownName."""
    return joined_view(steelyard, session)[1][session]


def parted(steelyard: Steelyard, session: str) -> tuple[Body, ...]:
    """What is to be recorded for a session to go on alone; those it leaves stay together. Raises: UnknownName."""
    others = tuple(each for each in in_company(steelyard, session) if each != session)
    joins = [event for event, sessions in steelyard.state.joins.items() if session in sessions]
    left = (SessionsJoined(others),) if len(others) > 1 else ()
    return (*map(EventDeleted, joins), *left)


def start_together(steelyard: Steelyard, lifters: Sequence[str], outline: str | None) -> tuple[str, ...]:
    """Begin sessions of several lifters in turn; returns their ids, in the order of the lifters.

    Whoever is in the middle of a session goes on with it. Asked for once more, nothing more happens.

    outline: of all; if None, of each the one whose turn it is.

    Raises: as `in_turn`; OutOfRange if someone has not answered the screening, or is in the middle of something
    else.
    """
    for lifter in company(lifters):
        steelyard.task(lifter, outline or steelyard.turn_of(lifter))
        if steelyard.needs_screening(lifter):
            way_out = f"answered first, on the page /lifter/{lifter}/screening"
            raise OutOfRange(f"the screening of {steelyard.lifter(lifter).name}", "not answered", way_out)
    begun = [_going_on(steelyard, lifter, outline) for lifter in lifters]
    _check_room(steelyard, [session for session in begun if session is not None], len(lifters))
    sessions = tuple(
        session or _started(steelyard, lifter, outline) for lifter, session in zip(lifters, begun, strict=True)
    )
    if not set(sessions) <= set(in_company(steelyard, sessions[0])):
        steelyard.record(SessionsJoined(sessions))
    return sessions


def _going_on(steelyard: Steelyard, lifter: str, outline: str | None) -> str | None:
    """The session that a lifter is in the middle of; None if there is none that has sets left."""
    begun = steelyard.open_session(lifter)
    if begun is None or not asked_of(steelyard.session_task(begun)):
        return None
    now = steelyard.state.sessions[begun].outline
    if outline not in (None, now):
        way_out = f"{outline}: end that session first, or name {now} or no outline"
        raise OutOfRange(f"the outline {steelyard.lifter(lifter).name} is in the middle of", now, way_out)
    return begun


def _check_room(steelyard: Steelyard, begun: Sequence[str], lifters: int) -> None:
    """Who goes on may bring others along, who have turns too. Raises: OutOfRange if they are too many."""
    state = steelyard.state
    joined = {other for session in begun for other in in_company(steelyard, session)} - set(begun)
    brought = [other for other in joined if state.sessions[other].ended_at is None]
    if lifters + len(brought) > MOST_LIFTERS:
        accepted = f"at most {MOST_LIFTERS}: end a session first"
        raise OutOfRange("lifters in turn, with those joined before,", lifters + len(brought), accepted)


def _started(steelyard: Steelyard, lifter: str, outline: str | None) -> str:
    """A new session; one that has no sets left ends with it."""
    begun = steelyard.open_session(lifter)
    if begun is not None:
        steelyard.end_session(begun)
    return steelyard.start_session(lifter, outline or steelyard.next_outline(lifter))
