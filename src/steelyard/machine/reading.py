"""What a hanging scale showed at a handle, and at which arm angle a handle is.

A reading is taken with the scale hooked in at the middle of the grip, pulled along the way the handle goes, with
nothing else clipped on. The handle creeps up or down while it is read: at rest, friction hides which way it acts.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from steelyard.errors import OutOfRange, UnknownName
from steelyard.machine.model import Cable, Machine, Point
from steelyard.machine.statics import Mechanism, angles_at_travels, from_hinge, handle_travel, mechanism_of

PLATES_SD_WEIGHED = 0.002
"""Relative standard deviation of a plate's mass that was weighed on a household scale (engineering judgement)."""
PLATES_SD_CAST = 0.015
"""The same for a plate taken at its cast mass: consumer plates are commonly 2 to 3 % off."""


class Creep(StrEnum):
    """Which way the handle crept while it was read; held means at rest, so that friction may act either way."""

    UP = "up"
    DOWN = "down"
    HELD = "held"


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading of a hanging scale. On paired arms it is of one arm's handle.

    id:       any text that no other reading has.
    station:  the station's name; empty for a check of the scale itself, with a plate hung straight on it.
    angle_rad: the arm's angle when read; 0 for a check. [rad]
    loads:    by horn, mass on one post and its `stack_moment` about the inner face; nothing for an empty arm.
              [kg], [kg m]
    scale_kg: what the scale showed. [kg]
    plates_sd: relative standard deviation of the plates' mass, shared by all plates with the same figure.
    hung_kg:  for a check only, the mass hung on the scale. [kg]
    """

    id: str
    station: str
    angle_rad: float
    creep: Creep
    loads: Mapping[str, tuple[float, float]]
    scale_kg: float
    plates_sd: float = PLATES_SD_CAST
    hung_kg: float = 0.0

    @property
    def is_check(self) -> bool:
        """Whether it is of the scale itself and not of a handle."""
        return not self.station


def check_reading(machine: Machine, reading: Reading) -> None:
    """Refuse a reading that can't have been taken on this machine.

    Raises: UnknownName for an unknown station or a horn that the station does not feel; OutOfRange for a station
            without an arm, a mass or a scale that is not a number above 0, or a relative error not below 1.
    """
    check_positive("scale", reading.scale_kg)
    if not 0.0 <= reading.plates_sd < 1.0:
        raise OutOfRange("relative error of the plates", f"{reading.plates_sd:g}", "0 or more and below 1")
    if reading.is_check:
        check_positive("mass hung on the scale", reading.hung_kg)
        return
    mechanism = mechanism_at(machine, reading.station)
    if not math.isfinite(reading.angle_rad) or abs(reading.angle_rad) > math.pi:
        raise OutOfRange(
            "arm angle", f"{math.degrees(reading.angle_rad):g} degrees", "between -180 and 180 degrees"
        )
    known = [horn.name for horn in machine.horns.values() if horn.arm == mechanism.arm.name]
    for name, (mass_kg, moment_kg_m) in reading.loads.items():
        if name not in known:
            raise UnknownName("horn", name, known)
        if not (0.0 <= mass_kg < math.inf and math.isfinite(moment_kg_m)):
            raise OutOfRange(f"mass on horn {name}", f"{mass_kg:g} kg", "0 kg or more")


def check_positive(what: str, mass_kg: float) -> None:
    """Refuse a mass that is not one."""
    if not 0.0 < mass_kg < math.inf:
        raise OutOfRange(what, f"{mass_kg:g} kg", "above 0 kg")


def mechanism_at(machine: Machine, station: str) -> Mechanism:
    """The mechanism of a station by its name. Raises: UnknownName; OutOfRange for a station without an arm."""
    return mechanism_of(machine, machine.station(station))


def angle_at_height(machine: Machine, station: str, height_m: float) -> float:
    """The arm angle at which a lever's grip is this high over the floor mark. [rad]

    height_m: of the middle of the grip, in the frame's coordinates. [m]

    Raises: OutOfRange for a height that the grip does not pass in the station's range, or a cable station, whose
            handle goes where the hand goes; UnknownName.
    Source: the grip's circle round the hinge; elementary geometry. Where the grip passes a height twice, the
            first time counts.
    """
    mechanism = mechanism_at(machine, station)
    if isinstance(mechanism.drive, Cable):
        raise OutOfRange("grip height", f"asked at cable station {station}", "the travel of the handle instead")
    hand_m, rise_m = mechanism.drive.hand_m, height_m - mechanism.arm.pivot_m[1]
    heights = [mechanism.arm.pivot_m[1] + from_hinge(hand_m, angle)[1] for angle in mechanism.angles(181)]
    accepted = f"from {1000 * min(heights):.0f} to {1000 * max(heights):.0f} mm at station {station}"
    within = [angle for angle in angles_at_rise(hand_m, rise_m) if in_range(mechanism, angle)]
    if not within:
        raise OutOfRange("grip height", f"{1000 * height_m:.0f} mm", accepted)
    return min(within, key=lambda angle: abs(angle - mechanism.from_rad))


def angles_at_rise(hand_m: Point, rise_m: float) -> tuple[float, ...]:
    """The two arm angles at which a point of the arm is so far over the hinge; none if it never is. [rad]"""
    radius_m, lean = math.hypot(*hand_m), math.atan2(hand_m[1], hand_m[0])
    if not abs(rise_m) <= radius_m:
        return ()
    climb = math.asin(rise_m / radius_m)
    return tuple(math.remainder(angle - lean, math.tau) for angle in (climb, math.pi - climb))


def in_range(mechanism: Mechanism, angle_rad: float) -> bool:
    """Whether a station uses this arm angle, give or take rounding."""
    least, most = sorted((mechanism.from_rad, mechanism.to_rad))
    return least - 1e-9 <= angle_rad <= most + 1e-9


def angle_at_travel(machine: Machine, station: str, travel_m: float) -> float:
    """The arm angle at which a handle has gone so far since its lift began; levers and cables. [rad]

    travel_m: along the way the handle goes, 0 where the lift begins. [m]

    Raises: OutOfRange for a travel outside the station's stroke or a station without an arm; UnknownName.
    """
    mechanism = mechanism_at(machine, station)
    stroke_m = handle_travel(mechanism, mechanism.to_rad)
    if not -1e-9 <= travel_m <= stroke_m + 1e-9:
        accepted = f"from 0 to {1000 * stroke_m:.0f} mm at station {station}"
        raise OutOfRange("handle travel", f"{1000 * travel_m:.0f} mm", accepted)
    return angles_at_travels(mechanism, (travel_m,))[0]
