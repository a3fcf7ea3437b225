"""The stack: a horn seen from the side, and what comes off and goes on.

Plates are to scale in thickness and in diameter, each direction with its own scale, and carry their mass. What
comes off first is an outline on its way off the end; what goes on then is in the accent where it will sit.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate

from steelyard.drawing.svg import fill, line, picture, tag, text_width, write
from steelyard.plates.model import Move, Plate, Stack
from steelyard.units import Unit, plain

LARGEST_DIAMETER_M = 0.45
THINNEST = 7.0
"""A plate is never drawn thinner than this, or it could not be seen at arm's length."""


@dataclass(frozen=True, slots=True)
class HornChange:
    """One horn before a set: what stays, what comes off, and what goes on then.

    label:    what the horn is called.
    length_m: room for plates. [m]
    sides:    2 if the same is done on the left and on the right.
    kept:     innermost first. off: in the order of taking. on: in the order of putting.
    """

    label: str
    length_m: float
    sides: int
    kept: Stack
    off: Stack = ()
    on: Stack = ()


@dataclass(frozen=True, slots=True)
class Sheet:
    """How large the stacks are drawn, and whether the moves are labelled."""

    width: float
    tall: float
    margin: float
    letters: float
    labelled: bool


def horn_change(label: str, length_m: float, sides: int, after: Stack, moves: Sequence[Move]) -> HornChange:
    """What the moves on one horn do, given the stack they lead to.

    after: the stack when all is done, innermost first.
    moves: those on this horn only, in order.
    """
    on = tuple(move.plate for move in moves if move.on)
    off = tuple(move.plate for move in moves if not move.on)
    return HornChange(label, length_m, sides, after[: len(after) - len(on)], off, on)


def draw_stack(
    horns: Sequence[HornChange], *, unit: Unit = Unit.KG, small: bool = False, title: str = "Plates"
) -> str:
    """The horns, one under the other, as SVG text.

    unit:  the lifter's; plates of another unit carry theirs.
    small: for lists, without labels.

    >>> "empty" in draw_stack([HornChange("arm horn", 0.3, 2, ())])
    True
    """
    sheet = _sheet(len(horns), small)
    row = sheet.tall + 2 * sheet.margin
    parts = [
        part
        for place, horn in enumerate(horns)
        for part in _horn(horn, sheet, place * row + sheet.margin + sheet.tall / 2, unit)
    ]
    return picture("stack", (sheet.width, max(row * len(horns), 1)), title, told(horns), *parts)


def _sheet(horns: int, small: bool) -> Sheet:
    if small:
        return Sheet(150, 46 if horns < 2 else 30, 3, 11, False)
    return Sheet(360, (104, 66, 50)[min(max(horns, 1), 3) - 1], 19, 16, True)


def told(horns: Sequence[HornChange]) -> str:
    """The stacks in words, innermost first.

    >>> told([HornChange("arm horn", 0.3, 2, ())])
    'arm horn, each side: empty.'
    """
    return " ".join(_told_horn(horn) for horn in horns)


def _told_horn(horn: HornChange) -> str:
    where = f"{horn.label}, each side" if horn.sides > 1 else horn.label
    said = [", ".join(plate.name for plate in horn.kept) or "empty"]
    if horn.off:
        said.append(f"take off {', '.join(plate.name for plate in horn.off)}")
    if horn.on:
        said.append(f"put on {', '.join(plate.name for plate in horn.on)}")
    return f"{where}: {'; '.join(said)}."


def _horn(horn: HornChange, sheet: Sheet, middle: float, unit: Unit) -> list[str]:
    """The post, its inner flange, and every plate on it."""
    start = 15.0 if sheet.labelled else 8.0
    widths = _widths(horn, sheet.width - start - 10)
    tip = start + 1 + widths.horn
    half = sheet.tall / 2 + (3 if sheet.labelled else 1)
    post = max(sheet.tall * 0.12, 5)
    shapes = [
        tag("rect", x=start, y=middle - post / 2, width=tip - start, height=post, rx=3, **fill("soft")),
        tag("rect", x=start - 7, y=middle - half, width=7, height=2 * half, rx=2, **fill("ink")),
    ]
    inner = start + 1 + sum(widths.kept)
    shapes += _plates(horn.kept, widths.kept, start + 1, middle, sheet, unit, "metal")
    shapes += _plates(horn.on, widths.on, inner, middle, sheet, unit, "accent")
    ghosts = max(tip - sum(widths.off), inner + sum(widths.on) + 4)
    shapes += _plates(horn.off[::-1], widths.off[::-1], ghosts, middle, sheet, unit, "ghost")
    if sheet.labelled:
        shapes += _labels(horn, sheet, middle, (inner, inner + sum(widths.on)), (ghosts, ghosts + sum(widths.off)))
    return shapes


@dataclass(frozen=True, slots=True)
class Widths:
    """Drawn widths of the horn and of every plate on it."""

    horn: float
    kept: list[float]
    on: list[float]
    off: list[float]


def _widths(horn: HornChange, room: float) -> Widths:
    """All of it in one scale, chosen so that the horn, or the plates where they need more, just fit."""
    whole = sum(plate.thickness_m for plate in (*horn.kept, *horn.on, *horn.off))
    scale = room / max(horn.length_m, whole * 1.04, 0.05)
    while True:
        stacks = [
            [max(plate.thickness_m * scale, THINNEST) for plate in part] for part in (horn.kept, horn.on, horn.off)
        ]
        if sum(map(sum, stacks)) <= room or scale < 1:
            return Widths(min(horn.length_m * scale, room), *stacks)
        scale *= 0.9


def _plates(
    stack: Sequence[Plate],
    widths: Sequence[float],
    start: float,
    middle: float,
    sheet: Sheet,
    unit: Unit,
    look: str,
) -> list[str]:
    parts = []
    for number, (plate, width, end) in enumerate(zip(stack, widths, accumulate(widths), strict=True)):
        height = plate_height(plate, sheet.tall)
        box = (start + end - width, middle - height / 2, width, height)
        parts.append(draw_plate(box, look))
        parts.append(_mass(mass_written(plate, unit), box, sheet, look, number))
    return parts


def plate_height(plate: Plate, tall: float) -> float:
    """Drawn diameter of a plate, where the largest usual plate is this tall."""
    return max(plate.diameter_m / LARGEST_DIAMETER_M * tall, tall * 0.16)


def draw_plate(box: tuple[float, float, float, float], look: str) -> str:
    """One plate seen from its edge: metal, accent, or ghost for an outline.

    box: x, y, width and height.
    """
    x, y, width, height = box
    outline = {"x": x + 0.8, "y": y, "width": max(width - 1.6, 1), "height": height, "rx": min(3.5, width / 3)}
    if look == "ghost":
        return tag("rect", **outline, stroke_dasharray="4 3", **line("ink", 1.6))
    return tag("rect", **outline, **fill(look))


def mass_written(plate: Plate, unit: Unit) -> str:
    """What is cast into a plate, with its unit only where that is not the lifter's."""
    return plain(plate.nominal.amount) if plate.nominal.unit is unit else str(plate.nominal)


def _mass(text: str, box: tuple[float, float, float, float], sheet: Sheet, look: str, number: int) -> str:
    """The mass on its plate: upright, else along the plate, else beside it."""
    x, y, width, height = box
    middle, centre, size = x + width / 2, y + height / 2, sheet.letters
    colour = "ink" if look == "ghost" else f"on-{look}"
    if text_width(text, size) + 3 <= width:
        return write(text, middle, centre + size * 0.36, size, colour, anchor="middle", bold=True)
    size = min(size, width * 1.02)
    if size >= sheet.letters * 0.62 and text_width(text, size) + 2 <= height:
        turned = write(text, 0, size * 0.36, size, colour, anchor="middle", bold=True)
        return tag("g", turned, transform=f"translate({middle:.1f} {centre:.1f}) rotate(-90)")
    if not sheet.labelled:
        return ""
    outside = y - 3 if number % 2 == 0 else y + height + 11
    return write(text, x + 1, outside, 12, "accent" if look == "accent" else "ink", bold=True)


def _labels(
    horn: HornChange, sheet: Sheet, middle: float, on: tuple[float, float], off: tuple[float, float]
) -> list[str]:
    """Which horn and sides, what comes off first, what goes on then."""
    top, foot = middle - sheet.tall / 2 - 7, middle + sheet.tall / 2 + 15
    where = f"{horn.label}, each side" if horn.sides > 1 else horn.label
    parts = []
    if horn.off:
        parts += _way_off(off[1], top)
    if horn.on:
        parts += _way_on(on, foot, "then on" if horn.off else "on")
    if not (horn.kept or horn.on):
        parts.append(write("empty", 34, middle - sheet.tall * 0.12, 15, "quiet"))
    side = "end" if horn.on and on[0] < 150 else "start"
    parts.append(write(where, sheet.width - 4 if side == "end" else 8, foot, 14, "quiet", anchor=side))
    return parts


def _way_off(end: float, y: float) -> list[str]:
    end = max(end, 96)
    return [
        write("first off", end - 30, y, 15, "ink", anchor="end", bold=True),
        tag("path", d=f"M{end - 25:.1f} {y - 5:.1f}h18", **line("ink", 2.2)),
        tag("path", d=f"M{end:.1f} {y - 5:.1f}l-9 -4.5v9z", **fill("ink")),
    ]


def _way_on(on: tuple[float, float], y: float, text: str) -> list[str]:
    start = on[0] + 2
    return [
        tag("path", d=f"M{start + 26:.1f} {y - 5:.1f}h-18", **line("accent", 2.2)),
        tag("path", d=f"M{start:.1f} {y - 5:.1f}l9 -4.5v9z", **fill("accent")),
        write(text, start + 31, y, 15, "accent", bold=True),
    ]
