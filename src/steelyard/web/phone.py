"""How a phone comes to the page: the address and its QR code, and the authority to trust."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from urllib.parse import urlsplit

import segno
from markupsafe import Markup
from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from steelyard.web.guard import Guard
from steelyard.web.render import page

PAGE = "/phone"
AUTHORITY = "/phone/authority.crt"
METHODS = ["GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS"]


@dataclass(frozen=True, slots=True)
class Trust:
    """The authority that devices are asked to trust.

    page:      plain http address of the page that explains it, for a phone that does not trust it yet.
    name:      as a phone lists it.
    authority: its certificate, DER.
    """

    page: str
    name: str
    fingerprint: str
    ends: date
    authority: bytes


@dataclass(frozen=True, slots=True)
class Reach:
    """By which address devices come to the page; the others lead there too.

    here_only: only this machine can.
    trust:     with https only.
    """

    address: str
    others: tuple[str, ...] = ()
    here_only: bool = False
    trust: Trust | None = None


def reach_of(request: Request) -> Reach:
    """How the page is reached now; by the address that was asked for, if its server says nothing."""
    told: Callable[[], Reach] | None = getattr(request.app.state, "reach", None)
    return told() if told else Reach(str(request.base_url))


async def phone(request: Request) -> HTMLResponse:
    """Open this on your phone."""
    reach = reach_of(request)
    return page(
        request,
        "phone.html",
        reach=reach,
        page_code=draw_code(reach.address),
        trust_code=draw_code(reach.trust.page) if reach.trust else "",
        first_visit=getattr(request.app.state, "first_visit", False),
        port=urlsplit(reach.address).port,
        trust_port=urlsplit(reach.trust.page).port if reach.trust else None,
    )


async def authority(request: Request) -> Response:
    """The authority's certificate, which holds no secret. Raises: HTTPException 404 without https."""
    trust = reach_of(request).trust
    if trust is None:
        raise HTTPException(404)
    return Response(trust.authority, media_type="application/x-x509-ca-cert")


def draw_code(address: str) -> Markup:
    """The QR code (ISO/IEC 18004) of an address as SVG, dark on white whatever the page's colours are.

    Its quiet zone is the four modules that the standard asks for.
    """
    code = segno.make(address, error="m", micro=False)
    drawn = code.svg_inline(dark="#000", light="#fff", border=4, svgclass=None, lineclass=None, omitsize=True)
    return Markup(drawn)  # drawn by the library from modules alone; the address is not in it


def make_first_visit(app: Starlette) -> Starlette:
    """The application for plain http beside https: the page on trusting, the authority, and nothing else.

    app: the whole page, whose look and templates it shares.
    """
    kept = [route for route in app.routes if _is_shared(getattr(route, "path", ""))]
    away = Route("/{rest:path}", _to_phone, methods=METHODS)
    made = Starlette(
        routes=[*kept, away],
        middleware=[Middleware(Guard, app.state.where)],
        exception_handlers=app.exception_handlers,
    )
    made.state.templates = app.state.templates
    made.state.reach = app.state.reach
    made.state.first_visit = True
    return made


def _is_shared(path: str) -> bool:
    return path in (PAGE, AUTHORITY) or path.startswith("/static")


async def _to_phone(request: Request) -> RedirectResponse:
    return RedirectResponse(PAGE, 303)
