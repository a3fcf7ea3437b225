"""Two hundred and more cuts, lost answers, reloads and killed servers, at random: what the page called safe is
never lost, nothing is doubled, and two devices end up with the same."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from random import Random
from typing import TYPE_CHECKING

import pytest

from browser.conftest import a_page, session_of
from browser.steps import READY, agree, begin, entries, ready, saved_all, slot, visit
from steelyard.journal.events import SetDone
from steelyard.live.seen import session_events

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Locator, Page, Route

    from browser.conftest import Gym

SEEDS = (11, 12, 13, 14)
STEPS = 50
"""For each seed: 200 in all."""
MOST_STEPS = 150
"""For each seed, until enough sets were tapped: what comes from the other phone may change what a thumb meets."""
MOST_KILLS = 6
"""Of a server, for each seed: starting one takes a second."""
THUMB_MS = 2_000
FEWEST_SETS = 20
"""That are tapped for each seed; fewer would prove little."""
OUTLINES = ("pull", "press", "legs")


@dataclass
class Device:
    """A phone, and what it has called kept or saved of each session."""

    page: Page
    address: str = ""
    lost: int = 0
    promised: dict[str, set[str]] = field(default_factory=dict)
    open: bool = True

    def lose(self, route: Route) -> None:
        """Let the server have what is sent, and lose its answer, as often as was asked for."""
        if not self.lost:
            route.fallback()
            return
        self.lost -= 1
        from playwright.sync_api import Error

        with suppress(Error):  # if the server is not there, the question is lost too
            route.fetch()
        route.abort()

    def visit(self, address: str) -> None:
        """Open a session."""
        visit(self.page, address)
        self.address = address

    def fresh_page(self) -> None:
        """Close the page, whatever it does, and have an empty one."""
        context = self.page.context
        self.page.close()
        self.page = context.new_page()

    def is_there(self) -> bool:
        """Whether the page is one that can be tapped, and not what a browser says without a server."""
        return self.page.locator(READY).count() > 0

    def note_promises(self) -> None:
        """Remember what the page calls safe now: all that was tapped before."""
        if not self.is_there():
            return
        self.page.wait_for_function("() => document.getElementById('saved').dataset.state !== 'keeping'")
        kept = self.promised.setdefault(session_of(self.address), set())
        kept |= {entry["id"] for entry in entries(self.page) if entry["session"] == session_of(self.address)}


@dataclass
class Story:
    """What happens to two phones and a server, as a random source has it."""

    gym: Gym
    random: Random
    one: Device
    two: Device
    kills: int = 0
    told: list[str] = field(default_factory=list)

    def begin(self) -> None:
        """Begin a session on one phone, and open it on the other."""
        who = self.random.choice(["tove", "marek"])
        outline = self.random.choice(OUTLINES)
        self.one.address = begin(self.one.page, self.gym, lifter=who, outline=outline)
        self.two.visit(self.one.address)

    def end(self) -> None:
        """End the session, whether or not a set came back meanwhile."""
        self.one.page.locator("#more").click()
        self.one.page.locator("#sheet").get_by_role("button", name="End the session").click()
        saved_all(self.one.page)

    def step(self) -> None:
        """One thing happens, and what the phones call safe is remembered."""
        kinds: dict[str, tuple[int, Callable[[], None]]] = {
            "tap": (10, lambda: self.tap(self.one)),
            "tap and effort": (6, lambda: self.tap(self.one, effort=True)),
            "tap on the other": (5, lambda: self.tap(self.two, effort=self.random.random() < 0.5)),
            "undo": (2, self.undo),
            "cut": (5, self.cut),
            "lose": (5, self.lose),
            "reload": (4, self.reload),
            "reopen": (4, self.reopen),
            "kill": (4, self.kill),
        }
        name = self.random.choices(list(kinds), [weight for weight, _ in kinds.values()])[0]
        self.told.append(name)
        kinds[name][1]()
        for device in (self.one, self.two):
            device.note_promises()

    def tap(self, device: Device, *, effort: bool = False) -> None:
        """A set, however the page stands; then how many were left, if that is asked."""
        if not device.is_there() or not slot(device.page):
            return
        if not device.page.locator("#pad.left").count():
            self.a_key(device.page, "#keys button:not([aria-label])")  # not the one that asks for a number
        if effort and device.page.locator("#pad.left").count():
            self.a_key(device.page, "#keys button")

    def a_key(self, page: Page, keys: str) -> None:
        found = page.locator(keys)
        self.thumb(found.nth(self.random.randrange(max(1, found.count()))))

    def thumb(self, target: Locator) -> None:
        """Tap, or miss: what comes from the other phone may change what is under the thumb."""
        from playwright.sync_api import TimeoutError as Missed

        with suppress(Missed):
            target.click(timeout=THUMB_MS)

    def undo(self) -> None:
        """What was tapped last is taken back."""
        if self.one.is_there() and self.one.page.locator("#undo").is_visible():
            self.thumb(self.one.page.locator("#undo"))

    def cut(self) -> None:
        """The network is gone for a moment, in which somebody taps."""
        device = self.random.choice([self.one, self.two])
        device.page.context.set_offline(True)
        self.tap(device, effort=True)
        device.page.wait_for_timeout(self.random.choice([10, 200, 500]))
        device.page.context.set_offline(False)

    def lose(self) -> None:
        """The answer to the next tap is lost on its way, or those to the next two."""
        device = self.random.choice([self.one, self.two])
        device.lost = self.random.choice([1, 2])
        self.tap(device)

    def reload(self) -> None:
        """Right after a tap, when it can."""
        device = self.random.choice([self.one, self.two])
        self.tap(device)
        device.note_promises()
        device.page.reload()
        ready(device.page)

    def reopen(self) -> None:
        """A phone closes its page in the midst of it, and opens it again."""
        device = self.random.choice([self.one, self.two])
        self.tap(device)
        device.note_promises()
        device.fresh_page()
        device.visit(device.address)

    def kill(self) -> None:
        """The server's power fails, perhaps while something is under way; somebody taps on; it comes back."""
        if self.kills == MOST_KILLS:
            return
        self.kills += 1
        self.tap(self.one)
        self.gym.kill()
        self.tap(self.one, effort=True)
        self.tap(self.two)
        for device in (self.one, self.two):
            device.note_promises()
        if self.random.random() < 0.3:
            self.open_in_vain(self.two)
        self.gym.start()
        for device in (self.one, self.two):
            if not device.is_there():
                device.visit(device.address)

    def open_in_vain(self, device: Device) -> None:
        """A reload while the server is gone: the browser says so."""
        device.fresh_page()
        with pytest.raises(Exception, match="ERR_CONNECTION_REFUSED"):
            device.page.goto(device.address)
        device.fresh_page()  # the browser's own page tries again by itself, in the way of whoever opens another

    def settle(self) -> None:
        """The network is back for good: wait until both phones have sent all they have and show the same."""
        for device in (self.one, self.two):
            device.lost = 0
            device.page.context.set_offline(False)
            saved_all(device.page)
        agree(self.one.page, self.two.page)


def assert_nothing_is_lost_or_doubled(story: Story, address: str) -> None:
    """Every promise was kept, and each slot counts once."""
    stored = [event.id for event in story.gym.events()]
    assert len(stored) == len(set(stored))
    for device in (story.one, story.two):
        assert device.promised.get(session_of(address), set()) <= set(stored), story.told
        assert [entry["why"] for entry in entries(device.page) if entry["state"] == "refused"] == []
    of_session = {event.id for event in session_events(story.gym.events(), (session_of(address),))}
    for device in (story.one, story.two):
        assert {one["id"] for one in entries(device.page) if one["session"] == session_of(address)} == of_session
    counting = [logged.done.slot for logged in story.gym.session(address).sets]
    assert len(counting) == len(set(counting))


@pytest.fixture
def phones(browser: Browser) -> Iterator[tuple[Device, Device]]:
    """Two phones, each with a store of its own, whose pages decide nothing themselves."""
    first, second = a_page(browser, engine=False), a_page(browser, engine=False)
    devices = Device(next(first)), Device(next(second))
    for device in devices:
        device.page.context.route("**/events", device.lose)
    yield devices
    for left in (first, second):
        next(left, None)


@pytest.mark.parametrize("seed", SEEDS)
def test_random_cuts_lose_and_double_nothing(phones: tuple[Device, Device], gym: Gym, seed: int) -> None:
    story = Story(gym, Random(seed), *phones)
    story.begin()
    for steps in range(MOST_STEPS):
        if steps >= STEPS and sets_tapped(gym) >= FEWEST_SETS:
            break
        story.step()
        if not slot(story.one.page):
            story.settle()
            assert_nothing_is_lost_or_doubled(story, story.one.address)
            story.end()
            story.begin()
    story.settle()
    assert_nothing_is_lost_or_doubled(story, story.one.address)
    assert sets_tapped(gym) >= FEWEST_SETS


def sets_tapped(gym: Gym) -> int:
    """How many sets that were tapped on a page have reached the disk."""
    return sum(isinstance(event.body, SetDone) for event in gym.events() if event.origin.startswith("page-"))
