"""Where the browser allows a service worker, pages start without the server, with all that was done before."""

from __future__ import annotations

import signal
from collections.abc import Iterator
from typing import TYPE_CHECKING

import pytest

from browser.conftest import PHONE, at_a_device
from browser.steps import KEPT, SAVED, begin, ready, slot, tap_reps, wait_until

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

    from browser.conftest import Gym

KEPT_AFTER_MS = 4000
"""A page that is kept comes up after so long without an answer."""
ACTIVE = "() => navigator.serviceWorker.getRegistration().then((found) => Boolean(found?.active))"
PAGE_KEPT = "(address) => caches.open('steelyard-pages').then((kept) => kept.match(address)).then(Boolean)"


@pytest.fixture
def phone(browser: Browser) -> Iterator[Page]:
    """A phone whose browser may keep pages."""
    with at_a_device(browser, viewport=PHONE, has_touch=True, is_mobile=True, service_workers="allow") as page:
        yield page


def wait_until_kept(page: Page) -> None:
    """Until the page would start without the server."""
    wait_until(page, lambda: page.evaluate(ACTIVE) and page.evaluate(PAGE_KEPT, page.url), "the page is kept")


def test_a_session_starts_without_the_server_and_loses_nothing(phone: Page, gym: Gym) -> None:
    address = begin(phone, gym)
    wait_until_kept(phone)
    first = tap_reps(phone)
    phone.locator(SAVED).wait_for()

    gym.kill()
    phone.reload()
    ready(phone)
    second = tap_reps(phone)
    phone.locator(KEPT).wait_for()
    phone.reload()
    ready(phone)
    assert slot(phone) not in (first, second)

    gym.start()
    phone.locator(SAVED).wait_for()
    assert [one.slot for one in gym.sets_of(address)] == [first, second]


def test_a_page_never_opened_before_says_what_to_do(phone: Page, gym: Gym) -> None:
    address = begin(phone, gym)
    wait_until_kept(phone)
    gym.kill()
    phone.goto(f"{address}0")
    said = phone.locator("body").inner_text()
    assert "Whose turn" in said or "The server does not answer" in said


def test_a_page_that_is_not_kept_is_waited_for(phone: Page, gym: Gym) -> None:
    begin(phone, gym)
    wait_until_kept(phone)
    assert gym.process is not None
    gym.process.send_signal(signal.SIGSTOP)
    phone.evaluate("() => { location.href = '/cautions' }")
    phone.wait_for_timeout(KEPT_AFTER_MS + 1000)
    gym.process.send_signal(signal.SIGCONT)
    phone.get_by_role("heading", name="Cautions").wait_for()


def test_what_the_server_lost_is_sent_to_it_again(phone: Page, gym: Gym) -> None:
    address = begin(phone, gym)
    journal = gym.folder / "journal.db"
    gym.kill()
    before = {path.name: path.read_bytes() for path in gym.folder.glob("journal.db*")}
    gym.start()
    done = tap_reps(phone)
    phone.locator(SAVED).wait_for()

    gym.kill()  # and an older copy of its journal is put back
    for path in gym.folder.glob("journal.db*"):
        path.unlink()
    for name, contents in before.items():
        (gym.folder / name).write_bytes(contents)
    assert journal.is_file()
    assert gym.sets_of(address) == []
    gym.start()
    wait_until(phone, lambda: [one.slot for one in gym.sets_of(address)] == [done], "the set is there again")
    phone.locator(SAVED).wait_for()
