"""Inertia about an arm's hinge: of the arm, its counterweight, the plates on its posts and what is bolted to it.

Every mass counts with the square of its distance from the hinge, and with its own inertia about its own centre
wherever it turns with the arm.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import accumulate

from steelyard.errors import OutOfRange, UnknownName
from steelyard.machine.carried import sides_counted
from steelyard.machine.model import Arm, Axis, Cable, Horn, Point
from steelyard.machine.statics import Mechanism, stack_moment


@dataclass(frozen=True, slots=True)
class Disc:
    """A plate as a uniform disc with a round hole in its middle.

    mass_kg: above 0. radius_m: of its rim. hole_radius_m: smaller than the rim's. thickness_m: along the horn.

    Raises: OutOfRange if a size is negative or no number, or the hole is as large as the disc.
    """

    mass_kg: float
    radius_m: float
    hole_radius_m: float
    thickness_m: float

    def __post_init__(self) -> None:
        if not 0.0 < self.mass_kg < math.inf:
            raise OutOfRange("mass of a plate", f"{self.mass_kg:g} kg", "above 0 kg")
        if not 0.0 < self.radius_m < math.inf:
            raise OutOfRange("radius of a plate", f"{1000 * self.radius_m:g} mm", "above 0 mm")
        if not 0.0 <= self.hole_radius_m < self.radius_m:
            accepted = f"smaller than the plate's own, {1000 * self.radius_m:g} mm"
            raise OutOfRange("radius of a plate's hole", f"{1000 * self.hole_radius_m:g} mm", accepted)
        if not 0.0 <= self.thickness_m < math.inf:
            raise OutOfRange("thickness of a plate", f"{1000 * self.thickness_m:g} mm", "0 mm or more")


Stacks = Mapping[str, Sequence[Disc]]
"""The discs on one post of each horn, innermost first; a horn left out is empty."""


def about_axis(disc: Disc) -> float:
    """Own inertia of a disc about the axis through its hole. [kg m²]

    Source: uniform hollow cylinder, m (R² + r²)/2; elementary mechanics.

    >>> round(about_axis(Disc(20.0, 0.225, 0.0255, 0.03)), 4)
    0.5128
    """
    return disc.mass_kg * (disc.radius_m**2 + disc.hole_radius_m**2) / 2.0


def about_diameter(disc: Disc) -> float:
    """Own inertia of a disc about a diameter through its centre. [kg m²]

    Source: uniform hollow cylinder, m (3 (R² + r²) + t²)/12; elementary mechanics.

    >>> round(about_diameter(Disc(20.0, 0.225, 0.0255, 0.03)), 4)
    0.2579
    """
    squares = 3.0 * (disc.radius_m**2 + disc.hole_radius_m**2) + disc.thickness_m**2
    return disc.mass_kg * squares / 12.0


def disc_centres(discs: Sequence[Disc]) -> list[float]:
    """How far from the horn's inner face each disc has its centre, stacked outwards. [m]"""
    outer = accumulate(disc.thickness_m for disc in discs)
    return [face - disc.thickness_m / 2.0 for face, disc in zip(outer, discs, strict=True)]


def disc_moment(discs: Sequence[Disc]) -> tuple[float, float]:
    """`stack_moment` of discs: mass on one post, and mass times centre offset. [kg], [kg m]"""
    return stack_moment(zip((disc.mass_kg for disc in discs), disc_centres(discs), strict=True))


def disc_loads(stacks: Stacks) -> dict[str, tuple[float, float]]:
    """What discs are in statics: by horn, mass on one post and its moment. [kg], [kg m]"""
    return {name: disc_moment(discs) for name, discs in stacks.items()}


def arm_inertia(arm: Arm) -> float:
    """Inertia of the empty arm, counterweight included, about its hinge. [kg m²]"""
    own = arm.mass_kg * squared(arm.com_m) + arm.inertia_kg_m2
    weight = arm.counterweight
    return own if weight is None else own + weight.mass_kg * squared(weight.at_m) + weight.inertia_kg_m2


def stack_inertia(horn: Horn, discs: Sequence[Disc]) -> float:
    """Inertia about the hinge of the discs on one post. [kg m²]

    A disc that spins freely on a post across the plane keeps its own attitude, so that its own inertia is not
    felt. On a post along the plane it can spin about that post only, and always tips with the arm.
    """
    if horn.axis is Axis.ACROSS:
        turning = horn.plates_turn_with_arm
        at = squared(horn.at_m)
        return math.fsum(disc.mass_kg * at + (about_axis(disc) if turning else 0.0) for disc in discs)
    return math.fsum(
        disc.mass_kg * squared(horn_point(horn, centre)) + about_diameter(disc)
        for disc, centre in zip(discs, disc_centres(discs), strict=True)
    )


def horn_point(horn: Horn, offset_m: float) -> Point:
    """A point of a horn along the plane, so far out from its inner face, in the arm's frame. [m]"""
    out = horn.axis_angle_rad
    return horn.at_m[0] + offset_m * math.cos(out), horn.at_m[1] + offset_m * math.sin(out)


def carried_inertia(mechanism: Mechanism, extra_kg: float) -> float:
    """Inertia about the hinge of the arm with what is bolted to its handle, without plates. [kg m²]

    A handle's attachment counts as a point at the hand. On a cable it hangs at the hand and not on the arm.
    """
    empty = arm_inertia(mechanism.arm)
    if isinstance(mechanism.drive, Cable):
        return empty
    return empty + extra_kg * squared(mechanism.drive.hand_m)


def loaded_inertia(mechanism: Mechanism, horns: Sequence[Horn], stacks: Stacks, extra_kg: float) -> float:
    """Inertia of one arm with its plates and its handle about the hinge. [kg m²]

    On paired arms only the posts of one arm.

    Raises: UnknownName for a horn that is not among those given.
    """
    known = {horn.name: horn for horn in horns}
    total = carried_inertia(mechanism, extra_kg)
    for name, discs in stacks.items():
        if name not in known:
            raise UnknownName("horn", name, known)
        total += sides_counted(mechanism, known[name], 1) * stack_inertia(known[name], discs)
    return total


def squared(at_m: Point) -> float:
    """Squared distance from the hinge. [m²]"""
    return at_m[0] * at_m[0] + at_m[1] * at_m[1]
