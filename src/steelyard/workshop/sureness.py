"""How sure the felt loads of a prepared session are, in one sentence."""

from __future__ import annotations

from steelyard.plates.discs import post_loads
from steelyard.service import Steelyard
from steelyard.training.model import PreparedSession, PreparedSet, Role
from steelyard.units import show_share
from steelyard.workshop.bands import bands

AS_DESCRIBED = (
    "Felt loads follow from the machine file and a tape measure; ten minutes with a hanging scale would say how "
    "sure they are."
)


def sureness(steelyard: Steelyard, session: PreparedSession) -> str:
    """What to say of a session's felt loads; empty if no set of it works an arm.

    The figure is the widest 95 % interval among its work sets, half of it, as a share of the load.
    """
    machine = steelyard.gym.machine
    on_arms = [one for one in session.sets if machine.stations[one.station].arm is not None]
    used = steelyard.believed.used
    if not on_arms:
        return ""
    if used is None:
        return AS_DESCRIBED
    works = [one for one in on_arms if one.role is Role.WORK] or on_arms
    worst = max(_half_share(steelyard, one) for one in works)
    day, share = f"{used.at:%d %B %Y}", show_share(worst, places=1)
    return f"Felt loads as calibrated on {day}: right to {share} or better, with 95 % probability."


def _half_share(steelyard: Steelyard, one: PreparedSet) -> float:
    """Half the interval of a set's felt load, as a share of it."""
    station = steelyard.gym.machine.stations[one.station]
    band = bands(steelyard, station, one_arm=steelyard.gym.exercises[one.exercise].one_arm)
    assert band is not None, "asked of a calibrated machine only"
    low_kg, felt_kg, high_kg = band.interval(post_loads(one.loading))
    return (high_kg - low_kg) / 2.0 / felt_kg
