"""A session on a phone: tapped to its end, through restarts, outages and lost answers."""

from __future__ import annotations

import re
import time
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import pytest

from browser.conftest import at_a_device
from browser.steps import (
    KEPT,
    SAVED,
    begin,
    events_kept,
    is_asking,
    ready,
    saved,
    saved_all,
    say_left,
    seen,
    slot,
    tap_reps,
    tap_to_the_end,
    visit,
    wait_until,
)
from steelyard.journal.events import ExerciseEnded, SetSkipped

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page, Route

    from browser.conftest import Gym


AN_HOUR_S = 3600


def counted_s(page: Page) -> int:
    """How long the clock says that the rest is."""
    minutes, seconds = page.locator("#count").inner_text().partition(" ")[0].split(":")
    return 60 * int(minutes) + int(seconds)


def tap_to_the_first_question(page: Page) -> None:
    """Tap the warm-ups and one set more: how many reps were left is asked then."""
    while not is_asking(page):
        tap_reps(page)
        seen(page)


def choose(page: Page, way: str, words: str) -> None:
    """Open a sheet with one of the buttons under the pad, and tap the choice that begins so."""
    page.locator(f"#{way}").click()
    page.locator("#sheet[open]").get_by_role("button", name=re.compile(f"^{words}")).first.click()


def end(page: Page) -> None:
    """End a session all of whose sets are done."""
    page.locator("#end").click()
    page.get_by_role("heading", name="Session ended").wait_for()
    saved_all(page)


def test_a_session_tapped_to_its_end_is_there_after_a_restart(page: Page, gym: Gym) -> None:
    address = begin(page, gym)
    first = page.locator("#who").inner_text()
    taps = tap_to_the_end(page)
    end(page)

    gym.kill()
    gym.start()

    visit(page, address)
    page.get_by_role("heading", name="Session ended").wait_for()
    assert len(gym.sets_of(address)) == taps
    page.get_by_role("link", name="The next session").click()
    page.get_by_role("button", name="Start").first.wait_for()
    assert page.locator(".sets li").count() > 0
    assert first in page.locator(".top").inner_text()


def test_an_ended_session_asks_nothing_more(page: Page, gym: Gym) -> None:
    begin(page, gym, lifter="tove", outline="pull")
    while not page.locator("#pad.left").count():
        tap_reps(page)
    choose(page, "more", "End the session")
    page.get_by_role("heading", name="Session ended").wait_for()
    assert page.locator("#keys").is_hidden()


def test_a_session_without_a_set_says_so_once(page: Page, gym: Gym) -> None:
    begin(page, gym)
    choose(page, "more", "End the session")
    page.locator("#done", has_text="no work set was logged").wait_for()
    assert "0 work sets" not in page.locator("#done").inner_text()


def test_the_next_session_is_another_outline(page: Page, gym: Gym) -> None:
    page.goto(gym.address)
    before = page.locator(".person .what").first.inner_text()
    begin(page, gym)
    tap_reps(page)
    choose(page, "more", "End the session")
    page.get_by_role("heading", name="Session ended").wait_for()
    saved_all(page)
    page.goto(gym.address)
    assert page.locator(".person .what").first.inner_text() != before


def test_without_script_the_page_says_what_it_needs(browser: Browser, gym: Gym) -> None:
    with at_a_device(browser, java_script_enabled=False) as page:
        page.goto(gym.address)
        page.locator(".person .go").first.click()
        page.get_by_role("button", name="Start").first.click()
        assert page.locator("#lead").inner_text()
        assert page.locator("#beam svg").count() == 1
        assert "steelyard log" in page.locator("noscript p").inner_text()


def test_saved_is_said_only_once_it_is_on_disk(page: Page, gym: Gym) -> None:
    address = begin(page, gym)
    held: list[Route] = []
    holding = True

    def hold(route: Route) -> None:
        if holding:
            held.append(route)
        else:
            route.fallback()

    page.route("**/events", hold)
    tap_reps(page)
    page.locator(KEPT).wait_for()
    assert gym.sets_of(address) == []
    wait_until(page, lambda: bool(held), "the set is on its way")
    page.wait_for_timeout(300)
    assert page.locator(SAVED).count() == 0
    holding = False
    for route in held:
        route.continue_()
    saved(page)
    assert len(gym.sets_of(address)) == 1


STATES = """globalThis.states = []; new MutationObserver(() => {
  const state = document.getElementById("saved")?.dataset.state;
  if (state && states.at(-1) !== state) states.push(state);
}).observe(document, { subtree: true, childList: true, attributeFilter: ["data-state"] })"""


def test_no_state_is_claimed_too_early_for_a_moment(page: Page, gym: Gym) -> None:
    begin(page, gym)
    page.evaluate(STATES)
    tap_reps(page)
    saved(page)
    assert page.evaluate("states") == ["keeping", "kept", "saved"]


def test_what_waits_is_not_called_saved_when_the_page_comes_up(page: Page, gym: Gym) -> None:
    address = begin(page, gym)
    page.context.route("**/events", lambda route: route.abort())
    tap_reps(page)
    page.locator(KEPT).wait_for()
    again = page.context.new_page()
    again.add_init_script(STATES)
    visit(again, address)
    again.locator(KEPT).wait_for()
    again.wait_for_timeout(500)
    assert again.evaluate("states") == ["kept"]


def test_what_happens_later_is_stamped_later_whatever_the_servers_clock_says(page: Page, gym: Gym) -> None:
    address = begin(page, gym)

    def half_a_minute_ago(route: Route) -> None:
        answer = route.fetch()
        told = answer.json()
        told["screen"]["now"] -= 30
        route.fulfill(response=answer, json=told)

    tap_reps(page)
    page.route("**/events", half_a_minute_ago)
    tap_reps(page)
    saved_all(page)
    tap_reps(page)
    saved_all(page)
    marks = [logged.at for logged in gym.session(address).sets]
    assert len(marks) == 3
    assert [one.slot for one in gym.sets_of(address)] == [one.done.slot for one in gym.session(address).sets]


def test_an_old_copy_of_the_page_does_not_set_the_clock_back(page: Page, gym: Gym) -> None:
    """As when it comes out of the browser's own store an hour later, with the server gone."""
    address = begin(page, gym)
    tap_reps(page)
    saved_all(page)
    held = page.request.get(address).text()
    old = re.sub(r'"now":([0-9.]+)', lambda now: f'"now":{float(now[1]) - AN_HOUR_S}', held)
    page.route(re.compile("/session/.*/(state|events)"), lambda route: route.abort())
    page.route(address, lambda route: route.fulfill(body=old, content_type="text/html"))
    page.goto(address)
    ready(page)
    wait_until(page, lambda: counted_s(page) > 0, "the rest counts")  # an hour back it would stand still
    assert counted_s(page) < AN_HOUR_S / 2
    tap_reps(page)
    page.locator(KEPT).wait_for()
    latest = max(event.at for event in events_kept(page))
    assert abs(datetime.now(UTC) - latest) < timedelta(seconds=AN_HOUR_S / 2)


def test_a_tap_while_the_server_is_down_is_delivered_once(page: Page, gym: Gym) -> None:
    address = begin(page, gym)
    gym.kill()
    done = tap_reps(page)
    page.locator(KEPT).wait_for()
    page.locator("#link", has_text="1 thing waits here").wait_for()
    assert page.locator(SAVED).count() == 0

    gym.start()

    saved(page)
    page.locator("#link").wait_for(state="hidden")
    assert [one.slot for one in gym.sets_of(address)] == [done]


def test_a_kept_tap_survives_closing_the_page(page: Page, gym: Gym) -> None:
    address = begin(page, gym)
    gym.kill()
    tap_reps(page)
    page.locator(KEPT).wait_for()
    context = page.context
    page.close()

    gym.start()

    again = context.new_page()
    visit(again, address)
    saved(again)
    assert len(gym.sets_of(address)) == 1


def test_a_lost_answer_does_not_double_a_set(page: Page, gym: Gym) -> None:
    address = begin(page, gym)
    lost = []

    def lose_first_answer(route: Route) -> None:
        if lost:
            route.fallback()
        else:
            lost.append(route.fetch().status)
            route.abort()

    page.route("**/events", lose_first_answer)
    tap_reps(page)
    saved(page)
    assert lost == [200]
    assert len(gym.sets_of(address)) == 1


def test_how_many_more_can_be_said_while_the_server_is_down(page: Page, gym: Gym) -> None:
    address = begin(page, gym)
    tap_to_the_first_question(page)
    saved(page)
    gym.kill()
    assert say_left(page, "3")
    page.locator("#saved-words", has_text="3 left").wait_for()

    gym.start()

    saved(page)
    assert page.locator("#saved-words", has_text="3 left").count() == 1
    last = gym.session(address).sets[-1].done
    assert (last.rir, last.ended) == (3, "reported")


def test_whoever_cant_say_is_not_asked_again(page: Page, gym: Gym) -> None:
    begin(page, gym)
    tap_to_the_first_question(page)
    shown = slot(page)
    say_left(page, "can't say")
    page.locator("#pad:not(.left)").wait_for()
    assert slot(page) == shown
    page.wait_for_timeout(2500)  # longer than the page waits before it asks the server again
    assert not is_asking(page)


def test_a_set_that_failed_is_a_failure(page: Page, gym: Gym) -> None:
    address = begin(page, gym)
    tap_to_the_first_question(page)
    say_left(page, "failed")
    page.locator("#saved-words", has_text="ended in failure").wait_for()
    saved(page)
    last = gym.session(address).sets[-1].done
    assert (last.rir, last.ended) == (0, "failure")


def test_undo_brings_the_set_back(page: Page, gym: Gym) -> None:
    address = begin(page, gym)
    done = tap_reps(page)
    page.locator("#undo").click()
    page.locator(f'#pad[data-slot="{done}"]').wait_for()
    saved_all(page)
    assert page.locator("#saved").is_hidden()
    assert gym.session(address).sets == ()


def test_a_set_left_out_can_be_taken_back(page: Page, gym: Gym) -> None:
    begin(page, gym)
    left_out = slot(page)
    choose(page, "change", "Leave it out")
    page.locator(f'#pad:not([data-slot="{left_out}"])').wait_for()
    page.locator("#undo").click()
    page.locator(f'#pad[data-slot="{left_out}"]').wait_for()
    saved_all(page)
    assert any(isinstance(event.body, SetSkipped) for event in gym.events())


def test_no_more_of_an_exercise_leads_to_the_next(page: Page, gym: Gym) -> None:
    begin(page, gym)
    place = slot(page).split(".")[0]
    choose(page, "change", "No more of it today")
    page.locator(f'#pad:not([data-slot^="{place}."])').wait_for()
    seen(page)
    saved_all(page)
    assert slot(page).split(".")[0] != place
    assert [e.body.why for e in gym.events() if isinstance(e.body, ExerciseEnded)] == ["enough"]


def test_another_number_of_reps_can_be_written(page: Page, gym: Gym) -> None:
    address = begin(page, gym)
    page.get_by_role("button", name="Another number of reps").click()
    page.locator("#number").fill("31")
    page.get_by_role("button", name="Done").click()
    page.locator("#saved-words", has_text="31 reps").wait_for()
    saved(page)
    assert gym.sets_of(address)[0].reps == 31


def test_a_number_that_can_not_be_is_refused_on_the_spot(page: Page, gym: Gym) -> None:
    address = begin(page, gym)
    page.get_by_role("button", name="Another number of reps").click()
    page.locator("#number").fill("900")
    page.get_by_role("button", name="Done").click()
    assert page.get_by_role("alert").inner_text() == "That is '900'; it must be a whole number from 0 to 200."
    page.get_by_role("button", name="Close").click()
    assert gym.sets_of(address) == []


def test_the_rest_goes_on_counting_through_a_reload(page: Page, gym: Gym) -> None:
    begun = time.time()
    begin(page, gym)
    tap_reps(page)
    saved(page)
    wait_until(page, lambda: counted_s(page) >= 4, "a rest of 4 s")
    page.route(re.compile("/session/.*/(state|events)"), lambda route: route.abort())
    before_s, left = counted_s(page), time.time()
    page.reload()
    ready(page)

    def goes_on() -> bool:  # one that began anew would stay behind by all that was counted before
        least_s = before_s - 2 + time.time() - left
        return least_s <= counted_s(page) <= time.time() - begun + 1

    wait_until(page, goes_on, "the clock counts on")


def test_stop_signs_are_one_tap_away(page: Page, gym: Gym) -> None:
    begin(page, gym)
    page.locator("#stop").click()
    assert page.locator("#sheet[open] li").first.is_visible()
    assert page.get_by_role("button", name="End the session").is_visible()


def test_pain_ends_the_exercise_and_the_session_goes_on(page: Page, gym: Gym) -> None:
    begin(page, gym)
    place = slot(page).split(".")[0]
    choose(page, "stop", "Something hurts")
    page.locator(f'#pad:not([data-slot^="{place}."])').wait_for(state="attached")
    saved_all(page)
    assert [e.body.why for e in gym.events() if isinstance(e.body, ExerciseEnded)] == ["pain"]


PAGES = ("/", "/lifter/{who}", "/review/{who}", "/machine", "/plates", "/cautions", "/lifter/{who}/screening")


@pytest.mark.parametrize("address", PAGES)
def test_no_page_scrolls_sideways_on_a_phone(page: Page, gym: Gym, address: str) -> None:
    page.goto(gym.address)
    who = (page.locator(".person .aside").first.get_attribute("href") or "").rpartition("/")[2]
    page.goto(gym.address + address.format(who=who))
    assert page.evaluate("document.documentElement.scrollWidth") <= 390


def test_every_target_is_large_enough_for_a_thumb(page: Page, gym: Gym) -> None:
    """At least 44 CSS pixels: WCAG 2.2 (W3C Recommendation), success criterion 2.5.5, from memory."""
    begin(page, gym)
    tap_to_the_first_question(page)
    say_left(page)
    seen(page)
    for sheet in ("", "#note", "#stop", "#change", "#more"):
        if sheet:
            page.locator(sheet).click()
        for target in page.locator("button:visible, a.button:visible, textarea:visible").all():
            box = target.bounding_box()
            assert box is not None
            assert min(box["height"], box["width"]) >= 44, (sheet, target.inner_text())
        if sheet:
            page.locator("#sheet").get_by_role("button", name="Close").click()
