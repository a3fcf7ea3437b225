"""What a side view shows, in words: for labels, and for those who cannot see it."""

from __future__ import annotations

import math
from itertools import groupby

from steelyard.machine.model import (
    AcrossArm,
    BodyWeight,
    Cable,
    FixedDirection,
    FreeWeight,
    Horn,
    Machine,
    Station,
)
from steelyard.machine.statics import handle_travel, mechanism_of
from steelyard.plates.model import Loading, Stack
from steelyard.units import Unit, show_mass, show_share

INCH_M = 0.0254
"""International inch: 25.4 mm exactly (international yard and pound agreement, 1959). [m]"""
COMPASS = (
    "forward",
    "forward and up",
    "up",
    "backward and up",
    "backward",
    "backward and down",
    "down",
    "forward and down",
)
LONGEST_LABEL = 36
"""A label of more letters would cross the picture, or leave it."""


def length_words(length_m: float, unit: Unit) -> str:
    """A length as people who read this unit of mass say it.

    >>> length_words(0.512, Unit.KG), length_words(0.512, Unit.LB)
    ('51 cm', '20 in')
    """
    return f"{length_m / INCH_M:.0f} in" if unit is Unit.LB else f"{length_m * 100:.0f} cm"


def degrees(angle_rad: float) -> str:
    """An arm angle, with its sign.

    >>> degrees(-0.25), degrees(0.0)
    ('−14°', '0°')
    """
    shown = f"{math.degrees(angle_rad):+.0f}°".replace("-", "−")
    return "0°" if shown in ("+0°", "−0°") else shown


def plates_words(horn: Horn, stack: Stack) -> str:
    """A horn and its plates, innermost first."""
    if not stack:
        return f"{horn.name}: empty"
    runs = [(name, len(list(run))) for name, run in groupby(plate.name for plate in stack)]
    listed = " + ".join(name if count == 1 else f"{count} × {name}" for name, count in runs)
    return f"{horn.name}: {listed}{', each side' if horn.sides > 1 else ''}"


def plates_label(horn: Horn, stack: Stack) -> str:
    """The same where there is room for a few words only: a tall stack is counted, not listed."""
    words = plates_words(horn, stack)
    if len(words) <= LONGEST_LABEL:
        return words
    return f"{horn.name}: {len(stack)} plates{', each side' if horn.sides > 1 else ''}"


def compass(direction_rad: float) -> str:
    """A direction in the plane of motion.

    >>> compass(math.pi / 2), compass(-0.1)
    ('up', 'forward')
    """
    return COMPASS[round(direction_rad / (math.pi / 4)) % 8]


def told_station(machine: Machine, station: Station, angle_rad: float, plates: Loading, unit: Unit) -> str:
    """One station's side view in words."""
    horns = [plates_words(horn, plates.get(horn.name, ())) for horn in machine.horns_of(station)]
    on_horns = f" On the horns: {'; '.join(horns)}." if horns else ""
    if isinstance(station.drive, BodyWeight | FreeWeight):
        return _told_armless(station, unit) + on_horns
    mechanism = mechanism_of(machine, station)
    span = f"from {degrees(station.from_rad)} to {degrees(station.to_rad)}, drawn at {degrees(angle_rad)}"
    hinge = (
        f"The {mechanism.arm.name} arm on its hinge {length_words(mechanism.arm.pivot_m[1], unit)} over the floor"
    )
    gone = length_words(handle_travel(mechanism, station.to_rad), unit)
    return f"{hinge}, {span}. {_told_hand(station, unit)} and goes {gone}.{_told_joint(station)}{on_horns}"


def _told_armless(station: Station, unit: Unit) -> str:
    drive = station.drive
    assert isinstance(drive, BodyWeight | FreeWeight), "a station without an arm"
    if isinstance(drive, BodyWeight):
        said = f"The body is the load, {show_share(drive.share)} of body mass"
    else:
        said = f"A weight of {show_mass(drive.mass_kg, unit)} lifted straight up"
    way = f"goes {length_words(drive.travel_m, unit)}" if drive.travel_m else "nobody measured how far it goes"
    return f"{said}; it {way}."


def _told_hand(station: Station, unit: Unit) -> str:
    drive = station.drive
    if isinstance(drive, Cable):
        return f"{_told_cable(drive)} The hand pulls {compass(drive.exit_rad)}"
    assert isinstance(drive, AcrossArm | FixedDirection), "a lever"
    reach = f"The hand holds the arm {length_words(math.hypot(*drive.hand_m), unit)} from the hinge"
    if isinstance(drive, FixedDirection):
        return f"{reach}, works {compass(drive.direction_rad)}"
    return f"{reach}, works square to the arm"


def _told_cable(cable: Cable) -> str:
    start = "from its tied end round a wheel on the arm" if cable.dead_end else "from the arm"
    more = f" and {cable.more_wheels} more" if cable.more_wheels else ""
    return f"The cable runs {start} over the frame wheel{more} to the hand."


def _told_joint(station: Station) -> str:
    return f" The {station.joint.joint} rests where the cross is." if station.joint else ""


def told_machine(machine: Machine, unit: Unit) -> str:
    """The whole machine's side view in words, with what could not be drawn."""
    numbered = list(enumerate(machine.stations.values(), start=1))
    placed = ", ".join(f"{n} {station.title}" for n, station in numbered if station.arm is not None)
    loose = ", ".join(f"{n} {station.title}" for n, station in numbered if station.arm is None)
    arms = "; ".join(
        f"arm {arm.name}, hinge {length_words(arm.pivot_m[1], unit)} over the floor"
        for arm in machine.arms.values()
    )
    said = f"{machine.name}: {arms}. Handles: {placed}."
    return f"{said} Without a place on the machine: {loose}." if loose else said
