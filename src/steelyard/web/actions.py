"""Everything that records: each answers only when the event is on disk.

The handlers are coroutines that call the service directly, so that all requests of a gym pass one thread and the
journal is written by one at a time; a write takes well under a millisecond and a decision a few.
"""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response

from steelyard.errors import OutOfRange
from steelyard.service import Steelyard
from steelyard.web.answers import AlreadyDone, answer_saved
from steelyard.web.render import steelyard_of
from steelyard.web.taps import EffortTap, EndTap, ScreeningTap, SetTap, SkipTap, StartTap, UndoTap, read_tap
from steelyard.workshop.sessions import asked_order


def _page(request: Request) -> str:
    return f"/session/{request.path_params['session']}"


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


async def log_set(request: Request) -> Response:
    """Record a set."""
    tap = await read_tap(request, SetTap)
    session, steelyard = request.path_params["session"], steelyard_of(request)
    if not steelyard.knows(tap.event):
        _refuse_done(steelyard, session, tap.slot)
    event = steelyard.log_set(
        session, tap.slot, tap.reps, rir=tap.rir, failed=tap.failed, event_id=tap.event, at=tap.at, note=tap.note
    )
    return answer_saved(request, event, _page(request))


def _refuse_done(steelyard: Steelyard, session: str, slot: str) -> None:
    """A slot is done once. Raises: AlreadyDone."""
    state = steelyard.state.sessions.get(session)
    if state is not None and state.is_taken(slot):  # of a session that is not known the service says so
        raise AlreadyDone(slot)


async def say_effort(request: Request) -> Response:
    """Record how many more reps there would have been in a set done before."""
    tap = await read_tap(request, EffortTap)
    failed = tap.left == "failed"
    rir = 0 if failed else int(tap.left)
    event = steelyard_of(request).correct_set(tap.target, rir=rir, failed=failed, event_id=tap.event)
    return answer_saved(request, event, _page(request))


async def undo(request: Request) -> Response:
    """Take a set, or a skip, back."""
    tap = await read_tap(request, UndoTap)
    event = steelyard_of(request).delete(tap.target, event_id=tap.event)
    return answer_saved(request, event, _page(request))


async def skip(request: Request) -> Response:
    """Leave a set out; the page then offers to take that back."""
    tap = await read_tap(request, SkipTap)
    session, steelyard = request.path_params["session"], steelyard_of(request)
    if tap.event is not None and steelyard.knows(tap.event):
        return answer_saved(request, tap.event, _page(request))
    _refuse_done(steelyard, session, tap.slot)
    event = steelyard.skip_set(session, tap.slot, event_id=tap.event)
    return answer_saved(request, event, f"{_page(request)}?skipped={event}")


async def end(request: Request) -> Response:
    """End the session."""
    tap = await read_tap(request, EndTap)
    event = steelyard_of(request).end_session(request.path_params["session"], event_id=tap.event)
    return answer_saved(request, event, _page(request))
