"""What the machine is rated for, as far as it concerns the lifter; plates and cables go with the loading."""

from __future__ import annotations

import math

from steelyard.errors import LimitExceeded, OutOfRange
from steelyard.machine.model import Machine


def check_user(machine: Machine, body_mass_kg: float) -> None:
    """Refuse a lifter heavier than the machine's label allows; a label that says nothing refuses nobody.

    body_mass_kg: the lifter's. [kg]

    Raises: LimitExceeded; OutOfRange if the body mass is not one.
    """
    if not 0.0 < body_mass_kg < math.inf:
        raise OutOfRange("body mass", f"{body_mass_kg:g} kg", "above 0 kg")
    rated = machine.rated_user_kg
    # Compared in whole grams, as loads are, so that a label in pounds holds a lifter of just that mass.
    if rated is not None and round(body_mass_kg * 1000) > round(rated * 1000):
        way_out = f"{machine.name} is not made for this lifter; see its label and manual"
        raise LimitExceeded("user mass", f"{body_mass_kg:.1f} kg", f"{rated:.1f} kg", way_out)
