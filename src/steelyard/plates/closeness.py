"""How near a loading comes to each limit of its station: what is used, what is rated, and the share.

The figures are those that decide whether a loading is refused, in the same whole numbers, so that a share above 1
and a refusal are the same thing. A limit that the maker does not state has no share.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from steelyard.machine.model import FeltLaw, Machine
from steelyard.plates.grain import GRAINS_PER_GRAM
from steelyard.plates.limits import UNLIMITED, Limits, limits_of, shown_kg, shown_mm, shown_pull
from steelyard.plates.loading import posts_of
from steelyard.plates.model import Loading

NEAR = 0.8
"""From this share of a limit on, a set says how near it comes (a choice)."""


class Kind(StrEnum):
    """What is limited."""

    POST = "mass on one post"
    ROOM = "room"
    ARM = "plates on arm"
    CABLE = "cable tension"
    MOVING = "cable tension in motion"
    USER = "user mass"


@dataclass(frozen=True, slots=True)
class Closeness:
    """How near one limit is.

    where: the horn, the arm or the station that has the limit; empty for the user.
    used, rated: in whole grams, for room in microns, for cables in millinewtons.
    """

    kind: Kind
    where: str
    used: int
    rated: int

    @property
    def share(self) -> float:
        """What is used of what is rated; above 1 just where the limit is broken.

        >>> Closeness(Kind.POST, "tip", 45_000, 90_000).share
        0.5
        """
        if self.rated > 0:
            return self.used / self.rated
        return math.inf if self.used > self.rated else 1.0

    @property
    def percent(self) -> int:
        """The share in whole percent, never rounded up to 100 or past it. [%]"""
        if self.rated > 0:
            return 100 * self.used // self.rated
        return 100

    @property
    def shown(self) -> tuple[str, str]:
        """What is used and what is rated, with their units."""
        show = {Kind.ROOM: shown_mm, Kind.CABLE: shown_pull, Kind.MOVING: shown_pull}.get(self.kind, _grams)
        return show(self.used), show(self.rated)

    @property
    def name(self) -> str:
        """What is limited, with its place: ``mass on one post of horn tip``."""
        place = {
            Kind.POST: f" of horn {self.where}",
            Kind.ROOM: f" on horn {self.where}",
            Kind.ARM: f" {self.where}",
        }
        return f"{self.kind}{place.get(self.kind, '')}"

    @property
    def words(self) -> str:
        """How near, as a person reads it: ``tip horn at 86 % of its rating``.

        >>> Closeness(Kind.ROOM, "tip", 200_000, 220_000).words
        'tip horn full to 90 %'
        """
        said = {
            Kind.POST: f"{self.where} horn at {self.percent} % of its rating",
            Kind.ROOM: f"{self.where} horn full to {self.percent} %",
            Kind.ARM: f"arm {self.where} at {self.percent} % of its rating",
            Kind.CABLE: f"cable at {self.percent} % of its rating",
            Kind.MOVING: f"cable in a brisk raise at {self.percent} % of its rating",
            Kind.USER: f"user at {self.percent} % of its rating",
        }
        return said[self.kind]


def _grams(grams: int) -> str:
    return shown_kg(grams / 1000)


def closeness(machine: Machine, law: FeltLaw, loading: Loading) -> tuple[Closeness, ...]:
    """Every limit of a station that is stated, and how near a loading comes: horns, arm, cable at rest, in motion.

    A loading passes `check_loading` just where no share is above 1, its plates are there and do not lift the arm.

    Raises: UnknownName if the loading names a horn that the station does not feel.
    """
    limits, posts = limits_of(machine, law), posts_of(law, loading)
    masses = [post.mass for post in posts]
    found = list(_posts(limits, masses, [post.length for post in posts]))
    rig = limits.rig
    if rig.arm is not None and rig.arm_cap != UNLIMITED:
        found.append(Closeness(Kind.ARM, rig.arm, _whole(rig.arm_mass(masses)), _whole(rig.arm_cap)))
    station = law.station.name
    found.extend(
        Closeness(Kind(cable.name), station, cable.tension_mn(masses), cable.rated_mn) for cable in limits.cables
    )
    return tuple(found)


def _posts(limits: Limits, masses: list[int], lengths: list[int]) -> Iterator[Closeness]:
    rig = limits.rig
    for horn, mass, length, room, cap in zip(rig.horns, masses, lengths, rig.rooms, rig.caps, strict=True):
        yield Closeness(Kind.ROOM, horn.name, length, room)
        if cap != UNLIMITED:
            yield Closeness(Kind.POST, horn.name, _whole(mass), _whole(cap))


def _whole(mass: int) -> int:
    """Grains in whole grams, as they are compared with a rating; half a gram goes up. [g]"""
    return (mass + GRAINS_PER_GRAM // 2) // GRAINS_PER_GRAM


def user_closeness(machine: Machine, body_mass_kg: float) -> Closeness | None:
    """How near a lifter comes to what the label says of users; None if it says nothing. [kg]"""
    if machine.rated_user_kg is None:
        return None
    return Closeness(Kind.USER, "", round(body_mass_kg * 1000), round(machine.rated_user_kg * 1000))


def nearest_limit(found: tuple[Closeness, ...]) -> Closeness | None:
    """The limit that is nearest, the first of those that only rounding sets apart; None if none is stated."""
    return max(found, key=lambda each: round(each.share, 4), default=None)
