"""What a lifter does on the page, and what a test may look at."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from browser.conftest import PATIENCE_MS
from steelyard.journal.codec import event_from_plain

if TYPE_CHECKING:
    from playwright.sync_api import Locator, Page

    from browser.conftest import Gym
    from steelyard.journal.events import Event

READY = "html[data-ready=page]"
ENGINE = "html[data-engine=ready]"
ENGINE_MS = 120_000
"""How long the engine may take to be there on a machine that does much else meanwhile."""
PATIENCE_S = PATIENCE_MS / 1000
SETTLED = 'body[data-seen]:not([data-seen=""])'
SAVED = "#saved[data-state=saved]"
KEPT = "#saved[data-state=kept]"
NOTE_THE_SLOT = """() => addEventListener("click", () => {
  globalThis.tapped = document.getElementById("pad").dataset.slot;
}, { capture: true, once: true })"""
ENTRIES = """() => new Promise((resolve, reject) => {
  const opening = indexedDB.open("steelyard");
  opening.onerror = () => reject(opening.error);
  opening.onsuccess = () => {
    const database = opening.result;
    const asked = database.transaction("events").objectStore("events").getAll();
    asked.onerror = () => reject(asked.error);
    asked.onsuccess = () => { database.close(); resolve(asked.result); };
  };
})"""
"""What the browser keeps of sessions, read past the page's own script."""


def begin(page: Page, gym: Gym, *, lifter: str = "", outline: str = "") -> str:
    """From the first page to the first set; returns the session's address."""
    page.goto(f"{gym.address}/lifter/{lifter}?outline={outline}" if lifter else gym.address)
    if not lifter:
        page.locator(".person .go").first.click()
    page.get_by_role("button", name="Start").first.click()
    ready(page)
    return page.url


def ready(page: Page) -> None:
    """Wait until the page can be tapped."""
    page.locator(READY).wait_for(state="attached")


def visit(page: Page, address: str) -> None:
    """Open a session's page."""
    page.goto(address)
    ready(page)


def slot(page: Page) -> str:
    """The set that is shown; empty when none is left."""
    return page.locator("#pad").get_attribute("data-slot") or ""


def seen(page: Page) -> str:
    """The fingerprint of what the page shows, once that is settled."""
    page.locator(SETTLED).wait_for(state="attached")
    return page.locator("body").get_attribute("data-seen") or ""


def is_asking(page: Page) -> bool:
    """Whether the pad asks how many more."""
    return page.locator("#pad.left").count() > 0


def tap_reps(page: Page) -> str:
    """Tap a rep count in the range wanted; returns the slot it was for."""
    return tap(page, page.locator("#keys button.in").first)


def tap(page: Page, key: Locator) -> str:
    """Tap a rep count; returns the slot it was for once another is shown.

    The slot is noted at the tap: what the server decides meanwhile may change it until then.
    """
    page.evaluate(NOTE_THE_SLOT)
    key.click()
    done = str(page.evaluate("globalThis.tapped"))
    page.locator(f'#pad:not([data-slot="{done}"])').wait_for(state="attached")
    return done


def say_left(page: Page, left: str = "2") -> bool:
    """Say how many more there would have been, if it is asked; returns whether it was."""
    keys = page.locator("#pad.left #keys button, #aside:not([hidden]) button")
    if not keys.count():
        return False
    keys.filter(has_text=left).first.click()
    return True


def tap_to_the_end(page: Page, *, settle: bool = False) -> int:
    """Tap every set that is left, saying after each how many more there would have been; returns how many.

    settle: wait each time until what is shown follows from all that was tapped.
    """
    taps = 0
    while slot(page):
        tap_reps(page)
        taps += 1
        if say_left(page):
            page.locator("#pad:not(.left)").wait_for(state="attached")
        if settle:
            seen(page)
    return taps


def saved(page: Page) -> None:
    """Wait until nothing waits to be sent."""
    page.locator(SAVED).wait_for()


def saved_all(page: Page) -> None:
    """Wait until the server has everything that was tapped, whatever the page has to say of it."""
    seen(page)  # what was tapped is in the store by then
    wait_until(page, lambda: all(entry["state"] != "waiting" for entry in entries(page)), "all is sent")


def wait_until(page: Page, holds: Callable[[], bool], what: str) -> None:
    """Look again and again whether something holds that no locator can wait for. what: it in words."""
    deadline = time.monotonic() + PATIENCE_S
    while not holds():
        assert time.monotonic() < deadline, f"after {PATIENCE_S:.0f} s not yet: {what}"
        page.wait_for_timeout(50)


def agree(*pages: Page) -> None:
    """Wait until the pages show what follows from the same events."""
    wait_until(pages[0], lambda: len({seen(page) for page in pages}) == 1, "the pages show the same")


def entries(page: Page) -> list[dict[str, Any]]:
    """Every entry that the browser keeps: id, session, event, state, why."""
    found: list[dict[str, Any]] = page.evaluate(ENTRIES)
    return found


def events_kept(page: Page) -> list[Event]:
    """The events that the browser keeps, those that were refused left out."""
    kept = [entry["event"] for entry in entries(page) if entry["state"] != "refused"]
    return [event_from_plain(plain, "the browser's store") for plain in kept]
