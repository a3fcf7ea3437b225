"""What the hands feel: a station reduced to felt load = base + share of each horn times the plates on it.

Felt load is the work of raising divided by the handle's travel and by standard gravity. Force is linear in every
mass on the arm, so one number per horn holds everything: hinge, levers, wheels, friction and range.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from steelyard.errors import OutOfRange, UnknownName
from steelyard.machine.carried import carried_moment, sides_counted
from steelyard.machine.model import (
    Attachment,
    Axis,
    BodyWeight,
    Cable,
    FeltLaw,
    FreeWeight,
    Horn,
    HornShare,
    Machine,
    Point,
    Station,
)
from steelyard.machine.motion import moving_peaks
from steelyard.machine.statics import (
    Mechanism,
    Sweep,
    Way,
    effective_ratios,
    gravity_torques,
    handle_forces,
    handle_travel,
    horn_moment,
    mechanism_of,
    sweep,
)
from steelyard.units import STANDARD_GRAVITY

PEAK_ANGLES = 33
"""Angles at which the largest force is looked for; a test holds what hides between two of them under 0.2 %."""
BRISK_RAISE_S = 1.0
"""Time of the raise in which a cable must bear its tension: brisk, as the fast tempo of studies that compare 1 s
with 2 s (a choice; a jerk pulls harder). [s]"""

GAUSS_10 = (
    (0.1488743389816312, 0.2955242247147529),
    (0.4333953941292472, 0.2692667193099963),
    (0.6794095682990244, 0.2190863625159820),
    (0.8650633666889845, 0.1494513491505806),
    (0.9739065285171717, 0.0666713443086881),
)
"""Nodes and weights of ten-point Gauss-Legendre quadrature. Source: Abramowitz and Stegun 1964, table 25.4."""


@dataclass(frozen=True, slots=True)
class Swing:
    """One raise as work sees it: integrals over the arm angle, weighted with what wheel friction costs there.

    cosine, sine, turn: of cos, sin and 1; without wheel friction the last is the angle swept. [rad]
    """

    cosine: float
    sine: float
    turn: float


def felt_law(
    machine: Machine,
    station: Station,
    *,
    one_arm: bool = False,
    body_mass_kg: float | None = None,
    attachment: str | None = None,
) -> FeltLaw:
    """The law by which plates become felt load at a station.

    one_arm:      on paired arms, lift one of them; it changes nothing elsewhere.
    body_mass_kg: the lifter's, needed where the body is the load. [kg]
    attachment:   name of what is clipped on; the station's first one unless named.

    Raises: OutOfRange if body mass is needed and missing or no body mass; UnknownName for an unknown attachment,
            arm or horn.
    Source: virtual work, see docs/model-felt-load.md.
    """
    extra_kg = attached(station, attachment).mass_kg
    if isinstance(station.drive, BodyWeight):
        return plain_law(machine, station, station.drive.share * known_body_mass(station, body_mass_kg) + extra_kg)
    if isinstance(station.drive, FreeWeight):
        return plain_law(machine, station, station.drive.mass_kg + extra_kg)
    return arm_law(machine, station, one_arm=one_arm, extra_kg=extra_kg)


def known_body_mass(station: Station, body_mass_kg: float | None) -> float:
    """The body mass, if it is one. [kg]"""
    if body_mass_kg is None:
        raise OutOfRange(
            f"body mass at station {station.name}",
            "not known",
            "logged first, since the body is the load here: steelyard lifter weigh",
        )
    if not 0.0 < body_mass_kg < math.inf:
        raise OutOfRange("body mass", f"{body_mass_kg:g} kg", "above 0 kg")
    return body_mass_kg


def attached(station: Station, name: str | None) -> Attachment:
    """What is clipped on: the one named, else the station's first, else nothing of mass 0.

    Raises: UnknownName.
    """
    if name is None:
        return station.attachments[0] if station.attachments else Attachment("none", 0.0)
    for attachment in station.attachments:
        if attachment.name == name:
            return attachment
    raise UnknownName("attachment", name, (each.name for each in station.attachments))


def plain_law(machine: Machine, station: Station, base_kg: float) -> FeltLaw:
    """The law of a body-weight or free-weight station: every kilogram is felt as one."""
    drive = station.drive
    stroke_m = drive.travel_m if isinstance(drive, BodyWeight | FreeWeight) else 0.0
    shares = tuple(HornShare(horn, horn.sides, 1.0) for horn in machine.horns_of(station))
    return FeltLaw(station, base_kg, shares, stroke_m)


def arm_law(machine: Machine, station: Station, *, one_arm: bool, extra_kg: float) -> FeltLaw:
    """The law of a lever or cable station, with the lowering side beside it where friction makes one."""
    mechanism = mechanism_of(machine, station)
    horns = machine.horns_of(station)
    hands = 2 if mechanism.arm.paired and not one_arm else 1
    lowering = None
    if mechanism.has_friction:
        lowering = averaged_law(mechanism, station, horns, hands=hands, extra_kg=extra_kg, way=Way.LOWERING)
    raising = averaged_law(mechanism, station, horns, hands=hands, extra_kg=extra_kg, way=Way.RAISING)
    base_n, per_kg_n = peak_forces(mechanism, horns, extra_kg)
    law = replace(raising, peak_base_n=base_n, peak_per_kg_n=per_kg_n, lowering=lowering)
    if not isinstance(station.drive, Cable):
        return law
    base_n, per_kg_n = moving_peaks(mechanism, horns, extra_kg, BRISK_RAISE_S)
    return replace(law, moving_base_n=base_n, moving_per_kg_n=per_kg_n)


def averaged_law(
    mechanism: Mechanism, station: Station, horns: Sequence[Horn], *, hands: int, extra_kg: float, way: Way
) -> FeltLaw:
    """Work over travel, per mass on the arm and per horn."""
    swing, stroke_m = swing_of(mechanism, way), handle_travel(mechanism, mechanism.to_rad)

    def felt(moment: Point) -> float:
        return (moment[0] * swing.cosine - moment[1] * swing.sine) / stroke_m

    friction = mechanism.lift * way * mechanism.arm.hinge_torque_n_m * swing.turn / stroke_m / STANDARD_GRAVITY
    base_kg = felt(carried_moment(mechanism, extra_kg)) + friction + hung_kg(mechanism, extra_kg)
    shares = tuple(
        HornShare(
            horn,
            sides_counted(mechanism, horn, hands),
            felt(horn_moment(horn, 1.0, 0.0)),
            felt(horn_moment(horn, 0.0, 1.0)),
        )
        for horn in horns
    )
    return FeltLaw(station, hands * base_kg, shares, stroke_m)


def hung_kg(mechanism: Mechanism, extra_kg: float) -> float:
    """What an attachment on a cable adds to the hand: all of it rising, less than nothing falling. [kg]"""
    return extra_kg * math.sin(mechanism.drive.exit_rad) if isinstance(mechanism.drive, Cable) else 0.0


def swing_of(mechanism: Mechanism, way: Way) -> Swing:
    """The weighted integrals of one raise or, with the same signs, one lowering.

    Closed form where the cost of the wheels is the same at every angle; only a wheel on the arm, whose two parts
    open and close, needs quadrature.
    """
    start, end = mechanism.from_rad, mechanism.to_rad
    drive = mechanism.drive
    if isinstance(drive, Cable) and drive.dead_end is not None and drive.efficiency < 1.0 and way:
        return quadrature_swing(mechanism, way)
    cost = wheel_costs(mechanism, (start,), way)[0] if isinstance(drive, Cable) else 1.0
    half, middle = (end - start) / 2.0, (end + start) / 2.0
    chord = 2.0 * math.sin(half)  # differences of sines as products keep their digits in short ranges
    return Swing(cost * chord * math.cos(middle), cost * chord * math.sin(middle), cost * 2.0 * half)


def wheel_costs(mechanism: Mechanism, angles_rad: Sequence[float], way: Way) -> list[float]:
    """Handle force with wheel friction over handle force without it, at each angle."""
    swept = sweep(mechanism, angles_rad)
    bare, real = effective_ratios(swept, Way.FRICTIONLESS), effective_ratios(swept, way)
    return [smooth / ratio for smooth, ratio in zip(bare, real, strict=True)]


def quadrature_swing(mechanism: Mechanism, way: Way) -> Swing:
    """`swing_of` where the cost of the wheels changes with the angle."""
    points = gauss_points(mechanism)
    costs = wheel_costs(mechanism, [angle for angle, _ in points], way)
    weighted = [(angle, weight * cost) for (angle, weight), cost in zip(points, costs, strict=True)]
    return Swing(
        math.fsum(weight * math.cos(angle) for angle, weight in weighted),
        math.fsum(weight * math.sin(angle) for angle, weight in weighted),
        math.fsum(weight for _, weight in weighted),
    )


def gauss_points(mechanism: Mechanism) -> list[tuple[float, float]]:
    """Arm angles and weights that integrate over the range, ten in each half of it. [rad]"""
    quarter = (mechanism.to_rad - mechanism.from_rad) / 4.0
    middles = (mechanism.from_rad + quarter, mechanism.to_rad - quarter)
    return [
        (middle + side * node * quarter, weight * quarter)
        for middle in middles
        for node, weight in GAUSS_10
        for side in (-1.0, 1.0)
    ]


def peak_forces(
    mechanism: Mechanism, horns: Sequence[Horn], extra_kg: float
) -> tuple[tuple[float, ...], tuple[tuple[float, ...], ...]]:
    """Force on one handle or cable while raising, at angles over the range: empty, and per kg on one post.

    On a cable it is the tension at the hand's end, the largest there is; the attachment's own weight hangs on the
    hand and not on the cable. On paired arms each has its own. [N], [N/kg]
    """
    swept = sweep(mechanism, mechanism.angles(PEAK_ANGLES))
    carried = gravity_torques(carried_moment(mechanism, extra_kg), swept.cosines, swept.sines)
    ratios = effective_ratios(swept, Way.RAISING)
    columns = [largest_per_kg(swept, horn, ratios) for horn in horns]
    rows = tuple(zip(*columns, strict=True)) if columns else ((),) * PEAK_ANGLES
    return tuple(handle_forces(swept, carried, Way.RAISING)), rows


def largest_per_kg(swept: Sweep, horn: Horn, ratios_m: Sequence[float]) -> list[float]:
    """Handle force for a kilogram on each post of a horn, wherever on it that asks most, at each angle. [N/kg]"""
    offsets = (0.0,) if horn.axis is Axis.ACROSS else (0.0, horn.length_m)
    asked = [gravity_torques(horn_moment(horn, 1.0, offset), swept.cosines, swept.sines) for offset in offsets]
    sides = sides_counted(swept.mechanism, horn, 1)
    return [
        sides * max(torque / ratio for torque in torques) for *torques, ratio in zip(*asked, ratios_m, strict=True)
    ]


def loaded_moment(
    mechanism: Mechanism, horns: Sequence[Horn], loads: Mapping[str, tuple[float, float]], extra_kg: float
) -> Point:
    """First moment of one arm with its plates and its handle, in the arm's frame. [kg m]"""
    known = {horn.name: horn for horn in horns}
    along, up = carried_moment(mechanism, extra_kg)
    for name, (mass_kg, moment_kg_m) in loads.items():
        if name not in known:
            raise UnknownName("horn", name, known)
        if not 0.0 <= mass_kg < math.inf:
            raise OutOfRange(f"mass on horn {name}", f"{mass_kg:g} kg", "0 kg or more")
        sides = sides_counted(mechanism, known[name], 1)
        plates = horn_moment(known[name], mass_kg, moment_kg_m)
        along, up = along + sides * plates[0], up + sides * plates[1]
    return along, up
