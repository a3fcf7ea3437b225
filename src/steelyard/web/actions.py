"""Everything that records: each answers only when the event is on disk.

The handlers are coroutines that call the service directly, so that all requests of a gym pass one thread and the
journal is written by one at a time; a write takes well under a millisecond and a decision a few.
"""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response

from steelyard.errors import OutOfRange
from steelyard.web.answers import answer_saved
from steelyard.web.render import steelyard_of
from steelyard.web.taps import ScreeningTap, StartTap, read_tap
from steelyard.workshop.sessions import asked_order


async def start(request: Request) -> Response:
    """Begin a session; the same event twice is one session."""
    tap = await read_tap(request, StartTap)
    lifter, steelyard = request.path_params["lifter"], steelyard_of(request)
    if steelyard.needs_screening(lifter):
        raise OutOfRange("screening", "not answered", f"answered first, at /lifter/{lifter}/screening")
    order = asked_order(steelyard, tap.outline, tap.order or None)
    session = steelyard.start_session(lifter, tap.outline, order=order, event_id=tap.event)
    return answer_saved(request, session, f"/session/{session}")


async def answer_screening(request: Request) -> Response:
    """Keep the three answers."""
    tap = await read_tap(request, ScreeningTap)
    lifter = request.path_params["lifter"]
    event = steelyard_of(request).answer_screening(lifter, tap.active, tap.disease, tap.symptoms)
    return answer_saved(request, event, f"/lifter/{lifter}")
