"""Torque at a joint over the lift, drawn against the shape of what the elbow can give.

The shape is scaled so that it just touches the torque: where the two meet, the lift is hardest, and where they are
far apart, it is easy.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from steelyard.drawing.svg import fill, line, picture, tag, text_width, write
from steelyard.machine.joints import CAPACITY, JointPoint, JointView
from steelyard.machine.model import Joint

WIDTH, HEIGHT = 480.0, 310.0
LEFT, RIGHT, TOP, BOTTOM = 52.0, 464.0, 50.0, 246.0
COLOURS = ("accent", "metal")
STEPS_N_M = (1, 2, 5, 10, 20, 50, 100, 200, 500)
MOST_FIGURES = 5
FLEXIONS_DEG = range(0, 141, 20)


def draw_joint_curves(views: Sequence[JointView], *, title: str = "Torque at the joint") -> str:
    """One or two views of the same kind of joint as SVG text; the first in the accent, the other in metal.

    >>> from steelyard.machine.joints import JointPoint
    >>> points = tuple(JointPoint(flexion, 0.0, 100.0, 30.0, 2.0, 0.5) for flexion in (0.2, 1.2))
    >>> view = JointView("curl", "Curl pad", Joint.ELBOW, points, False, ())
    >>> draw_joint_curves([view]).startswith("<svg")
    True
    """
    frame = Frame(views)
    parts = [*_axes(frame)]
    for number, (view, colour) in enumerate(zip(views, COLOURS, strict=False)):
        parts += [*_shape(frame, view, colour), *_torque(frame, view, colour)]
        parts.append(_legend(view, colour, number))
    return picture("joints", (WIDTH, HEIGHT), title, told(views), *parts)


def told(views: Sequence[JointView]) -> str:
    """The drawing in words."""
    return " ".join(_told_one(view) for view in views)


def _told_one(view: JointView) -> str:
    torques = [point.torque_n_m for point in view.points]
    span = f"{view.title}: torque from {min(torques):.0f} to {max(torques):.0f} N m"
    ranked = view.ranked
    if not ranked:
        return f"{span}."
    return f"{span}, hardest at {_place_words(view, ranked[0])}."


def _place_words(view: JointView, point: JointPoint) -> str:
    if point.flexion_rad is None:
        return f"{100 * point.travel_m:.0f} cm of travel"
    return f"{math.degrees(point.flexion_rad):.0f} degrees of flexion"


class Frame:
    """Where torques and places lie in the drawing."""

    def __init__(self, views: Sequence[JointView]) -> None:
        self.elbow = all(view.joint is Joint.ELBOW for view in views)
        highs = [point.torque_n_m for view in views for point in view.points] + [peak_of(view) for view in views]
        self.high_n_m, self.low_n_m = max(*highs, 1.0) * 1.05, min(*highs, 0.0)
        self.far = 140.0 if self.elbow else max(100 * point.travel_m for view in views for point in view.points)

    def place(self, point: JointPoint) -> float:
        """Flexion in degrees, or travel in centimetres."""
        return 100 * point.travel_m if point.flexion_rad is None else math.degrees(point.flexion_rad)

    def x(self, place: float) -> float:
        """Across, kept within the drawing."""
        return LEFT + (RIGHT - LEFT) * min(max(place / self.far, 0.0), 1.0)

    def y(self, torque_n_m: float) -> float:
        """Up."""
        return BOTTOM - (BOTTOM - TOP) * (torque_n_m - self.low_n_m) / (self.high_n_m - self.low_n_m)


def peak_of(view: JointView) -> float:
    """The peak that the shape of capacity has when it just touches the torque; 0 where nothing is known. [N m]"""
    ranked = view.ranked
    return (ranked[0].demand_n_m or 0.0) if ranked else 0.0


def _axes(frame: Frame) -> list[str]:
    parts = [tag("path", d=f"M{LEFT} {TOP}V{BOTTOM}", **line("ink", 1.6))]
    parts.append(tag("path", d=f"M{LEFT} {frame.y(0.0):.1f}H{RIGHT}", **line("ink", 1.6)))
    for torque in graduation(frame.low_n_m, frame.high_n_m):
        y = frame.y(torque)
        parts.append(tag("path", d=f"M{LEFT - 5} {y:.1f}H{LEFT}", **line("quiet", 1.2)))
        parts.append(write(f"{torque:g}", LEFT - 8, y + 4.5, 13, "quiet", anchor="end"))
    for place in FLEXIONS_DEG if frame.elbow else graduation(0.0, frame.far):
        x = frame.x(place)
        parts.append(tag("path", d=f"M{x:.1f} {BOTTOM}v5", **line("quiet", 1.2)))
        parts.append(write(f"{place:g}", x, BOTTOM + 18, 13, "quiet", anchor="middle"))
    across = "degrees of elbow flexion, 0 straight" if frame.elbow else "cm of handle travel"
    parts.append(write(across, RIGHT, BOTTOM + 35, 13, "quiet", anchor="end"))
    parts.append(write("N m in each arm at work", LEFT, 17, 13, "quiet"))
    if frame.elbow:
        parts.append(write("dashed: what an elbow can give, as a shape that just touches", LEFT, 35, 13, "quiet"))
    return parts


def graduation(low: float, high: float) -> list[float]:
    """Round amounts from low to high, few enough to read.

    >>> graduation(-12.0, 61.0)
    [0, 20, 40, 60]
    """
    step = next((step for step in STEPS_N_M if (high - low) / step <= MOST_FIGURES), STEPS_N_M[-1])
    return [number * step for number in range(-int(-low // step), int(high // step) + 1)]


def _shape(frame: Frame, view: JointView, colour: str) -> list[str]:
    """What the elbow can give, scaled to touch the torque, dashed."""
    peak = peak_of(view)
    if peak <= 0.0:
        return []
    places = [(frame.x(degrees), frame.y(peak * share)) for degrees, share in CAPACITY]
    return [tag("path", d=_path(places), stroke_dasharray="5 4", **line(colour, 1.8))]


def _torque(frame: Frame, view: JointView, colour: str) -> list[str]:
    """The torque, with a dot where it is hardest."""
    places = [(frame.x(frame.place(point)), frame.y(point.torque_n_m)) for point in view.points]
    parts = [tag("path", d=_path(places), stroke_linejoin="round", **line(colour, 3.4))]
    if view.ranked:
        hardest = view.ranked[0]
        x, y = frame.x(frame.place(hardest)), frame.y(hardest.torque_n_m)
        parts.append(tag("circle", cx=x, cy=y, r=5.5, **fill(colour)))
    return parts


def _path(places: Sequence[tuple[float, float]]) -> str:
    return "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in places)


def _legend(view: JointView, colour: str, number: int) -> str:
    """The station's name in its colour, the first on the left of the foot."""
    x = LEFT if number == 0 else (LEFT + RIGHT) / 2 + 6
    room = (RIGHT - LEFT) / 2 - 30
    words = view.title
    while text_width(words, 15) > room:
        words = words[:-2].rstrip() + "…"
    swatch = tag("path", d=f"M{x} {HEIGHT - 12}h16", **line(colour, 3.4))
    return swatch + write(words, x + 22, HEIGHT - 7, 15, colour, bold=True)
