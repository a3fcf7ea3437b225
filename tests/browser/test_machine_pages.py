"""The machine's pages on a phone and a tablet: they fit, a thumb meets its target, drawings keep their words."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from browser.conftest import Gym, at_a_device

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

PAGES = (
    "/machine",
    "/station/low-pulley?beside=curl",
    "/station/row?tempo=1-0-0.5-0",
    "/station/curl/joints?beside=low-pulley",
    "/station/row/joints",
    "/plates?buy=1",
)
SPILT = """() => [...document.querySelectorAll('svg.drawing')].flatMap(drawing => {
    const room = drawing.getBoundingClientRect();
    return [...drawing.querySelectorAll('text')].filter(text => {
        const box = text.getBoundingClientRect();
        return box.left < room.left - 1 || box.right > room.right + 1;
    }).map(text => text.textContent);
})"""
"""Texts of drawings, as this browser's own letters are wide, that leave their picture."""


@pytest.mark.parametrize("size", [(390, 844), (820, 1180)], ids=["phone", "tablet"])
def test_every_page_fits_and_keeps_its_letters_inside(browser: Browser, gym: Gym, size: tuple[int, int]) -> None:
    screen = {"width": size[0], "height": size[1]}
    with at_a_device(browser, viewport=screen, has_touch=True, is_mobile=True) as page:
        for place in PAGES:
            page.goto(gym.address + place)
            assert page.evaluate("document.documentElement.scrollWidth") == size[0], place
            assert page.evaluate(SPILT) == [], place


def test_buttons_and_fields_are_as_high_as_a_thumb(page: Page, gym: Gym) -> None:
    for place in PAGES:
        page.goto(gym.address + place)
        for control in page.locator("main :is(button, .button, summary, select, input:not([type=hidden]))").all():
            box = control.bounding_box()
            within = control.locator("xpath=ancestor::label").count()  # the label is what a thumb meets there
            assert box is None or within or box["height"] >= 44, (place, control.evaluate("e => e.outerHTML"))


def test_from_the_machine_to_a_station_to_another_beside_it(page: Page, gym: Gym) -> None:
    page.goto(f"{gym.address}/machine")
    page.get_by_role("link", name="Curl pad").tap()
    page.get_by_role("heading", name="Curl pad", exact=True).wait_for()
    page.get_by_label("beside").select_option("low-pulley")
    page.get_by_role("button", name="Show").first.tap()
    page.locator("#beside p", has_text="At the same").wait_for()
    page.get_by_role("link", name="Where it is hard for the elbow").tap()
    page.get_by_label("Stature").fill("5 ft 7 in")
    page.get_by_role("button", name="Show").tap()
    page.locator("main", has_text="hardest at").wait_for()


def test_a_tempo_typed_on_the_phone_is_answered_there(page: Page, gym: Gym) -> None:
    page.goto(f"{gym.address}/station/row")
    page.get_by_label("At tempo").fill("1-0-0.4-0")
    page.locator("#motion").get_by_role("button", name="Show").tap()
    page.locator("#motion .warning").wait_for()
    assert "the load floats" in page.locator("#motion .warning").inner_text()
