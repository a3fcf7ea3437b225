"""The protocol reading by reading: what to do next, and what the scale should show."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from steelyard.errors import OutOfRange, SteelyardError, UnknownName
from steelyard.journal.events import ScaleRead
from steelyard.machine.curve import resistance_curve
from steelyard.machine.model import Machine, Station
from steelyard.machine.protocol import steps
from steelyard.plates.discs import post_loads
from steelyard.plates.model import Plate, Stack
from steelyard.service import Steelyard
from steelyard.training.gym import Gym
from steelyard.units import felt_kg
from steelyard.workshop.calibrating import described, logged_readings
from steelyard.workshop.taking import Asked, check_load

MIDDLE_KG = 15.0
"""A plate of about this mass is heavy enough to be felt by the scale and light enough to be safe (a choice)."""
SAME_PLACE_RAD = math.radians(3.0)
"""A reading this near to the angle asked for is the one asked for."""


@dataclass(frozen=True, slots=True)
class Turn:
    """One reading of the protocol: what to do, what a line is then taken to mean, and what to expect.

    number: its place, from 1. done: whether such a reading is there. expected_kg: what the scale should show.
    """

    number: int
    words: str
    asked: Asked
    done: bool
    expected_kg: float


def station_to_calibrate(steelyard: Steelyard, named: str | None = None) -> Station:
    """The station named, else that of the latest reading, else the first one on an arm.

    Raises: UnknownName for a station without an arm; OutOfRange if the machine has none.
    """
    machine = described(steelyard).machine
    usable = {station.name: station for station in machine.stations.values() if station.arm is not None}
    if not usable:
        raise OutOfRange(f"the machine {machine.name}", "without any arm", "one with a station on an arm")
    if named is not None and named not in usable:
        raise UnknownName("station with an arm", named, usable)
    if named is None:
        read = [logged.read.station for logged in logged_readings(steelyard) if logged.read.station in usable]
        named = read[-1] if read else next(iter(usable))
    return usable[named]


def middle_stacks(gym: Gym, station: Station) -> dict[str, Stack]:
    """One plate of middle mass on the first horn of a station's arm, a weighed one if there is one; empty if none.

    It may hang there while calibrating, by the labels and by how many there are.
    """
    horns = gym.machine.horns_of(station)
    for plate in sorted(gym.inventory.counts, key=_by_middle):
        for horn in horns[:1]:
            try:
                check_load(gym, station, {horn.name: (plate,)})
            except SteelyardError:
                continue
            return {horn.name: (plate,)}
    return {}


def _by_middle(plate: Plate) -> tuple[bool, float, str]:
    off = abs(math.log(plate.mass.kg / MIDDLE_KG))
    return not (plate.weighed and off < math.log(3)), off, plate.name


def expected_kg(machine: Machine, asked: Asked) -> float:
    """What a scale should show at one handle, nothing clipped on, on a machine as it is believed to be. [kg]"""
    station = replace(machine.stations[asked.station or ""], attachments=())
    loads = post_loads(asked.stacks or {})
    curve = resistance_curve(machine, station, (asked.angle_rad or 0.0,), loads, one_arm=True)
    raising_kg, lowering_kg = felt_kg(curve.raising_n[0]), felt_kg(curve.lowering_n[0])
    return {"up": raising_kg, "down": lowering_kg}.get(asked.creep or "", (raising_kg + lowering_kg) / 2)


def turns(steelyard: Steelyard, station: Station) -> tuple[Turn, ...]:
    """The protocol for one station: every reading in the order in which it is asked for."""
    gym, machine = described(steelyard), steelyard.gym.machine
    stacks = middle_stacks(gym, station)
    found = [
        Turn(number, step.words, asked, False, expected_kg(machine, asked))
        for number, step in enumerate(steps(gym.machine, station.name, post_loads(stacks)), start=1)
        for asked in (Asked(station.name, step.angle_rad, str(step.creep), stacks if step.loads else {}),)
    ]
    done = {nearest_turn(logged.read, found) for logged in logged_readings(steelyard)}
    return tuple(replace(turn, done=turn.number in done) for turn in found)


def nearest_turn(read: ScaleRead, asked: Sequence[Turn]) -> int | None:
    """The number of the turn that a reading stands for; None if it is one of its own.

    Same station and way, plates or none alike, and about the same angle: the nearest, where several are near.
    """
    apart = [
        (abs(read.angle_rad - (turn.asked.angle_rad or 0.0)), turn.number)
        for turn in asked
        if (read.station, read.creep) == (turn.asked.station, turn.asked.creep)
        and bool(read.loads) == bool(turn.asked.stacks)
    ]
    off_rad, number = min(apart, default=(math.inf, 0))
    return number if off_rad <= SAME_PLACE_RAD else None
