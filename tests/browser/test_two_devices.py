"""Two devices on one session: what one does the other shows, and what both do apart is one in the end."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import pytest

from browser.conftest import a_page
from browser.steps import KEPT, agree, begin, saved, saved_all, slot, tap_reps, visit

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

    from browser.conftest import Gym


@pytest.fixture
def other(browser: Browser) -> Iterator[Page]:
    """A second device."""
    yield from a_page(browser, engine=False)


def test_a_set_done_on_another_device_appears_without_a_reload(page: Page, other: Page, gym: Gym) -> None:
    address = begin(page, gym)
    visit(other, address)
    done = tap_reps(page)
    other.locator(f'#pad:not([data-slot="{done}"])').wait_for()
    agree(page, other)
    for device in (page, other):
        saved(device)
    assert slot(other) == slot(page)
    assert other.locator("#saved-words").inner_text() == page.locator("#saved-words").inner_text()


def test_the_same_set_on_two_devices_that_are_apart_is_one(page: Page, other: Page, gym: Gym) -> None:
    address = begin(page, gym)
    visit(other, address)
    agree(page, other)
    for device in (page, other):
        device.context.set_offline(True)
    done = tap_reps(other)
    other.wait_for_timeout(30)  # the first by time counts
    page.locator("#keys button").first.click()
    page.locator(KEPT).wait_for()

    page.context.set_offline(False)
    saved(page)
    other.context.set_offline(False)
    saved_all(other)
    agree(page, other)
    for device in (page, other):
        saved(device)

    session = gym.session(address)
    assert [one.done.slot for one in session.sets] == [done]
    assert [one.done.slot for one in session.repeats] == [done]
    assert session.sets[0].at < session.repeats[0].at
    assert slot(page) == slot(other) != done
    assert page.locator("#saved-words").inner_text() == other.locator("#saved-words").inner_text()


def test_one_undo_brings_a_set_back_that_was_tapped_on_both(page: Page, other: Page, gym: Gym) -> None:
    address = begin(page, gym)
    visit(other, address)
    for device in (page, other):
        device.context.set_offline(True)
    done = tap_reps(other)
    assert tap_reps(page) == done
    for device in (page, other):
        device.context.set_offline(False)
        saved_all(device)
    agree(page, other)
    other.locator("#undo").click()
    saved_all(other)
    agree(page, other)
    assert slot(page) == slot(other) == done
    assert gym.session(address).sets == gym.session(address).repeats == ()


def test_an_undo_on_one_device_and_an_effort_on_the_other_agree(page: Page, other: Page, gym: Gym) -> None:
    address = begin(page, gym)
    visit(other, address)
    done = tap_reps(page)
    agree(page, other)
    for device in (page, other):
        device.context.set_offline(True)
    page.locator("#undo").click()
    other.locator("#note").click()
    other.get_by_role("button", name="Form broke").click()
    other.locator("#saved-words", has_text="form broke").wait_for()
    for device in (page, other):
        device.context.set_offline(False)
    saved_all(page)
    saved_all(other)
    agree(page, other)
    assert slot(page) == slot(other) == done
    assert gym.session(address).sets == ()


def test_two_tabs_of_one_device_agree(page: Page, gym: Gym) -> None:
    address = begin(page, gym)
    tab = page.context.new_page()
    visit(tab, address)
    done = tap_reps(tab)
    saved(tab)
    page.bring_to_front()
    page.locator(f'#pad:not([data-slot="{done}"])').wait_for()
    agree(page, tab)
    assert [one.slot for one in gym.sets_of(address)] == [done]
