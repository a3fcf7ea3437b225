"""The pages that are read."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import HTMLResponse

from steelyard.drawing.beam import Beam, draw_beam
from steelyard.drawing.spans import Bar, draw_spans
from steelyard.journal.fold import LifterState
from steelyard.live import wording
from steelyard.review.report import ReviewLine
from steelyard.service import Steelyard
from steelyard.training.rules import CAUTIONS, STOP_SIGNS
from steelyard.units import Unit
from steelyard.web.render import page, steelyard_of
from steelyard.web.shown import blocks
from steelyard.workshop.sessions import asked_order, other_orders
from steelyard.workshop.sureness import sureness

USUAL_SETS = (10.0, 20.0)
"""Weekly sets per muscle in usual practice: at least 10 (IUSCA position stand, Schoenfeld 2021, doi
10.47206/ijsc.v1i1.81, read in a digest), and 12 to 20 found enough in trained men (Baz-Valle 2022, doi
10.2478/hukin-2022-0017)."""


@dataclass(frozen=True, slots=True)
class Turn:
    """A lifter on the first page: the session in progress, or the one that is next."""

    lifter: LifterState
    open_session: str | None
    title: str


async def turn(request: Request) -> HTMLResponse:
    """Whose turn it is."""
    steelyard = steelyard_of(request)
    turns = [_turn(steelyard, lifter) for lifter in steelyard.lifters()]
    return page(request, "turn.html", turns=turns, machine=steelyard.gym.machine)


def _turn(steelyard: Steelyard, lifter: LifterState) -> Turn:
    session = steelyard.open_session(lifter.lifter)
    outline = steelyard.session(session).session.outline if session else steelyard.next_outline(lifter.lifter)
    known = steelyard.home.outlines.get(outline)
    return Turn(lifter, session, known.title if known else outline)


async def prepared(request: Request) -> HTMLResponse:
    """The evening before: the session as it will go."""
    steelyard, lifter = steelyard_of(request), _lifter(request)
    asked = request.query_params
    outline = asked.get("outline") or steelyard.turn_of(lifter.lifter)
    order = asked_order(steelyard, outline, asked.get("order"))
    session = steelyard.prepare(lifter.lifter, outline, order=order)
    shown = tuple(blocks(steelyard.gym, session, lifter.body_mass_kg, Unit(lifter.unit)))
    return page(
        request,
        "prepared.html",
        lifter=lifter,
        unit=Unit(lifter.unit),
        session=session,
        outline=outline,
        outlines=steelyard.home.outlines,
        order=",".join(map(str, order)),
        offers=other_orders(steelyard, lifter.lifter, outline) if "orders" in asked else None,
        others=[other for other in steelyard.lifters() if other.lifter != lifter.lifter],
        blocks=shown,
        sureness=sureness(steelyard, session),
        open_session=steelyard.open_session(lifter.lifter),
        needs_screening=steelyard.needs_screening(lifter.lifter),
        advice=steelyard.screening_advice(lifter.lifter),
    )


def _lifter(request: Request) -> LifterState:
    return steelyard_of(request).lifter(request.path_params["lifter"])


async def screening(request: Request) -> HTMLResponse:
    """The three questions."""
    return page(request, "screening.html", lifter=_lifter(request))


async def review(request: Request) -> HTMLResponse:
    """What was done, and what comes next."""
    lifter = _lifter(request)
    looked = steelyard_of(request).review(lifter.lifter)
    unit = Unit(lifter.unit)
    bars = [Bar(week.name, week.sets) for week in looked.muscles]
    return page(
        request,
        "review.html",
        lifter=lifter,
        unit=unit,
        review=looked,
        lines=[(line, _review_beam(line, unit), _last_sets(line, unit)) for line in looked.lines],
        spans=Markup(draw_spans(bars, USUAL_SETS)) if bars else "",
    )


def _review_beam(line: ReviewLine, unit: Unit) -> Markup:
    beam = Beam(line.ladder_kg, unit, now_kg=line.last_sets[0].felt_kg, next_kg=line.next_felt_kg)
    return Markup(draw_beam(beam, title=f"{line.name}: last time and next time"))


def _last_sets(line: ReviewLine, unit: Unit) -> str:
    """The sets of the last day in words, without the exercise's name."""
    return wording.summary(line.last_sets, {}, unit)[0].partition(": ")[2]


async def cautions(request: Request) -> HTMLResponse:
    """What to know before, and when to stop."""
    return page(request, "cautions.html", cautions=CAUTIONS, stop_signs=STOP_SIGNS)
