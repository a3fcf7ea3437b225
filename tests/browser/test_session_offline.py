"""A whole pull session on a phone and on a tablet, online and cut off: nothing is lost, and every decision made in
the page is the one that the server makes of the same events."""

from __future__ import annotations

import json
import re
import time
from collections.abc import Iterator
from datetime import datetime
from random import Random
from typing import TYPE_CHECKING, Any

import pytest

from browser.conftest import PHONE, TABLET, a_page, session_of
from browser.steps import (
    ENGINE,
    ENGINE_MS,
    KEPT,
    begin,
    entries,
    events_kept,
    ready,
    saved_all,
    say_left,
    seen,
    slot,
    tap,
    tap_reps,
    tap_to_the_end,
)
from steelyard.home import read_home
from steelyard.journal.codec import encode_line
from steelyard.journal.events import SetDone
from steelyard.journal.memory import MemoryJournal
from steelyard.live.screen import screen
from steelyard.live.seen import session_events
from steelyard.service import Steelyard

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page, ViewportSize

    from browser.conftest import Gym

SIZES: dict[str, ViewportSize] = {"phone": PHONE, "tablet": TABLET}
DECIDED = ("slot", "station", "exercise", "role", "side", "loading", "felt_kg", "advised_kg")
"""What an event of a set says that was decided beforehand."""


@pytest.fixture(params=SIZES.values(), ids=SIZES)
def device(browser: Browser, request: pytest.FixtureRequest) -> Iterator[Page]:
    """A phone, and a tablet; neither decides anything itself."""
    yield from a_page(browser, engine=False, size=request.param)


@pytest.fixture(params=SIZES.values(), ids=SIZES)
def thinking(browser: Browser, request: pytest.FixtureRequest) -> Iterator[Page]:
    """A phone, and a tablet; the engine runs in their page."""
    yield from a_page(browser, engine=True, size=request.param)


def begin_a_pull(page: Page, gym: Gym) -> str:
    """The session with every technique: warm-ups, work sets, a drop set, a rest-pause, one-arm sets."""
    return begin(page, gym, lifter="tove", outline="pull")


def assert_all_was_lived_through(gym: Gym, address: str) -> None:
    done = [logged.done for logged in gym.session(address).sets]
    assert {one.role for one in done} >= {"warm-up", "work", "drop", "rest-pause"}
    assert {one.side for one in done} == {"both", "left", "right"}


def assert_decided_as_the_server_does(gym: Gym, address: str) -> int:
    """Each set's event is the one on the server's screen after what happened before; returns how many."""
    events = sorted(gym.events(), key=lambda event: (event.at, event.id))
    own = session_events(events, (session_of(address),))
    before = [event for event in events if event.id not in {one.id for one in own}]
    now = own[0].at

    def clock() -> datetime:
        return now.astimezone()

    server = Steelyard(read_home(gym.folder), MemoryJournal(), clock=clock, random=Random(0), origin="-")
    sets = [place for place, event in enumerate(own) if isinstance(event.body, SetDone)]
    for place in sets:
        now = own[place].at
        known = server.supposing([*before, *own[:place]])
        card = screen(known, (session_of(address),))["cards"][0]
        assert told(json.loads(encode_line(own[place]))["body"]) == told(card | card["body"])
    return len(sets)


def told(body: dict[str, Any]) -> dict[str, Any]:
    return {name: body[name] for name in DECIDED}


def test_a_whole_pull_session_is_tapped(device: Page, gym: Gym) -> None:
    address = begin_a_pull(device, gym)
    taps = tap_to_the_end(device, settle=True)
    device.get_by_role("heading", name="All sets done").wait_for()
    saved_all(device)
    assert len(gym.session(address).sets) == taps
    assert_all_was_lived_through(gym, address)
    assert assert_decided_as_the_server_does(gym, address) == taps


def cut(page: Page, gym: Gym) -> None:
    """No network on the phone; on the tablet the server is gone."""
    if page.viewport_size == PHONE:
        page.context.set_offline(True)
    else:
        gym.kill()


def restore(page: Page, gym: Gym) -> None:
    """The way to the server is there again."""
    page.context.set_offline(False)
    if gym.process is None:
        gym.start()


def live_through(page: Page) -> int:
    """Do all that is left as people do, some sets short and some long; returns how many."""
    taps = 0
    while slot(page):
        seen(page)
        tap(page, page.locator("#keys button").nth((3, 4, 5, 4, 2)[taps % 5]))
        taps += 1
        seen(page)
        say_left(page, ("1", "can't say", "3", "failed")[taps % 4])
    seen(page)
    return taps


def test_cut_off_after_the_first_set_the_page_decides_as_the_server_does(thinking: Page, gym: Gym) -> None:
    address = begin_a_pull(thinking, gym)
    thinking.locator(ENGINE).wait_for(state="attached", timeout=ENGINE_MS)
    tap_reps(thinking)
    saved_all(thinking)

    cut(thinking, gym)
    taps = 1 + live_through(thinking)
    assert len(gym.sets_of(address)) == 1
    made = {event.id: event for event in events_kept(thinking)}
    restore(thinking, gym)
    saved_all(thinking)

    arrived = session_events(gym.events(), (session_of(address),))
    assert {event.id: event for event in arrived} == made
    assert len(gym.session(address).sets) == taps
    assert gym.session(address).repeats == ()
    assert_all_was_lived_through(gym, address)
    assert assert_decided_as_the_server_does(gym, address) == taps


def test_online_too_the_page_and_the_server_say_the_same(thinking_page: Page, gym: Gym) -> None:
    """What was foreseen, what the engine found and what the server answered all meet in one page."""
    address = begin_a_pull(thinking_page, gym)
    thinking_page.locator(ENGINE).wait_for(state="attached", timeout=ENGINE_MS)
    for left in ("2", "1", "can't say", "4", "failed", "2"):
        tap_reps(thinking_page)
        seen(thinking_page)
        say_left(thinking_page, left)
        seen(thinking_page)
    saved_all(thinking_page)
    assert assert_decided_as_the_server_does(gym, address) == 6


def test_a_reload_in_the_middle_goes_on_where_it_was(page: Page, gym: Gym) -> None:
    begin_a_pull(page, gym)
    for _ in range(4):
        tap_reps(page)
        say_left(page)
    before, place = seen(page), slot(page)
    saved_all(page)
    page.reload()
    ready(page)
    assert (seen(page), slot(page)) == (before, place)
    assert all(entry["state"] == "there" for entry in entries(page))


def test_a_question_left_open_is_still_asked_after_a_reload(page: Page, gym: Gym) -> None:
    begin_a_pull(page, gym)
    while not page.locator("#pad.left").count():
        tap_reps(page)
        seen(page)
    saved_all(page)
    asked = page.locator("#ask").inner_text()
    page.reload()
    ready(page)
    page.locator("#pad.left").wait_for()
    assert page.locator("#ask").inner_text() == asked


def test_after_ten_minutes_away_the_clock_is_right_and_nothing_breaks(page: Page, gym: Gym) -> None:
    """As when a phone sleeps: the page's clock leaps, and no timer ran meanwhile."""
    begun = time.time()
    page.clock.install()
    begin_a_pull(page, gym)
    tap_reps(page)
    saved_all(page)
    page.context.set_offline(True)
    page.clock.fast_forward(600_000)
    page.locator("#count", has_text=re.compile("^1[0-9]:")).wait_for()
    assert page.locator("#clock").get_attribute("data-rest") == "over"
    tap_reps(page)
    page.locator(KEPT).wait_for()
    latest = max(events_kept(page), key=lambda event: event.at)
    assert isinstance(latest.body, SetDone)
    assert latest.body.rest_s is not None
    assert 500 < latest.body.rest_s < 600 + time.time() - begun
    page.context.set_offline(False)
    saved_all(page)
    assert slot(page)
