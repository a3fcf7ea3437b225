"""A real Chromium, and a real server on a demo home of its own that can be killed and started again."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from served_home import FLAGS, ServedHome, chromium, serving

from steelyard.demo import ensure_demo
from steelyard.journal.events import Event, SetDone
from steelyard.journal.fold import SessionState, fold
from steelyard.journal.sqlite import SqliteJournal

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserType, Page, ViewportSize

PHONE: ViewportSize = {"width": 390, "height": 844}
TABLET: ViewportSize = {"width": 820, "height": 1180}
PATIENCE_MS = 60_000
"""How long a test waits for what ends the waiting by coming: long, since a machine may do much else meanwhile."""


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """One Chromium for all tests."""
    required = os.environ.get("STEELYARD_BROWSER") == "require"
    if chromium() is None:
        reason = "no Chromium: apt-get install chromium, or set STEELYARD_CHROMIUM to its path"
        pytest.fail(reason) if required else pytest.skip(reason)
    if not required:
        pytest.importorskip("playwright.sync_api")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        launched = launch(playwright.chromium)
        yield launched
        launched.close()


def launch(kind: BrowserType, *flags: str, **how: Any) -> Browser:
    """Debian's Chromium, patiently. flags: further ones. how: as Playwright takes it."""
    return kind.launch(executable_path=chromium(), args=[*FLAGS, *flags], timeout=3 * PATIENCE_MS, **how)


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    """A phone whose page decides nothing itself, for the engine takes seconds to start; see `thinking_page`."""
    yield from a_page(browser, engine=False)


@pytest.fixture
def thinking_page(browser: Browser) -> Iterator[Page]:
    """A phone that starts the engine in its page."""
    yield from a_page(browser, engine=True)


def a_page(browser: Browser, *, engine: bool, size: ViewportSize = PHONE) -> Iterator[Page]:
    """A page in a browser of its own; a test that leaves an uncaught error in the page's script fails."""
    faults: list[str] = []
    with at_a_device(browser, viewport=size, has_touch=True, is_mobile=True) as page:
        if not engine:
            page.context.route("**/worker.js", lambda route: route.abort())
        page.context.on("weberror", lambda fault: faults.append(f"{fault.error}: {fault.error.stack}"))
        yield page
    assert faults == []


@contextmanager
def at_a_device(browser: Browser, **how: Any) -> Iterator[Page]:
    """The first page of a browser of its own, patient with a slow machine. how: as contexts take it.

    Without a service worker unless it is asked for, as on plain http, so that cutting the network cuts it.
    """
    context = browser.new_context(**{"service_workers": "block", **how})
    context.set_default_timeout(PATIENCE_MS)
    yield context.new_page()
    context.close()


@pytest.fixture(scope="session")
def demo_home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A demo home, made once; tests work on copies."""
    folder = tmp_path_factory.mktemp("demo") / "home"
    ensure_demo(folder, datetime.now().astimezone())
    return folder


class Gym(ServedHome):
    """A served home, and what is on its disk."""

    def events(self) -> list[Event]:
        """What is on disk."""
        journal = SqliteJournal(self.folder / "journal.db")
        try:
            return journal.events()
        finally:
            journal.close()

    def sets_of(self, session_page: str) -> list[SetDone]:
        """Sets logged in the session of this page address, those taken back among them."""
        session = session_of(session_page)
        bodies = [event.body for event in self.events()]
        return [body for body in bodies if isinstance(body, SetDone) and body.session == session]

    def session(self, session_page: str) -> SessionState:
        """What the session of this page address came to, by what is on disk."""
        return fold(self.events()).sessions[session_of(session_page)]


def session_of(session_page: str) -> str:
    """The session of a page address."""
    return session_page.partition("/session/")[2].partition("?")[0].partition("#")[0]


@pytest.fixture
def gym(demo_home: Path, tmp_path: Path) -> Iterator[Gym]:
    """A demo home of its own, served."""
    folder = tmp_path / "home"
    shutil.copytree(demo_home, folder)
    with serving(folder, Gym) as served:
        yield served
