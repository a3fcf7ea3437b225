"""What the readings of a machine say, and keeping it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from steelyard.errors import OutOfRange, UnknownName
from steelyard.journal.events import MachineCalibrated, ScaleRead
from steelyard.machine.calibration import Calibration, Parameter, felt_band, parameters
from steelyard.machine.felt import felt_law
from steelyard.machine.fingerprint import fingerprint
from steelyard.machine.fit import Fit, fit_readings
from steelyard.machine.model import Machine, Station
from steelyard.machine.protocol import Suggestion, most_useful
from steelyard.plates.discs import post_loads
from steelyard.plates.loading import felt_kg
from steelyard.plates.model import Stack
from steelyard.service import Steelyard
from steelyard.training.gym import Gym
from steelyard.workshop.calibrating import described, logged_readings
from steelyard.workshop.taking import reading_in
from steelyard.workshop.turns import middle_stacks

Interval = tuple[float, float, float]
"""Low end, best estimate and high end, 95 %."""


@dataclass(frozen=True, slots=True)
class StationFelt:
    """A station's felt load, without plates and with a middle one, as found and as described. [kg]"""

    station: Station
    stacks: Mapping[str, Stack]
    empty_kg: Interval
    laden_kg: Interval
    described_empty_kg: float
    described_laden_kg: float


@dataclass(frozen=True, slots=True)
class Report:
    """What the readings of a machine say. reads: by id. stations: all those on an arm."""

    machine: Machine
    reads: Mapping[str, ScaleRead]
    fit: Fit
    parameters: tuple[Parameter, ...]
    stations: tuple[StationFelt, ...]
    suggestion: Suggestion | None

    def felt(self, station: str) -> StationFelt:
        """One station's felt load. Raises: UnknownName."""
        for one in self.stations:
            if one.station.name == station:
                return one
        raise UnknownName("station with an arm", station, [one.station.name for one in self.stations])


def fit_of(steelyard: Steelyard) -> Fit | None:
    """What the readings say of the machine as described; None without any."""
    readings = tuple(reading_in(logged.id, logged.read) for logged in logged_readings(steelyard))
    return fit_readings(described(steelyard).machine, readings) if readings else None


def report_of(steelyard: Steelyard) -> Report | None:
    """All that the readings say; None without any."""
    fit, gym = fit_of(steelyard), described(steelyard)
    if fit is None:
        return None
    machine = gym.machine
    return Report(
        machine=machine,
        reads={logged.id: logged.read for logged in logged_readings(steelyard)},
        fit=fit,
        parameters=parameters(machine, fit.calibration),
        stations=tuple(
            station_felt(gym, fit.calibration, station)
            for station in machine.stations.values()
            if station.arm is not None
        ),
        suggestion=most_useful(machine, fit),
    )


def station_felt(gym: Gym, calibration: Calibration, station: Station) -> StationFelt:
    """A station's felt load with a calibration, and as described."""
    stacks = middle_stacks(gym, station)
    band = felt_band(gym.machine, calibration, station)
    law = felt_law(gym.machine, station)
    return StationFelt(
        station=station,
        stacks=stacks,
        empty_kg=band.interval({}),
        laden_kg=band.interval(post_loads(stacks)),
        described_empty_kg=law.base_kg,
        described_laden_kg=felt_kg(law, stacks),
    )


def keep(steelyard: Steelyard, *, event_id: str | None = None) -> str:
    """Believe from now on what the readings say; returns the id of the event, which is on disk.

    Raises: OutOfRange without any reading.
    """
    fit, machine = fit_of(steelyard), described(steelyard).machine
    if fit is None:
        raise OutOfRange("the number of readings", 0, "1 or more; take them with steelyard machine calibrate")
    return steelyard.record(what_was_found(machine, fit), event_id)


def what_was_found(machine: Machine, fit: Fit) -> MachineCalibrated:
    """A fit as the journal keeps it.

    machine: as described, from which the fit started.
    """
    found = fit.calibration
    return MachineCalibrated(
        machine=machine.name,
        described=fingerprint(machine),
        names=found.names,
        values=tuple(map(float, found.values)),
        covariance=symmetric(found.covariance),
        noise=float(found.noise),
        readings=tuple(reading.id for reading in fit.used),
        suspects=tuple(suspect.reading.id for suspect in fit.suspects),
    )


def symmetric(rows: Sequence[Sequence[float]]) -> tuple[tuple[float, ...], ...]:
    """A covariance without the last digits in which its two halves differ.

    >>> symmetric([[1.0, 0.25], [0.75, 2.0]])
    ((1.0, 0.5), (0.5, 2.0))
    """
    places = range(len(rows))
    return tuple(
        tuple((float(rows[one][other]) + float(rows[other][one])) / 2 for other in places) for one in places
    )
