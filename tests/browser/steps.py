"""What a lifter does on the page."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from playwright.sync_api import Page

    from browser.conftest import Gym


def begin(page: Page, gym: Gym) -> str:
    """From the first page to the first set; returns the session's address."""
    page.goto(gym.address)
    page.locator(".person .go").first.tap()
    page.get_by_role("button", name="Start").first.tap()
    page.locator("[data-slot]").wait_for()
    return page.url


def slot(page: Page) -> str:
    """The set that is shown."""
    return page.locator("[data-slot]").get_attribute("data-slot") or ""


def tap_reps(page: Page, *, wait: bool = True) -> str:
    """Tap a rep count in the range wanted; returns the slot it was for."""
    done = slot(page)
    page.locator(".keys .in").first.tap()
    if wait:
        page.locator(f'.pad:not([data-slot="{done}"]), .summary').first.wait_for()
    return done


def tap_to_the_end(page: Page) -> int:
    """Tap every set that is left, saying after each how many more there would have been; returns how many."""
    taps = 0
    while page.locator("[data-slot]").count():
        tap_reps(page)
        taps += 1
        if page.locator(".strip .row").count():
            page.locator(".strip .row button", has_text="2").tap()
            page.locator(".strip", has_text="2 left").wait_for()
    return taps
