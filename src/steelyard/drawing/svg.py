"""The few words of SVG that the drawings are written in.

Every shape carries a class, so that a page can recolour it for light and dark, and the same colour as an
attribute, so that the drawing stands by itself on paper. Numbers are rounded to a tenth: the same data gives the
same text. A drawing may be taken in pieces, since those of one session have most of them in common.
"""

from __future__ import annotations

import re
from html import escape

COLOURS = {
    "ink": "#1d2426",
    "paper": "#f3efe6",
    "metal": "#5d6b70",
    "soft": "#d3ccbc",
    "quiet": "#556166",
    "accent": "#a34712",
    "on-metal": "#ffffff",
    "on-accent": "#ffffff",
}
"""One metal, one accent, paper and ink; `on-` colours are for writing on them."""

Attribute = str | float

WIDTH_PER_LETTER = 0.56
"""A condensed bold figure is about this wide, in parts of its size; only for deciding what fits."""


def number(value: float) -> str:
    """A coordinate, rounded to a tenth.

    >>> number(12.04), number(-0.01), number(3.25)
    ('12', '0', '3.2')
    """
    text = f"{value:.1f}".removesuffix(".0")
    return "0" if text == "-0" else text


def tag(name: str, *inside: str, **attributes: Attribute) -> str:
    """An element; ``stroke_width`` is written stroke-width and ``class_`` class. The inside is taken as SVG.

    >>> tag("circle", cx=4, r=1.25, class_="a&b")
    '<circle cx="4" r="1.2" class="a&amp;b"/>'
    """
    pairs = "".join(f' {key.rstrip("_").replace("_", "-")}="{_shown(value)}"' for key, value in attributes.items())
    return f"<{name}{pairs}>{''.join(inside)}</{name}>" if inside else f"<{name}{pairs}/>"


def _shown(value: Attribute) -> str:
    return escape(value) if isinstance(value, str) else number(value)


def fill(colour: str) -> dict[str, Attribute]:
    """The attributes of a filled shape."""
    return {"class_": f"f-{colour}", "fill": COLOURS[colour]}


def line(colour: str, width: float) -> dict[str, Attribute]:
    """The attributes of a line that is not filled."""
    return {"class_": f"s-{colour}", "stroke": COLOURS[colour], "stroke_width": width, "fill": "none"}


def edged(inside: str, edge: str, width: float) -> dict[str, Attribute]:
    """The attributes of a filled shape with a line round it."""
    return {
        "class_": f"f-{inside} s-{edge}",
        "fill": COLOURS[inside],
        "stroke": COLOURS[edge],
        "stroke_width": width,
    }


def write(
    text: str, x: float, y: float, size: float, colour: str, *, anchor: str = "start", bold: bool = False
) -> str:
    """A line of text with its baseline at (x, y); any markup in it is shown as text."""
    weight: dict[str, Attribute] = {"font_weight": "700"} if bold else {}
    return tag("text", escape(text), x=x, y=y, font_size=size, text_anchor=anchor, **weight, **fill(colour))


def text_width(text: str, size: float) -> float:
    """About how wide a text is; only for deciding whether it fits."""
    return len(text) * size * WIDTH_PER_LETTER


def picture(kind: str, size: tuple[float, float], title: str, told: str, *inside: str) -> str:
    """The whole drawing, with its title and what it shows in words for those who can't see it.

    size: width and height in the drawing's own units; it scales to the room it is given.
    """
    return "".join(pieces(kind, size, title, (told, ""), *inside))


def pieces(
    kind: str, size: tuple[float, float], title: str, told: tuple[str, str], *inside: str
) -> tuple[str, ...]:
    """The same in pieces, which are the drawing once they are joined.

    told: what it shows in words: first those that it has in common with others.

    >>> "".join(pieces("beam", (4, 2), "A", ("B.", " C."))) == picture("beam", (4, 2), "A", "B. C.")
    True
    """
    width, height = size
    head = tag(
        "svg",
        xmlns="http://www.w3.org/2000/svg",
        class_=f"drawing {kind}",
        viewBox=f"0 0 {number(width)} {number(height)}",
        role="img",
        font_family="DejaVu Sans Condensed, Liberation Sans Narrow, sans-serif",
    )
    common, own = map(escape, told)
    return opened(head), f"{tag('title', escape(title))}<desc>{common}", f"{own}</desc>", *inside, "</svg>"


def opened(element: str) -> str:
    """The tag that begins an element without contents, left open for some.

    >>> opened(tag("g", x=1))
    '<g x="1">'
    """
    return element.removesuffix("/>") + ">"


def alone(svg: str) -> str:
    """A drawing as a file of its own: on paper, since what shows it may be dark.

    >>> alone(picture("beam", (4, 2), "A", "B")).count("<rect")
    1
    """
    sheet = tag("rect", width="100%", height="100%", **fill("paper"))
    return svg.replace("</desc>", f"</desc>{sheet}", 1) + "\n"


_SAID_BY_STYLE = re.compile(
    r' (?:(?:fill|stroke)="(?:#[0-9a-f]{6}|none)"|text-anchor="start"|(?:xmlns|font-family)="[^"]*")'
)


def in_page(piece: str) -> str:
    """A piece of a drawing for a page that colours by class: without what its style says already, and with quotes
    that need no mark before them inside JSON.

    >>> in_page(tag("path", d="M0 0", **line("ink", 2)))
    "<path d='M0 0' class='s-ink' stroke-width='2'/>"
    """
    return _SAID_BY_STYLE.sub("", piece).replace('"', "'")  # quotes in names and words are escaped
