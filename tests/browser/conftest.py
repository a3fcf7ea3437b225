"""A real Chromium, and a real server on a demo home of its own that can be killed and started again."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from random import sample
from typing import TYPE_CHECKING

import pytest

from steelyard.demo import ensure_demo
from steelyard.journal.events import Event, SetDone
from steelyard.journal.fold import SessionState, fold
from steelyard.journal.sqlite import SqliteJournal

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page, ViewportSize

FLAGS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
PHONE: ViewportSize = {"width": 390, "height": 844}
TABLET: ViewportSize = {"width": 820, "height": 1180}
PATIENCE_MS = 20_000
STARTS_WITHIN_S = 40
SERVED_PORTS = range(20_000, 32_000)
"""Below 32768, from where Linux counts the ports of outgoing connections."""


def chromium() -> str | None:
    """Where Debian's Chromium is, if it is there."""
    return os.environ.get("STEELYARD_CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """One Chromium for all tests."""
    required = os.environ.get("STEELYARD_BROWSER") == "require"
    found = chromium()
    if found is None:
        reason = "no Chromium: apt-get install chromium, or set STEELYARD_CHROMIUM to its path"
        pytest.fail(reason) if required else pytest.skip(reason)
    if not required:
        pytest.importorskip("playwright.sync_api")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        launched = playwright.chromium.launch(executable_path=found, args=list(FLAGS))
        yield launched
        launched.close()


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    """A phone whose page decides nothing itself, for the engine takes seconds to start; see `thinking_page`."""
    yield from a_page(browser, engine=False)


@pytest.fixture
def thinking_page(browser: Browser) -> Iterator[Page]:
    """A phone that starts the engine in its page."""
    yield from a_page(browser, engine=True)


def a_page(browser: Browser, *, engine: bool, size: ViewportSize = PHONE) -> Iterator[Page]:
    """A page in a browser of its own; a test that leaves an uncaught error in the page's script fails.

    Without a service worker, as on plain http, so that cutting the network cuts it.
    """
    context = browser.new_context(viewport=size, has_touch=True, is_mobile=True, service_workers="block")
    context.set_default_timeout(PATIENCE_MS)
    if not engine:
        context.route("**/worker.js", lambda route: route.abort())
    faults: list[str] = []
    context.on("weberror", lambda fault: faults.append(f"{fault.error}: {fault.error.stack}"))
    yield context.new_page()
    context.close()
    assert faults == []


@pytest.fixture(scope="session")
def demo_home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A demo home, made once; tests work on copies."""
    folder = tmp_path_factory.mktemp("demo") / "home"
    ensure_demo(folder, datetime.now().astimezone())
    return folder


@dataclass
class Gym:
    """A served home."""

    folder: Path
    port: int
    process: subprocess.Popen[bytes] | None = None

    @property
    def address(self) -> str:
        """Where the page is."""
        return f"http://127.0.0.1:{self.port}"

    def start(self) -> None:
        """Serve, and return once the page answers."""
        command = [
            sys.executable,
            "-m",
            "steelyard",
            "--home",
            str(self.folder),
            "serve",
            "--port",
            str(self.port),
        ]
        self.process = subprocess.Popen(command, stdout=subprocess.DEVNULL)
        deadline = time.monotonic() + STARTS_WITHIN_S
        while time.monotonic() < deadline:
            assert self.process.poll() is None, "the server ended by itself"
            try:
                with urllib.request.urlopen(f"{self.address}/cautions"):
                    return
            except OSError:
                time.sleep(0.05)
        raise AssertionError(f"the server did not come up in {STARTS_WITHIN_S} s")

    def kill(self) -> None:
        """End the server as a power cut would."""
        if self.process is not None:
            self.process.kill()
            self.process.wait()
            self.process = None

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


def a_free_port() -> int:
    """A port that stays free while a server is gone: none of those that systems hand to outgoing connections."""
    for port in sample(SERVED_PORTS, k=len(SERVED_PORTS)):
        with socket.socket() as probe, suppress(OSError):
            probe.bind(("127.0.0.1", port))
            return port
    raise AssertionError(f"no free port from {SERVED_PORTS[0]} to {SERVED_PORTS[-1]}")


@pytest.fixture
def gym(demo_home: Path, tmp_path: Path) -> Iterator[Gym]:
    """A demo home of its own, served on a free port."""
    folder = tmp_path / "home"
    shutil.copytree(demo_home, folder)
    served = Gym(folder, a_free_port())
    try:
        served.start()
        yield served
    finally:
        served.kill()
