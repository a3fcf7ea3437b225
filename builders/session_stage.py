"""What a lifter does on the page of a session, and what is kept of it as a picture."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from picture_taking import served, take
from playwright.sync_api import Browser, Page
from served_home import ServedHome

NAME = "gym.test"
"""A name of this machine, under which a page is not secure, as that of another device is not."""
PATIENCE_MS = 60_000
PHONE = (390, 844)
SMALL = (390, 640)
TABLET = (820, 1180)
LYING = (844, 390)
LYING_TABLET = (1180, 820)
WALL = (1920, 1080)


@dataclass
class Stage:
    """A phone at a gym that is all its own."""

    gym: ServedHome
    page: Page
    folder: Path

    def keep(self, name: str, *sizes: tuple[int, int], look: str = "") -> None:
        """Keep a picture of what is shown; on the phone if no sizes are given."""
        for width, height in sizes or (PHONE,):
            self.page.set_viewport_size({"width": width, "height": height})
            self.page.wait_for_timeout(400)
            take(self.page, self.folder, f"{name}{look}-{width}x{height}")
        self.page.set_viewport_size({"width": PHONE[0], "height": PHONE[1]})

    def keep_dark(self, name: str, *sizes: tuple[int, int]) -> None:
        """The same by night."""
        self.page.emulate_media(color_scheme="dark")
        self.keep(name, *sizes, look="-dark")
        self.page.emulate_media(color_scheme="light")

    def begin(self, outline: str = "pull", *, host: str = "") -> None:
        """Start a session of the demo's second lifter."""
        address = f"http://{host}:{self.gym.port}" if host else self.gym.address
        self.page.goto(f"{address}/lifter/tove?outline={outline}")
        self.page.get_by_role("button", name="Start").first.click()
        self.ready()

    def ready(self) -> None:
        """Wait until the page can be tapped."""
        self.page.locator("html[data-ready=page]").wait_for(state="attached")

    def settled(self) -> None:
        """Wait until what is shown follows from what was done."""
        self.page.locator('body[data-seen]:not([data-seen=""])').wait_for(state="attached")
        if self.gym.process is not None:
            self.page.locator("#saved[hidden], #saved[data-state=saved]").wait_for(state="attached")

    def tap(self, *, hold: bool = False) -> None:
        """Tap the highest number of reps wanted, or hold it down."""
        before = self.page.locator("body").get_attribute("data-seen")
        self.page.locator("#keys button.in").last.click(delay=900 if hold else 0)
        self.page.locator(f'body:not([data-seen="{before}"])').wait_for(state="attached")
        self.settled()

    def say(self, left: str) -> None:
        """Say how many more there would have been, if that is asked."""
        keys = self.page.locator("#pad.left #keys button, #aside:not([hidden]) button")
        if keys.count():
            keys.get_by_text(left, exact=True).click()
            self.page.locator("body:not(.is-asking)").wait_for(state="attached")
            self.settled()

    def do_until(self, words: str, *, asked: bool = False) -> None:
        """Do sets until one is shown that says these words. asked: leave the question open."""
        while not re.search(words, self.page.locator("#task").inner_text(), re.IGNORECASE):
            self.say("2")
            self.tap()
            if not asked:
                self.say("2")

    def press(self, name: str) -> None:
        """Tap a button by its words, on the page or on the sheet that is open."""
        sheet = self.page.locator("dialog[open]")
        place = sheet if sheet.count() else self.page
        place.get_by_role("button", name=re.compile(name)).first.click()

    def change(self, words: str) -> None:
        """Change your mind."""
        before = self.page.locator("body").get_attribute("data-seen")
        self.press("Change")
        self.press(words)
        self.page.locator(f'body:not([data-seen="{before}"])').wait_for(state="attached")
        self.settled()

    def undo(self) -> None:
        """Take the last thing back."""
        self.press("Undo")
        self.settled()


@contextmanager
def staged(browser: Browser, home: Path, folder: Path) -> Iterator[Stage]:
    """A phone that never saw the page before, at a home as it was."""
    with served(home, name=NAME) as gym:
        context = browser.new_context(
            viewport={"width": PHONE[0], "height": PHONE[1]}, color_scheme="light", has_touch=True, is_mobile=True
        )
        context.set_default_timeout(PATIENCE_MS)
        yield Stage(gym, context.new_page(), folder)
        context.close()
