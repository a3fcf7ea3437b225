"""Which joint a station works, and what a lifter is told of it: where it is hard, and in what way to read that."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from steelyard.drawing.joint_curve import draw_joint_curves
from steelyard.errors import OutOfRange
from steelyard.machine.body import Body, Table
from steelyard.machine.curve import resistance_curve
from steelyard.machine.joint_cables import cable_curl
from steelyard.machine.joint_levers import lever_curl, lever_press
from steelyard.machine.joints import PEAK_PER_KG_N_M, JointView
from steelyard.machine.model import Cable, Joint, Station
from steelyard.machine.rating import check_user
from steelyard.machine.statics import mechanism_of
from steelyard.machine.trunk import REFERENCE_N, TrunkLoad, trunk_load
from steelyard.plates.discs import post_loads
from steelyard.plates.loading import felt_kg
from steelyard.plates.model import Loading
from steelyard.training.gym import Gym
from steelyard.units import show_share
from steelyard.workshop.pictures import rung_near

CURLS = frozenset({"elbow_flexion"})
PRESSES = frozenset({"horizontal_push", "vertical_push"})
"""Movement patterns of the exercise list that turn the elbow, and the shoulder."""
BENT_ROW = "lever_row_bent"
SUPPORTED = ("lever_row_chest", "cable_row_seated", "cable_row_wide")
"""Rows that take the trunk out of it: chest on a pad, or sitting."""
TRUNK_RAD = math.radians(30.0)
"""How a bent-over row is held, over the horizontal: a choice. [rad]"""
ANGLES = 33
"""Places of the lift at which the largest force is looked for."""


class Part(StrEnum):
    """What a station is looked at for."""

    ELBOW = "elbow"
    SHOULDER = "shoulder"
    TRUNK = "trunk"


@dataclass(frozen=True, slots=True)
class JointLook:
    """A loaded station with the joint it works.

    felt_kg: of the loading, with all arms at work. [kg]
    view:    the joint over the lift; None for a trunk.
    force_n: the largest force of the lift, all hands together. [N]
    trunk:   what that asks of the lower back; None for a joint.
    """

    station: Station
    part: Part
    body: Body
    loading: Loading
    felt_kg: float
    force_n: float
    view: JointView | None = None
    trunk: TrunkLoad | None = None


def part_of(gym: Gym, station: Station) -> Part | None:
    """What a station is looked at for: the joint its file names, else by its exercises; None for nothing."""
    if station.arm is None:
        return None
    is_cable = isinstance(station.drive, Cable)
    patterns = {gym.exercises[each].pattern for each in station.exercises}
    named = station.joint.joint if station.joint is not None else None
    if named is Joint.ELBOW or (named is None and patterns & CURLS and pulled_up(station)):
        return Part.ELBOW
    if not is_cable and (named is Joint.SHOULDER or patterns & PRESSES):
        return Part.SHOULDER
    return Part.TRUNK if BENT_ROW in station.exercises else None


def pulled_up(station: Station) -> bool:
    """Whether the hand goes up: on an arm always taken so, on a cable by the direction in which it leaves."""
    return not isinstance(station.drive, Cable) or math.sin(station.drive.exit_rad) > 0.0


def stations_with_joints(gym: Gym) -> dict[str, Part]:
    """The stations that can be looked at, by name, in the order of the machine file."""
    found = {name: part_of(gym, station) for name, station in gym.machine.stations.items()}
    return {name: part for name, part in found.items() if part is not None}


def look_at(
    gym: Gym,
    station: str,
    body: Body,
    *,
    plates: Mapping[str, tuple[str, ...]] | None = None,
    near_kg: float | None = None,
    one_arm: bool = False,
) -> JointLook:
    """A station as its lifter's joint meets it.

    plates:  names by horn, innermost first; nothing on without them.
    near_kg: instead, the felt load to come near to. [kg]

    Raises: UnknownName for a station, horn or plate not here; OutOfRange if the station works none of these
            joints; LimitExceeded for a lifter or a loading over a rated limit.
    """
    place, part = known_station(gym, station)
    check_user(gym.machine, body.mass_kg)
    loads = gym.loads(place, one_arm=one_arm)
    loading = rung_near(loads, near_kg).loading if near_kg is not None else gym.allowed(loads, plates or {})
    posts = post_loads(loading)
    angles = mechanism_of(gym.machine, place).angles(ANGLES)
    force_n = max(resistance_curve(gym.machine, place, angles, posts, one_arm=one_arm).raising_n)
    felt = felt_kg(loads.law, loading)
    if part is Part.TRUNK:
        trunk = trunk_load(body, max(force_n, 0.0), TRUNK_RAD)
        return JointLook(place, part, body, loading, felt, force_n, trunk=trunk)
    on_arm = lever_curl if part is Part.ELBOW else lever_press
    shown = cable_curl if isinstance(place.drive, Cable) else on_arm
    view = shown(gym.machine, place, body, posts, one_arm=one_arm)
    return JointLook(place, part, body, loading, felt, force_n, view=view)


def known_station(gym: Gym, name: str) -> tuple[Station, Part]:
    """A station that can be looked at. Raises: UnknownName; OutOfRange."""
    station = gym.machine.station(name)
    part = part_of(gym, station)
    if part is None:
        known = ", ".join(stations_with_joints(gym)) or "none on this machine"
        raise OutOfRange(
            f"station {name}", "no curl, press or bent-over row on an arm or a low pulley", f"one of: {known}"
        )
    return station, part


def sentences(gym: Gym, look: JointLook, beside: JointLook | None = None) -> tuple[str, ...]:
    """What is told of a station, and of another beside it; the plain answer first."""
    looks = (look,) if beside is None else (look, beside)
    told = [hard_words(each) for each in looks]
    if beside is not None and look.part is beside.part is Part.ELBOW:
        told.append(unlike_words(look, beside))
    if any(each.trunk is not None for each in looks):
        told += [*TRUNK_CONTEXT, supported_words(gym)]
    return tuple(told)


def hard_words(look: JointLook) -> str:
    """Where a station is hard, in a sentence."""
    if look.trunk is not None:
        return trunk_words(look, look.trunk)
    assert look.view is not None, "a look is at a joint or at a trunk"
    return elbow_words(look.view) if look.part is Part.ELBOW else shoulder_words(look.view)


def elbow_words(view: JointView) -> str:
    """Where a curl is hard: the hardest place, and the part of the range within a fifth of it."""
    ranked = view.ranked
    if not ranked or ranked[0].torque_n_m <= 0.0:
        return f"{view.title}: this load asks nothing of the elbow flexors where their strength is known."
    hardest, easiest = ranked[0], ranked[-1]
    low, high = (math.degrees(each) for each in hard_span(view))
    share = 100 * (view.hardness(easiest) or 0.0)
    return (
        f"{view.title}: hardest at {degrees_of(hardest.flexion_rad)} degrees of elbow flexion "
        f"({hardest.torque_n_m:.0f} N m in each arm at work, where an elbow can give "
        f"{show_share(hardest.capacity or 0.0)} of its best), hard from {low:.0f} to {high:.0f} degrees, "
        f"easiest at {degrees_of(easiest.flexion_rad)} ({share:.0f} % as hard)."
    )


def hard_span(view: JointView) -> tuple[float, float]:
    """The flexions round the hardest place that are within a fifth of it, without a gap. [rad]"""
    hard = [(view.hardness(point) or 0.0) >= 0.8 for point in view.points]
    first = last = view.points.index(view.ranked[0])
    while first > 0 and hard[first - 1]:
        first -= 1
    while last + 1 < len(hard) and hard[last + 1]:
        last += 1
    ends = (view.points[first].flexion_rad or 0.0, view.points[last].flexion_rad or 0.0)
    return min(ends), max(ends)


def degrees_of(flexion_rad: float | None) -> str:
    """A flexion for a sentence."""
    return f"{math.degrees(flexion_rad or 0.0):.0f}"


def unlike_words(look: JointLook, beside: JointLook) -> str:
    """How two curls differ, in a sentence."""
    pairs = [(each.view.ranked[0].flexion_rad or 0.0, each.view.title) for each in (look, beside) if each.view]
    (low, first), (high, second) = sorted(pairs)
    if math.degrees(high - low) < 10.0:
        return f"{first} and {second} are hardest at about the same place."
    return f"{first} is hardest with the straighter arm, {second} with the more bent one."


def shoulder_words(view: JointView) -> str:
    """Where a press turns the shoulder most."""
    most, least = view.ranked[0], view.ranked[-1]
    return (
        f"{view.title}: most torque about the shoulder where the hand has gone {100 * most.travel_m:.0f} cm "
        f"({abs(most.torque_n_m):.0f} N m in each arm at work), least at {100 * least.travel_m:.0f} cm "
        f"({abs(least.torque_n_m):.0f} N m)."
    )


def trunk_words(look: JointLook, trunk: TrunkLoad) -> str:
    """What a bent-over row asks of the lower back."""
    low, high = (each / 1000 for each in trunk.compression_n)
    return (
        f"{look.station.title}, bent over, trunk {math.degrees(TRUNK_RAD):.0f} degrees over the horizontal: about "
        f"{trunk.moment_n_m:.0f} N m about the lowest disc of the spine, {trunk.own_n_m:.0f} of it from the body "
        f"itself, and {low:.1f} to {high:.1f} kN of compression."
    )


TRUNK_CONTEXT = (
    f"For context: the usual reference value is {REFERENCE_N / 1000:.1f} kN (NIOSH design value, since 1981). It "
    "is meant for repeated lifting at work by a mixed population, it is disputed, and heavy rows exceed it "
    "routinely; a detailed model of one deadlift with 68 kg gave 17.2 kN. It neither allows nor forbids anything "
    "here.",
    "A static estimate for a straight back and a pull straight down at the shoulders; jerks, twisting and a "
    "rounded back are not in it.",
)
"""Sources: see docs/model-body.md; the deadlift is doi 10.1002/cnm.3680 (read)."""


def supported_words(gym: Gym) -> str:
    """The way round the lower back, by this machine's own station where it has one."""
    titles = [station.title for exercise in SUPPORTED for station in gym.stations_for(exercise)]
    here = f"; here: {titles[0]}" if titles else ""
    return f"A chest-supported or seated row takes most of it away{here}."


def cautions(look: JointLook) -> tuple[str, ...]:
    """What to know before these figures are believed."""
    body = look.body
    table = (
        "the mean of the tables for men and for women"
        if body.table is Table.MEAN
        else f"the table measured on {body.table}"
    )
    told = [f"Segments are estimated from stature and body mass ({table}); one person differs."]
    if look.part is Part.ELBOW:
        mean, spread = PEAK_PER_KG_N_M
        low, high = (body.mass_kg * (mean + side * spread) for side in (-1, 1))
        told += [
            "What an elbow can give is the shape of a muscle model held still (biceps and brachialis), not your "
            "own strength; moving muscles give less.",
            f"For scale: 199 young men gave {mean} ± {spread} N m per kg of body mass at best while curling one "
            f"arm, {low:.0f} to {high:.0f} N m at this body mass; other people give less or more.",
        ]
    return (
        *told,
        "General information, no medical advice: with pain in a joint or the back, stop and have it seen.",
    )


def drawing(look: JointLook, beside: JointLook | None = None) -> str | None:
    """The torque curve of a look, with another of the same part over it, as SVG; None for a trunk."""
    if look.view is None:
        return None
    views = [look.view]
    if beside is not None and beside.view is not None and beside.part is look.part:
        views.append(beside.view)
    return draw_joint_curves(views, title=f"{' and '.join(view.title for view in views)}: torque over the lift")
