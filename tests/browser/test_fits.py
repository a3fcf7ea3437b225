"""Every set of a session fits the screen: nothing to scroll to, whatever the device, look and question."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import pytest

from browser.conftest import PHONE, TABLET, a_page
from browser.steps import begin, say_left, seen, slot, tap_reps

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page, ViewportSize

    from browser.conftest import Gym

OUTSIDE = """() => {
  const wide = document.documentElement.scrollWidth - innerWidth;
  const low = (one) => one.bottom > innerHeight + 0.5 || one.top < 0;
  const keys = [...document.querySelectorAll("#pad button, #lead, #reps, #saved button, #aside button")];
  const out = keys.filter((one) => one.offsetParent && low(one.getBoundingClientRect()));
  return { wide, out: out.map((one) => one.id || one.textContent) };
}"""
"""How far the page is wider than the screen [px], and what must be in reach but is not on it."""
FITS: dict[str, Any] = {"wide": 0, "out": []}
COVERED = """() => [...document.querySelectorAll("#pad button, #saved button, #aside button")]
  .filter((one) => one.offsetParent)
  .filter((one) => {
    const box = one.getBoundingClientRect();
    const top = document.elementFromPoint(box.x + box.width / 2, box.y + box.height / 2);
    return top !== one && !one.contains(top);
  }).map((one) => one.id || one.textContent)"""
"""Buttons that a thumb would miss, for something else lies on them."""
SIZES = {"phone": PHONE, "tablet": TABLET}


@pytest.fixture(params=SIZES.values(), ids=SIZES)
def device(browser: Browser, request: pytest.FixtureRequest) -> Iterator[Page]:
    """A phone, and a tablet on a stand."""
    size: ViewportSize = request.param
    yield from a_page(browser, engine=False, size=size)


@pytest.mark.parametrize("look", ["light", "dark"])
def test_each_set_of_a_pull_session_fits(device: Page, gym: Gym, look: Any) -> None:
    device.emulate_media(color_scheme=look)
    begin(device, gym, lifter="tove" if look == "light" else "marek", outline="pull")
    while slot(device):
        seen(device)
        device.locator("body:not(.changing)").wait_for()
        assert device.evaluate(OUTSIDE) == FITS, slot(device)
        assert device.evaluate(COVERED) == [], slot(device)
        tap_reps(device)
        assert device.evaluate(OUTSIDE) == FITS, slot(device)
        say_left(device)


def test_what_is_read_from_afar_stays_large(device: Page, gym: Gym) -> None:
    begin(device, gym)
    size = "(one) => parseFloat(getComputedStyle(one).fontSize)"
    assert device.locator("#reps").evaluate(size) >= 48
    assert device.locator("#lead").evaluate(size) >= 20
    assert device.locator("#keys button").first.evaluate(size) >= 24


def test_big_text_on_a_phone_scrolls_only_downwards(page: Page, gym: Gym) -> None:
    page.add_init_script("localStorage.setItem('steelyard-settings', JSON.stringify({ text: 'big' }))")
    begin(page, gym)
    for _ in range(4):
        seen(page)
        assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
        tap_reps(page)
        say_left(page)
