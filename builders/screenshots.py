"""Write docs/pictures: the page of a demo home in representative states, on a phone and on a tablet.

Run from the root of the repository, with the test extra installed and Chromium on the path (or named by
STEELYARD_CHROMIUM):

    python builders/screenshots.py [FOLDER]

The demo's history ends the day before it is made, so dates in the pictures are those of the day of making.
"""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import Browser, Page, sync_playwright

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
SIZES = {"390x844": (390, 844), "820x1180": (820, 1180)}
ON_TABLET = ("session", "prepared", "review", "machine", "station", "describe")
LARGEST_PICTURE = 165_000
"""Pictures are kept under this, since they live in the repository. [bytes]"""


@contextmanager
def served_demo() -> Iterator[str]:
    """A demo home in a temporary folder, served; gives the address."""
    with tempfile.TemporaryDirectory() as folder:
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            port = probe.getsockname()[1]
        command = [sys.executable, "-m", "steelyard", "--home", f"{folder}/demo", "demo", "--port", str(port)]
        server = subprocess.Popen(command, stdout=subprocess.DEVNULL)
        try:
            wait_for(f"http://127.0.0.1:{port}/")
            yield f"http://127.0.0.1:{port}"
        finally:
            server.terminate()
            server.wait()


def wait_for(address: str) -> None:
    """Return once the page answers."""
    for _ in range(600):
        try:
            with urllib.request.urlopen(address):
                return
        except OSError:
            time.sleep(0.1)
    raise SystemExit(f"{address} does not answer")


def begin(page: Page, address: str, person: int) -> None:
    """Go to the session of a lifter; start it if it is not in progress."""
    page.goto(address)
    page.locator(".person .go").nth(person).click()
    if page.locator("[data-slot]").count() == 0:
        page.get_by_role("button", name="Start").first.click()
    page.locator("[data-slot]").wait_for()


def tap(page: Page) -> None:
    """Do the set that is shown, at the low end of its range."""
    slot = page.locator("[data-slot]").get_attribute("data-slot")
    page.locator(".keys .in").first.click()
    page.locator(f'.pad:not([data-slot="{slot}"]), .summary').first.wait_for()


def tap_until(page: Page, words: str) -> None:
    """Tap on until a set's line or orders say these words."""
    while words not in page.locator(".task").inner_text().lower():
        tap(page)


def take(page: Page, folder: Path, name: str) -> None:
    """Keep a picture of what the screen shows."""
    path = folder / f"{name}.png"
    page.mouse.move(0, 0)
    page.screenshot(path=path)
    size = path.stat().st_size
    print(f"{path.name}: {size / 1000:.0f} kB")
    if size > LARGEST_PICTURE:
        raise SystemExit(f"{path} is {size} bytes long; it must be at most {LARGEST_PICTURE}")


def take_all(browser: Browser, address: str, folder: Path, size: str) -> None:
    """Every state on the phone, the main ones on the tablet."""
    width, height = SIZES[size]
    context = browser.new_context(viewport={"width": width, "height": height}, color_scheme="light")
    page = context.new_page()

    def keep(name: str) -> None:
        if size == "390x844" or name in ON_TABLET:
            take(page, folder, f"{name}-{size}")

    page.goto(address)
    keep("turn")
    who = (page.locator(".person .aside").first.get_attribute("href") or "").rpartition("/")[2]
    pages = {
        "prepared": f"/lifter/{who}",
        "review": f"/review/{who}",
        "machine": "/machine",
        "station": "/station/high-pulley",
        "motion": "/station/row?tempo=1-0-0.5-0#motion",
        "joints": "/station/curl/joints?beside=low-pulley",
        "describe": "/machine/describe",
        "calibrate": "/machine/calibrate?station=row#so-far",
        "plates": "/plates",
        "buy": f"/plates?buy=1&lifter={who}#buy",
    }
    for name, place in pages.items():
        page.goto(address + place)
        keep(name)
    begin(page, address, 0)
    tap_until(page, "set 1 of")
    keep("session")
    tap(page)
    keep("session-saved")
    page.emulate_media(color_scheme="dark")
    keep("session-dark")
    context.close()


WANTED = {"drop": "strip now", "rest-pause": "go again", "one-arm": "left side"}


def take_techniques(browser: Browser, address: str, folder: Path) -> None:
    """A drop set, a rest-pause and one-arm work, wherever the demo's sessions have them; then an end."""
    context = browser.new_context(viewport={"width": 390, "height": 844})
    page = context.new_page()
    page.goto(address)
    who = (page.locator(".person .aside").nth(1).get_attribute("href") or "").rpartition("/")[2]
    page.goto(f"{address}/lifter/{who}")
    others = [
        link.get_attribute("href")
        for link in page.locator('.choices a[href*="outline="]:not([href*="who="]):not([href*="orders="])').all()
    ]
    wanted = dict(WANTED)
    for place in (f"/lifter/{who}", *others):
        page.goto(f"{address}{place}")
        page.get_by_role("button", name="Start").first.click()
        page.locator("[data-slot]").wait_for()
        take_wanted(page, folder, wanted)
        page.get_by_role("button", name="End the session").click()
        page.get_by_role("heading", name="Session ended").wait_for()
        if not wanted:
            break
    take(page, folder, "finished-390x844")
    context.close()


def take_wanted(page: Page, folder: Path, wanted: dict[str, str]) -> None:
    """Tap a session to its end, keeping the first picture of each thing wanted."""
    while page.locator("[data-slot]").count():
        said = page.locator(".task").inner_text().lower()
        for name in [name for name, words in wanted.items() if words in said]:
            take(page, folder, f"{name}-390x844")
            del wanted[name]
        tap(page)


def chromium() -> str:
    """Where Chromium is; without it the program ends with the way out."""
    found = os.environ.get("STEELYARD_CHROMIUM") or shutil.which("chromium")
    if found is None:
        raise SystemExit("no Chromium: apt-get install chromium, or set STEELYARD_CHROMIUM to its path")
    return found


def main() -> None:
    """Take them all."""
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else Path("docs/pictures")
    folder.mkdir(parents=True, exist_ok=True)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium(), args=list(FLAGS))
        for size in SIZES:
            with served_demo() as address:
                take_all(browser, address, folder, size)
        with served_demo() as address:
            take_techniques(browser, address, folder)
        browser.close()


if __name__ == "__main__":
    main()
