"""Two lifters train by turns of their own: what the one hangs on the machine, the other's page has to know."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING
from urllib.request import urlopen

from browser.conftest import session_of
from browser.steps import ENGINE, ENGINE_MS, begin, saved, saved_all, seen, tap_reps

if TYPE_CHECKING:
    from playwright.sync_api import Page

    from browser.conftest import Gym


def told_first(gym: Gym, address: str) -> str:
    """What the server says is to be done with the plates now."""
    with urlopen(f"{gym.address}/session/{session_of(address)}/state") as answer:
        lead: str = json.load(answer)["screen"]["cards"][0]["lead"]
    return lead


def test_what_another_lifter_hung_is_known_to_the_engine(thinking_page: Page, page: Page, gym: Gym) -> None:
    address = begin(thinking_page, gym, lifter="tove", outline="pull")
    thinking_page.locator(ENGINE).wait_for(state="attached", timeout=ENGINE_MS)
    before = thinking_page.locator("#lead").inner_text()
    begin(page, gym, lifter="marek", outline="pull")
    with thinking_page.expect_response("**/engine", timeout=ENGINE_MS):
        tap_reps(page)
        saved(page)
    thinking_page.locator(ENGINE).wait_for(state="attached", timeout=ENGINE_MS)
    thinking_page.context.set_offline(True)
    assert thinking_page.locator("#lead").inner_text() != before
    tap_reps(thinking_page)
    seen(thinking_page)
    alone = thinking_page.locator("#lead").inner_text()
    thinking_page.context.set_offline(False)
    saved_all(thinking_page)
    assert told_first(gym, address) == alone
