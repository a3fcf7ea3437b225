"""Describing the machine in a real browser: the drawing follows the tape measure, nothing typed is lost."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from browser.conftest import at_a_device
from browser.steps import wait_until
from steelyard.home import read_home
from steelyard.machine.examples import example_text

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Locator, Page

    from browser.conftest import Gym

PAGE = "/machine/describe"
DAMAGED = Path(__file__).parents[1] / "damaged" / "machine" / "horn-too-short.toml"


def by_name(page: Page, name: str) -> Locator:
    return page.locator(f'[name="{name}"]')


def open_part(page: Page, place: str) -> None:
    page.locator(f'[data-part="{place}"] > summary').click()


def press(page: Page, name: str) -> None:
    """Press a button that brings another page, and wait until all of that is there."""
    with page.expect_navigation():
        page.get_by_role("button", name=name).click()


@contextmanager
def drawn_anew(page: Page) -> Iterator[None]:
    """What is done within, and the drawing's answer to it."""
    page.locator("[data-says]").evaluate("line => line.append(document.createElement('wbr'))")
    with page.expect_response(re.compile("/drawing$")):
        yield
    page.locator("[data-says] wbr").wait_for(state="detached")


def answered(page: Page, name: str, text: str) -> None:
    """Type, and wait for the drawing's answer."""
    with drawn_anew(page):
        by_name(page, name).fill(text)


def shown_with_plates(page: Page) -> float:
    """The felt load with plates under the drawing. [kg]"""
    found = re.search(r"post ([\d.]+) kg$", page.locator("[data-says]").inner_text())
    assert found is not None
    return float(found[1])


@pytest.fixture
def described(page: Page, gym: Gym) -> Page:
    page.goto(gym.address + PAGE)
    return page


def test_a_moved_horn_changes_drawing_and_felt_load_and_is_saved(described: Page, gym: Gym) -> None:
    page = described
    with drawn_anew(page):
        open_part(page, "station.row")
    page.locator("[data-says]", has_text="Lever row").wait_for()
    drawing, felt_kg = page.locator("[data-drawing]").inner_html(), shown_with_plates(page)
    open_part(page, "horn.tip")
    answered(page, "horn.tip.at_mm.0", "700")
    page.wait_for_function("was => document.querySelector('[data-drawing]').innerHTML !== was", arg=drawing)
    assert shown_with_plates(page) < felt_kg - 3
    press(page, "Save and use this machine")
    page.get_by_role("heading", name="Saved").wait_for()
    assert "row: with 20 kg on each tip post" in page.content()
    assert read_home(gym.folder).gym.machine.horns["tip"].at_m == (0.7, 0.04)
    assert len(list(gym.folder.glob("machine-*.toml"))) == 1


def test_a_wrong_answer_is_told_in_place_and_the_last_drawing_stays(described: Page) -> None:
    page = described
    open_part(page, "horn.tip")
    drawing = page.locator("[data-drawing]").inner_html()
    answered(page, "horn.tip.length_mm", "5")
    page.locator('[data-asked="horn.tip.length_mm"] .amiss').wait_for()
    assert page.locator("[data-drawing]").inner_html() == drawing
    assert by_name(page, "horn.tip.length_mm").get_attribute("aria-invalid") == "true"
    answered(page, "horn.tip.length_mm", "250")
    page.locator(".amiss").wait_for(state="detached")


def test_the_link_to_the_problem_opens_its_part_and_goes_to_the_field(described: Page) -> None:
    page = described
    open_part(page, "station.high-pulley")
    answered(page, "station.high-pulley.cable.efficiency", "97")
    page.locator("[data-says] a").wait_for()
    open_part(page, "station.high-pulley")
    page.locator("[data-says] a").click()
    assert page.evaluate("document.activeElement.name") == "station.high-pulley.cable.efficiency"
    box = by_name(page, "station.high-pulley.cable.efficiency").bounding_box()
    look = page.locator(".looks").bounding_box()
    assert box is not None
    assert look is not None
    assert box["y"] > look["y"] + look["height"]


def test_a_wrong_machine_is_not_saved_and_all_that_was_typed_comes_back(described: Page, gym: Gym) -> None:
    page = described
    open_part(page, "machine")
    by_name(page, "machine.notes").fill("Ours, behind the shed")
    open_part(page, "arm.main")
    answered(page, "arm.main.mass", "sixteen")
    press(page, "Save and use this machine")
    page.locator("#amiss-f-arm\\.main\\.mass").wait_for()
    assert by_name(page, "machine.notes").input_value() == "Ours, behind the shed"
    assert by_name(page, "arm.main.mass").input_value() == "sixteen"
    assert list(gym.folder.glob("machine-*.toml")) == []


def test_another_kind_of_station_asks_other_questions(described: Page) -> None:
    page = described
    open_part(page, "station.row")
    assert by_name(page, "station.row.hand_mm.0").is_visible()
    with drawn_anew(page):
        by_name(page, "station.row.kind").select_option("cable")
    assert not by_name(page, "station.row.hand_mm.0").is_visible()
    assert by_name(page, "station.row.cable.wheel_mm.0").is_visible()
    by_name(page, "station.row.kind").select_option("lever")
    assert by_name(page, "station.row.hand_mm.0").input_value() == "1050"


def test_a_key_turns_the_sign_where_the_number_pad_has_no_minus(described: Page) -> None:
    page = described
    open_part(page, "arm.main")
    up = by_name(page, "arm.main.balance_mm.1")
    assert up.get_attribute("inputmode") == "decimal"
    sign = up.locator("xpath=following-sibling::button")
    sign.click()
    assert up.input_value() == "-10"
    sign.click()
    assert up.input_value() == "10"


def test_a_horn_is_added_in_view_and_removed(described: Page) -> None:
    page = described
    page.locator("#part-new\\.horn > summary").click()
    by_name(page, "new.horn.name").fill("inner")
    press(page, "Add this horn")
    page.locator('[data-part="horn.inner"][open]').wait_for()
    top = "document.getElementById('part-horn.inner').getBoundingClientRect().top"
    wait_until(page, lambda: page.evaluate(top) < 600, "the horn is in view")
    press(page, "Remove Horn inner")
    page.locator('[data-part="horn.inner"]').wait_for(state="detached")


def test_a_damaged_file_gets_one_line_and_keeps_the_page(page: Page, gym: Gym) -> None:
    page.goto(f"{gym.address}{PAGE}/start")
    page.locator("[name=file]").set_input_files(DAMAGED)
    press(page, "Look at it")
    told = page.locator(".amiss")
    told.wait_for()
    assert told.inner_text().startswith("horn-too-short.toml: horn.tip.length_mm is 5; it must be a number")
    assert page.locator("[name=text]").input_value() == DAMAGED.read_text(encoding="utf-8")


def test_somebodys_file_is_looked_at_and_used(page: Page, gym: Gym, tmp_path: Path) -> None:
    path = tmp_path / "theirs.toml"
    path.write_text(example_text("twin-arms"), encoding="utf-8")
    page.goto(f"{gym.address}{PAGE}/start")
    page.locator("[name=file]").set_input_files(path)
    press(page, "Look at it")
    page.get_by_text("From the file theirs.toml").wait_for()
    press(page, "Save and use this machine")
    page.get_by_role("heading", name="Saved").wait_for()
    assert read_home(gym.folder).gym.machine.name == "Twin-arm press and row"


@pytest.fixture
def plain(browser: Browser, gym: Gym) -> Iterator[Page]:
    """A browser without script."""
    with at_a_device(browser, java_script_enabled=False) as opened:
        opened.goto(gym.address + PAGE)
        yield opened


def test_without_script_a_button_draws_again_and_another_saves(plain: Page, gym: Gym) -> None:
    open_part(plain, "horn.tip")
    by_name(plain, "horn.tip.at_mm.0").fill("70O")
    press(plain, "Draw again")
    assert plain.locator('[data-asked="horn.tip.at_mm"] .amiss').is_visible()
    by_name(plain, "horn.tip.at_mm.0").fill("700")
    press(plain, "Draw again")
    assert plain.locator(".amiss").count() == 0
    assert "row: with 20 kg on each tip post" in plain.locator("[data-felt]").inner_text()
    press(plain, "Save and use this machine")
    assert read_home(gym.folder).gym.machine.horns["tip"].at_m[0] == 0.7


@pytest.mark.parametrize(("width", "height"), [(390, 844), (820, 1180)])
def test_nothing_is_wider_than_the_screen_and_the_drawing_takes_a_third(
    page: Page, gym: Gym, width: int, height: int
) -> None:
    page.set_viewport_size({"width": width, "height": height})
    page.goto(gym.address + PAGE)
    page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true })")
    assert page.evaluate("document.documentElement.scrollWidth") == width
    page.evaluate("scrollTo(0, 5000)")
    look = page.locator(".looks").bounding_box()
    assert look is not None
    assert look["y"] == 0
    assert look["height"] <= height / 3 + 1


def test_everything_to_touch_is_large_enough(described: Page) -> None:
    """At least 44 CSS pixels high: WCAG 2.2 (W3C Recommendation), success criterion 2.5.5, from memory."""
    described.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true })")
    small = described.evaluate(
        """[...document.querySelectorAll('#describing :is(input, select, textarea, button, summary)')]
        .filter((one) => one.type !== 'hidden' && one.offsetParent)
        .map((one) => one.type === 'checkbox' ? one.closest('label') : one)
        .filter((one) => one.getBoundingClientRect().height < 44).map((one) => one.outerHTML.slice(0, 90))"""
    )
    assert small == []
