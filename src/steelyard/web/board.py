"""The board: a large second screen for the room or a camera, which follows a session and has nothing to tap."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse

from steelyard.journal.fold import SessionState
from steelyard.live.screen import Screen
from steelyard.service import Steelyard
from steelyard.web.render import page, person, steelyard_of
from steelyard.web.screens import screens_of
from steelyard.web.session_page import drawings
from steelyard.workshop.turns_live import in_company

Going = tuple[SessionState, ...]
"""Sessions that are lived through in turn; mostly one alone."""


def going_on(steelyard: Steelyard) -> list[Going]:
    """What is being trained in the house now, the latest begun first."""
    found = [steelyard.open_session(lifter.lifter) for lifter in steelyard.lifters()]
    named = {in_company(steelyard, session): None for session in found if session}
    sessions = steelyard.state.sessions
    groups = [tuple(sessions[session] for session in group) for group in named]
    return sorted(groups, key=lambda group: max(session.started_at for session in group), reverse=True)


def begun_latest(steelyard: Steelyard) -> str:
    """The session that the board shows by itself; empty while nobody trains."""
    return next((group[0].session for group in going_on(steelyard)), "")


async def board(request: Request) -> HTMLResponse:
    """The session going on, and after it the next; a choice where there are several."""
    steelyard = steelyard_of(request)
    going = going_on(steelyard)
    if len(going) > 1:
        choice = [(group[0].session, _people(steelyard, group)) for group in going]
        return page(request, "boards.html", choice=choice)
    return _board(request, begun_latest(steelyard), follows=True)


async def board_of(request: Request) -> HTMLResponse:
    """One session, and nothing after it."""
    return _board(request, request.path_params["session"], follows=False)


async def latest(request: Request) -> JSONResponse:
    """Which session the board would show by itself."""
    return JSONResponse({"session": begun_latest(steelyard_of(request))}, headers={"Cache-Control": "no-store"})


def _board(request: Request, session: str, *, follows: bool) -> HTMLResponse:
    steelyard = steelyard_of(request)
    shown: Screen | None = None
    if session:
        shown = screens_of(request).screen(in_company(steelyard, session))
    return page(
        request,
        "board.html",
        session=session,
        follows=follows,
        screen=shown,
        drawn=drawings(shown) if shown else {},
        machine=steelyard.gym.machine,
    )


def _people(steelyard: Steelyard, group: Going) -> str:
    """``Tove and Ola, Pull day``."""
    names = " and ".join(person(steelyard.lifter(session.lifter)) for session in group)
    titles = (steelyard.home.outlines[session.outline].title for session in group)
    return f"{names}: {', '.join(dict.fromkeys(titles))}"
