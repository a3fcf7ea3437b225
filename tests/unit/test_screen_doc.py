"""docs/live-screen.md names every field that the page is given, and none that it is not."""

from __future__ import annotations

import re
from pathlib import Path

from steelyard.live.screen import screen
from steelyard.service import Steelyard

PAGE = Path(__file__).parents[2] / "docs" / "live-screen.md"


def documented(part: str) -> set[str]:
    """The fields in the first column of a part's table."""
    return {
        name for row in re.findall(r"^\| (`[^|]+) \|", part, re.MULTILINE) for name in re.findall(r"`(\w+)`", row)
    }


def test_every_field_of_the_screen_and_of_a_card_is_documented(steelyard: Steelyard) -> None:
    lifter = steelyard.lifters()[0].lifter
    shown = screen(steelyard, (steelyard.start_session(lifter, steelyard.next_outline(lifter)),))
    of_screen, of_card = PAGE.read_text(encoding="utf-8").split("A card:")
    assert documented(of_screen) == shown.keys()
    assert documented(of_card) == shown["cards"][0].keys()
