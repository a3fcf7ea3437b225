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


SIZE = "(one) => parseFloat(getComputedStyle(one).fontSize)"
AT_2_M_PX = 84.0
"""Letters whose figures are 63 px or 10 mm tall, at 160 px to the inch: 17 minutes of arc at 2 m, thrice what good
eyes can just read (5 minutes of arc, from memory: the usual letter chart)."""


def test_what_is_read_from_afar_stays_large(device: Page, gym: Gym) -> None:
    begin(device, gym)
    assert device.locator("#reps").evaluate(SIZE) >= AT_2_M_PX
    assert device.locator("#count").evaluate(SIZE) >= AT_2_M_PX / 2.2
    assert device.locator("#lead").evaluate(SIZE) >= 20
    assert device.locator("#keys button").first.evaluate(SIZE) >= 24


def test_big_text_makes_the_reps_no_smaller(device: Page, gym: Gym) -> None:
    begin(device, gym)
    usual = device.locator("#reps").evaluate(SIZE)
    device.locator("html").evaluate("(page) => { page.dataset.text = 'big' }")
    assert device.locator("#reps").evaluate(SIZE) >= usual
    assert device.evaluate(OUTSIDE) == FITS


def test_a_phone_on_its_side_shows_the_reps_as_large(device: Page, gym: Gym) -> None:
    begin(device, gym)
    device.set_viewport_size({"width": 844, "height": 390})
    assert device.locator("#reps").evaluate(SIZE) >= AT_2_M_PX
    assert device.evaluate(OUTSIDE) == FITS


def test_the_browser_s_own_text_size_counts(page: Page, gym: Gym) -> None:
    begin(page, gym)
    usual = page.locator("#lead").evaluate(SIZE)
    page.context.new_cdp_session(page).send("Page.setFontSizes", {"fontSizes": {"standard": 32}})
    assert page.locator("#lead").evaluate(SIZE) == pytest.approx(2 * usual)
    assert page.evaluate(OUTSIDE)["wide"] == 0


def test_a_page_twice_as_large_scrolls_only_downwards(page: Page, gym: Gym) -> None:
    begin(page, gym)
    page.set_viewport_size({"width": 195, "height": 422})
    tap_reps(page)
    assert page.evaluate(OUTSIDE)["wide"] == 0
    assert page.locator("#pad").evaluate("(pad) => getComputedStyle(pad).position") == "static"


def test_big_text_on_a_phone_scrolls_only_downwards(page: Page, gym: Gym) -> None:
    page.add_init_script("localStorage.setItem('steelyard-settings', JSON.stringify({ text: 'big' }))")
    begin(page, gym)
    for _ in range(4):
        seen(page)
        assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
        tap_reps(page)
        say_left(page)
