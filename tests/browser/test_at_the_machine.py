"""A session on a phone: tapped to its end, through restarts, outages and lost answers."""

from __future__ import annotations

import json
import urllib.request
from typing import TYPE_CHECKING

import pytest

from browser.steps import begin, slot, tap_reps, tap_to_the_end
from steelyard.journal.events import SetSkipped

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page, Route

    from browser.conftest import Gym


def test_a_session_tapped_to_its_end_is_there_after_a_restart(page: Page, gym: Gym) -> None:
    address = begin(page, gym)
    first = page.locator(".top a").inner_text()
    taps = tap_to_the_end(page)
    page.get_by_role("button", name="End the session").tap()
    page.get_by_role("heading", name="Session ended").wait_for()

    gym.kill()
    gym.start()

    page.goto(address)
    page.get_by_role("heading", name="Session ended").wait_for()
    assert len(gym.sets_of(address)) == taps
    page.get_by_role("link", name="The next session").tap()
    page.get_by_role("button", name="Start").first.wait_for()
    assert page.locator(".sets li").count() > 0
    assert first in page.locator(".top").inner_text()


def test_the_next_session_is_another_outline(page: Page, gym: Gym) -> None:
    page.goto(gym.address)
    before = page.locator(".person .what").first.inner_text()
    begin(page, gym)
    tap_reps(page)
    page.get_by_text("End", exact=True).tap()
    page.get_by_role("button", name="End the session").tap()
    page.get_by_role("heading", name="Session ended").wait_for()
    page.goto(gym.address)
    assert page.locator(".person .what").first.inner_text() != before


def test_a_set_is_logged_without_any_script(browser: Browser, gym: Gym) -> None:
    context = browser.new_context(java_script_enabled=False, has_touch=True)
    page = context.new_page()
    address = begin(page, gym)
    done = slot(page)
    page.locator(".keys .in").first.tap()
    page.locator(".strip", has_text="Saved").wait_for()
    assert slot(page) != done
    assert [one.slot for one in gym.sets_of(address)] == [done]
    context.close()


def test_saved_is_said_only_once_it_is_on_disk(page: Page, gym: Gym) -> None:
    address = begin(page, gym)
    tap_reps(page)
    assert page.locator(".strip").inner_text().startswith("Saved")
    assert len(gym.sets_of(address)) == 1


def test_a_tap_while_the_server_is_down_is_delivered_once(page: Page, gym: Gym) -> None:
    address = begin(page, gym)
    gym.kill()
    done = tap_reps(page, wait=False)
    page.locator("#kept", has_text="Kept on this phone, not yet saved").wait_for()
    assert page.get_by_text("Saved", exact=True).count() == 0

    gym.start()

    page.locator(".strip", has_text="Saved").wait_for()
    page.locator("#kept").wait_for(state="hidden")
    assert [one.slot for one in gym.sets_of(address)] == [done]


def test_a_kept_tap_survives_closing_the_page(page: Page, gym: Gym) -> None:
    address = begin(page, gym)
    gym.kill()
    tap_reps(page, wait=False)
    page.locator("#kept", has_text="Kept on this phone").wait_for()
    context = page.context
    page.close()

    gym.start()

    again = context.new_page()
    again.goto(address)
    again.locator(".strip", has_text="Saved").wait_for()
    assert len(gym.sets_of(address)) == 1


def test_a_lost_answer_does_not_double_a_set(page: Page, gym: Gym) -> None:
    address = begin(page, gym)
    lost = []

    def lose_first_answer(route: Route) -> None:
        if lost:
            route.fallback()
        else:
            lost.append(route.fetch(max_redirects=0).status)
            route.abort()

    page.route("**/set", lose_first_answer)
    tap_reps(page)
    assert lost == [303]
    assert len(gym.sets_of(address)) == 1


def test_how_many_more_can_be_said_while_the_server_is_down(page: Page, gym: Gym) -> None:
    begin(page, gym)
    while page.locator("[data-easy]").count():
        tap_reps(page)
    gym.kill()
    tap_reps(page, wait=False)
    page.locator("#kept .row button", has_text="3").tap()
    page.locator("#kept", has_text="how many more").wait_for()

    gym.start()

    page.locator(".strip", has_text="3 left").wait_for()


def test_a_set_done_on_another_device_is_refused_with_the_reason(page: Page, gym: Gym) -> None:
    address = begin(page, gym)
    body = json.dumps({"slot": slot(page), "reps": 7}).encode()
    headers = {"Content-Type": "application/json"}
    with urllib.request.urlopen(urllib.request.Request(f"{address}/set", body, headers)):
        page.locator(".keys .in").first.tap()
    page.locator("#kept", has_text="already done").wait_for()
    page.get_by_role("button", name="Put this away").tap()
    page.locator(".strip", has_text="Saved 7 reps").wait_for()
    assert len(gym.sets_of(address)) == 1


def test_undo_brings_the_set_back(page: Page, gym: Gym) -> None:
    begin(page, gym)
    done = tap_reps(page)
    page.get_by_role("button", name="Undo").tap()
    page.locator(f'.pad[data-slot="{done}"]').wait_for()
    assert page.locator(".strip").count() == 0


def test_a_set_left_out_can_be_taken_back(page: Page, gym: Gym) -> None:
    begin(page, gym)
    left_out = slot(page)
    page.get_by_role("button", name="Leave out").tap()
    page.get_by_role("button", name="Take it back").tap()
    page.locator(f'.pad[data-slot="{left_out}"]').wait_for()
    assert any(isinstance(event.body, SetSkipped) for event in gym.events())


def test_another_number_of_reps_can_be_written(page: Page, gym: Gym) -> None:
    address = begin(page, gym)
    page.locator("a.key").tap()
    page.locator("#reps-other").fill("31")
    page.get_by_role("button", name="Done").tap()
    page.locator(".strip", has_text="Saved 31 reps").wait_for()
    assert gym.sets_of(address)[0].reps == 31


def test_the_rest_goes_on_counting_through_a_reload(page: Page, gym: Gym) -> None:
    begin(page, gym)
    tap_reps(page)
    page.wait_for_timeout(2100)
    page.reload()
    page.wait_for_timeout(300)
    counted = page.locator("[data-since]").inner_text()
    assert "0:00" not in counted
    assert "0:01" not in counted


def test_stop_signs_are_one_tap_away(page: Page, gym: Gym) -> None:
    begin(page, gym)
    page.get_by_text("Stop signs").tap()
    assert page.locator(".sheet[open] li").first.is_visible()
    assert page.get_by_role("button", name="Stop here and end the session").is_visible()


PAGES = ("/", "/lifter/{who}", "/review/{who}", "/machine", "/plates", "/cautions", "/lifter/{who}/screening")


@pytest.mark.parametrize("address", PAGES)
def test_no_page_scrolls_sideways_on_a_phone(page: Page, gym: Gym, address: str) -> None:
    page.goto(gym.address)
    who = (page.locator(".person .aside").first.get_attribute("href") or "").rpartition("/")[2]
    page.goto(gym.address + address.format(who=who))
    assert page.evaluate("document.documentElement.scrollWidth") <= 390


def test_each_set_of_a_session_fits_a_phone(page: Page, gym: Gym) -> None:
    begin(page, gym)
    while page.locator("[data-slot]").count():
        assert page.evaluate("document.documentElement.scrollWidth") <= 390
        assert page.evaluate("document.documentElement.scrollHeight") <= 844, slot(page)
        tap_reps(page)


def test_every_target_is_large_enough_for_a_thumb(page: Page, gym: Gym) -> None:
    begin(page, gym)
    tap_reps(page)
    for target in page.locator("button:visible, a.key:visible, summary:visible").all():
        box = target.bounding_box()
        assert box is not None
        assert box["height"] >= 44, target.inner_text()
