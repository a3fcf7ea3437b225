"""Where the plates of a drawing lie on its sheet, through all the groups that move them."""

from __future__ import annotations

import re
from collections.abc import Iterator
from xml.etree import ElementTree

SVG = "{http://www.w3.org/2000/svg}"
Box = tuple[float, float, float]
"""x, width and height."""


def boxes(svg: str, look: str) -> list[Box]:
    """The plates of one look, by class, as they are painted."""
    return list(_boxes_in(ElementTree.fromstring(svg), look, 0.0))


def _boxes_in(group: ElementTree.Element, look: str, left: float) -> Iterator[Box]:
    """Those in a group that lies so far from the left edge."""
    for each in group:
        if each.tag == f"{SVG}rect" and each.get("class") == look:
            x, width, height = (float(each.attrib[name]) for name in ("x", "width", "height"))
            yield left + x, width, height
        moved = re.match(r"translate\(([-\d.]+)", each.get("transform", ""))
        yield from _boxes_in(each, look, left + float(moved[1]) if moved else left)
