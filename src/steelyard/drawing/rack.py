"""The rack: every plate in the house, standing side by side, to scale."""

from __future__ import annotations

from collections.abc import Iterator

from steelyard.drawing.stack import draw_plate, plate_height
from steelyard.drawing.svg import fill, picture, tag, text_width, write
from steelyard.plates.model import Inventory, Plate

WIDTH = 360.0
TALL = 92.0
ROW = TALL + 40.0
PER_METRE = 420.0
GAP = 14.0


def draw_rack(inventory: Inventory) -> str:
    """The plates of a house as SVG text, kind by kind in the order of the file, each kind with its count."""
    rows = list(_rows(inventory))
    parts = [part for number, row in enumerate(rows) for part in _row(row, number * ROW + TALL + 6)]
    return picture("rack", (WIDTH, max(len(rows), 1) * ROW), "Plates in the house", told(inventory), *parts)


def told(inventory: Inventory) -> str:
    """The plates in words."""
    return ", ".join(f"{count} of {plate.name}" for plate, count in inventory.counts.items()) + "."


def _thickness(plate: Plate) -> float:
    return max(plate.thickness_m * PER_METRE, 4.0)


def _width(plate: Plate, count: int) -> float:
    """The room a kind takes: its plates, or its label where that is wider."""
    return max(_thickness(plate) * count, text_width(_label(plate, count), 13))


def _label(plate: Plate, count: int) -> str:
    return f"{count} × {plate.name}"


def _rows(inventory: Inventory) -> Iterator[list[tuple[Plate, int]]]:
    """Kinds broken into rows of the picture's width."""
    row: list[tuple[Plate, int]] = []
    used = 0.0
    for plate, count in inventory.counts.items():
        width = _width(plate, count) + GAP
        if row and used + width > WIDTH - 8:
            yield row
            row, used = [], 0.0
        row.append((plate, count))
        used += width
    if row:
        yield row


def _row(row: list[tuple[Plate, int]], floor: float) -> list[str]:
    parts = [tag("rect", x=0, y=floor, width=WIDTH, height=5, rx=2, **fill("ink"))]
    left = 8.0
    for plate, count in row:
        width, thick, height = _width(plate, count), _thickness(plate), plate_height(plate, TALL)
        thick = min(thick, width / max(count, 1))
        parts += [draw_plate((left + n * thick, floor - height, thick, height), "metal") for n in range(count)]
        parts.append(write(_label(plate, count), left, floor + 21, 13, "ink", bold=True))
        left += width + GAP
    return parts
