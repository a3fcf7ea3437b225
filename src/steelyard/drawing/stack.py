"""The stack: a horn seen from the side, and what comes off and goes on.

Plates are to scale in thickness and in diameter, each direction with its own scale, and carry their mass. What
comes off first is an outline on its way off the end; what goes on then is in the accent where it will sit.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from itertools import accumulate
from math import fsum

from steelyard.drawing.svg import COLOURS, Attribute, fill, line, number, opened, pieces, tag, text_width, write
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

    @property
    def where(self) -> str:
        """The horn, and that each of its sides is meant if there are two."""
        return f"{self.label}, each side" if self.sides > 1 else self.label


@dataclass(frozen=True, slots=True)
class Sheet:
    """How large one horn is drawn, and whether its moves are labelled.

    width, tall: room for a horn, and for the largest usual plate. top, foot: room above and below for labels.
    """

    width: float
    tall: float
    top: float
    foot: float
    letters: float
    labelled: bool

    @property
    def row(self) -> float:
        """Height of one horn with its labels."""
        return self.top + self.tall + self.foot

    @property
    def start(self) -> float:
        """Where the post begins, outside its inner flange."""
        return 15.0 if self.labelled else 8.0

    @property
    def middle(self) -> float:
        """Height of the post."""
        return self.top + self.tall / 2


ONE = Sheet(360, 94, 20, 20, 16, True)
ONE_OF_MANY = Sheet(174, 64, 19, 35, 14, True)
SMALL = Sheet(150, 46, 3, 3, 11, False)
SMALL_OF_MANY = Sheet(150, 30, 3, 3, 11, False)
COLUMN = 186.0
GHOST: dict[str, Attribute] = {"class_": "s-ink f-paper", "fill": COLOURS["paper"]}
PER_METRE = 800.0
"""Thickness scale at which a mass can be written on most plates."""
PLATES_SHARE = 0.7
"""Part of a long horn's picture that its plates may fill, so that those coming off stand apart."""


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
    """The horns as SVG text, two side by side where there are several.

    unit:  the lifter's; plates of another unit carry theirs.
    small: for lists, without labels.

    >>> "empty" in draw_stack([HornChange("arm horn", 0.3, 2, ())])
    True
    """
    return "".join(stack_pieces(horns, unit=unit, small=small, title=title))


def stack_pieces(
    horns: Sequence[HornChange], *, unit: Unit = Unit.KG, small: bool = False, title: str = "Plates"
) -> tuple[str, ...]:
    """The same in pieces: a horn and the plates that stay on it are in the drawings of several sets."""
    many = len(horns) > 1
    sheet = (SMALL_OF_MANY if many else SMALL) if small else (ONE_OF_MANY if many else ONE)
    columns = 2 if many and not small else 1
    drawn, height = in_columns([_horn(horn, sheet, unit) for horn in horns], columns, sheet.row)
    return pieces("stack", (150.0 if small else 360.0, max(height, 1)), title, ("", told(horns)), *drawn)


def in_columns(horns: Sequence[Sequence[str]], columns: int, row: float) -> tuple[list[str], float]:
    """Horns beside and under one another, each a group of its shapes, and how high they are together."""
    drawn: list[str] = []
    for place, shapes in enumerate(horns):
        drawn += [_moved_group(place % columns * COLUMN, place // columns * row), *shapes, "</g>"]
    return drawn, -(-len(horns) // columns) * row


def moved(x: float, y: float) -> str:
    """A shift, as the attribute of a group."""
    return f"translate({number(x)} {number(y)})"


def _moved_group(x: float, y: float) -> str:
    return opened(tag("g", transform=moved(x, y)))


def _at(x: float, y: float, shapes: str) -> tuple[str, str]:
    """Shapes at a place, in two pieces: the place, and the shapes, which may be the same at another."""
    return _moved_group(x, y), f"{shapes}</g>"


def told(horns: Sequence[HornChange]) -> str:
    """The stacks in words, innermost first.

    >>> told([HornChange("arm horn", 0.3, 2, ())])
    'arm horn, each side: empty.'
    """
    return " ".join(_told_horn(horn) for horn in horns)


def _told_horn(horn: HornChange) -> str:
    said = [", ".join(plate.name for plate in horn.kept) or "empty"]
    if horn.off:
        said.append(f"take off {', '.join(plate.name for plate in horn.off)}")
    if horn.on:
        said.append(f"put on {', '.join(plate.name for plate in horn.on)}")
    return f"{horn.where}: {'; '.join(said)}."


def _horn(horn: HornChange, sheet: Sheet, unit: Unit) -> list[str]:
    """A horn with every plate on it, and those on their way off it."""
    widths = widths_of(horn, sheet)
    inner = sheet.start + 1 + fsum(widths.kept)
    ghosts = max(sheet.start + 1 + widths.horn - fsum(widths.off), inner + fsum(widths.on) + 4)
    shapes = [
        *bare_horn(widths, sheet),
        *plates_on(horn.kept, widths.kept, sheet.start + 1, sheet, unit, "metal"),
        *plates_on(horn.on, widths.on, inner, sheet, unit, "accent"),
        *plates_on(horn.off[::-1], widths.off[::-1], ghosts, sheet, unit, "ghost"),
    ]
    if sheet.labelled:
        shapes += _labels(horn, sheet, (inner, inner + fsum(widths.on)), (ghosts, ghosts + fsum(widths.off)))
    return shapes


def bare_horn(widths: Widths, sheet: Sheet) -> list[str]:
    """The post and its inner flange."""
    tip = sheet.start + 1 + widths.horn
    half = sheet.tall / 2 + (3 if sheet.labelled else 1)
    post = max(sheet.tall * 0.12, 5)
    shapes = (
        tag(
            "rect",
            x=sheet.start,
            y=sheet.middle - post / 2,
            width=tip - sheet.start,
            height=post,
            rx=3,
            **fill("soft"),
        ),
        *_break(tip, post, sheet.middle, beyond=widths.beyond),
        tag("rect", x=sheet.start - 7, y=sheet.middle - half, width=7, height=2 * half, rx=2, **fill("ink")),
    )
    return ["".join(shapes)]


@dataclass(frozen=True, slots=True)
class Widths:
    """Drawn widths of the horn and of every plate on it; beyond: the horn is longer than what is drawn."""

    horn: float
    beyond: bool
    kept: list[float]
    on: list[float]
    off: list[float]


def widths_of(horn: HornChange, sheet: Sheet) -> Widths:
    """All in one scale: as large as the plates allow, with the horn running out of the picture if it is long."""
    room = sheet.width - sheet.start - 10
    whole = fsum(plate.thickness_m for plate in (*horn.kept, *horn.on, *horn.off))
    scale = min(
        max(room / max(horn.length_m, 0.05), min(PER_METRE, PLATES_SHARE * room / max(whole, 0.001))), 3000
    )
    while True:
        stacks = [
            [max(plate.thickness_m * scale, THINNEST) for plate in part] for part in (horn.kept, horn.on, horn.off)
        ]
        if fsum(map(fsum, stacks)) <= room or scale < 1:
            return Widths(min(horn.length_m * scale, room), horn.length_m * scale > room + 0.5, *stacks)
        scale *= 0.9


def _break(tip: float, post: float, middle: float, *, beyond: bool) -> list[str]:
    """The mark of a horn that goes on beyond the picture."""
    if not beyond:
        return []
    d = f"M{tip - 5:.1f} {middle + post / 2 + 3:.1f}l3 {-(post / 2 + 3):.1f}l-3 -2l3 {-(post / 2 + 3):.1f}"
    return [tag("path", d=d, **line("paper", 3))]


def plates_on(
    stack: Sequence[Plate], widths: Sequence[float], start: float, sheet: Sheet, unit: Unit, look: str
) -> list[str]:
    """A run of plates, then what is written on them or, clear of their neighbours, beside them."""
    heights = [plate_height(plate, sheet.tall) for plate in stack]
    lefts = [start + end - width for width, end in zip(widths, accumulate(widths), strict=True)]
    plates: list[str] = []
    bare: list[int] = []
    for place, (plate, width, height) in enumerate(zip(stack, widths, heights, strict=True)):
        mass = _mass(mass_written(plate, unit), (width, height), sheet, look)
        box = draw_plate((-width / 2, -height / 2, width, height), look)
        plates += [
            _moved_group(lefts[place] + width / 2, sheet.middle),
            *([box, *mass] if mass else [f"{box}</g>"]),
        ]
        if not mass:
            bare.append(place)
    if not sheet.labelled:
        return plates
    runs = [_Run(mass_written(stack[place], unit), place, many) for place, many in _runs(stack, bare)]
    return plates + _written_beside(runs, lefts, heights, sheet, look)


@dataclass(frozen=True, slots=True)
class _Run:
    """Plates alike, one after another: what is written on each, where they begin, and how many they are."""

    mass: str
    place: int
    many: int

    @property
    def text(self) -> str:
        return f"{self.many} × {self.mass}" if self.many > 1 else self.mass


def _runs(stack: Sequence[Plate], places: Sequence[int]) -> list[tuple[int, int]]:
    """Where plates alike begin among these places, and how many follow one another."""
    found: list[tuple[int, int]] = []
    for place in places:
        if found and sum(found[-1]) == place and stack[place] == stack[place - 1]:
            found[-1] = (found[-1][0], found[-1][1] + 1)
        else:
            found.append((place, 1))
    return found


def _written_beside(
    runs: Sequence[_Run], lefts: Sequence[float], heights: Sequence[float], sheet: Sheet, look: str
) -> list[str]:
    """Masses above and below plates too thin for theirs; what has no room there is left to the words."""
    words: list[str] = []
    taken = [0.0, 0.0]
    for run in runs:
        clear = max(heights[max(run.place - 1, 0) : run.place + run.many + 1])
        x = min(lefts[run.place] + 1, sheet.width - text_width(run.text, 12) - 2)
        sides = (run.place % 2, 1 - run.place % 2)
        below = next((side for side in sides if taken[side] <= x), None)
        if below is not None:
            taken[below] = x + text_width(run.text, 12) + 2
            words.append(_beside(run.text, x, sheet, look, clear if below else -clear))
    return words


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
        return tag("rect", **outline, stroke_dasharray="4 3", **(line("ink", 1.6) | GHOST))
    return tag("rect", **outline, **fill(look))


def mass_written(plate: Plate, unit: Unit) -> str:
    """What is cast into a plate, with its unit only where that is not the lifter's."""
    return plain(plate.nominal.amount) if plate.nominal.unit is unit else str(plate.nominal)


def _mass(text: str, size: tuple[float, float], sheet: Sheet, look: str) -> tuple[str, ...]:
    """The mass in the middle of its plate, which lies at 0: upright, else along the plate; nothing without room.

    size: width and height of the plate, whose group ends here.
    """
    width, height = size
    letters, turn = sheet.letters, {}
    if text_width(text, letters) + 3 > width:
        letters = min(letters, width * 1.02, (height - 2) / text_width(text, 1))
        turn = {"transform": "rotate(-90)"}
    if letters < sheet.letters * 0.62:
        return ()
    colour = "ink" if look == "ghost" else f"on-{look}"
    how = tag("g", font_size=letters, text_anchor="middle", font_weight="700", **fill(colour))
    return opened(how), tag("text", escape(text), y=letters * 0.36, **turn) + "</g></g>"


def _beside(text: str, x: float, sheet: Sheet, look: str, clear: float) -> str:
    """The mass beside a plate that has no room for it.

    clear: twice the way from the middle to where nothing is drawn, negative for above.
    """
    outside = sheet.middle + clear / 2 + (11 if clear > 0 else -3)
    return write(text, x, outside, 12, "accent" if look == "accent" else "ink", bold=True)


def _labels(horn: HornChange, sheet: Sheet, on: tuple[float, float], off: tuple[float, float]) -> list[str]:
    """Which horn and sides, what comes off first, what goes on then."""
    top, foot = sheet.middle - sheet.tall / 2 - 7, sheet.middle + sheet.tall / 2 + 15
    parts: list[str] = []
    if horn.off:
        parts += _way_off(off[1], top, "first off" if horn.on else "off")
    if horn.on:
        parts += _way_on(on, foot, "then on" if horn.off else "on")
    if not (horn.kept or horn.on):
        parts.append(nothing_there(sheet))
    parts.append(_where(horn.where, sheet, foot, beside=bool(horn.on), far=on[0] > 150))
    return parts


def nothing_there(sheet: Sheet) -> str:
    """What stands over a bare post."""
    return write("empty", 34, sheet.middle - sheet.tall * 0.12, 15, "quiet")


def _where(text: str, sheet: Sheet, foot: float, *, beside: bool, far: bool) -> str:
    """Which horn it is: in the last line of a narrow drawing, else beside the arrow of what goes on."""
    if sheet.foot > 30:
        return write(text, 8, foot + 15, 14, "quiet")
    if beside and not far:
        return write(text, sheet.width - 4, foot, 14, "quiet", anchor="end")
    return write(text, 8, foot, 14, "quiet")


def _way_off(end: float, y: float, text: str) -> tuple[str, str]:
    words = write(text, -30, 0, 15, "ink", anchor="end", bold=True)
    arrow = tag("path", d="M-25-5h18", **line("ink", 2.2)) + tag("path", d="M0-5l-9-4.5v9z", **fill("ink"))
    return _at(max(end, 96), y, words + arrow)


def _way_on(on: tuple[float, float], y: float, text: str) -> tuple[str, str]:
    words = write(text, 31, 0, 15, "accent", bold=True)
    arrow = tag("path", d="M26-5H8", **line("accent", 2.2)) + tag("path", d="M0-5l9-4.5v9z", **fill("accent"))
    return _at(on[0] + 2, y, words + arrow)
