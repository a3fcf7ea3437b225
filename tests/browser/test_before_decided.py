"""What is shown after a change of mind while nobody decides: no engine in the page, and no network."""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING, Any

import pytest

from browser.steps import begin, entries, ready, saved_all, slot, tap_reps, wait_until

if TYPE_CHECKING:
    from playwright.sync_api import Page

    from browser.conftest import Gym


def prepared(page: Page) -> dict[str, dict[str, Any]]:
    """The cards that came with the page, by slot."""
    cards = json.loads(page.locator("#start").text_content() or "")["screen"]["cards"]
    return {card["slot"]: card for card in cards}


def change(page: Page, words: str) -> str:
    """Choose the first change of mind in such words; returns the slot that was shown before."""
    before = slot(page)
    page.locator("#change").click()
    page.locator("#sheet").get_by_role("button", name=re.compile(words)).first.click()
    return before


def place(slot: str) -> str:
    return slot.partition(".")[0]


@pytest.mark.parametrize("words", ["instead$", "is broken$", "^Somebody is at the station", "^No more of it"])
def test_an_exercise_that_cannot_be_done_gives_way_at_once(page: Page, gym: Gym, words: str) -> None:
    begin(page, gym, lifter="tove", outline="pull")
    page.context.set_offline(True)
    before = change(page, words)
    page.locator(f'#pad:not([data-slot="{before}"])').wait_for(state="attached")
    assert place(slot(page)) != place(before)


def test_no_set_at_a_broken_station_is_shown_as_the_next(page: Page, gym: Gym) -> None:
    begin(page, gym, lifter="tove", outline="pull")
    cards = prepared(page)
    page.context.set_offline(True)
    broken = cards[change(page, "is broken$")]["body"]["station"]
    left = [name for name, card in cards.items() if card["body"]["station"] != broken]
    assert 0 < len(left) < len(cards)
    assert slot(page) == left[0]


def test_undo_takes_the_change_back_and_not_the_set_before(page: Page, gym: Gym) -> None:
    begin(page, gym, lifter="tove", outline="pull")
    tap_reps(page)
    saved_all(page)
    page.context.set_offline(True)
    before = change(page, "instead$")
    page.locator("#saved-words", has_text="another exercise").wait_for()
    page.locator("#undo").click()
    page.locator(f'#pad[data-slot="{before}"]').wait_for(state="attached")
    page.locator("#saved-words", has_text="reps at").wait_for()


def test_what_was_taken_back_before_a_reload_is_said(page: Page, gym: Gym) -> None:
    begin(page, gym, lifter="tove", outline="pull")
    tap_reps(page)
    saved_all(page)
    page.route("**/session/*/events", lambda route: route.abort())
    page.locator("#undo").click()
    wait_until(page, lambda: any(one["event"]["kind"] == "event-deleted" for one in entries(page)), "it is kept")
    page.reload()
    ready(page)
    page.locator("#saved-words", has_text="taken back; what follows shows once it is decided").wait_for()


def test_after_pain_what_works_the_same_muscles_is_left_out_with_a_tap(page: Page, gym: Gym) -> None:
    begin(page, gym, lifter="tove", outline="pull")
    page.context.set_offline(True)
    names = {place(name): card["name"] for name, card in prepared(page).items()}
    page.locator("#stop").click()
    page.get_by_role("button", name=re.compile("^Something hurts")).click()
    leave = page.locator("#sheet[open]").get_by_role("button", name=re.compile("^Leave out"))
    offered = leave.all_text_contents()
    for words in offered:
        page.get_by_role("button", name=words, exact=True).click()
    left = [name for name in names.values() if not any(name in words for words in offered)]
    page.locator("#done:not([hidden])" if len(left) == 1 else f'#name:text-is("{left[1]}")').wait_for()
    assert offered
