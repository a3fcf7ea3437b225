"""Weekly sets per muscle, each as a bar on a scale with the usual span bracketed over it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from steelyard.drawing.svg import fill, line, picture, tag, write

WIDTH = 360.0
START, END = 122.0, 322.0
ROW = 27.0
HEAD = 24.0


@dataclass(frozen=True, slots=True)
class Bar:
    """One muscle's sets in a week, indirect work counted in part."""

    name: str
    sets: float


def draw_spans(bars: Sequence[Bar], usual: tuple[float, float]) -> str:
    """The bars as SVG text.

    usual: lowest and highest number of weekly sets in usual practice; drawn once, over all bars.
    """
    most = max([usual[1] * 1.15, *(bar.sets for bar in bars)])
    parts = _span(usual, most, HEAD + ROW * len(bars))
    for number, bar in enumerate(bars):
        parts += _bar(bar, most, HEAD + number * ROW)
    height = HEAD + ROW * len(bars) + 4
    return picture("spans", (WIDTH, height), "Weekly sets per muscle", told(bars, usual), *parts)


def told(bars: Sequence[Bar], usual: tuple[float, float]) -> str:
    """The bars in words."""
    listed = ", ".join(f"{bar.name} {bar.sets:.1f}" for bar in bars)
    return f"Sets in the last 7 days: {listed}. The usual span is {usual[0]:g} to {usual[1]:g}."


def _x(sets: float, most: float) -> float:
    return START + (END - START) * sets / most


def _span(usual: tuple[float, float], most: float, foot: float) -> list[str]:
    low, high = _x(usual[0], most), _x(usual[1], most)
    middle = (low + high) / 2
    return [
        tag("rect", x=low, y=HEAD - 4, width=high - low, height=foot - HEAD + 6, **fill("soft")),
        tag("path", d=f"M{low:.1f} {HEAD - 1:.1f}V18H{high:.1f}V{HEAD - 1:.1f}", **line("accent", 2.5)),
        write(f"usual: {usual[0]:g} to {usual[1]:g}", middle, 13, 13, "accent", anchor="middle"),
    ]


def _bar(bar: Bar, most: float, top: float) -> list[str]:
    end = _x(bar.sets, most)
    return [
        write(bar.name, START - 8, top + 17, 14, "ink", anchor="end"),
        tag("rect", x=START, y=top + 6, width=max(end - START, 1.5), height=12, rx=2, **fill("metal")),
        write(f"{bar.sets:.1f}", WIDTH, top + 17, 14, "ink", anchor="end", bold=True),
    ]
