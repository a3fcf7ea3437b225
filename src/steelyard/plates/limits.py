"""What a station's horns, arm and cable may carry, and in which words a loading is refused."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache

from steelyard.errors import LimitExceeded
from steelyard.machine.model import Cable, FeltLaw, Horn, Machine
from steelyard.plates.grain import Carried, felt_grams, kilograms, microns, most_grains, share_units
from steelyard.units import STANDARD_GRAVITY, plain

UNLIMITED = 10**40
"""Grains; stands for a rating that the maker does not state."""

Angle = tuple[float, tuple[float, ...]]
"""Pull at one angle of the range: empty [N], and per kilogram on one post of each horn [N/kg]."""


@dataclass(frozen=True, slots=True)
class Rig:
    """Horns that are loaded together, and what they and their arm may carry; one figure a horn where there are
    several. All stations of an arm have the same, one-arm work included.

    arm:     the arm they are on; None for the horn of a free weight or of a belt.
    rooms:   room for plates on one post, collar taken off. [microns]
    caps:    most on one post. [grains]
    on_arm:  how many posts of each horn hang on one arm.
    arm_cap: most on one arm. [grains]
    along:   numbers of the horns on which a plate counts by its place.
    """

    arm: str | None
    horns: tuple[Horn, ...]
    rooms: tuple[int, ...]
    caps: tuple[int, ...]
    on_arm: tuple[int, ...]
    arm_cap: int
    along: tuple[int, ...]

    def arm_mass(self, masses: Sequence[int]) -> int:
        """What one arm carries. [grains]"""
        return sum(mass * posts for mass, posts in zip(masses, self.on_arm, strict=True))


@dataclass(frozen=True, slots=True)
class CableLimit:
    """What a station's cable may carry, at rest or in motion.

    name:     of the limit, as a person reads it.
    angles:   where the tension is looked at.
    roof:     the most of any angle in every respect.
    rated_mn: most the cable may carry. [mN]
    """

    name: str
    angles: tuple[Angle, ...]
    roof: Angle
    rated_mn: int

    def bears(self, masses: Sequence[int]) -> bool:
        """Whether the cable bears these masses on the posts. [grains]"""
        # Most loadings are far from the limit: no angle asks more than the worst of all in every respect.
        least_n = (self.rated_mn - 1) / 1000
        if self.roof[0] + pull(self.roof[1], list(map(kilograms, masses))) < least_n:
            return True
        return self.tension_mn(masses) <= self.rated_mn

    def tension_mn(self, masses: Sequence[int]) -> int:
        """The cable's largest tension over the range, in whole millinewtons. [grains] → [mN]"""
        loads = list(map(kilograms, masses))
        return max(round(1000 * (base + pull(per_kg, loads))) for base, per_kg in self.angles)


@dataclass(frozen=True, slots=True)
class Limits:
    """All the limits of a station; cables: none if it has no cable or its maker does not rate it."""

    law: FeltLaw
    rig: Rig
    cables: tuple[CableLimit, ...]


def pull(per_kg: Sequence[float], loads_kg: Sequence[float]) -> float:
    """What plates add to the tension, post by post in their order. [N/kg], [kg] → [N]"""
    return math.fsum(share * load for share, load in zip(per_kg, loads_kg, strict=True))


def limits_of(machine: Machine, law: FeltLaw) -> Limits:
    """The limits that hold at a station."""
    return Limits(law, rig_of(machine, law), cable_limits_of(law))


def rig_of(machine: Machine, law: FeltLaw) -> Rig:
    """The horns that a station feels, with their limits."""
    horns = tuple(share.horn for share in law.shares)
    arm = machine.arms[law.station.arm] if law.station.arm is not None else None
    return Rig(
        arm=law.station.arm,
        horns=horns,
        rooms=tuple(microns(horn.length_m) - microns(horn.collar_m) for horn in horns),
        caps=tuple(UNLIMITED if horn.rated_kg is None else most_grains(horn.rated_kg) for horn in horns),
        on_arm=tuple(1 if arm and arm.paired else horn.sides for horn in horns),
        arm_cap=UNLIMITED if arm is None or arm.rated_plates_kg is None else most_grains(arm.rated_plates_kg),
        along=tuple(number for number, share in enumerate(law.shares) if share_units(share)[1]),
    )


def cable_limits_of(law: FeltLaw) -> tuple[CableLimit, ...]:
    """What the cable of a station may carry, creeping and in one brisk raise; empty if it has none that is rated.

    A rating is the most tension that the cable may carry, whatever the motion, so both are held to it.
    """
    drive = law.station.drive
    if not isinstance(drive, Cable) or drive.rated_n is None:
        return ()
    rated_mn = round(1000 * drive.rated_n)
    asked = {
        "cable tension": zip(law.peak_base_n, law.peak_per_kg_n, strict=True),
        "cable tension in motion": zip(law.moving_base_n, law.moving_per_kg_n, strict=True),
    }
    looked_at = {name: tuple(angles) for name, angles in asked.items()}
    return tuple(cable_limit(name, angles, rated_mn) for name, angles in looked_at.items() if angles)


@lru_cache(maxsize=256)
def cable_limit(name: str, angles: tuple[Angle, ...], rated_mn: int) -> CableLimit:
    """The limit of a cable that is looked at, at these angles. [mN]"""
    roof = (max(base for base, _ in angles), tuple(map(max, zip(*(per_kg for _, per_kg in angles), strict=True))))
    return CableLimit(name, worst_angles(angles), roof, rated_mn)


def worst_angles(angles: Sequence[Angle]) -> tuple[Angle, ...]:
    """The angles at which tension can be largest: no other one asks as much both empty and for every kilogram."""
    kept: list[Angle] = []
    for angle in sorted(set(angles), reverse=True):  # so that whatever exceeds an angle stands before it
        if not any(exceeds(other, angle) for other in kept):
            kept.append(angle)
    return tuple(kept)


def exceeds(one: Angle, other: Angle) -> bool:
    """Whether one angle asks at least as much as the other, whatever the plates."""
    return one[0] >= other[0] and all(mine >= its for mine, its in zip(one[1], other[1], strict=True))


def breaches(limits: Limits, posts: Sequence[Carried]) -> Iterator[LimitExceeded]:
    """Every limit that a loading would break, as the error to raise; posts in the order of the law's shares."""
    for number, post in enumerate(posts):
        yield from post_breaches(limits, number, post)
    masses = [post.mass for post in posts]
    on_arm = limits.rig.arm_mass(masses)
    if on_arm > limits.rig.arm_cap:
        over = most_kg(on_arm) - most_kg(limits.rig.arm_cap)
        way_out = f"take at least {shown_kg(over)} off that arm, all posts on it together"
        yield LimitExceeded(
            f"plates on arm {limits.rig.arm}",
            shown_kg(most_kg(on_arm)),
            shown_kg(most_kg(limits.rig.arm_cap)),
            way_out,
        )
    yield from tension_breaches(limits, masses)
    felt = felt_grams(limits.law, posts)
    if felt < 0:
        way_out = "the arm would rise by itself; take plates off the horns that lighten it, or load the others"
        yield LimitExceeded(
            f"uplift at station {limits.law.station.name}", shown_kg(-felt / 1000), "0 kg", way_out
        )


def post_breaches(limits: Limits, number: int, post: Carried) -> Iterator[LimitExceeded]:
    """The limits of one post that its stack would break."""
    horn, room, cap = limits.rig.horns[number], limits.rig.rooms[number], limits.rig.caps[number]
    if post.length > room:
        way_out = f"take off at least {shown_mm(post.length - room)} of plates, or use thinner ones"
        collar = f", collar of {shown_mm(microns(horn.collar_m))} left out" if horn.collar_m else ""
        yield LimitExceeded(
            f"plates on horn {horn.name}", shown_mm(post.length), f"{shown_mm(room)}{collar}", way_out
        )
    if post.mass > cap:
        mass, rated = most_kg(post.mass), most_kg(cap)
        way_out = f"take at least {shown_kg(mass - rated)} off each post"
        yield LimitExceeded(f"mass on one post of horn {horn.name}", shown_kg(mass), shown_kg(rated), way_out)


def tension_breaches(limits: Limits, masses: Sequence[int]) -> Iterator[LimitExceeded]:
    """The cable's limits that the plates would break."""
    for cable in limits.cables:
        tension = cable.tension_mn(masses)
        if tension > cable.rated_mn:
            way_out = "take plates off; a cable that parts under load hurts"
            name = f"{cable.name} at station {limits.law.station.name}"
            yield LimitExceeded(name, shown_pull(tension), shown_pull(cable.rated_mn), way_out)


def most_kg(mass: int) -> float:
    """Grains as whole grams. [kg]"""
    return round(kilograms(mass) * 1000) / 1000


def shown_kg(mass_kg: float) -> str:
    """A mass to the gram, without idle zeros."""
    return f"{plain(Decimal(f'{mass_kg:.3f}'))} kg"


def shown_mm(length: int) -> str:
    """Microns in millimetres."""
    return f"{length / 1000:g} mm"


def shown_pull(tension_mn: int) -> str:
    """A tension in newtons, and as the mass that hangs still on such a cable."""
    return f"{tension_mn / 1000:.1f} N ({tension_mn / 1000 / STANDARD_GRAVITY:.2f} kg)"
