"""A change of plates: the horns before, what hands do in between, and the horns after, one above the other.

The stack draws all that in one picture for somebody at the horn; this one is for reading about it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from math import fsum
from textwrap import wrap

from steelyard.drawing.stack import (
    ONE,
    ONE_OF_MANY,
    HornChange,
    Sheet,
    Widths,
    bare_horn,
    in_columns,
    moved,
    nothing_there,
    plates_on,
    told,
    widths_of,
)
from steelyard.drawing.svg import WIDTH_PER_LETTER, fill, line, picture, tag, write
from steelyard.plates.instructions import instructions
from steelyard.plates.model import Move, Stack
from steelyard.units import Unit

WIDTH = 360.0
HEADING = 22.0
"""Height of a line that says before or after. [drawing units]"""
LETTERS = 16.0
LINE = 21.0
INDENT = 34.0
"""Where the words begin, beside their arrow. [drawing units]"""


def draw_change(
    horns: Sequence[HornChange], moves: Sequence[Move], *, unit: Unit = Unit.KG, title: str = "Change of plates"
) -> str:
    """The change as SVG text; plates that come off are dashed before, those that went on are in the accent after.

    moves: those that lead from before to after, on all these horns, in the order of the hands.
    unit:  the lifter's; plates of another unit carry theirs.

    >>> "plates stay" in draw_change([HornChange("arm horn", 0.3, 2, ())], [])
    True
    """
    words = instructions(moves, unit, named=len(horns) > 1) or "plates stay"
    sheet, columns = (ONE_OF_MANY, 2) if len(horns) > 1 else (ONE, 1)
    before, tall = in_columns([_before(horn, sheet, unit) for horn in horns], columns, sheet.row)
    after, _ = in_columns([_after(horn, sheet, unit) for horn in horns], columns, sheet.row)
    between, high = _between(words)
    parts = [
        *_section("before", before, 0),
        tag("g", *between, transform=moved(0, HEADING + tall)),
        *_section("after", after, HEADING + tall + high),
    ]
    return picture("stack", (WIDTH, 2 * (HEADING + tall) + high), title, _told(horns, words), *parts)


def _told(horns: Sequence[HornChange], words: str) -> str:
    """The change in words."""
    before, after = (
        told([replace(horn, kept=kept(horn), off=(), on=()) for horn in horns]) for kept in (_was, _is)
    )
    return f"Before: {before} Then {words}. After: {after}"


def _was(horn: HornChange) -> Stack:
    return (*horn.kept, *horn.off[::-1])


def _is(horn: HornChange) -> Stack:
    return (*horn.kept, *horn.on)


def _section(heading: str, horns: Sequence[str], y: float) -> Iterator[str]:
    """Horns under their heading."""
    yield write(heading, 8, y + HEADING - 7, 15, "quiet", bold=True)
    yield tag("g", *horns, transform=moved(0, y + HEADING))


def _before(horn: HornChange, sheet: Sheet, unit: Unit) -> list[str]:
    """A horn as it was, what will come off in outline."""
    widths = widths_of(horn, sheet)
    ghosts = plates_on(horn.off[::-1], widths.off[::-1], _inner(widths, sheet), sheet, unit, "ghost")
    return [*_kept(horn, widths, sheet, unit), *ghosts, *_words(horn, sheet, empty=not _was(horn))]


def _after(horn: HornChange, sheet: Sheet, unit: Unit) -> list[str]:
    """A horn as it is then, what went on in the accent."""
    widths = widths_of(horn, sheet)
    new = plates_on(horn.on, widths.on, _inner(widths, sheet), sheet, unit, "accent")
    return [*_kept(horn, widths, sheet, unit), *new, *_words(horn, sheet, empty=not _is(horn))]


def _inner(widths: Widths, sheet: Sheet) -> float:
    """Where plates begin that do not stay."""
    return sheet.start + 1 + fsum(widths.kept)


def _kept(horn: HornChange, widths: Widths, sheet: Sheet, unit: Unit) -> list[str]:
    stay = plates_on(horn.kept, widths.kept, sheet.start + 1, sheet, unit, "metal")
    return [*bare_horn(widths, sheet), *stay]


def _words(horn: HornChange, sheet: Sheet, *, empty: bool) -> list[str]:
    """Which horn it is, and that it is empty."""
    where = write(horn.where, 8, sheet.row - 5, 14, "quiet")
    return [where, nothing_there(sheet)] if empty else [where]


def _between(words: str) -> tuple[list[str], float]:
    """What hands do, beside an arrow that points from before to after, and how high that is."""
    lines = wrap(words, int((WIDTH - INDENT) / (LETTERS * WIDTH_PER_LETTER)))
    end = LINE * len(lines) + 12
    arrow = [
        tag("path", d=f"M16 6V{end - 10:.1f}", **line("accent", 2.2)),
        tag("path", d=f"M16 {end - 3:.1f}l-4.5 -9h9z", **fill("accent")),
    ]
    said = (write(text, INDENT, LINE * (place + 1), LETTERS, "ink", bold=True) for place, text in enumerate(lines))
    return [*arrow, *said], end + 4
