"""What the pictures of a machine show: curves near a felt load, and one station beside another."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from steelyard.drawing.force_curve import ForceCurve, curve_angles, curve_of, matched
from steelyard.machine.calibration import curve_band
from steelyard.machine.model import Machine
from steelyard.plates.discs import post_loads
from steelyard.plates.loading import nearest
from steelyard.plates.model import Inventory, Loading, Rung
from steelyard.service import Steelyard
from steelyard.training.gym import Gym, StationLoads
from steelyard.workshop.bands import calibration_of
from steelyard.workshop.calibrating import described

USUAL_FELT_KG = 40.0
"""The felt load that pictures show unless another is asked for: most stations can be given it. [kg]"""


def rung_near(loads: StationLoads, felt_kg: float) -> Rung:
    """The load of a station that is nearest to a felt load. [kg] Raises: OutOfRange if it is no number."""
    return nearest(loads.ladder, felt_kg, count=1)[0]


def curves_near(
    machine: Machine, views: Iterable[StationLoads], felt_kg: float, *, one_arm: bool = False
) -> tuple[ForceCurve, ...]:
    """The curve of every station at its load nearest to a felt load. [kg]

    Raises: OutOfRange if it is no number.
    """
    return tuple(
        curve_of(machine, loads.law, rung_near(loads, felt_kg).loading, one_arm=one_arm) for loads in views
    )


def band_of(
    steelyard: Steelyard, loads: StationLoads, loading: Loading, *, one_arm: bool = False
) -> tuple[Sequence[float], Sequence[float]] | None:
    """Where the raising force lies with 95 % probability at the angles of the curve, low and high. [N]

    None for a machine taken as described, and for stations without an arm.
    """
    calibration, station = calibration_of(steelyard), loads.station
    if calibration is None or station.arm is None:
        return None
    machine = described(steelyard).machine
    angles = curve_angles(machine, station)
    return curve_band(machine, calibration, station, angles, post_loads(loading), one_arm=one_arm)


def beside(machine: Machine, inventory: Inventory) -> Gym:
    """Another machine with the same plates, for its loads alone."""
    stations = {name: replace(station, exercises=()) for name, station in machine.stations.items()}
    return Gym(replace(machine, stations=stations), inventory, {})


def compared(
    first: tuple[Machine, StationLoads],
    second: tuple[Machine, StationLoads],
    felt_kg: float,
    *,
    one_arm: bool = False,
) -> tuple[ForceCurve, ForceCurve]:
    """Two stations near the same felt load, each with its machine; of two machines, the curves name theirs. [kg]

    Raises: OutOfRange if the felt load is no number.
    """
    rungs = matched(first[1].ladder, second[1].ladder, felt_kg)
    one, other = (
        curve_of(machine, loads.law, rung.loading, one_arm=one_arm)
        for (machine, loads), rung in zip((first, second), rungs, strict=True)
    )
    if first[0].name == second[0].name:
        return one, other
    return (
        replace(one, title=f"{one.title} ({first[0].name})"),
        replace(other, title=f"{other.title} ({second[0].name})"),
    )
