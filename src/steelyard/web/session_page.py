"""At the machine: the page of a session, and how a page and the server tell each other what happened.

A page makes its events itself and keeps them until the server has them. It sends them, as often as it takes; each
is kept once, by its id. Every answer holds the screen and the events that it follows from, so that a page that was
alone, and another device, end up with the same.
"""

from __future__ import annotations

from typing import Any

from msgspec import json
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from steelyard.errors import OutOfRange
from steelyard.journal.codec import plain_event
from steelyard.live.minds import wished
from steelyard.live.receiving import MOST_EVENTS, receive
from steelyard.live.screen import Screen
from steelyard.live.seen import session_events
from steelyard.web.answers import Unreadable
from steelyard.web.engine import engine_urls
from steelyard.web.render import page, steelyard_of
from steelyard.web.screens import screens_of
from steelyard.web.taps import NOT_JSON, read_body
from steelyard.workshop.turns_live import in_company

CLOCK = "Steelyard-Now"
"""The header with the server's time where nothing is new, in seconds since 1970."""
SCRIPTS = ("store.js", "courier.js", "events.js", "ahead.js", "show.js", "pad.js", "sheets.js")
"""What the page's script is made of, fetched beside it and not one after the other."""


def _sessions(request: Request) -> tuple[str, ...]:
    """The session of this address, and those that are lived through in turn with it."""
    return in_company(steelyard_of(request), request.path_params["session"])


def _state(request: Request) -> dict[str, Any]:
    sessions = _sessions(request)
    shown = screens_of(request).screen(sessions)
    events = session_events(steelyard_of(request).events, sessions)  # after: what is newer will be asked for anew
    return {
        "screen": shown,
        "around": screens_of(request).around(sessions),
        "events": [plain_event(event) for event in events],
    }


async def session(request: Request) -> HTMLResponse:
    """The page, with what it shows first inside it."""
    state = _state(request)
    start = state | {"address": request.url.path, "engine": engine_urls()}
    shown = state["screen"]
    return page(
        request, "session.html", start=_inlined(start), screen=shown, drawn=drawings(shown), scripts=SCRIPTS
    )


def drawings(shown: Screen) -> dict[str, str]:
    """The drawings of the set to do now, put together; none where none is left."""
    now: dict[str, list[int]] = shown["cards"][0] if shown["cards"] else {"beam": [], "stack": []}
    return {name: "".join(shown["pieces"][place] for place in now[name]) for name in ("beam", "stack")}


def _inlined(data: object) -> str:
    """JSON that may stand inside a page: nothing in it can end the element that holds it, or look like markup."""
    return json.encode(data).decode().replace("<", "\\u003c")


async def state(request: Request) -> Response:
    """The session as it stands, if the page has not seen it yet; else the time alone."""
    sessions, screens = _sessions(request), screens_of(request)
    shown = screens.screen(sessions)
    known = request.query_params.get("seen"), request.query_params.get("around")
    if known == (shown["seen"], screens.around(sessions)):
        return Response(status_code=204, headers={CLOCK: str(shown["now"])})
    return _answer(_state(request))


async def wish(request: Request) -> Response:
    """What ends the session in so many minutes. Raises: UnknownName; OutOfRange."""
    asked = request.query_params.get("minutes", "")
    if not asked.isdecimal():
        raise OutOfRange("minutes", f"'{asked[:20]}'", "a whole number, such as 10")
    return _answer(wished(steelyard_of(request), request.path_params["session"], int(asked)))


async def events(request: Request) -> Response:
    """What a page did: kept, then answered with what follows from it."""
    _sessions(request)  # an address that is known nowhere is told before anything is kept
    receipt = receive(steelyard_of(request), await _delivered(request))
    refused = [{"id": id_, "why": why} for id_, why in receipt.refused.items()]
    return _answer({"have": receipt.have, "refused": refused, **_state(request)})


async def _delivered(request: Request) -> list[Any]:
    """Raises: Unreadable; OutOfRange."""
    try:
        body = json.decode(await read_body(request))
    except NOT_JSON as problem:
        raise Unreadable(f"the body is not JSON ({problem}); send an object with a list of events") from None
    found = body.get("events") if isinstance(body, dict) else None
    if not isinstance(found, list) or not 1 <= len(found) <= MOST_EVENTS:
        given = f"{len(found)} of them" if isinstance(found, list) else f"{str(found)[:40]}"
        raise OutOfRange("events", given, f"a list of 1 to {MOST_EVENTS} events")
    return found


def _answer(data: object) -> Response:
    return Response(json.encode(data), media_type="application/json")
