"""The beam: a station's load ladder as notches on the arm of a steelyard.

A notch is a load that can be built. A grey poise hangs where the load is, one in the accent where it goes
next, and a bracket spans the loads that fit the rep range. Positions are linear in felt load; a beam that goes
on beyond what is shown ends in a break.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace

from steelyard.drawing.svg import Attribute, fill, line, number, opened, pieces, tag, text_width
from steelyard.units import Unit, in_unit, show_mass

WIDTH = 360.0
START, END = 70.0, 338.0
FULCRUM, HOOK = 46.0, 16.0
TOP, BOTTOM = 40.0, 50.0
MOST_NOTCHES = 44
LEAST_APART = 4.0
MOST_FIGURES = 6
STEPS = (0.5, 1, 2, 5, 10, 20, 25, 50, 100, 200, 500, 1000)


@dataclass(frozen=True, slots=True)
class Beam:
    """What a beam shows; all loads are felt loads. [kg]

    rungs_kg: every load that can be built, ascending.
    unit:     what the lifter reads.
    now_kg:   where the load is; next_kg: where it goes.
    fitting_kg: lowest and highest load that fits the rep range.
    also_kg:  further loads to mark lightly, such as those of a warm-up.
    """

    rungs_kg: tuple[float, ...]
    unit: Unit = Unit.KG
    now_kg: float | None = None
    next_kg: float | None = None
    fitting_kg: tuple[float, float] | None = None
    also_kg: tuple[float, ...] = ()

    @property
    def poises_kg(self) -> tuple[float, ...]:
        """Every load that something hangs at. [kg]"""
        return (*self.also_kg, *(load for load in (self.now_kg, self.next_kg) if load is not None))


@dataclass(frozen=True, slots=True)
class Scale:
    """The part of the ladder shown, and where it lies on the arm."""

    rungs_kg: tuple[float, ...]
    low_kg: float
    high_kg: float
    cut_low: bool = False
    cut_high: bool = False

    def x(self, load_kg: float) -> float:
        """Where a load lies, kept on the arm."""
        share = (load_kg - self.low_kg) / (self.high_kg - self.low_kg)
        return START + (END - START) * min(max(share, 0.0), 1.0)


def draw_beam(beam: Beam, *, title: str = "Load beam") -> str:
    """The beam as SVG text.

    title: names the drawing, such as the station and the set.

    >>> draw_beam(Beam((20.0, 30.0, 40.0), next_kg=30.0)).startswith("<svg")
    True
    """
    return "".join(beam_pieces(beam, title=title))


def beam_pieces(beam: Beam, *, title: str = "Load beam") -> tuple[str, ...]:
    """The beam in pieces: most are the same for every set of a station."""
    scale = scale_of(beam)
    height = 112.0 if beam.poises_kg else 76.0
    parts = [*_arm(scale), *_figures(scale, beam.unit), *_notches(beam, scale), *_bracket(beam, scale)]
    told = _ladder_told(beam), _loads_told(beam)
    return pieces("beam", (WIDTH, height), title, told, *parts, *_poises(beam, scale))


def told(beam: Beam) -> str:
    """The beam in words.

    >>> told(Beam((20.0, 30.0, 40.0), now_kg=20.0, next_kg=30.0))
    '3 loads from 20.0 kg to 40.0 kg. Now 20.0 kg. Next 30.0 kg.'
    """
    return (_ladder_told(beam) + _loads_told(beam)).lstrip()


def _ladder_told(beam: Beam) -> str:
    unit, rungs = beam.unit, beam.rungs_kg
    if not rungs:
        return ""
    return f"{len(rungs)} loads from {show_mass(rungs[0], unit)} to {show_mass(rungs[-1], unit)}."


def _loads_told(beam: Beam) -> str:
    unit, said = beam.unit, ""
    if beam.now_kg is not None:
        said += f" Now {show_mass(beam.now_kg, unit)}."
    if beam.next_kg is not None:
        said += f" Next {show_mass(beam.next_kg, unit)}."
    if beam.fitting_kg is not None:
        low, high = beam.fitting_kg
        said += f" Fitting the rep range: {show_mass(low, unit)} to {show_mass(high, unit)}."
    return said


def scale_of(beam: Beam) -> Scale:
    """What to show: the whole ladder, or of a long one the part round the loads that matter.

    >>> scale = scale_of(Beam(tuple(float(load) for load in range(200)), next_kg=100.0))
    >>> scale.cut_low, scale.cut_high, scale.low_kg <= 90 and scale.high_kg >= 110
    (True, True, True)
    """
    rungs = beam.rungs_kg or tuple(sorted(beam.poises_kg)) or (0.0,)
    first, last = _window(rungs, _loads_that_matter(beam, rungs))
    shown = rungs[first:last]
    loads = (*shown, *beam.poises_kg)
    scale = Scale(shown, min(loads), max(loads), first > 0, last < len(rungs))
    if scale.high_kg - scale.low_kg < 1e-6:
        spread = max(abs(scale.low_kg) * 0.2, 1.0)
        return replace(scale, low_kg=scale.low_kg - spread, high_kg=scale.high_kg + spread)
    return scale


def _loads_that_matter(beam: Beam, rungs: Sequence[float]) -> list[float]:
    loads = list(beam.poises_kg)
    if loads and beam.fitting_kg is not None:
        loads += [min(max(load, rungs[0]), rungs[-1]) for load in beam.fitting_kg]
    return loads


def _window(rungs: Sequence[float], loads: Sequence[float]) -> tuple[int, int]:
    """First index and one past the last of the rungs to show."""
    if len(rungs) <= MOST_NOTCHES or not loads:
        return 0, len(rungs)
    low, high = bisect_left(rungs, min(loads)), bisect_right(rungs, max(loads))
    spare = max(12, MOST_NOTCHES - (high - low))
    first = max(0, min(low - spare // 2, len(rungs) - MOST_NOTCHES))
    return first, min(len(rungs), max(high + spare // 2, first + MOST_NOTCHES))


def _arm(scale: Scale) -> list[str]:
    """The arm with its fulcrum and the hook that the load hangs from."""
    breaks = [START - 13] * scale.cut_low + [END + 6] * scale.cut_high
    marks = "".join(f"M{number(x - 3)} {BOTTOM + 4:g}l3-6l-3-6l3-6" for x in breaks)
    parts = [ARM, tag("path", d=marks, **line("paper", 3))] if marks else [ARM]
    return parts if scale.cut_high else [*parts, KNOB]


def _arm_itself() -> str:
    """What is the same of every beam."""
    middle = (TOP + BOTTOM) / 2
    ring = f"M{FULCRUM - 5.5:g} 13.5a5.5 5.5 0 1 0 11 0a5.5 5.5 0 1 0-11 0z"
    hook = f"M{HOOK:g} {middle:g}V62a5.5 5.5 0 1 0 5.5 5.5M{FULCRUM:g} {middle:g}V19{ring}"
    over, under = f"L{FULCRUM:g} {TOP - 1:g}L{END + 8:g} {TOP:g}", f"V{BOTTOM - 2:g}L{FULCRUM:g} {BOTTOM + 1:g}"
    body = f"M{HOOK - 6:g} {middle - 3:g}{over}{under}L10 48Z"
    return (
        tag("path", d=hook, stroke_linecap="round", **line("ink", 2.5))
        + tag("path", d=body, **fill("ink"))
        + tag("path", d=f"M{FULCRUM:g} {middle - 4:g}l4.5 8h-9z", **fill("paper"))
    )


ARM = _arm_itself()
KNOB = tag("circle", cx=END + 9, cy=(TOP + BOTTOM) / 2 - 1, r=6.5, **fill("ink"))


def _figures(scale: Scale, unit: Unit) -> list[str]:
    """Round amounts over the arm; the last one names the unit."""
    amounts = graduation(in_unit(scale.low_kg, unit), in_unit(scale.high_kg, unit))
    places = [scale.x(amount * float(unit.in_kg)) for amount in amounts]
    ticks = "".join(f"M{number(x)} 20v5" for x in places)
    figures = []
    for amount, x in zip(amounts, places, strict=True):
        text = f"{amount:g} {unit}" if amount == amounts[-1] else f"{amount:g}"
        figures.append(tag("text", text, x=x - text_width(f"{amount:g}", 13) / 2))
    return [FIGURES, "".join(figures), f"</g>{TICKS}", f"{tag('path', d=ticks)}</g>"]


FIGURES = opened(tag("g", transform="translate(0 15)", font_size=13, **fill("quiet")))
TICKS = opened(tag("g", **line("quiet", 1.2)))
NOTCHES = opened(tag("g", **line("paper", 1.8)))


def graduation(low: float, high: float) -> list[float]:
    """Round amounts from low to high, few enough to read.

    >>> graduation(23.0, 91.0)
    [40, 60, 80]
    """
    step = next((step for step in STEPS if (high - low) / step <= MOST_FIGURES), STEPS[-1])
    first = -int(-low // step)
    last = int(high // step)
    return [number * step for number in range(first, last + 1)]


def _notches(beam: Beam, scale: Scale) -> list[str]:
    """A notch at every load that can be told apart, and where a small poise hangs; a large one hides its own."""
    kept = spread_out([scale.x(load) for load in scale.rungs_kg])
    places = sorted({number(x) for x in (*kept, *map(scale.x, beam.also_kg))}, key=float)
    outline = "".join(f"M{x} {TOP - 1:g}v6.5" for x in places)
    return [NOTCHES, f"{tag('path', d=outline)}</g>"]


def spread_out(places: Sequence[float]) -> list[float]:
    """The places, thinned so that any two are far enough apart to be seen.

    >>> spread_out([0.0, 1.0, 4.0, 9.0])
    [0.0, 4.0, 9.0]
    """
    kept: list[float] = []
    for place in places:
        if not kept or place - kept[-1] >= LEAST_APART:
            kept.append(place)
    return kept


def _bracket(beam: Beam, scale: Scale) -> list[str]:
    if beam.fitting_kg is None:
        return []
    low, high = beam.fitting_kg
    if high < scale.low_kg or low > scale.high_kg:
        return []
    left, right = number(scale.x(low) - 3), number(scale.x(high) + 3)
    return [BRACKET, tag("path", d=f"M{left} 36V29H{right}V36") + "</g>"]


BRACKET = opened(tag("g", stroke_linejoin="round", **line("accent", 2.5)))


def _poises(beam: Beam, scale: Scale) -> list[str]:
    """What hangs on the arm, each with its load under it; the one that comes next is painted last."""
    parts = [_small_poise(scale.x(load)) for load in beam.also_kg]
    next_x = scale.x(beam.next_kg) if beam.next_kg is not None else None
    now_x = scale.x(beam.now_kg) if beam.now_kg is not None and beam.now_kg != beam.next_kg else None
    if now_x is not None:
        parts += [_hung_at(now_x), *_now(beam, now_x, next_x)]
    if next_x is not None:
        arrow = () if now_x is None else _arrow(now_x - next_x)
        parts += [_hung_at(next_x), *arrow, *_next(beam, next_x)]
    return parts


def _small_poise(x: float) -> str:
    return tag("path", d=f"M{number(x)} {BOTTOM:g}l4.5 11h-9z", **fill("metal"))


def _hung_at(x: float) -> str:
    return opened(tag("g", transform=f"translate({number(x)})"))


def _poise(colour: str, size: float) -> str:
    """A weight that hangs from a loop round the arm, on the left edge of the drawing."""
    wide, deep = 9 * size, 24 * size
    loop = tag("path", d=f"M0 {TOP - 4:g}V{BOTTOM + 9:g}", stroke_linecap="round", **line(colour, 3.4))
    d = f"M{number(-wide * 0.55)} {BOTTOM + 7:g}h{number(wide * 1.1)}l{number(wide * 0.55)} {number(deep)}"
    foot = f"q0 3-3 3h{number(-(wide * 2.2 - 6))}q-3 0-3-3z"
    return loop + tag("path", d=d + foot, **fill(colour))


POISE_NOW, POISE_NEXT = _poise("metal", 0.8), _poise("accent", 1.0)


def _arrow(start: float) -> tuple[str, ...]:
    """A bow to the poise next, which hangs at 0, from the one now, where there is room for one."""
    if abs(start) < 34:
        return ()
    way = 1 if start < 0 else -1
    left, right = start + way * 12, -way * 16
    bow = f"M{number(left)} 72Q{number((left + right) / 2)} 84 {right} 74"
    head = f"M{right + way * 5} 70.5l{-way * 9}-2l{way * 4} 8.5z"
    return BOW, tag("path", d=bow), "</g>" + tag("path", d=head, **fill("accent"))


BOW = opened(tag("g", **line("accent", 2)))
NEXT_LETTERS, NOW_LETTERS = 21.0, 14.0


def _next(beam: Beam, x: float) -> tuple[str, str]:
    """The poise next at 0, with its load large under it. x: where that is."""
    text = _next_words(beam)
    return POISE_NEXT + NEXT, _under(text, _within(x, text_width(text, NEXT_LETTERS)) - x)


def _now(beam: Beam, x: float, next_x: float | None) -> tuple[str, ...]:
    """The poise now at 0, with its load under it only where it does not touch the one next."""
    assert beam.now_kg is not None
    text = f"now {in_unit(beam.now_kg, beam.unit):.1f}"
    width = text_width(text, NOW_LETTERS)
    place = _within(x, width)
    if next_x is not None:
        other = text_width(_next_words(beam), NEXT_LETTERS)
        if abs(place - _within(next_x, other)) <= (other + width) / 2 + 6:
            return (f"{POISE_NOW}</g>",)
    return POISE_NOW + NOW, _under(text, place - x)


def _next_words(beam: Beam) -> str:
    assert beam.next_kg is not None
    return f"{show_mass(beam.next_kg, beam.unit)} felt"


NEXT = opened(
    tag(
        "g",
        transform="translate(0 108)",
        font_size=NEXT_LETTERS,
        text_anchor="middle",
        font_weight="700",
        **fill("accent"),
    )
)
NOW = opened(tag("g", transform="translate(0 101)", font_size=NOW_LETTERS, text_anchor="middle", **fill("quiet")))


def _under(text: str, aside: float) -> str:
    """Words under a poise, as far aside as the picture's edge pushes them, and the end of both groups."""
    place: dict[str, Attribute] = {"x": aside} if number(aside) != "0" else {}
    return tag("text", text, **place) + "</g></g>"


def _within(x: float, width: float) -> float:
    """The nearest middle for a text of this width that keeps it in the picture."""
    return min(max(x, width / 2 + 4), WIDTH - width / 2 - 4)
