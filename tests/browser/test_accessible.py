"""Every page and state is without a violation that axe-core can find, by day and by night, on a phone.

The rules are those for WCAG 2.2 (W3C Recommendation), levels A and AA, and axe-core's own best practice.
"""

from __future__ import annotations

import shutil
import socket
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from browser.conftest import Gym

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
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    served = Gym(folder, port)
    try:
        served.start()
        yield served
    finally:
        served.kill()


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
    page.goto(f"{gym.address}/cautions")
    page.evaluate(
        """async () => { const own = document.querySelector('script[src$="settings.js"]').src;
        (await import(own.replace('settings.js', 'settings_sheet.js'))).openSettings() }"""
    )
    page.get_by_role("heading", name="Settings").wait_for()


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
        "/board",
        "/no-such-page",
    )
} | {"settings": settings}


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("state", WAYS)
def test_axe_finds_nothing(page: Page, gym: Gym, state: str, scheme: Any) -> None:
    page.emulate_media(color_scheme=scheme)
    WAYS[state](page, gym)
    assert found(page) == []


def test_axe_finds_what_is_wrong(page: Page) -> None:
    page.set_content('<html lang="en"><title>Wrong</title><main><h1>Wrong</h1><img src="data:,"></main>')
    assert [line.partition(":")[0] for line in found(page)] == ["image-alt"]
