"""Styles, scripts and pictures, at addresses that change with their contents, so that browsers may keep them."""

from __future__ import annotations

import json
import re
from functools import cache
from hashlib import sha256
from pathlib import Path

from starlette.requests import Request
from starlette.responses import Response
from starlette.staticfiles import StaticFiles

STATIC = Path(__file__).with_name("static")
KEPT = "public, max-age=31536000, immutable"
TYPES = {".js": "text/javascript", ".css": "text/css"}
COMMENT = re.compile(r"^[ \t]*(?://[^\n]*|/\*.*?\*/)[ \t]*\n", re.MULTILINE | re.DOTALL)
"""A comment on lines of its own."""


@cache
def version() -> str:
    """A short name of the contents of all static files, worked out once a process."""
    digest = sha256()
    for path in sorted(STATIC.iterdir()):
        digest.update(path.name.encode() + b"\0" + path.read_bytes())
    return digest.hexdigest()[:16]


def static_url(name: str) -> str:
    """The address of a static file as it is now."""
    return f"/static/{version()}/{name}"


_files = StaticFiles(directory=STATIC)


@cache
def texts() -> frozenset[str]:
    """The names of the scripts and styles."""
    return frozenset(path.name for path in STATIC.iterdir() if path.suffix in TYPES)


@cache
def as_sent(name: str) -> str:
    """A script or style without its comments: a seventh of it, which no browser needs.

    >>> as_sent("thumb.js").split()[:2]
    ['const', 'MOMENT_MS']
    """
    return COMMENT.sub("", (STATIC / name).read_text(encoding="utf-8"))


async def static_file(request: Request) -> Response:
    """A static file. One asked for by an older name is given as it is now, and not kept."""
    name = request.path_params["name"]
    if name in texts():
        response = Response(as_sent(name), media_type=TYPES[(STATIC / name).suffix])
    else:
        response = await _files.get_response(name, request.scope)
    if request.path_params["version"] == version():
        response.headers["Cache-Control"] = KEPT
    return response


OFFLINE = (".css", ".js", ".svg", ".json")
"""What pages need of the static files, so that they start without the network."""


async def service_worker(request: Request) -> Response:
    """The script that keeps pages for a start without the network; it must lie above all that it keeps."""
    names = sorted(path.name for path in STATIC.iterdir() if path.suffix in OFFLINE and path.name != "sw.js")
    shell = {"version": version(), "files": [static_url(name) for name in names]}
    script = f"const SHELL = {json.dumps(shell)};\n{(STATIC / 'sw.js').read_text()}"
    return Response(script, media_type="text/javascript", headers={"Cache-Control": "no-cache"})
