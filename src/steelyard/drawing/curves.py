"""Resistance curves: handle force as felt load over the handle's travel, one station, many, or two compared.

Raising is a line, lowering a dashed one, the felt load is level; what a calibration leaves open is a soft band.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from steelyard.drawing.beam import graduation
from steelyard.drawing.force_curve import ForceCurve, told_comparison, told_curve
from steelyard.drawing.side_words import INCH_M
from steelyard.drawing.svg import Attribute, fill, line, number, picture, tag, text_width, write
from steelyard.units import Unit, in_unit, show_mass

WIDTH = 360.0
LEFT, RIGHT = 44.0, 12.0
CELL_TALL, CELL_HEAD, CELL_FOOT = 84.0, 24.0, 18.0
LEAST_SPREAD = 0.12
"""A scale of force spans at least this share of the largest, or a level curve would look like a wild one."""
LETTERS = 12.0

Look = dict[str, Attribute]
RAISING: Look = line("accent", 2.4)
LOWERING: Look = line("accent", 1.6) | {"stroke_dasharray": "5 4"}
FELT: Look = line("quiet", 1.1)
SECOND: Look = line("ink", 2.2)


@dataclass(frozen=True, slots=True)
class Chart:
    """Where travel and load lie on a sheet.

    box:  left, top, right and bottom. [drawing units]
    along: the largest value across. loads: the lowest and the highest load, in the lifter's unit.
    """

    box: tuple[float, float, float, float]
    along: float
    loads: tuple[float, float]

    def x(self, along: float) -> float:
        """Where a place on the way lies."""
        return self.box[0] + (self.box[2] - self.box[0]) * along / self.along

    def y(self, load: float) -> float:
        """Where a load lies."""
        low, high = self.loads
        return self.box[3] - (self.box[3] - self.box[1]) * (load - low) / (high - low)

    def path(self, along: Sequence[float], loads: Sequence[float]) -> str:
        """A line through these points."""
        points = zip(along, loads, strict=True)
        return "M" + "L".join(f"{number(self.x(a))} {number(self.y(load))}" for a, load in points)


def draw_curves(curves: Sequence[ForceCurve], *, unit: Unit = Unit.KG, title: str = "Resistance") -> str:
    """One curve large, or several small ones on common scales, as SVG text.

    curves: at least one.

    >>> one = ForceCurve("Row", (0.0, 0.5), (0.0, 1.0), (44.0, 40.0), (36.0, 33.0), 42.0, 34.5)
    >>> draw_curves([one]).count("<path") > 3
    True
    """
    words = " ".join(told_curve(curve, unit) for curve in curves)
    if len(curves) == 1:
        return picture("curve", (WIDTH, 236.0), title, words, *_large(curves[0], unit))
    rows = -(-len(curves) // 2)
    height = rows * (CELL_HEAD + CELL_TALL + CELL_FOOT) + 22
    return picture("curves", (WIDTH, height), title, words, *_small(curves, unit))


def draw_comparison(first: ForceCurve, second: ForceCurve, *, unit: Unit = Unit.KG) -> str:
    """Two stations at about the same felt load over the share of their travel, as SVG text."""
    chart = Chart((LEFT, 50.0, WIDTH - RIGHT, 206.0), 100.0, span_of((first, second), unit, both=False))
    looks = ((first, RAISING), (second, SECOND))
    parts = [*_grid(chart, unit), *_shares(chart)]
    for row, (curve, look) in enumerate(looks):
        words = f"{curve.title}, {show_mass(curve.felt_kg, unit)} felt"
        size = min(LETTERS, (WIDTH - LEFT - 40) / text_width(words, 1.0))
        parts += _key([(look, words)], 15.0 + 17 * row, size)
        along = [100.0 * share for share in curve.share]
        parts.append(tag("path", d=chart.path(along, _in(curve.raising_kg, unit)), data_part="raising", **look))
    words = told_comparison(first, second, unit)
    return picture("curve", (WIDTH, 240.0), f"{first.title} and {second.title}", words, *parts)


def span_of(curves: Sequence[ForceCurve], unit: Unit, *, both: bool = True) -> tuple[float, float]:
    """The lowest and highest load of a common scale, in the lifter's unit: from 0 unless all of it is high up."""
    loads = [load for curve in curves for load in (*curve.raising_kg, curve.felt_kg)]
    loads += [load for curve in curves for load in curve.lowering_kg] if both else []
    loads += [load for curve in curves for side in curve.band_kg or () for load in side]
    low, high = in_unit(min(loads), unit), in_unit(max(loads), unit)
    spread = max(high - low, LEAST_SPREAD * abs(high), 1e-3)
    if low < 0.5 * high:
        return min(0.0, low - 0.1 * spread * (low < 0)), high + 0.08 * spread
    middle = (low + high) / 2
    return middle - 0.62 * spread, middle + 0.62 * spread


def _in(loads_kg: Sequence[float], unit: Unit) -> list[float]:
    return [in_unit(load, unit) for load in loads_kg]


def travel_in(travel_m: float, unit: Unit) -> float:
    """A way in what goes with the lifter's unit of mass: centimetres or inches."""
    return travel_m / INCH_M if unit is Unit.LB else 100.0 * travel_m


def _word(unit: Unit) -> str:
    return "in" if unit is Unit.LB else "cm"


def _large(curve: ForceCurve, unit: Unit) -> list[str]:
    way = travel_in(max(curve.travel_m), unit)
    chart = Chart((LEFT, 34.0, WIDTH - RIGHT, 200.0), way or 1.0, span_of((curve,), unit))
    key = [(RAISING, "raising"), (LOWERING, "lowering"), (FELT, f"{show_mass(curve.felt_kg, unit)} felt")]
    parts = [*_grid(chart, unit), *_traces(chart, curve, unit)]
    parts += _travels(chart, unit) if way else [_under(chart, "the way was not measured")]
    return [*parts, *_key(key if curve.has_friction else key[::2], 15.0, LETTERS)]


def _traces(chart: Chart, curve: ForceCurve, unit: Unit) -> list[str]:
    """Band, felt load, lowering and raising, the last one on top."""
    way = [travel_in(travel, unit) for travel in curve.travel_m]
    along = way if any(way) else [share * chart.along for share in curve.share]
    felt = [in_unit(curve.felt_kg, unit)] * 2
    parts = []
    if curve.band_kg is not None:
        low, high = (_in(side, unit) for side in curve.band_kg)
        round_it = chart.path([*along, *along[::-1]], [*low, *high[::-1]]) + "Z"
        parts.append(tag("path", d=round_it, data_part="band", **fill("soft")))
    parts.append(tag("path", d=chart.path((along[0], along[-1]), felt), data_part="felt", **FELT))
    if curve.has_friction:
        parts.append(
            tag("path", d=chart.path(along, _in(curve.lowering_kg, unit)), data_part="lowering", **LOWERING)
        )
    raising = chart.path(along, _in(curve.raising_kg, unit))
    return [*parts, tag("path", d=raising, stroke_linejoin="round", data_part="raising", **RAISING)]


def _grid(chart: Chart, unit: Unit, *, figures: bool = True) -> list[str]:
    """Level lines at round loads with their figures, the base line, and a break where it is not at 0."""
    left, _, right, bottom = chart.box
    amounts = [load for load in graduation(*chart.loads) if chart.y(load) < bottom - 6]
    parts = [
        tag("path", d=f"M{number(left)} {number(chart.y(load))}H{number(right)}", **line("soft", 1.0))
        for load in amounts
    ]
    parts.append(tag("path", d=f"M{number(left)} {number(bottom)}H{number(right)}", **line("ink", 1.4)))
    if not figures:
        return parts
    for load in amounts:
        text = f"{load:g} {unit}" if load == amounts[-1] else f"{load:g}"
        parts.append(write(text, left - 5, chart.y(load) + 4, 11, "quiet", anchor="end"))
    return parts if chart.loads[0] <= 0.0 else [*parts, _break(left, bottom)]


def _break(x: float, y: float) -> str:
    """The mark of an axis that does not begin at 0."""
    return tag("path", d=f"M{number(x - 8)} {number(y)}h3l2 -4l3 8l2 -4", **line("ink", 1.2))


def _travels(chart: Chart, unit: Unit) -> list[str]:
    bottom = chart.box[3]
    amounts = graduation(0.0, chart.along)
    parts = [tag("path", d=f"M{number(chart.x(way))} {number(bottom)}v4", **line("ink", 1.2)) for way in amounts]
    parts += [write(f"{way:g}", chart.x(way), bottom + 16, 11, "quiet", anchor="middle") for way in amounts]
    return [*parts, _under(chart, f"{'inches' if unit is Unit.LB else 'cm'} of handle travel")]


def _under(chart: Chart, text: str) -> str:
    return write(text, chart.box[2], chart.box[3] + 30, 11, "quiet", anchor="end")


def _shares(chart: Chart) -> list[str]:
    bottom = chart.box[3]
    parts = [
        write("start", chart.x(0), bottom + 16, 11, "quiet"),
        write("end", chart.x(100), bottom + 16, 11, "quiet", anchor="end"),
        write("half way", chart.x(50), bottom + 16, 11, "quiet", anchor="middle"),
    ]
    ticks = "".join(f"M{number(chart.x(share))} {number(bottom)}v4" for share in (0, 25, 50, 75, 100))
    return [*parts, tag("path", d=ticks, **line("ink", 1.2)), _under(chart, "share of the hands' way")]


def _key(entries: Sequence[tuple[Look, str]], y: float, size: float) -> list[str]:
    """Samples of lines with what they stand for."""
    parts, x = [], LEFT
    for look, words in entries:
        parts.append(tag("path", d=f"M{number(x)} {number(y - 4)}h22", **look))
        parts.append(write(words, x + 27, y, size, "ink"))
        x += 27 + text_width(words, size) + 14
    return parts


def _small(curves: Sequence[ForceCurve], unit: Unit) -> list[str]:
    """Two columns of small curves: one scale of force and one of travel for all."""
    way = max(travel_in(max(curve.travel_m), unit) for curve in curves) or 1.0
    loads = span_of(curves, unit)
    wide = (WIDTH - LEFT - RIGHT - 14) / 2
    parts = _key([(RAISING, "raising"), (LOWERING, "lowering"), (FELT, "felt")], 14.0, LETTERS)
    for place, curve in enumerate(curves):
        left = LEFT + place % 2 * (wide + 14)
        top = 22 + place // 2 * (CELL_HEAD + CELL_TALL + CELL_FOOT) + CELL_HEAD
        parts += _cell(
            Chart((left, top, left + wide, top + CELL_TALL), way, loads), curve, unit, first=place % 2 == 0
        )
    return parts


def _cell(chart: Chart, curve: ForceCurve, unit: Unit, *, first: bool) -> list[str]:
    left, top, right, bottom = chart.box
    size = min(LETTERS, (right - left) / text_width(curve.title, 1.0))
    parts = [*_grid(chart, unit, figures=first), *_traces(chart, curve, unit)]
    parts.append(write(curve.title, left, top - 7, size, "ink", bold=True))
    way = travel_in(max(curve.travel_m), unit)
    words = f"{way:.0f} {_word(unit)}" if way else "way not measured"
    end = min(max(chart.x(way or chart.along), left + text_width(words, 10.5)), right)
    return [*parts, write(words, end, bottom + 12, 10.5, "quiet", anchor="end")]
