"""Labels round a drawing: each near what it names, none over another, all inside the picture.

They are placed one after the other, the most needed first, each at the free place that hides least; one for which
no place is free is left out.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from steelyard.drawing.scene import Spot
from steelyard.drawing.svg import COLOURS, Attribute, line, tag, text_width, write
from steelyard.machine.model import Point

DISTANCES = (3.0, 7.0, 13.0, 21.0, 31.0, 43.0, 57.0, 75.0, 100.0, 130.0)
DIRECTIONS = 16
EDGE = 3.0
BOLDER = 1.1
FAR = 11.0
"""A label this far from its place is tied to it by a fine line."""


HALO: dict[str, Attribute] = {"class_": "s-paper", "stroke": COLOURS["paper"], "stroke_width": 3.0}
"""Paper round the letters, so that they can be read across a line."""


@dataclass(frozen=True, slots=True)
class Label:
    """Words at a place on the sheet. clear: radius round it that belongs to the thing itself. [drawing units]"""

    text: str
    at: Point
    colour: str = "ink"
    size: float = 12.5
    bold: bool = False
    clear: float = 6.0


@dataclass(frozen=True, slots=True)
class Box:
    """The room a label takes on the sheet."""

    left: float
    top: float
    width: float
    height: float

    def near(self, point: Point) -> Point:
        """The point of the box that is nearest to another."""
        x = min(max(point[0], self.left), self.left + self.width)
        return x, min(max(point[1], self.top), self.top + self.height)

    def meets(self, other: Box) -> bool:
        """Whether two boxes overlap."""
        across = self.left < other.left + other.width and other.left < self.left + self.width
        return across and self.top < other.top + other.height and other.top < self.top + self.height

    def hidden(self, spots: Sequence[Spot], cost: float, most: float) -> float:
        """A cost, with what the box hides of the spots: more, the deeper they reach into it.

        most: it is not reckoned further than to here.
        """
        left, top, right, foot = self.left, self.top, self.left + self.width, self.top + self.height
        for x, y, radius in spots:
            across = left - x if x < left else x - right if x > right else 0.0
            if across < radius:
                along = top - y if y < top else y - foot if y > foot else 0.0
                if along < radius and (apart := math.hypot(across, along)) < radius:
                    cost += 3.0 + 2.0 * (radius - apart)
                    if cost >= most:
                        break
        return cost


def draw_labels(labels: Sequence[Label], spots: Sequence[Spot], size: tuple[float, float]) -> list[str]:
    """The labels as SVG, with lines to those that stand far from their place.

    labels: the most needed first. spots: what they keep clear of. size: of the picture.
    """
    placed: list[Box] = []
    parts = []
    for label in labels:
        box = free_box(label, placed, spots, size)
        if box is not None:
            placed.append(box)
            parts += [*_leader(label, box), _words(label, box)]
    return parts


def free_box(label: Label, placed: Sequence[Box], spots: Sequence[Spot], size: tuple[float, float]) -> Box | None:
    """The best free place for a label; None if there is none."""
    best, least = None, math.inf
    for far, box in _candidates(label, size):
        if far >= least:
            break
        if any(box.meets(other) for other in placed):
            continue
        cost = box.hidden(spots, far, least)
        if cost < least:
            best, least = box, cost
    return best


def _candidates(label: Label, size: tuple[float, float]) -> Iterator[tuple[float, Box]]:
    """Boxes round the label's place, nearest first, moved into the picture where they leave it."""
    width = text_width(label.text, label.size) * (BOLDER if label.bold else 1.0) + 2
    height = label.size * 1.1
    for far in DISTANCES:
        for step in range(DIRECTIONS):
            # Beginning at the right, since a label beside its place reads best.
            angle = math.tau * ((step + 1) // 2) / DIRECTIONS * (-1) ** step
            reach = far + label.clear
            x = label.at[0] + math.cos(angle) * (reach + width / 2) - width / 2
            y = label.at[1] + math.sin(angle) * (reach + height / 2) - height / 2
            x, y = max(EDGE, min(x, size[0] - width - EDGE)), max(EDGE, min(y, size[1] - height - EDGE))
            yield far, Box(x, y, width, height)


def _leader(label: Label, box: Box) -> list[str]:
    near = box.near(label.at)
    if math.dist(near, label.at) < FAR + label.clear:
        return []
    inside = min(1.0, max(label.clear - 2.0, 0.0) / math.dist(near, label.at))
    x, y = (there + inside * (here - there) for there, here in zip(label.at, near, strict=True))
    return [tag("path", d=f"M{x:.1f} {y:.1f}L{near[0]:.1f} {near[1]:.1f}", **line("quiet", 0.7))]


def _words(label: Label, box: Box) -> str:
    foot = box.top + label.size * 0.9
    middle = box.left + box.width / 2
    under, over = (
        write(label.text, middle, foot, label.size, colour, anchor="middle", bold=label.bold)
        for colour in ("paper", label.colour)
    )
    return tag("g", under, aria_hidden="true", stroke_linejoin="round", **HALO) + over
