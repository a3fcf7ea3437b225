"""The page as an ASGI application, made for one Steelyard."""

from __future__ import annotations

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.middleware.gzip import GZipMiddleware
from starlette.routing import Route

from steelyard.errors import SteelyardError
from steelyard.service import Steelyard
from steelyard.web import (
    actions,
    board,
    calibrating,
    describing,
    engine,
    joints,
    machine_pages,
    pages,
    phone,
    plates_page,
    session_page,
    turns,
)
from steelyard.web.addresses import Listening
from steelyard.web.answers import answer_error, answer_fault
from steelyard.web.guard import Guard
from steelyard.web.render import environment
from steelyard.web.screens import Screens
from steelyard.web.static_files import service_worker, static_file

WORTH_PACKING = 1000
"""Answers shorter than this go as they are. [bytes]"""


def make_app(steelyard: Steelyard, *, demo: bool = False, where: Listening | None = None) -> Starlette:
    """The page for one gym.

    demo:  say on every page that the people shown are invented.
    where: what it listens to, so that it answers to its own names alone; None where nobody can reach it otherwise.
    """
    app = Starlette(
        routes=routes(),
        middleware=[Middleware(Guard, where), Middleware(GZipMiddleware, minimum_size=WORTH_PACKING)],
        exception_handlers={SteelyardError: answer_error, HTTPException: answer_error, Exception: answer_fault},
    )
    app.state.steelyard = steelyard
    app.state.screens = Screens(steelyard)
    app.state.templates = environment(demo=demo)
    app.state.where = where
    return app


def routes() -> list[Route]:
    """Every address: pages are read with GET, and everything that records is a POST."""
    return [
        Route("/", pages.turn),
        Route("/lifter/{lifter}", pages.prepared),
        Route("/lifter/{lifter}/screening", pages.screening),
        Route("/lifter/{lifter}/screening", actions.answer_screening, methods=["POST"]),
        Route("/lifter/{lifter}/start", actions.start, methods=["POST"]),
        Route("/turns", turns.in_turns),
        Route("/turns/start", turns.start, methods=["POST"]),
        Route("/session/{session}", session_page.session),
        Route("/session/{session}/state", session_page.state),
        Route("/session/{session}/events", session_page.events, methods=["POST"]),
        Route("/session/{session}/wish", session_page.wish),
        Route("/session/{session}/engine", engine.opened),
        Route("/engine/{version}/{file}", engine.file),
        Route("/board", board.board),
        Route("/board/latest", board.latest),
        Route("/board/{session}", board.board_of),
        Route("/review/{lifter}", pages.review),
        Route("/machine", machine_pages.machine),
        Route("/machine/describe", describing.describe),
        Route("/machine/describe", describing.change, methods=["POST"]),
        Route("/machine/describe/start", describing.start),
        Route("/machine/describe/take", describing.take, methods=["POST"]),
        Route("/machine/describe/drawing", describing.drawing, methods=["POST"]),
        Route("/machine/describe/save", describing.save, methods=["POST"]),
        Route("/machine/describe/saved", describing.saved),
        Route("/machine/calibrate", calibrating.calibrate),
        Route("/machine/calibrate/reading", calibrating.read, methods=["POST"]),
        Route("/machine/calibrate/check", calibrating.check, methods=["POST"]),
        Route("/machine/calibrate/undo", calibrating.undo, methods=["POST"]),
        Route("/machine/calibrate/keep", calibrating.believe, methods=["POST"]),
        Route("/station/{station}", machine_pages.station),
        Route("/station/{station}/joints", joints.joints),
        Route("/plates", plates_page.plates),
        Route("/cautions", pages.cautions),
        Route(phone.PAGE, phone.phone),
        Route(phone.AUTHORITY, phone.authority),
        Route("/sw.js", service_worker),
        Route("/static/{version}/{name:path}", static_file),
    ]
