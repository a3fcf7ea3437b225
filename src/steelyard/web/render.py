"""Templates: autoescaped, strict about names, with the few filters that pages need."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from secrets import token_hex

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from starlette.requests import Request
from starlette.responses import HTMLResponse

from steelyard.journal.fold import LifterState
from steelyard.plates.instructions import instructions
from steelyard.service import Steelyard
from steelyard.units import show_mass
from steelyard.web.static_files import static_url
from steelyard.workshop.wording import opened

TEMPLATES = Path(__file__).with_name("templates")


def environment(*, demo: bool) -> Environment:
    """The template environment of one application."""
    made = Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.globals.update(demo=demo, new_id=lambda: token_hex(16), static=static_url)
    made.filters.update(
        mass=show_mass,
        minutes=minutes,
        clock=clock,
        seconds=seconds,
        day=day,
        person=person,
        opened=opened,
        hands=instructions,
    )
    return made


def steelyard_of(request: Request) -> Steelyard:
    """The gym that this application is the page of."""
    steelyard: Steelyard = request.app.state.steelyard
    return steelyard


def minutes(span_s: float) -> str:
    """A span in whole minutes, rounded up, since a session never ends early for being called shorter.

    >>> minutes(1830)
    '31 min'
    """
    return f"{-int(-span_s // 60)} min"


def clock(span_s: float) -> str:
    """A span as minutes and seconds.

    >>> clock(84.2)
    '1:24'
    """
    whole = round(span_s)
    return f"{whole // 60}:{whole % 60:02d}"


def seconds(span_s: float) -> str:
    """A rest as it is said.

    >>> seconds(12), seconds(60), seconds(150)
    ('12 s', '1 min', '2 min 30 s')
    """
    whole, rest = divmod(round(span_s), 60)
    if whole == 0:
        return f"{rest} s"
    return f"{whole} min {rest} s" if rest else f"{whole} min"


def day(at: datetime) -> str:
    """A day as it is said.

    >>> day(datetime(2026, 3, 2))
    'Monday 2 March'
    """
    return f"{at:%A} {at.day} {at:%B}"


def person(lifter: LifterState) -> str:
    """A lifter's name without the mark of an invented one, which pages set beside it."""
    return lifter.called


def page(request: Request, template: str, **context: object) -> HTMLResponse:
    """A page from its template."""
    return HTMLResponse(request.app.state.templates.get_template(template).render(**context))
