"""The nouns of a lever gym, as frozen data. Everything here is SI; angles are in radians.

Axes, as in the whole package: the plane of motion has x forward and z up; an arm's own frame has its origin at
the hinge, u along +x and v along +z when the arm angle is zero; a positive angle lifts +x towards +z.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from enum import StrEnum

from steelyard.errors import UnknownName

Point = tuple[float, float]


class Axis(StrEnum):
    """How a horn lies: across the plane of motion (parallel to the hinge), or along it."""

    ACROSS = "across"
    ALONG = "along"


@dataclass(frozen=True, slots=True)
class Counterweight:
    """A mass fixed to an arm, mostly behind its hinge."""

    mass_kg: float
    at_m: Point
    inertia_kg_m2: float = 0.0


@dataclass(frozen=True, slots=True)
class Arm:
    """A rigid arm on one hinge.

    paired: two such arms, left and right, move independently; one-arm work lifts one of them.
    hinge_torque_n_m: dry (Coulomb) friction at the hinge, at least 0.
    rated_plates_kg: the most the maker allows in plates on one arm, over all its horns; None if not stated.
    """

    name: str
    pivot_m: Point
    mass_kg: float
    com_m: Point
    inertia_kg_m2: float = 0.0
    counterweight: Counterweight | None = None
    hinge_torque_n_m: float = 0.0
    rated_plates_kg: float | None = None
    paired: bool = False


@dataclass(frozen=True, slots=True)
class Horn:
    """A post that takes plates: a stack of which only the outermost plate can move.

    arm:    the arm it is fixed to; None for the sleeve of a free weight or the hook of a belt.
    at_m:   in the arm's frame: across, the centre of every plate; along, the inner face of the first plate.
    axis_angle_rad: the direction in which plates stack on an `ALONG` horn, in the arm's frame.
    sides:  2 if there is one on the left and one on the right that must be loaded alike, else 1. A horn on a
            paired arm has 2: one on each arm.
    rated_kg: the most the maker allows on one such post; None if not stated.
    """

    name: str
    arm: str | None
    length_m: float
    at_m: Point = (0.0, 0.0)
    axis: Axis = Axis.ACROSS
    axis_angle_rad: float = 0.0
    sides: int = 1
    collar_m: float = 0.0
    rated_kg: float | None = None
    plates_turn_with_arm: bool = True


@dataclass(frozen=True, slots=True)
class AcrossArm:
    """A handle on the arm, pushed or pulled square to the line from the hinge to the hand."""

    hand_m: Point


@dataclass(frozen=True, slots=True)
class FixedDirection:
    """A handle on the arm, pushed or pulled along one direction in the world."""

    hand_m: Point
    direction_rad: float


@dataclass(frozen=True, slots=True)
class Wheel:
    """A cable wheel on the frame. turn +1: the cable runs counter-clockwise round it on its way to the hand."""

    at_m: Point
    radius_m: float
    turn: int


@dataclass(frozen=True, slots=True)
class DeadEnd:
    """The far end of a cable that runs round a wheel *on the arm*: halves the force, doubles the travel."""

    anchor_m: Point
    wheel_radius_m: float
    wheel_turn: int


@dataclass(frozen=True, slots=True)
class Cable:
    """A cable from the arm over a frame wheel to the hand, which pulls along exit_rad.

    arm_m:        where it is fixed to the arm, or the centre of the arm's own wheel if there is a dead end.
    more_wheels:  further fixed wheels between the frame wheel and the hand; they only add friction.
    more_wheels_m: where those are, on the way to the hand; empty if nobody measured. For drawing the cable and for
                  where the hand pulls from. [m]
    efficiency:   share of the tension that each moving wheel passes on, above 0 and at most 1.
    rated_n:      the most the cable may carry; None if not stated.
    """

    arm_m: Point
    wheel: Wheel
    exit_rad: float
    dead_end: DeadEnd | None = None
    more_wheels: int = 0
    efficiency: float = 1.0
    rated_n: float | None = None
    more_wheels_m: tuple[Point, ...] = ()

    @property
    def last_wheel_m(self) -> Point:
        """Where the cable leaves the frame for the hand, as far as it was measured. [m]"""
        return self.more_wheels_m[-1] if self.more_wheels_m else self.wheel.at_m


@dataclass(frozen=True, slots=True)
class BodyWeight:
    """The lifter's own body is the load: a share of body mass, plus what hangs on the horn, if there is one.

    travel_m: how far one repetition moves it; 0 if nobody measured. [m]
    """

    share: float
    travel_m: float = 0.0


@dataclass(frozen=True, slots=True)
class FreeWeight:
    """A plain mass lifted straight up: the empty bar, sled or handle, plus its plates.

    travel_m: how far one repetition moves it; 0 if nobody measured. [m]
    """

    mass_kg: float
    travel_m: float = 0.0


Drive = AcrossArm | FixedDirection | Cable | BodyWeight | FreeWeight


@dataclass(frozen=True, slots=True)
class Attachment:
    """What the hand holds on a cable, or what is bolted to the handle; its weight is felt too."""

    name: str
    mass_kg: float


class Joint(StrEnum):
    """The joint that a station works most, where the machine fixes its place."""

    ELBOW = "elbow"
    SHOULDER = "shoulder"


@dataclass(frozen=True, slots=True)
class JointPlace:
    """Where the working joint rests: the elbow on a curl pad, or the shoulder on a bench.

    at_m: in the world, as the frame's points. [m]
    upper_arm_rad: for an elbow, the direction from the shoulder to it; straight down (-90 degrees) for a hanging
                   upper arm. [rad]
    """

    joint: Joint
    at_m: Point
    upper_arm_rad: float = -math.pi / 2


@dataclass(frozen=True, slots=True)
class Station:
    """A place on the machine where exercises are done.

    arm:       the arm it works; None for body weight and free weights.
    from_rad, to_rad: the arm's angles where a lift begins and ends, in that order; to may be the lower.
    horn:      for body weight and free weights only, the horn that takes the plates; None if there is none.
    exercises: ids of the exercises done here.
    attachments: what can be clipped on; the first one is on unless another is asked for.
    setup_s:   time to walk here and set it up: bench, pins, cable. [s]
    joint:     where the elbow or the shoulder rests; None if the station leaves it free or nobody measured.
    """

    name: str
    title: str
    drive: Drive
    arm: str | None = None
    from_rad: float = 0.0
    to_rad: float = 0.0
    horn: str | None = None
    exercises: tuple[str, ...] = ()
    attachments: tuple[Attachment, ...] = ()
    setup_s: float = 60.0
    joint: JointPlace | None = None


@dataclass(frozen=True, slots=True)
class Machine:
    """A lever gym: arms, horns and stations by name, with the user mass it is rated for (None if not stated)."""

    name: str
    arms: dict[str, Arm]
    horns: dict[str, Horn]
    stations: dict[str, Station]
    rated_user_kg: float | None = None
    notes: str = ""

    def station(self, name: str) -> Station:
        """The station of this name. Raises: UnknownName."""
        if name not in self.stations:
            raise UnknownName("station", name, self.stations)
        return self.stations[name]

    def horns_of(self, station: Station) -> tuple[Horn, ...]:
        """The horns whose plates the station feels: all those on its arm, or its own single one."""
        if station.arm is None:
            return (self.horns[station.horn],) if station.horn is not None else ()
        return tuple(horn for horn in self.horns.values() if horn.arm == station.arm)


@dataclass(frozen=True, slots=True)
class HornShare:
    """How the plates on one horn count: felt += sides * (per_kg * mass + per_kg_m * moment).

    mass is what hangs on one post [kg]; moment is the sum of plate mass times the distance of its centre from the
    horn's inner face [kg m], which matters on an `ALONG` horn only.
    """

    horn: Horn
    sides: int
    per_kg: float
    per_kg_m: float = 0.0


@dataclass(frozen=True, slots=True)
class FeltLaw:
    """What a station makes of the plates on its horns: felt load = base + sum of the horn shares. [kg]

    Felt is the handle force averaged over the handle's travel while raising, friction included, divided by
    standard gravity. The lowering side is kept beside it.

    peak_base_n, peak_per_kg_n: force on one handle, or tension of one cable, while raising at several angles of
    the range: as base [N], and at each angle per kilogram on one post of each horn, in the order of the shares,
    all its sides together [N/kg]. An `ALONG` horn counts at its worst place. For the cable's rated tension; empty
    for body weight and free weights.
    moving_base_n, moving_per_kg_n: the same at moments of one brisk raise, inertia included, for the cable's
    rated tension in motion; empty where no cable is. [N], [N/kg]
    lowering: the same law while lowering; None if there is no friction.
    stroke_m: handle travel of one raise; 0 if nobody measured it (body weight and free weights). [m]
    """

    station: Station
    base_kg: float
    shares: tuple[HornShare, ...]
    stroke_m: float
    peak_base_n: tuple[float, ...] = ()
    peak_per_kg_n: tuple[tuple[float, ...], ...] = ()
    moving_base_n: tuple[float, ...] = ()
    moving_per_kg_n: tuple[tuple[float, ...], ...] = ()
    lowering: FeltLaw | None = field(default=None, compare=False)
