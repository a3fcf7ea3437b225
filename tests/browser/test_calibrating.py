"""Calibrating on a phone: typed, and with the angle that the phone itself tells."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from served_home import serving

from browser.conftest import PHONE, Gym, at_a_device, launch
from scale_person import Person, truly_felt_kg
from steelyard.home import make_home
from steelyard.journal.events import MachineCalibrated, ScaleRead

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

PAGE = "/machine/calibrate"
NAME = "gym.test"


@pytest.fixture
def gym(tmp_path: Path) -> Iterator[Gym]:
    """A new home where nothing was read yet, served on a free port."""
    make_home(tmp_path / "home")
    with serving(tmp_path / "home", Gym, name=NAME) as served:
        yield served


def readings(gym: Gym) -> list[ScaleRead]:
    return [event.body for event in gym.events() if isinstance(event.body, ScaleRead)]


def opened(page: Page, gym: Gym) -> None:
    """The page with the cautions confirmed."""
    page.goto(f"{gym.address}{PAGE}?station=row")
    page.get_by_label("All of what stands above is so").check()


def keep_reading(page: Page, shown_kg: float) -> None:
    page.get_by_label("The scale shows").first.fill(f"{shown_kg:.2f}")
    with page.expect_navigation():
        page.get_by_role("button", name="Keep this reading").tap()
    page.locator(".strip", has_text="Saved").wait_for()


class Sensor:
    """The phone's tilt, as its long edge is raised."""

    def __init__(self, page: Page) -> None:
        self._session = page.context.new_cdp_session(page)

    def tilt(self, degrees: float) -> None:
        angles = {"alpha": 0, "beta": degrees, "gamma": 0}
        self._session.send("DeviceOrientation.setDeviceOrientationOverride", angles)


def test_the_protocol_typed_on_a_phone_calibrates_the_machine(page: Page, gym: Gym) -> None:
    person = Person()
    opened(page, gym)
    for _ in range(20):
        angle = float(page.locator("#angle").input_value())
        creep = page.locator('[name="creep"]:checked').get_attribute("value") or ""
        load = page.locator("#load").input_value()
        keep_reading(page, person.shows(angle, creep, load.removeprefix("tip=").removeprefix("empty")))
    page.get_by_text("All readings of the protocol are there").wait_for()
    page.get_by_role("button", name="Keep this calibration").tap()
    page.get_by_text("In use: the calibration of").wait_for()
    assert len(readings(gym)) == 20
    assert [len(e.body.readings) for e in gym.events() if isinstance(e.body, MachineCalibrated)] == [20]
    page.goto(f"{gym.address}/station/row")
    least = re.search(r"from ([\d.]+) kg to", page.locator("main").inner_text())
    assert least
    assert float(least[1]) == pytest.approx(truly_felt_kg("row", {}), rel=0.03)


def test_nothing_is_sent_before_the_cautions_are_confirmed(page: Page, gym: Gym) -> None:
    page.goto(f"{gym.address}{PAGE}")
    page.get_by_label("The scale shows").first.fill("9")
    page.get_by_role("button", name="Keep this reading").tap()
    assert page.locator('[name="safe"]').evaluate("field => field.validity.valueMissing")
    assert readings(gym) == []


def test_a_tap_on_keep_that_is_doubled_is_one_reading(page: Page, gym: Gym) -> None:
    opened(page, gym)
    page.get_by_label("The scale shows").first.fill("9.2")
    page.get_by_role("button", name="Keep this reading").dblclick()
    page.locator(".strip", has_text="Saved").wait_for()
    assert len(readings(gym)) == 1


def test_a_wrong_reading_is_marked_and_undone(page: Page, gym: Gym) -> None:
    opened(page, gym)
    person = Person()
    for angle, creep in ((-12, "up"), (-12, "down"), (0, "up"), (0, "down")):
        page.locator("#angle").fill(str(angle))
        page.locator(f'[name="creep"][value="{creep}"]').check()
        page.locator("#load").select_option("empty")
        keep_reading(page, person.shows(angle, creep))
    page.locator("#angle").fill("6")
    page.locator('[name="creep"][value="up"]').check()
    keep_reading(page, person.shows(6, "up") / 0.45359237)
    page.get_by_text("That reading can't be right").wait_for()
    with page.expect_navigation():
        page.locator(".readings .wrong").get_by_role("button", name="Undo").tap()
    page.locator(".readings .wrong").wait_for(state="detached")
    assert page.locator(".readings li").count() == 4


def test_the_phones_own_angle_is_taken(page: Page, gym: Gym) -> None:
    opened(page, gym)
    sensor = Sensor(page)
    sensor.tilt(2.0)
    page.get_by_role("button", name="Read the angle from this phone").tap()
    page.get_by_role("button", name="Zero it: this is level").tap()
    sensor.tilt(-5.5)
    live = page.locator("[data-angle-live]", has_text="-7.5°")
    live.wait_for()
    page.get_by_role("button", name="Take it").tap()
    assert page.locator("#angle").input_value() == "-7.5"
    keep_reading(page, 9.2)
    assert math.degrees(readings(gym)[0].angle_rad) == pytest.approx(-7.5)
    page.get_by_role("button", name="Read the angle from this phone").tap()
    sensor.tilt(-6.0)
    page.locator("[data-angle-live]", has_text="-8.0°").wait_for()  # zeroed once for all readings


def test_a_device_without_a_sensor_says_so(page: Page, gym: Gym) -> None:
    opened(page, gym)
    page.get_by_role("button", name="Read the angle from this phone").tap()
    page.get_by_text("This device tells no angle. Type it in.").wait_for()


def test_over_plain_http_the_page_says_why_the_angle_is_typed(browser: Browser, gym: Gym) -> None:
    """A name that is not this very device is no secure place without https."""
    elsewhere = launch(browser.browser_type, f"--host-resolver-rules=MAP {NAME} 127.0.0.1")
    with at_a_device(elsewhere) as page:
        page.goto(f"http://{NAME}:{gym.port}{PAGE}")
        page.get_by_text("Over plain http a browser does not tell the phone's angle. Type it in").wait_for()
        assert page.get_by_role("button", name="Read the angle from this phone").is_hidden()
    elsewhere.close()


def test_it_works_without_any_script(browser: Browser, gym: Gym) -> None:
    with at_a_device(browser, java_script_enabled=False, has_touch=True, viewport=PHONE) as page:
        opened(page, gym)
        keep_reading(page, 9.2)
        assert page.get_by_role("button", name="Read the angle from this phone").is_hidden()
    assert len(readings(gym)) == 1


@pytest.mark.parametrize(("width", "height"), [(390, 844), (820, 1180)])
def test_everything_fits_the_screen_and_a_thumb(browser: Browser, gym: Gym, width: int, height: int) -> None:
    size = {"width": width, "height": height}
    with at_a_device(browser, viewport=size, has_touch=True, is_mobile=True) as page:
        opened(page, gym)
        keep_reading(page, 9.2)
        assert page.evaluate("document.documentElement.scrollWidth") == width
        controls = "main :is(button, summary, input:not([type=hidden], [type=radio]), select)"
        for control in page.locator(controls).all():
            box = control.bounding_box()
            assert box is None or box["height"] >= 44, control.inner_text()
