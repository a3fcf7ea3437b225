"""What the page needs to decide without the server: Pyodide, this package, and what has happened so far."""

from __future__ import annotations

import gzip
import json
from functools import cache
from hashlib import sha256
from io import BytesIO
from pathlib import Path
from zipfile import ZIP_STORED, ZipFile, ZipInfo

from msgspec import json as fast_json
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response

from steelyard.errors import UnknownName
from steelyard.live.opening import opening
from steelyard.web.render import steelyard_of
from steelyard.web.screens import screens_of
from steelyard.web.static_files import KEPT
from steelyard.workshop.turns_live import in_company

PACKAGE = Path(__file__).parent.parent
VENDORED = Path(__file__).with_name("pyodide")
COMPILED = VENDORED / "steelyard-compiled.zip.gz"
"""Modules of this package as builders/compile_engine.py left them, for the Python that is vendored."""
ARCHIVE = "steelyard.zip"
PARTS = (
    "__init__.py",
    "errors.py",
    "units.py",
    "tables.py",
    "machine",
    "plates",
    "strength",
    "journal",
    "training",
    "drawing",
    "review",
    "recording.py",
    "home.py",
    "remembered.py",
    "service.py",
    "workshop",
    "live",
)
"""Of this package, what runs inside the page too."""
SERVER_ONLY = frozenset({"journal/sqlite.py"})
KINDS = (".py", ".toml")
MARK = slice(8, 16)
"""Where a compiled module says which source it is of (PEP 552)."""
TYPES = {".mjs": "text/javascript", ".wasm": "application/wasm", ".json": "application/json"}


@cache
def vendored() -> frozenset[str]:
    """The names of the files of Pyodide."""
    return frozenset(json.loads((VENDORED / "manifest.json").read_text())["files"])


@cache
def archive() -> bytes:
    """This package's part in the page, as an archive that Python imports from; the same sources, the same bytes.

    A module is there as it was compiled beforehand, or as its source if that has changed since.
    """
    ready, made = compiled(), BytesIO()
    with ZipFile(made, "w", ZIP_STORED) as archived:
        for path in sources():
            name, source = f"steelyard/{path.relative_to(PACKAGE).as_posix()}", path.read_bytes()
            code = ready.get(f"{name}c", b"")
            if code[MARK] == sha256(source).digest()[:8]:
                name, source = f"{name}c", code
            archived.writestr(ZipInfo(name), source)
    return made.getvalue()


def compiled() -> dict[str, bytes]:
    """The modules that were compiled beforehand, by their paths; each carries a mark of its source."""
    if not COMPILED.is_file():
        return {}
    with ZipFile(BytesIO(gzip.decompress(COMPILED.read_bytes()))) as archived:
        return {name: archived.read(name) for name in archived.namelist()}


def sources() -> list[Path]:
    """The files that the archive holds, in order."""
    found = (path for part in PARTS for path in _within(PACKAGE / part))
    return sorted(path for path in found if path.relative_to(PACKAGE).as_posix() not in SERVER_ONLY)


def _within(path: Path) -> list[Path]:
    if path.is_file():
        return [path]
    return [each for each in path.rglob("*") if each.suffix in KINDS]


@cache
def version() -> str:
    """A short name of all that the engine is made of; it changes with any of it."""
    return sha256((VENDORED / "manifest.json").read_bytes() + archive()).hexdigest()[:16]


def engine_urls() -> dict[str, str]:
    """Where the page's script finds the engine."""
    return {"pyodide": f"/engine/{version()}/", "package": f"/engine/{version()}/{ARCHIVE}"}


@cache
def packed(name: str) -> bytes:
    """A file of the engine, compressed."""
    if name == ARCHIVE:
        return gzip.compress(archive(), 9, mtime=0)
    return (VENDORED / f"{name}.gz").read_bytes()


async def file(request: Request) -> Response:
    """A file of the engine. One asked for by an older name is given as it is now, and not kept.

    Raises: UnknownName.
    """
    name = request.path_params["file"]
    if name not in (known := vendored() | {ARCHIVE}):
        raise UnknownName("file of the engine", name, sorted(known))
    body = await run_in_threadpool(packed, name)
    headers = {"Vary": "Accept-Encoding"}
    if request.path_params["version"] == version():
        headers["Cache-Control"] = KEPT
    if "gzip" in request.headers.get("accept-encoding", ""):
        headers["Content-Encoding"] = "gzip"
    else:
        body = await run_in_threadpool(gzip.decompress, body)
    return Response(body, headers=headers, media_type=TYPES.get(Path(name).suffix, "application/zip"))


def opened(request: Request) -> Response:
    """What the engine is opened with for a session and those in turn with it. Raises: UnknownName."""
    steelyard, session = steelyard_of(request), request.path_params["session"]
    sessions = in_company(steelyard, session)
    data = {"around": screens_of(request).around(sessions), **opening(steelyard, sessions)}
    return Response(fast_json.encode(data), media_type="application/json")
