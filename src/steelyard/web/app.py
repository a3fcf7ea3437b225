"""The page as an ASGI application, made for one Steelyard."""

from __future__ import annotations

from pathlib import Path

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from steelyard.errors import SteelyardError
from steelyard.service import Steelyard
from steelyard.web import actions, calibrating, describing, joints, machine_pages, pages, plates_page
from steelyard.web.answers import answer_error, answer_fault
from steelyard.web.guard import Guard
from steelyard.web.render import environment

STATIC = Path(__file__).with_name("static")


def make_app(steelyard: Steelyard, *, demo: bool = False) -> Starlette:
    """The page for one gym.

    demo: say on every page that the people shown are invented.
    """
    app = Starlette(
        routes=routes(),
        middleware=[Middleware(Guard)],
        exception_handlers={SteelyardError: answer_error, HTTPException: answer_error, Exception: answer_fault},
    )
    app.state.steelyard = steelyard
    app.state.templates = environment(demo=demo)
    return app


def routes() -> list[Route | Mount]:
    """Every address: pages are read with GET, and everything that records is a POST."""
    return [
        Route("/", pages.turn),
        Route("/lifter/{lifter}", pages.prepared),
        Route("/lifter/{lifter}/screening", pages.screening),
        Route("/lifter/{lifter}/screening", actions.answer_screening, methods=["POST"]),
        Route("/lifter/{lifter}/start", actions.start, methods=["POST"]),
        Route("/turns", pages.in_turns),
        Route("/session/{session}", pages.session),
        Route("/session/{session}/set", actions.log_set, methods=["POST"]),
        Route("/session/{session}/effort", actions.say_effort, methods=["POST"]),
        Route("/session/{session}/undo", actions.undo, methods=["POST"]),
        Route("/session/{session}/skip", actions.skip, methods=["POST"]),
        Route("/session/{session}/end", actions.end, methods=["POST"]),
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
        Mount("/static", StaticFiles(directory=STATIC), name="static"),
    ]
