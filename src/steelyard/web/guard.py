"""What every request passes: a name of ours asked for, no writing from other sites, no large bodies; and headers
that forbid foreign script."""

from __future__ import annotations

from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import Request
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from steelyard.errors import OutOfRange
from steelyard.web.addresses import Listening
from steelyard.web.answers import answer_problem, answer_stranger
from steelyard.web.asked import check_asked

LARGEST_BODY = 16_384
"""More than any tap or form needs. [bytes]"""
LARGEST_DESCRIPTION = 1_048_576
"""More than a machine file, or the form that describes one, needs. [bytes]"""
DESCRIBING = "/machine/describe"
LARGEST_DELIVERY = 262_144
"""More than the events that a page sends at once. [bytes]"""

HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; "
        "worker-src 'self'; manifest-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
    ),
    "Referrer-Policy": "same-origin",
    "X-Content-Type-Options": "nosniff",
}


WORKER = "/worker.js"
"""Ends the address of the script in which the engine runs, which alone may compile WebAssembly."""
WORKER_POLICY = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; connect-src 'self'"


class Guard:
    """Middleware round the whole application."""

    def __init__(self, app: ASGIApp, where: Listening | None = None) -> None:
        """where: what it listens to; None where somebody else looks at the names asked for."""
        self.app = app
        self.where = where

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Refuse what must not pass; send the rest on, with the headers added to the answer."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        async def send_guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    headers[name] = value
                if request.url.path.startswith("/static/") and request.url.path.endswith(WORKER):
                    headers["Content-Security-Policy"] = WORKER_POLICY
                headers.setdefault("Cache-Control", "no-cache")
            await send(message)

        request = Request(scope, receive)
        refusal = self._refusal(request)
        await (refusal or self.app)(scope, receive, send_guarded)

    def _refusal(self, request: Request) -> Response | None:
        """The answer to what must not pass."""
        try:
            if self.where is not None:
                check_asked(self.where, request.headers.get("host", ""))
        except OutOfRange as problem:
            return answer_stranger(request, str(problem))
        if request.method not in ("GET", "HEAD") and not same_origin(request.headers):
            return answer_problem(request, 403, "this came from another site; open the page itself and tap there")
        length = request.headers.get("content-length", "0")
        most = largest_body(request.url.path)
        if not length.isdigit() or int(length) > most:
            words = f"the body is {length[:20]} bytes long; it must be at most {most} bytes"
            return answer_problem(request, 413, words)
        return None


def largest_body(path: str) -> int:
    """How long a body may be at an address. [bytes]"""
    if path == DESCRIBING or path.startswith(f"{DESCRIBING}/"):
        return LARGEST_DESCRIPTION
    return LARGEST_DELIVERY if path.startswith("/session/") else LARGEST_BODY


def same_origin(headers: Headers) -> bool:
    """Whether a request was made by our own page, or by a program that is no browser.

    The page is served under several names and addresses, so the origin is compared with the Host that was asked,
    which was found to be one of them.
    """
    site = headers.get("sec-fetch-site")
    if site is not None:
        return site in ("same-origin", "none")
    origin = headers.get("origin")
    return origin is None or urlsplit(origin).netloc == headers.get("host", "")
