"""A page with nothing on it but our own modules, on plain http or https, without any server."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import steelyard.web

if TYPE_CHECKING:
    from playwright.sync_api import Page, Route

STATIC = Path(steelyard.web.__file__).with_name("static")
PLAIN, SECURE = "http://gym.test", "https://gym.test"
STYLES = "".join(f'<link rel="stylesheet" href="/{name}.css">' for name in ("steelyard", "session"))
EMPTY = f'<!doctype html><html lang="en"><title>Modules</title>{STYLES}<body>'
KINDS = {".js": "text/javascript", ".css": "text/css"}


def open_modules(page: Page, origin: str = PLAIN) -> None:
    """Open the empty page; the modules are at its root."""

    def answer(route: Route) -> None:
        path = STATIC / route.request.url.removeprefix(f"{origin}/")
        if path.suffix in KINDS:
            route.fulfill(body=path.read_text("utf-8"), content_type=KINDS[path.suffix])
        else:
            route.fulfill(body=EMPTY, content_type="text/html")

    page.route(f"{origin}/**", answer)
    page.goto(f"{origin}/")


def call(page: Page, module: str, name: str, *args: object) -> Any:
    """What an exported function returns."""
    asked = "async ([module, name, args]) => (await import(`/${module}`))[name](...args)"
    return page.evaluate(asked, [module, name, list(args)])
