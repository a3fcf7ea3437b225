"""The beam: a station's load ladder as notches on the arm of a steelyard.

A notch is a load that can be built. A grey poise hangs where the load is, one in the accent where it goes
next, and a bracket spans the loads that fit the rep range. Positions are linear in felt load; a beam that goes
on beyond what is shown ends in a break.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace

from steelyard.drawing.svg import fill, line, picture, tag, text_width, write
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
    scale = scale_of(beam)
    height = 112.0 if beam.poises_kg else 76.0
    parts = [*_arm(scale), *_figures(scale, beam.unit), *_notches(beam, scale), *_bracket(beam, scale)]
    return picture("beam", (WIDTH, height), title, told(beam), *parts, *_poises(beam, scale))


def told(beam: Beam) -> str:
    """The beam in words.

    >>> told(Beam((20.0, 30.0, 40.0), now_kg=20.0, next_kg=30.0))
    '3 loads from 20.0 kg to 40.0 kg. Now 20.0 kg. Next 30.0 kg.'
    """
    unit, rungs = beam.unit, beam.rungs_kg
    said = [
        f"{len(rungs)} loads from {show_mass(rungs[0], unit)} to {show_mass(rungs[-1], unit)}." if rungs else ""
    ]
    if beam.now_kg is not None:
        said.append(f"Now {show_mass(beam.now_kg, unit)}.")
    if beam.next_kg is not None:
        said.append(f"Next {show_mass(beam.next_kg, unit)}.")
    if beam.fitting_kg is not None:
        low, high = beam.fitting_kg
        said.append(f"Fitting the rep range: {show_mass(low, unit)} to {show_mass(high, unit)}.")
    return " ".join(part for part in said if part)


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
    middle = (TOP + BOTTOM) / 2
    body = (
        f"M{HOOK - 6} {middle - 3}L{FULCRUM} {TOP - 1}L{END + 8} {TOP}V{BOTTOM - 2}L{FULCRUM} {BOTTOM + 1}L10 48Z"
    )
    hook = f"M{HOOK} {middle}V62a5.5 5.5 0 1 0 5.5 5.5"
    parts = [
        tag("path", d=hook, stroke_linecap="round", **line("ink", 2.5)),
        tag("path", d=f"M{FULCRUM} {middle}V19", **line("ink", 2.5)),
        tag("circle", cx=FULCRUM, cy=13.5, r=5.5, **line("ink", 2.5)),
        tag("path", d=body, stroke_linejoin="round", **fill("ink")),
        tag("path", d=f"M{FULCRUM} {middle - 4}l4.5 8h-9z", **fill("paper")),
    ]
    breaks = [START - 13] * scale.cut_low + [END + 6] * scale.cut_high
    parts += [tag("path", d=f"M{x - 3} {BOTTOM + 4}l3 -6l-3 -6l3 -6", **line("paper", 3)) for x in breaks]
    return parts if scale.cut_high else [*parts, tag("circle", cx=END + 9, cy=middle - 1, r=6.5, **fill("ink"))]


def _figures(scale: Scale, unit: Unit) -> list[str]:
    """Round amounts over the arm; the last one names the unit."""
    parts = []
    amounts = graduation(in_unit(scale.low_kg, unit), in_unit(scale.high_kg, unit))
    for amount in amounts:
        x = scale.x(amount * float(unit.in_kg))
        text = f"{amount:g} {unit}" if amount == amounts[-1] else f"{amount:g}"
        parts.append(tag("path", d=f"M{x:.1f} 20V25", **line("quiet", 1.2)))
        parts.append(write(text, x - text_width(f"{amount:g}", 13) / 2, 15, 13, "quiet"))
    return parts


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
    kept = spread_out([scale.x(load) for load in scale.rungs_kg])
    hung = [scale.x(load) for load in beam.poises_kg]
    places = sorted({f"{x:.1f}" for x in (*kept, *hung)}, key=float)
    outline = "".join(f"M{x} {TOP - 1:g}v6.5" for x in places)
    return [tag("path", d=outline, **line("paper", 1.8))]


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
    left, right = scale.x(low) - 3, scale.x(high) + 3
    return [tag("path", d=f"M{left:.1f} 36V29H{right:.1f}V36", stroke_linejoin="round", **line("accent", 2.5))]


def _poises(beam: Beam, scale: Scale) -> list[str]:
    parts = [_small_poise(scale.x(load)) for load in beam.also_kg]
    moves = beam.now_kg is not None and beam.now_kg != beam.next_kg
    if moves and beam.now_kg is not None:
        parts.append(_poise(scale.x(beam.now_kg), "metal", 0.8))
    if moves and beam.now_kg is not None and beam.next_kg is not None:
        parts += _arrow(scale.x(beam.now_kg), scale.x(beam.next_kg))
    if beam.next_kg is not None:
        parts.append(_poise(scale.x(beam.next_kg), "accent", 1.0))
    return parts + _loads_written(beam, scale)


def _small_poise(x: float) -> str:
    return tag("path", d=f"M{x:.1f} {BOTTOM}l4.5 11h-9z", **fill("metal"))


def _poise(x: float, colour: str, size: float) -> str:
    """A weight that hangs from a loop round the arm."""
    wide, deep = 9 * size, 24 * size
    loop = tag("path", d=f"M{x:.1f} {TOP - 4:g}V{BOTTOM + 9:g}", stroke_linecap="round", **line(colour, 3.4))
    d = f"M{x - wide * 0.55:.1f} {BOTTOM + 7:g}h{wide * 1.1:.1f}l{wide * 0.55:.1f} {deep:.1f}"
    foot = f"q0 3 -3 3h{-(wide * 2.2 - 6):.1f}q-3 0 -3 -3z"
    return loop + tag("path", d=d + foot, stroke_linejoin="round", **fill(colour))


def _arrow(start: float, end: float) -> list[str]:
    """A bow from the poise now to the poise next, where there is room for one."""
    if abs(end - start) < 34:
        return []
    way = 1 if end > start else -1
    left, right = start + way * 12, end - way * 16
    bow = f"M{left:.1f} 72Q{(left + right) / 2:.1f} 84 {right:.1f} 74"
    head = f"M{right + way * 5:.1f} 70.5l{-way * 9:.1f} -2l{way * 4:.1f} 8.5z"
    return [tag("path", d=bow, **line("accent", 2)), tag("path", d=head, **fill("accent"))]


def _loads_written(beam: Beam, scale: Scale) -> list[str]:
    """The felt load under each poise, the next one large; the one now only where the two don't touch."""
    size = 21.0
    parts, taken, half = [], None, 0.0
    if beam.next_kg is not None:
        text = f"{show_mass(beam.next_kg, beam.unit)} felt"
        half = text_width(text, size) / 2
        taken = _within(scale.x(beam.next_kg), 2 * half)
        parts.append(write(text, taken, 108, size, "accent", anchor="middle", bold=True))
    if beam.now_kg is not None and beam.now_kg != beam.next_kg:
        text = f"now {in_unit(beam.now_kg, beam.unit):.1f}"
        width = text_width(text, 14)
        place = _within(scale.x(beam.now_kg), width)
        if taken is None or abs(place - taken) > half + width / 2 + 6:
            parts.append(write(text, place, 101, 14, "quiet", anchor="middle"))
    return parts


def _within(x: float, width: float) -> float:
    """The nearest middle for a text of this width that keeps it in the picture."""
    return min(max(x, width / 2 + 4), WIDTH - width / 2 - 4)
