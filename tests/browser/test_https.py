"""By https with the home's authority installed: a secure page for private names, and none for a public one.

Chromium looks for further authorities in the NSS database of the home folder; certutil puts one in.
"""

from __future__ import annotations

import base64
import http.server
import os
import shutil
import ssl
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest
import zxingcpp
from cryptography.hazmat.primitives.serialization import Encoding

from browser.conftest import PHONE, at_a_device, launch
from browser.test_accessible import found
from steelyard.web.tls import keep

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

MAPPED = ("gym.test", "gym.example.com", "printer.lan")
REGISTER = """async () => {
    await navigator.serviceWorker.register('/sw.js');
    return (await navigator.serviceWorker.ready).active.scriptURL;
}"""
PIXELS = """async png => {
    const picture = new Image();
    picture.src = `data:image/png;base64,${png}`;
    await picture.decode();
    const canvas = new OffscreenCanvas(picture.width, picture.height).getContext('2d');
    canvas.drawImage(picture, 0, 0);
    const { data, width } = canvas.getImageData(0, 0, picture.width, picture.height);
    return [width, Array.from(data.filter((_, place) => place % 4 === 1))];
}"""
"""The green of every pixel, row by row."""


LOW = """[...document.querySelectorAll('a, button, summary')].filter(
    one => one.checkVisibility() && one.getBoundingClientRect().height < 44).map(one => one.textContent)"""
"""Targets too low for a thumb."""


@dataclass(frozen=True)
class SafeGym:
    """A home that serves by https as gym.test, and where a first visit begins."""

    tls: Path
    address: str
    first_visit: str

    def under(self, name: str) -> str:
        """The page under another name of the machine."""
        return self.address.replace("gym.test", name)


@pytest.fixture(scope="module")
def safe_gym(demo_home: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[SafeGym]:
    folder = tmp_path_factory.mktemp("https") / "home"
    shutil.copytree(demo_home, folder)
    command = [sys.executable, "-m", "steelyard", "--home", str(folder), "serve", "--https", "--port", "0"]
    command += ["--host", "0.0.0.0", "--name", "gym.test"]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
    assert process.stdout is not None
    try:
        address = process.stdout.readline().split()[1]
        first_visit = next(line for line in process.stdout if line.startswith("A device")).split()[-1]
        yield SafeGym(folder / "tls", address, first_visit)
    finally:
        process.kill()
        process.wait()
        process.stdout.close()


@pytest.fixture(scope="module")
def certutil() -> str:
    """Where NSS's tool is; without it these tests are skipped, or fail where browsers are required."""
    found = shutil.which("certutil")
    if found is None:
        reason = "no certutil: apt-get install libnss3-tools"
        pytest.fail(reason) if os.environ.get("STEELYARD_BROWSER") == "require" else pytest.skip(reason)
    return found


@pytest.fixture(scope="module")
def trusting(
    browser: Browser, certutil: str, safe_gym: SafeGym, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Browser]:
    """A Chromium whose owner trusted the authority for websites, and nothing more."""
    home = tmp_path_factory.mktemp("owner")
    database = home / ".pki" / "nssdb"
    database.mkdir(parents=True)
    root = keep(safe_gym.tls, ("gym.test",), datetime.now(UTC)).root
    (home / "authority.crt").write_bytes(root.public_bytes(Encoding.PEM))
    for words in (
        ["-N", "--empty-password"],
        ["-A", "-t", "C,,", "-n", "steelyard", "-i", str(home / "authority.crt")],
    ):
        subprocess.run([certutil, *words, "-d", f"sql:{database}"], check=True, capture_output=True)
    rules = ", ".join(f"MAP {name} 127.0.0.1" for name in MAPPED)
    own = {name: value for name, value in os.environ.items() if not name.startswith("XDG_")}
    launched = launch(browser.browser_type, f"--host-resolver-rules={rules}", env={**own, "HOME": str(home)})
    yield launched
    launched.close()


@contextmanager
def opened(browser: Browser, **how: object) -> Iterator[Page]:
    """A phone, in a context of its own."""
    with at_a_device(browser, viewport=PHONE, service_workers="allow", **how) as page:
        yield page


@pytest.mark.parametrize("name", ["127.0.0.1", "gym.test"])
def test_the_page_is_secure_under_a_private_name(trusting: Browser, safe_gym: SafeGym, name: str) -> None:
    with opened(trusting) as page:
        page.goto(safe_gym.under(name))
        assert page.get_by_role("heading", name="Whose turn?").is_visible()
        assert page.evaluate("isSecureContext") is True


def test_a_page_by_a_trusted_name_starts_without_the_network(trusting: Browser, safe_gym: SafeGym) -> None:
    with opened(trusting) as page:
        page.goto(safe_gym.address)
        assert page.evaluate(REGISTER) == f"{safe_gym.address}sw.js"


def test_plain_http_under_the_same_name_is_not_secure(trusting: Browser, safe_gym: SafeGym) -> None:
    with opened(trusting) as page:
        page.goto(safe_gym.first_visit)
        assert (
            page.evaluate("[isSecureContext, 'serviceWorker' in navigator, 'wakeLock' in navigator]")
            == [False] * 3
        )


def test_a_browser_that_does_not_trust_the_authority_refuses(browser: Browser, safe_gym: SafeGym) -> None:
    with opened(browser) as page, pytest.raises(Exception, match="ERR_CERT_AUTHORITY_INVALID"):
        page.goto(safe_gym.under("127.0.0.1"))


@contextmanager
def forger(safe_gym: SafeGym, folder: Path, name: str) -> Iterator[str]:
    """What a thief of the key would serve under a name that may not be his; yields its address."""
    folder.mkdir()
    shutil.copy(safe_gym.tls / "authority.pem", folder)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("steelyard.web.authority.is_private", lambda place: True)
        chain = keep(folder, (name,), datetime.now(UTC)).chain
    server = http.server.HTTPServer(("127.0.0.1", 0), http.server.BaseHTTPRequestHandler)
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(chain)
    server.socket = context.wrap_socket(server.socket, server_side=True)
    server.handle_error = lambda *_: None  # type: ignore[method-assign]  # a browser that refuses hangs up
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    try:
        yield f"https://{name}:{server.server_address[1]}/"
    finally:
        server.shutdown()
        thread.join()
        server.server_close()


def test_a_public_name_is_refused_from_the_same_authority(
    trusting: Browser, safe_gym: SafeGym, tmp_path: Path
) -> None:
    with (
        forger(safe_gym, tmp_path / "forged", "gym.example.com") as address,
        opened(trusting) as page,
        pytest.raises(Exception, match="ERR_CERT_"),
    ):
        page.goto(address)


def test_it_is_the_name_that_is_refused(trusting: Browser, safe_gym: SafeGym, tmp_path: Path) -> None:
    """The same forger with a private name is believed, as the page on trusting warns."""
    with forger(safe_gym, tmp_path / "forged", "printer.lan") as address, opened(trusting) as page:
        answer = page.goto(address)
        assert answer is not None and answer.status == 501


def code_shown(page: Page, place: str) -> str:
    """The code of a part of the page as a camera reads it from the screen."""
    shot = page.locator(f"{place} [role=img]").screenshot()
    width, greens = page.evaluate(PIXELS, base64.b64encode(shot).decode())
    picture = np.array(greens, dtype=np.uint8).reshape(-1, width)
    return zxingcpp.read_barcodes(np.ascontiguousarray(picture))[0].text


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_codes_on_the_screen_are_the_addresses(trusting: Browser, safe_gym: SafeGym, scheme: str) -> None:
    with opened(trusting, color_scheme=scheme) as page:
        page.goto(f"{safe_gym.address}phone")
        assert code_shown(page, "#trust .code") == safe_gym.first_visit
        assert code_shown(page, "#open .code") == safe_gym.address


@pytest.mark.parametrize("size", [(390, 844), (820, 1180)], ids=["phone", "tablet"])
def test_the_page_on_trusting_fits_with_all_its_steps_open(
    trusting: Browser, safe_gym: SafeGym, size: tuple[int, int]
) -> None:
    with opened(trusting) as page:
        page.set_viewport_size({"width": size[0], "height": size[1]})
        page.goto(safe_gym.first_visit)
        page.evaluate("document.querySelectorAll('details').forEach(steps => { steps.open = true })")
        assert page.evaluate("document.documentElement.scrollWidth") == size[0]
        assert page.evaluate(LOW) == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("first_visit", [True, False], ids=["first visit", "https"])
def test_axe_core_finds_nothing_on_either_page(
    trusting: Browser, safe_gym: SafeGym, scheme: str, first_visit: bool
) -> None:
    with opened(trusting, color_scheme=scheme) as page:
        page.goto(safe_gym.first_visit if first_visit else f"{safe_gym.address}phone")
        page.evaluate("document.querySelectorAll('details').forEach(steps => { steps.open = true })")
        assert found(page) == []


def test_the_file_of_the_authority_can_be_taken(trusting: Browser, safe_gym: SafeGym) -> None:
    with opened(trusting) as page:
        page.goto(safe_gym.first_visit)
        with page.expect_download() as taken:
            page.get_by_role("link", name="Take the authority's file").click()
        assert taken.value.suggested_filename == "authority.crt"
