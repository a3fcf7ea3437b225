"""How fast the page of a session is, beside the plainest page of the same server, in one run.

    python benchmarks/session_page.py [light]

Needs the test extra and Chromium. A phone is stood in for by slowing the processor down four times, in the page
and in the worker of its engine. Figures of one run on one machine; nothing here is a test.
"""

from __future__ import annotations

import statistics
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from playwright.sync_api import Browser, BrowserContext, CDPSession, Page, sync_playwright

sys.path.insert(0, str(Path(__file__).parent.parent / "builders"))
from picture_taking import found_chromium, served_demo
from served_home import FLAGS

SLOWED = 4
ROUNDS = 5
TAPS = 9
"""Four times so many are fewer than the session has."""
RESTS_AFTER_MS = 6000
"""By then the page has asked twice whether anything is new."""
PAINT = "performance.getEntriesByName('first-contentful-paint')[0]?.startTime ?? null"
TAP = """async (selector) => {
  const pad = document.getElementById("pad");
  const asked = () => `${pad.dataset.slot} ${pad.classList.contains("left")}`;
  const before = asked();
  const key = [...document.querySelectorAll(selector)].at(-1);
  const began = performance.now();
  const changed = new Promise((resolve) => {
    const look = new MutationObserver(() => {
      if (asked() !== before) { look.disconnect(); resolve(); }
    });
    look.observe(pad, { attributes: true });
  });
  key.click();
  await changed;
  await new Promise((resolve) => requestAnimationFrame(() => setTimeout(resolve, 0)));
  const shown = performance.now() - began;
  while (!document.body.dataset.seen) await new Promise((resolve) => setTimeout(resolve, 5));
  return [shown, performance.now() - began];
}"""


@contextmanager
def opened(browser: Browser, *, slowed: int = 1) -> Iterator[tuple[BrowserContext, Page, CDPSession]]:
    """A phone, slowed down."""
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True)
    page = context.new_page()
    devtools = context.new_cdp_session(page)
    devtools.send("Emulation.setCPUThrottlingRate", {"rate": slowed})
    try:
        yield context, page, devtools
    finally:
        context.close()


def begin(page: Page, address: str) -> str:
    """Start a pull session of the demo's second lifter, or go on with it; the session's address."""
    page.goto(f"{address}/lifter/tove?outline=pull")
    page.locator("button.main, a.button.main").first.click()
    page.locator("html[data-ready]").wait_for()
    return page.url


def first_paint(browser: Browser, address: str) -> float:
    """Median time to the first paint with contents, nothing cached. [ms]"""
    found = []
    for _ in range(ROUNDS):
        with opened(browser) as (_, page, _):
            page.goto(address)
            page.wait_for_timeout(300)
            found.append(float(page.evaluate(PAINT)))
    return statistics.median(found)


@dataclass
class Weight:
    """What came over the wire, and what it is once unpacked. [bytes]"""

    packed: int = 0
    unpacked: int = 0

    def __str__(self) -> str:
        return f"{self.packed / 1000:.0f} kB packed, {self.unpacked / 1000:.0f} kB unpacked"


def kind_of(address: str) -> str:
    """What a body belongs to: the engine, the page's scripts and styles, or the page with its states."""
    path = urlsplit(address).path
    if path.startswith("/engine/") or path.endswith("/engine"):
        return "engine"
    return "scripts and styles" if path.startswith("/static/") else "the page and its state"


def weights(browser: Browser, address: str) -> dict[str, Weight]:
    """What the page is sent until it rests, nothing cached, by kind.

    What the browser has already and takes once more from its own cache counts once. Not counted: what the engine's
    worker fetches, and the copies that a service worker takes for a start without the network.
    """
    with opened(browser) as (_, page, devtools):
        found: dict[str, Weight] = {}
        coming: dict[str, Weight] = {}

        def answered(event: dict[str, Any]) -> None:
            if not event["response"].get("fromDiskCache"):
                coming[event["requestId"]] = found.setdefault(kind_of(event["response"]["url"]), Weight())

        def received(event: dict[str, Any]) -> None:
            coming.get(event["requestId"], Weight()).unpacked += event["dataLength"]

        def loaded(event: dict[str, Any]) -> None:
            coming.get(event["requestId"], Weight()).packed += round(event["encodedDataLength"])

        devtools.on("Network.responseReceived", answered)
        devtools.on("Network.dataReceived", received)
        devtools.on("Network.loadingFinished", loaded)
        devtools.send("Network.enable")
        page.goto(address)
        page.wait_for_timeout(RESTS_AFTER_MS)
        return found


def taps(browser: Browser, address: str, *, offline: bool, wait_ms: int) -> list[tuple[float, float]]:
    """Sets tapped through: time to the next one shown, and to it decided. [ms]

    wait_ms: what a lifter leaves between two taps; short ones leave no time to look ahead.
    """
    with opened(browser, slowed=SLOWED) as (context, page, _):
        begin(page, address)
        page.locator("html[data-engine=ready]").wait_for(timeout=120_000)
        context.set_offline(offline)
        found = []
        for _ in range(TAPS):
            page.wait_for_timeout(wait_ms)
            left = page.locator("#pad.left").count()
            selector = "#keys button:nth-child(4)" if left else "#keys .in"
            found.append(tuple(page.evaluate(TAP, selector)))
        context.set_offline(False)
        page.locator("#saved[data-state=saved]").wait_for(timeout=60_000)
        return found


def engine_ready(browser: Browser, address: str, slowed: int) -> float:
    """Time from asking for the page to the engine's being ready, nothing cached. [ms]"""
    with opened(browser, slowed=slowed) as (_, page, _):
        begin(page, address)
        page.locator("html[data-engine=ready]").wait_for(timeout=120_000)
        return float(page.evaluate("performance.now()"))


def show_weight(found: dict[str, Weight]) -> None:
    """Print it by kind, and all but the engine together."""
    engine = found.pop("engine", Weight())
    whole = Weight(*(sum(getattr(each, name) for each in found.values()) for name in ("packed", "unpacked")))
    print(f"weight without the engine: {whole}")
    for kind, one in [*found.items(), ("besides, what the engine is opened with", engine)]:
        print(f"  {kind}: {one}")


def main() -> None:
    """Measure and print; only the first paint and the weight if asked for "light"."""
    with sync_playwright() as playwright, served_demo() as address:
        browser = playwright.chromium.launch(executable_path=found_chromium(), args=list(FLAGS))
        with opened(browser) as (_, page, _):
            session = begin(page, address)
        plain, own = first_paint(browser, f"{address}/cautions"), first_paint(browser, session)
        print(f"first paint: {own:.0f} ms, {own / plain:.1f} times the cautions page's {plain:.0f} ms")
        show_weight(weights(browser, session))
        if sys.argv[1:] == ["light"]:
            return
        for slowed in (1, SLOWED):
            took_s = engine_ready(browser, address, slowed) / 1000
            print(f"engine ready, processor slowed {slowed} times: {took_s:.1f} s")
        for offline in (False, True):
            for wait_ms in (100, 2500):
                pairs = taps(browser, address, offline=offline, wait_ms=wait_ms)
                shown, decided = zip(*pairs, strict=True)
                place = "offline" if offline else "online"
                print(
                    f"{place}, a tap every {wait_ms / 1000:g} s, slowed {SLOWED} times: next shown in "
                    f"{statistics.median(shown):.0f} ms (worst {max(shown):.0f}), decided in "
                    f"{statistics.median(decided):.0f} ms (worst {max(decided):.0f})"
                )
        browser.close()


if __name__ == "__main__":
    main()
