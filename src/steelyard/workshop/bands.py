"""The calibration in use, and how sure it makes a station's felt loads."""

from __future__ import annotations

from steelyard.machine.calibration import Calibration, FeltBand, felt_band
from steelyard.machine.model import Station
from steelyard.service import Steelyard
from steelyard.training.believed import calibration_in


def calibration_of(steelyard: Steelyard) -> Calibration | None:
    """The calibration in use; None while the machine is taken as described."""
    used = steelyard.believed.used
    return None if used is None else calibration_in(used)


def bands(
    steelyard: Steelyard,
    station: Station,
    *,
    one_arm: bool = False,
    body_mass_kg: float | None = None,
    attachment: str | None = None,
) -> FeltBand | None:
    """A station's felt law with its uncertainty, as calibrated; None while the machine is taken as described.

    one_arm, body_mass_kg, attachment: as for `felt_law`.

    Raises: as `felt_law`.
    """
    known = calibration_of(steelyard)
    if known is None:
        return None
    machine = steelyard.believed.described.machine
    return felt_band(
        machine,
        known,
        machine.stations[station.name],
        one_arm=one_arm,
        body_mass_kg=body_mass_kg,
        attachment=attachment,
    )
