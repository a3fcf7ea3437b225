"""The look keeps its promises: contrast in light and dark, one palette for page and paper, no foreign parts.

Contrast after WCAG 2.2 (W3C Recommendation), success criteria 1.4.3 (4.5 to 1 for text) and 1.4.11 (3 to 1 for the
edges of controls), with relative luminance as defined there.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import steelyard.web
from steelyard.drawing.svg import COLOURS

WEB = Path(steelyard.web.__file__).parent
STYLE = (WEB / "static" / "steelyard.css").read_text(encoding="utf-8")
TEXT = [
    ("ink", "paper"),
    ("quiet", "paper"),
    ("accent", "paper"),
    ("ink", "soft"),
    ("ink", "key"),
    ("ink", "key-in"),
    ("quiet", "key-in"),
    ("on-metal", "metal"),
    ("on-accent", "accent"),
]
EDGES = [("edge", "paper"), ("edge", "key"), ("metal", "paper"), ("accent", "paper")]


def palettes() -> dict[str, dict[str, str]]:
    """The colours of the light and the dark scheme."""
    found = re.findall(r"--([\w-]+): var\(--day, (#\w+)\) var\(--night, (#\w+)\)", STYLE)
    return {
        "light": {name: day for name, day, _ in found},
        "dark": {name: night for name, _, night in found},
    }


def luminance(colour: str) -> float:
    digits = colour.lstrip("#")
    digits = "".join(digit * 2 for digit in digits) if len(digits) == 3 else digits
    shares = [int(digits[place : place + 2], 16) / 255 for place in (0, 2, 4)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in shares)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def test_contrast_is_counted_as_the_standard_counts_it() -> None:
    assert contrast("#000", "#ffffff") == pytest.approx(21.0)


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize(("front", "back"), TEXT)
def test_text_can_be_read(scheme: str, front: str, back: str) -> None:
    colours = palettes()[scheme]
    assert contrast(colours[front], colours[back]) >= 4.5


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize(("front", "back"), EDGES)
def test_controls_and_drawings_can_be_seen(scheme: str, front: str, back: str) -> None:
    colours = palettes()[scheme]
    assert contrast(colours[front], colours[back]) >= 3.0


def test_page_and_paper_share_one_palette() -> None:
    light = palettes()["light"]
    assert {name: light[name] for name in COLOURS} == COLOURS


def test_every_colour_of_the_drawings_has_its_class() -> None:
    assert all(f".f-{name} {{ fill: var(--{name}) }}" in STYLE for name in COLOURS)


def test_nothing_is_fetched_from_elsewhere() -> None:
    for part in (*WEB.glob("templates/*.html"), *WEB.glob("static/*.css"), *WEB.glob("static/*.js")):
        assert not re.search(
            r"(src|href|action)=\"(https?:)?//|@import|url\(|from \"http", part.read_text("utf-8")
        ), part


def test_the_page_is_light_to_load() -> None:
    assert sum(part.stat().st_size for part in WEB.glob("static/*")) < 150_000
