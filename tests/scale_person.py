"""A person with a hanging scale at a boathouse gym that is not quite as described."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from random import Random

from gyms import boathouse
from steelyard.machine.curve import resistance_curve
from steelyard.machine.model import Machine
from steelyard.machine.statics import stack_moment
from steelyard.units import felt_kg

SCATTER_KG = 0.08


def the_truth() -> Machine:
    """The boathouse as it really is: a heavier arm, a horn a centimetre further out, a stiffer hinge."""
    machine = boathouse().machine
    arm, horn = machine.arms["main"], machine.horns["tip"]
    truly = replace(arm, mass_kg=18.2, com_m=(0.54, 0.02), hinge_torque_n_m=3.4)
    further = replace(horn, at_m=(0.911, 0.033))
    return replace(machine, arms={"main": truly}, horns=machine.horns | {"tip": further})


def truly_felt_kg(station: str, plates: Mapping[str, tuple[str, ...]]) -> float:
    """What the hands really feel of a loading, averaged over the range. [kg]"""
    from steelyard.machine.felt import felt_law
    from steelyard.plates.loading import felt_kg as felt_of

    machine = the_truth()
    return felt_of(felt_law(machine, machine.stations[station]), boathouse().loading(plates))


class Person:
    """Reads the scale at a station, with a steady scatter of their own."""

    def __init__(self, station: str = "row", seed: int = 1) -> None:
        self.station = station
        self._machine = the_truth()
        self._random = Random(seed)

    def shows(self, angle_deg: float, creep: str, plate: str = "") -> float:
        """What the scale shows at one handle with this plate on each post of the tip horn. [kg]"""
        station = replace(self._machine.stations[self.station], attachments=())
        known = [boathouse().inventory.plate(plate)] if plate else []
        loads = {"tip": stack_moment([(each.mass.kg, each.thickness_m / 2) for each in known])}
        curve = resistance_curve(self._machine, station, (math.radians(angle_deg),), loads, one_arm=True)
        force_n = curve.raising_n[0] if creep == "up" else curve.lowering_n[0]
        return felt_kg(force_n) + self._random.gauss(0.0, SCATTER_KG)

    def line(self, angle_deg: float, creep: str, plate: str = "", unit: str = "kg") -> str:
        """A reading as this person types it, its parts in an order of their own."""
        shown = self.shows(angle_deg, creep, plate)
        amount = {"kg": f"{shown:.2f} kg", "lb": f"{shown / 0.45359237:.1f} lb", "N": f"{shown * 9.80665:.0f} N"}
        parts = [self.station, f"{angle_deg:g} deg", creep, f"tip={plate}" if plate else "empty", amount[unit]]
        self._random.shuffle(parts)
        return " ".join(parts)

    def protocol(self, plate: str = "45 lb old") -> list[str]:
        """Empty and with a plate, at five angles, up and down, in any order and mixed units."""
        lines = [
            self.line(angle, creep, load, unit)
            for load in ("", plate)
            for angle, unit in ((-12, "kg"), (-6, "lb"), (0, "N"), (6, "kg"), (12, "lb"))
            for creep in ("up", "down")
        ]
        self._random.shuffle(lines)
        return lines
