"""A station in motion in words, alike on the terminal and on the page."""

from __future__ import annotations

from collections.abc import Iterator
from math import degrees

from steelyard.machine.floating import Floating, Span
from steelyard.machine.statics import Way
from steelyard.machine.strokes import StrokeFigures
from steelyard.machine.tempo import AS_FAST_M_S
from steelyard.units import Unit, felt_kg, show_mass, show_share
from steelyard.workshop.motion import StationMotion

CAUTION = "Figures of a rigid machine and smooth strokes: jerks pull harder. The maker's manual comes first."


def remarks(moved: StationMotion, unit: Unit) -> Iterator[str]:
    """What friction does, what the cable carries, and what was assumed."""
    yield friction_line(moved)
    if moved.tension_n is not None:
        yield f"cable: {force_words(moved.tension_n, unit)} at most, at the hand's end{rated_words(moved, unit)}"
    if moved.tempo.raising_s is None:
        pace = f"{AS_FAST_M_S:.2f} m/s on average, {moved.timed.raising_s:.2f} s"
        yield f"X, as fast as possible, is taken as {pace}: an assumption"


def warnings(moved: StationMotion, unit: Unit) -> Iterator[str]:
    """Where the load floats, and the tempo that avoids it; nothing if it does not."""
    for one in moved.floats:
        yield from floating_lines(one, unit)
    if moved.floats and moved.steady is not None:
        yield f"Tempo {moved.steady} avoids it."


def stroke_lines(name: str, figures: StrokeFigures, unit: Unit) -> Iterator[str]:
    """A stroke in three lines: forces, handle, work."""
    yield f"{name} in {figures.stroke.duration_s:.3g} s: {force_words(figures.mean_n, unit)} felt on average"
    peak = f"{force_words(figures.peak_n, unit)} {place(figures.peak_rad)}{share_words(figures)}"
    yield f"largest {peak}; smallest {force_words(figures.least_n, unit)} {place(figures.least_rad)}"
    handle = f"{figures.mean_speed_m_s:.2f} m/s on average, {figures.peak_speed_m_s:.2f} at most"
    power = f"{figures.mean_power_w:.0f} W on average, {figures.peak_power_w:.0f} at most"
    given = "taken back by the hands" if name == "lowering" else "given"
    yield f"handle {handle}; {figures.work_j:.0f} J {given}; {power}"


def force_words(force_n: float, unit: Unit) -> str:
    """A force as the mass that weighs as much."""
    return show_mass(felt_kg(force_n), unit)


def place(angle_rad: float) -> str:
    """Where in the range."""
    return f"at {degrees(angle_rad):+.0f} deg"


def share_words(figures: StrokeFigures) -> str:
    """What inertia adds to the largest force, where there is a force at rest to compare with."""
    if figures.static_n <= 0.0:
        return ""
    return f", {show_share(figures.inertial_share)} above rest there"


def friction_line(moved: StationMotion) -> str:
    """What friction does to lifting and to lowering."""
    if not moved.lift.mechanism.has_friction:
        return "friction: none in this machine's file; raising and lowering feel alike"
    if moved.smooth_n <= 0.0:
        return "friction: raising feels more and lowering less than the balanced load itself"
    more = 100 * (moved.raising.mean_n / moved.smooth_n - 1)
    less = 100 * (1 - moved.lowering.mean_n / moved.smooth_n)
    ratio = 100 * moved.lowering.mean_n / moved.raising.mean_n
    return (
        f"friction: raising feels {more:.1f} % more than without, lowering {less:.1f} % less; "
        f"lowering is felt as {ratio:.0f} % of raising"
    )


def rated_words(moved: StationMotion, unit: Unit) -> str:
    """What the cable is rated for."""
    rated_n = getattr(moved.station.drive, "rated_n", None)
    return "; its maker states no rating here" if rated_n is None else f", rated {force_words(rated_n, unit)}"


def floating_lines(one: Floating, unit: Unit) -> Iterator[str]:
    """A warning: where, how far below zero, what happens, and what helps."""
    name = "raising" if one.stroke.way is Way.RAISING else "lowering"
    for span in one.at_rest:
        yield from resting_lines(name, span, unit)
    if one.at_rest:
        yield "No tempo helps. What does: less counterweight, plates on, or another range."
        return
    what = "the cable goes slack" if one.slack else "the handle leaves the hand"
    below = f"{force_words(-one.least_n, unit)} below zero {place(one.least_rad)}"
    yield f"Warning, {name}: the load floats, {below}: {what}, and the load then drops with a shock."
    if one.least_time_s is None:
        yield "Even a minute is too short for it: put plates on, or use another range."
    else:
        yield f"{name.capitalize()} takes at least {one.least_time_s:g} s without it."


def resting_lines(name: str, span: Span, unit: Unit) -> Iterator[str]:
    """A warning of a load that floats at rest."""
    what = "goes up by itself" if name == "raising" else "does not come down by itself"
    where = f"between {degrees(span.from_rad):+.0f} and {degrees(span.to_rad):+.0f} deg"
    below = f"{force_words(-span.least_n, unit)} below zero {place(span.least_rad)}"
    yield f"Warning, {name}: {where} the arm {what} even when moved slowly, {below}."
