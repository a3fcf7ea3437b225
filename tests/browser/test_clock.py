"""The clock says the same after a reload, a sleep or a long gap, since it only compares moments."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import pytest

from browser.module_page import call, open_modules

if TYPE_CHECKING:
    from playwright.sync_api import Page

CARD = {"buys": [[0, 5.0], [60, 7.0], [120, 8.0], [180, 8.3]]}
Clock = Callable[..., Any]


@pytest.fixture
def clock(page: Page) -> Clock:
    open_modules(page)
    return lambda name, *args: call(page, "clock.js", name, *args)


@pytest.mark.parametrize(
    ("elapsed_s", "rest_s", "said"),
    [
        (84.9, 120, "1:24 of 2:00"),
        (0, 45, "0:00 of 0:45"),
        (725, 120, "12:05 of 2:00"),
        (-3, 120, "0:00 of 2:00"),
        (61, 0, "1:01"),
    ],
)
def test_a_rest_counts_on_past_what_was_wanted(clock: Clock, elapsed_s: float, rest_s: float, said: str) -> None:
    assert clock("restWords", elapsed_s, rest_s) == said


@pytest.mark.parametrize(("elapsed_s", "state"), [(100, "resting"), (110, "nearly"), (120, "over"), (720, "over")])
def test_the_last_seconds_of_a_rest_are_told_apart(clock: Clock, elapsed_s: float, state: str) -> None:
    assert clock("restState", elapsed_s, 120, 10) == state


def test_signals_come_once_at_their_moment(clock: Clock) -> None:
    looks = [clock("due", at, at + 1, 120, 10) for at in range(105, 125)]
    assert [(at + 106, due) for at, due in enumerate(looks) if due] == [(110, ["nearly"]), (120, ["go"])]


def test_a_rest_slept_through_gives_no_late_signal(clock: Clock) -> None:
    assert clock("due", 30, 630, 120, 10) == []


def test_no_warning_is_given_in_a_rest_shorter_than_it_or_without_rest(clock: Clock) -> None:
    assert clock("due", 4.5, 5.5, 5, 10) == ["go"]
    assert clock("due", 0, 1, 0, 10) == []


@pytest.mark.parametrize(
    ("elapsed_s", "said", "left_s"), [(0, "go in 12", 12), (11.2, "go in 1", 1), (12, "go", 0), (600, "go", 0)]
)
def test_a_rest_pause_counts_down_to_go(clock: Clock, elapsed_s: float, said: str, left_s: int) -> None:
    assert clock("countdown", elapsed_s, 12) == {"words": said, "left_s": left_s}


@pytest.mark.parametrize(
    ("elapsed_s", "said"),
    [
        (0, "30 s more: one more rep"),
        (60, "60 s more: one more rep"),
        (100, "more rest buys less than a rep"),
        (130, "rested: more rest buys little"),
        (700, "rested: more rest buys little"),
    ],
)
def test_what_more_rest_buys(clock: Clock, elapsed_s: float, said: str) -> None:
    assert clock("buys", CARD, elapsed_s) == said


def test_a_steep_table_buys_several_reps_at_once(clock: Clock) -> None:
    assert clock("buys", {"buys": [[0, 2.0], [30, 6.2], [240, 9.0]]}, 0) == "30 s more: four more reps"


@pytest.mark.parametrize("card", [{}, {"buys": []}, {"buys": [[0, 7.0]]}, None])
def test_where_nothing_is_known_of_rest_nothing_is_said(clock: Clock, card: object) -> None:
    assert clock("buys", card, 30) == ""


def test_between_the_places_of_the_table_reps_lie_on_a_line(clock: Clock) -> None:
    assert [clock("expected", CARD["buys"], at) for at in (0, 30, 60, 90, 999)] == [5.0, 6.0, 7.0, 7.5, 8.3]


def test_a_device_with_a_wrong_clock_counts_right(clock: Clock) -> None:
    wrong_ms = 1_700_000_000_000
    ahead_s = clock("offset", 1_790_000_000.5, wrong_ms, wrong_ms + 1000)
    assert clock("moment", ahead_s, wrong_ms + 61_000) == pytest.approx(1_790_000_061.0)
    assert clock("since", 1_790_000_000.0, clock("moment", ahead_s, wrong_ms + 84_000)) == pytest.approx(84.0)


def test_what_is_left_shrinks_in_a_planned_rest_and_waits_in_a_longer_one(clock: Clock) -> None:
    assert [clock("left", 1830, passed_s, 90) for passed_s in (-5, 0, 60, 90, 690)] == [
        1830,
        1830,
        1770,
        1740,
        1740,
    ]
    assert clock("leftWords", 1770) == "30 min to go"
    assert clock("leftWords", 1771) == "30 min to go"
    assert clock("left", 30, 90, 90) == 0


@pytest.mark.parametrize(
    ("span_s", "said"), [(1, "now"), (20.7, "20 s ago"), (119, "119 s ago"), (600, "10 min ago")]
)
def test_how_long_ago_something_was_heard(clock: Clock, span_s: float, said: str) -> None:
    assert clock("ago", span_s) == said
