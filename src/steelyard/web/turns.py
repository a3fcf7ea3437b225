"""Several lifters in turn on the machine: the sheet of the evening before, and beginning together."""

from __future__ import annotations

from collections.abc import Sequence
from urllib.parse import parse_qsl

from msgspec import Struct, json
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from steelyard.service import Steelyard
from steelyard.training.together import MOST_LIFTERS
from steelyard.web.answers import Unreadable, answer_saved
from steelyard.web.render import page, steelyard_of
from steelyard.web.shown import turn_blocks
from steelyard.web.taps import NOT_JSON, read_body
from steelyard.workshop.sessions import in_turn
from steelyard.workshop.turns_live import in_company, start_together


class Company(Struct, forbid_unknown_fields=True):
    """Who trains in turn, and what; an empty outline stands for the one whose turn it is of each."""

    who: list[str]
    outline: str = ""


async def in_turns(request: Request) -> HTMLResponse:
    """At which minute whose set begins, and the plates before it."""
    steelyard = steelyard_of(request)
    who, outline = request.query_params.getlist("who"), request.query_params.get("outline") or None
    sheet = in_turn(steelyard, who, outline)
    people = {lifter: steelyard.lifter(lifter) for lifter in who}
    others = [other for other in steelyard.lifters() if other.lifter not in people]
    return page(
        request,
        "turns.html",
        sheet=sheet,
        people=people,
        outline=outline or "",
        blocks=tuple(turn_blocks(steelyard.gym, sheet, people)),
        machine=steelyard.gym.machine,
        others=others if len(who) < MOST_LIFTERS else (),
        unanswered=[person for lifter, person in people.items() if steelyard.needs_screening(lifter)],
        going_on=_going_on(steelyard, who),
    )


def _going_on(steelyard: Steelyard, lifters: Sequence[str]) -> str | None:
    """The session of the first, if all of them are in turn already."""
    begun = [steelyard.open_session(lifter) for lifter in lifters]
    first = begun[0]
    return first if first is not None and set(begun) <= set(in_company(steelyard, first)) else None


async def start(request: Request) -> Response:
    """Begin together, or go on together; the same form twice is one beginning."""
    asked = await _company(request)
    sessions = start_together(steelyard_of(request), asked.who, asked.outline or None)
    return answer_saved(request, sessions[0], f"/session/{sessions[0]}")


async def _company(request: Request) -> Company:
    """Raises: Unreadable."""
    body = await read_body(request)
    try:
        if "application/json" in request.headers.get("content-type", ""):
            return json.decode(body, type=Company)
        pairs = parse_qsl(body.decode(), strict_parsing=bool(body), max_num_fields=30)
    except NOT_JSON as problem:
        raise Unreadable(f"the body says not who begins ({problem}); send a form with who and outline") from None
    return Company([value for name, value in pairs if name == "who"], dict(pairs).get("outline", ""))
