"""From what a person typed to the reading that is recorded: what was left out, and what must not be done."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from steelyard.errors import LimitExceeded, OutOfRange, UnknownName
from steelyard.journal.events import ScaleRead
from steelyard.machine.model import Machine, Station
from steelyard.machine.reading import (
    PLATES_SD_CAST,
    PLATES_SD_WEIGHED,
    Creep,
    Reading,
    angle_at_height,
    angle_at_travel,
    check_reading,
    mechanism_at,
)
from steelyard.plates.closeness import Kind, closeness
from steelyard.plates.discs import post_loads
from steelyard.plates.loading import check_loading
from steelyard.plates.model import Plate, Stack, plate_names
from steelyard.training.gym import Gym
from steelyard.units import Unit, show_mass
from steelyard.workshop.typed import Typed

LABEL_SHARE = 0.5
"""Most of a rated load that may hang on the machine while it is calibrated: 30 to 50 % is enough for a fit."""
SCALE_SHARE = 0.6
"""Beyond this share of its range a cheap scale is near its stop and off its best (common practice)."""
BEYOND_RAD = math.radians(15.0)
"""An arm angle so far outside a station's range is a slip, or was not counted from level."""
HEAVIEST_READING_KG = 500.0


@dataclass(frozen=True, slots=True)
class Asked:
    """The reading that is asked for: what a line is taken to mean where it says nothing else.

    station: empty for a check of the scale. stacks: plates by horn. hung: what a check hangs on the scale.
    None for what a line must say itself.
    """

    station: str | None = None
    angle_rad: float | None = None
    creep: str | None = None
    stacks: Mapping[str, Stack] | None = None
    hung: Plate | None = None


def reading_from(
    typed: Typed, asked: Asked, gym: Gym, *, as_typed: str = "", scale_range_kg: float | None = None
) -> ScaleRead:
    """The reading that the parts of a line stand for.

    gym:            as described. asked: where parts left out are taken from.
    scale_range_kg: the most the scale can show, if it is known. [kg]

    Raises: OutOfRange and UnknownName for what can't be so; LimitExceeded for a load that a calibration must not
            put on the machine.
    """
    if typed.scale is None:
        raise OutOfRange(
            "what the scale showed", "missing", "there, with its unit, such as 31.2 kg, 69 lb or 306 N"
        )
    shown_kg, unit = typed.scale
    check_shown(shown_kg, scale_range_kg)
    check = typed.check or (asked.station == "" and typed.station is None)
    bare = check_of_scale(typed, asked) if check else handle_reading(typed, asked, gym)
    made = replace(bare, machine=gym.machine.name, scale_kg=shown_kg, unit=unit, as_typed=as_typed)
    check_reading(gym.machine, reading_in("", made))
    return made


def reading_in(event_id: str, read: ScaleRead) -> Reading:
    """A recorded reading as the machine room reads it."""
    return Reading(
        id=event_id,
        station=read.station,
        angle_rad=read.angle_rad,
        creep=Creep(read.creep),
        loads=read.loads,
        scale_kg=read.scale_kg,
        plates_sd=read.plates_sd,
        hung_kg=read.hung_kg,
    )


def check_shown(shown_kg: float, scale_range_kg: float | None) -> None:
    """Refuse what no scale of this range can show. [kg]"""
    most_kg = min(scale_range_kg or HEAVIEST_READING_KG, HEAVIEST_READING_KG)
    if not 0.0 < shown_kg <= most_kg:
        accepted = f"above 0 and at most {most_kg:g} kg, " + (
            "the scale's range" if scale_range_kg else "far enough"
        )
        raise OutOfRange("what the scale showed", f"{shown_kg:g} kg", accepted)


def check_of_scale(typed: Typed, asked: Asked) -> ScaleRead:
    """A known mass hung straight on the scale."""
    hung = typed.hung if typed.check else None
    hung = asked.hung if hung is None else hung
    if hung is None:
        raise OutOfRange(
            "what hangs on the scale", "missing", "said after the word check, as in: check 20 kg 20.1 kg"
        )
    plate = hung if isinstance(hung, Plate) else None
    mass_kg = hung.mass.kg if isinstance(hung, Plate) else hung
    return replace(NOTHING, plates_sd=plates_sd((plate,)) if plate else PLATES_SD_WEIGHED, hung_kg=mass_kg)


NOTHING = ScaleRead("", "", 0.0, "held", {}, {}, PLATES_SD_WEIGHED, 0.0, 0.0, "kg")


def handle_reading(typed: Typed, asked: Asked, gym: Gym) -> ScaleRead:
    """A scale pulled at a handle."""
    station = station_with_arm(gym.machine, typed.station or asked.station or "")
    known = gym.machine.stations.get(asked.station or "")
    there = asked if known is not None and known.arm == station.arm else Asked(creep=asked.creep)
    stacks = load_of(typed, there, station)
    check_load(gym, station, stacks)
    creep = typed.creep or asked.creep
    if creep is None:
        raise OutOfRange(
            "the way of the handle", "missing", "up, down or held, as the handle crept while you read"
        )
    return replace(
        NOTHING,
        station=station.name,
        angle_rad=angle_of(typed, there.angle_rad, gym.machine, station),
        creep=creep,
        loads=post_loads(stacks),
        plates=plate_names(stacks),
        plates_sd=plates_sd(tuple(plate for stack in stacks.values() for plate in stack)),
    )


def load_of(typed: Typed, asked: Asked, station: Station) -> dict[str, Stack]:
    """The plates by horn, without empty horns. Raises: OutOfRange if nobody said."""
    stacks = typed.stacks if typed.stacks is not None else asked.stacks
    if stacks is None:
        accepted = "said: empty, or plates with their horn such as tip=20 kg"
        raise OutOfRange(f"the load at station {station.name}", "missing", accepted)
    return {horn: stack for horn, stack in stacks.items() if stack}


def station_with_arm(machine: Machine, name: str) -> Station:
    """A station whose handle a scale can be read at. Raises: OutOfRange if none is named; UnknownName."""
    usable = [station.name for station in machine.stations.values() if station.arm is not None]
    if not name:
        raise OutOfRange("the station", "missing", f"one of {', '.join(usable)}")
    if name not in usable:
        raise UnknownName("station with an arm", name, usable)
    return machine.stations[name]


def angle_of(typed: Typed, asked_rad: float | None, machine: Machine, station: Station) -> float:
    """The arm angle, however it was told. [rad] Raises: OutOfRange."""
    if typed.height_m is not None:
        return angle_at_height(machine, station.name, typed.height_m)
    if typed.travel_m is not None:
        return angle_at_travel(machine, station.name, typed.travel_m)
    angle_rad = typed.angle_rad if typed.angle_rad is not None else asked_rad
    if angle_rad is None:
        way_out = "given for this station, such as 10 deg, height 92 cm or travel 30 cm"
        raise OutOfRange("the arm angle", "missing", way_out)
    mechanism = mechanism_at(machine, station.name)
    least, most = sorted((mechanism.from_rad, mechanism.to_rad))
    if not least - BEYOND_RAD <= angle_rad <= most + BEYOND_RAD:
        low, high = math.degrees(least - BEYOND_RAD), math.degrees(most + BEYOND_RAD)
        accepted = (
            f"from {low:.0f} to {high:.0f} degrees at station {station.name}, counted from level, up is plus"
        )
        raise OutOfRange("the arm angle", f"{math.degrees(angle_rad):.1f} degrees", accepted)
    return angle_rad


def plates_sd(plates: Stack) -> float:
    """Relative error of the mass of these plates together: weighed ones are known well.

    They are taken to err the same way, as plates of one make do.
    """
    total_kg = sum(plate.mass.kg for plate in plates)
    if not total_kg:
        return PLATES_SD_WEIGHED
    sds_kg = (plate.mass.kg * (PLATES_SD_WEIGHED if plate.weighed else PLATES_SD_CAST) for plate in plates)
    return sum(sds_kg) / total_kg


def check_load(gym: Gym, station: Station, stacks: Mapping[str, Stack]) -> None:
    """Refuse plates that are not there, don't fit, lift the arm, or are more than half of what is rated.

    Of a pair, one arm is loaded while it is calibrated.

    Raises: UnknownName for a horn that the station does not feel; LimitExceeded.
    """
    law = gym.law(station)
    for near in closeness(gym.machine, law, stacks) if stacks else ():  # the bare arm has to be read in any case
        halved = replace(near, rated=int(LABEL_SHARE * near.rated))
        if near.kind is not Kind.ROOM and halved.used > halved.rated:
            used, most = halved.shown
            limit = f"{most}, half of its label, while you calibrate"
            raise LimitExceeded(near.name, used, limit, "take a lighter plate; a middle one tells as much")
    check_loading(gym.machine, law, stacks, gym.inventory, whole_pair=False)


def scale_caution(scale_kg: float, scale_range_kg: float | None) -> str:
    """A warning that a scale is near the end of its range; empty if it is not. [kg]"""
    if scale_range_kg is None or scale_kg <= SCALE_SHARE * scale_range_kg:
        return ""
    shown, most = show_mass(scale_kg, Unit.KG), show_mass(SCALE_SHARE * scale_range_kg, Unit.KG)
    return f"{shown} is beyond {most}, 60 % of the scale's range: go on with a lighter plate or a stronger scale"
