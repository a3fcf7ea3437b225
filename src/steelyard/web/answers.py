"""Answers that are not pages: errors in one shape, and what a program gets back for a tap."""

from __future__ import annotations

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, RedirectResponse, Response

from steelyard.errors import JournalConflict, SteelyardError, UnknownName


class Unreadable(SteelyardError, ValueError):
    """A body that is neither a form nor JSON."""


def status_of(problem: Exception) -> int:
    """The HTTP status that fits a problem."""
    if isinstance(problem, HTTPException):
        return problem.status_code
    if isinstance(problem, Unreadable):
        return 400
    if isinstance(problem, UnknownName):
        return 404
    return 409 if isinstance(problem, JournalConflict) else 422


def wants_json(request: Request) -> bool:
    """Whether a program asks, and not a person's browser."""
    kinds = request.headers.get("accept", ""), request.headers.get("content-type", "")
    return any("application/json" in kind for kind in kinds)


async def answer_error(request: Request, problem: Exception) -> Response:
    """A problem that was foreseen, in its own words."""
    words = problem.detail if isinstance(problem, HTTPException) else str(problem)
    if isinstance(problem, HTTPException) and problem.status_code == 404:
        words = f"there is no page {request.url.path[:80]}; start again from the first page"
    return answer_problem(request, status_of(problem), words)


async def answer_fault(request: Request, problem: Exception) -> Response:
    """A fault of ours: the traceback goes to the server's log, never to the page."""
    words = f"something went wrong inside Steelyard ({type(problem).__name__}); what was saved before is safe"
    return answer_problem(request, 500, words)


def answer_problem(request: Request, status: int, words: str) -> Response:
    """A problem as JSON ``{"error": {"message": …}}``, or as a plain page with a way back."""
    if wants_json(request):
        return JSONResponse({"error": {"message": words}}, status)
    back = _way_back(request)
    page = request.app.state.templates.get_template("problem.html") if "app" in request.scope else None
    return HTMLResponse(page.render(words=words, back=back) if page else words, status)


def answer_stranger(request: Request, words: str) -> Response:
    """What a page that was asked for by a name of nobody here gets: no link, no script, nothing of the home."""
    if wants_json(request):
        return JSONResponse({"error": {"message": words}}, 421)
    return HTMLResponse(request.app.state.templates.get_template("stranger.html").render(words=words), 421)


def _way_back(request: Request) -> str:
    """The page that a failed tap or question came from, as far as it can be told, else the first page."""
    _, room, *inside = request.url.path.split("/")
    if len(inside) > 1 and room in ("session", "lifter", "machine"):
        return f"/{room}/{inside[0]}"
    return "/machine" if inside and room in ("machine", "station") else "/"


def answer_saved(request: Request, event: str, page: str) -> Response:
    """What was recorded is on disk: a program gets its id, a browser the page to go on with."""
    if wants_json(request):
        return JSONResponse({"saved": event, "page": page})
    return RedirectResponse(page, 303)
