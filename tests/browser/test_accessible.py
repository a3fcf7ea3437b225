"""Every page and state is without a violation that axe-core can find, by day and by night, on a phone.

The rules are those for WCAG 2.2 (W3C Recommendation), levels A and AA, and axe-core's own best practice.
"""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from secrets import token_hex
from typing import TYPE_CHECKING, Any

import pytest
from served_home import serving

from browser.conftest import Gym
from browser.steps import say_left, seen, tap_reps, visit
from steelyard.home import read_home

if TYPE_CHECKING:
    from playwright.sync_api import Page

AXE = Path(__file__).with_name("axe") / "axe.min.js"
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
Way = Callable[["Page", Gym], None]
"""From a new page to the state that is looked at."""


@pytest.fixture(scope="module")
def gym(demo_home: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Gym]:
    """One served home for all of these, since they only look."""
    folder = tmp_path_factory.mktemp("looked-at") / "home"
    shutil.copytree(demo_home, folder)
    with serving(folder, Gym) as served:
        yield served


def found(page: Page) -> list[str]:
    """What axe-core objects to, a line for each place."""
    page.evaluate(AXE.read_text(encoding="utf-8"))
    result: dict[str, Any] = page.evaluate("rules => axe.run(document, { runOnly: rules })", RULES)
    assert result["passes"]
    return [
        f"{one['id']}: {node['html'][:150]} {node['any'][:1] and node['any'][0]['message']}"
        for one in result["violations"]
        for node in one["nodes"]
    ]


def opening(address: str) -> Way:
    """A page by its address, in which {who} and {other} stand for lifters; all that unfolds is unfolded."""

    def way(page: Page, gym: Gym) -> None:
        page.goto(gym.address)
        asides = [one.get_attribute("href") or "" for one in page.locator(".person .aside").all()]
        who, other = (address.rpartition("/")[2] for address in asides[:2])
        page.goto(gym.address + address.format(who=who, other=other))
        page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true })")

    return way


def settings(page: Page, gym: Gym) -> None:
    """The sheet of settings, over the page of the session."""
    sheet("More")(page, gym)
    page.get_by_role("button", name="Settings").click()
    page.get_by_role("heading", name="Settings").wait_for()


def at_work(page: Page, gym: Gym) -> None:
    """A session of its own, the warm-ups done."""
    home = read_home(gym.folder)
    outline, session = next(iter(home.outlines)), token_hex(16)
    page.goto(gym.address)
    who = (page.locator(".person .aside").first.get_attribute("href") or "").rpartition("/")[2]
    page.request.post(f"{gym.address}/lifter/{who}/start", data={"outline": outline, "event": session})
    visit(page, f"{gym.address}/session/{session}")
    while "warm-up" in page.locator("#where").inner_text().lower():
        tap_reps(page)
        seen(page)


def asked(page: Page, gym: Gym) -> None:
    """How many more is asked."""
    at_work(page, gym)
    tap_reps(page)
    page.locator("#aside:not([hidden]) button, #pad.left button").first.wait_for()


def told(page: Page, gym: Gym) -> None:
    """A set was done and all was said of it."""
    asked(page, gym)
    say_left(page)
    page.locator("#saved", has_text="2 left").wait_for()


def sheet(button: str) -> Way:
    """A sheet over the page of the session."""

    def way(page: Page, gym: Gym) -> None:
        told(page, gym)
        page.get_by_role("button", name=button, exact=True).click()
        page.locator("dialog[open]").wait_for()

    return way


def served_no_more(page: Page, gym: Gym) -> None:
    """Nobody answers, and something waits."""
    told(page, gym)
    page.route("**/session/**", lambda route: route.abort())
    tap_reps(page)
    page.locator("#link:not([hidden])").wait_for()


def board(page: Page, gym: Gym) -> None:
    """The board of the session going on."""
    told(page, gym)
    page.goto(page.url.replace("/session/", "/board/"))
    page.locator("#count", has_text=":").wait_for()


def ended(page: Page, gym: Gym) -> None:
    """The session is over."""
    sheet("More")(page, gym)
    page.get_by_role("button", name="End the session").click()
    page.get_by_role("heading", name="Session ended").wait_for()


WAYS: dict[str, Way] = {
    address: opening(address)
    for address in (
        "/",
        "/lifter/{who}",
        "/lifter/{who}?orders=1",
        "/lifter/{who}/screening",
        "/turns?who={who}&who={other}",
        "/review/{who}",
        "/machine",
        "/machine/describe",
        "/machine/describe/start",
        "/machine/describe/take",
        "/machine/calibrate",
        "/station/row",
        "/station/low-pulley?beside=curl",
        "/station/row?tempo=1-0-0.5-0",
        "/station/curl/joints?beside=low-pulley",
        "/plates",
        "/plates?buy=1",
        "/plates?station=row&felt=60",
        "/cautions",
        "/phone",
        "/board",
        "/no-such-page",
    )
} | {
    "a set": at_work,
    "how many more": asked,
    "what was said": told,
    "stopping": sheet("Stop"),
    "changing": sheet("Change"),
    "a note": sheet("Note"),
    "more": sheet("More"),
    "settings": settings,
    "no server": served_no_more,
    "a board": board,
    "the end": ended,
}


@pytest.mark.parametrize("state", WAYS)
def test_axe_finds_nothing(page: Page, gym: Gym, state: str) -> None:
    page.emulate_media(color_scheme="light")
    WAYS[state](page, gym)
    by_day = found(page)
    page.emulate_media(color_scheme="dark")
    assert (by_day, found(page)) == ([], [])


def test_axe_finds_what_is_wrong(page: Page) -> None:
    page.set_content('<html lang="en"><title>Wrong</title><main><h1>Wrong</h1><img src="data:,"></main>')
    assert [line.partition(":")[0] for line in found(page)] == ["image-alt"]
