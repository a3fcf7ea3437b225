"""Resistance curves: what the hand feels over the range, raising and lowering."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from steelyard.machine.felt import attached, hung_kg, loaded_moment
from steelyard.machine.model import Machine, Station
from steelyard.machine.statics import Way, gravity_torques, handle_forces, handle_travels, mechanism_of, sweep
from steelyard.units import STANDARD_GRAVITY


@dataclass(frozen=True, slots=True)
class ResistanceCurve:
    """Handle force of a loaded station at each of several arm angles, as the hands feel it.

    travel_m: handle travel since the lift began; negative before it. [m]
    """

    angles_rad: tuple[float, ...]
    travel_m: tuple[float, ...]
    raising_n: tuple[float, ...]
    lowering_n: tuple[float, ...]


def resistance_curve(
    machine: Machine,
    station: Station,
    angles_rad: Sequence[float],
    loads: Mapping[str, tuple[float, float]],
    *,
    one_arm: bool = False,
    attachment: str | None = None,
) -> ResistanceCurve:
    """Handle force of a loaded lever or cable station over the arm's angles, raising and lowering.

    angles_rad: arm angles, in any order. [rad]
    loads:      by horn, mass on one post and its `stack_moment` about the inner face; a horn left out is empty.
                [kg], [kg m]
    one_arm, attachment: as for `felt_law`, so that the mean over the travel is the felt load.

    Shape:  every column in the order of the angles.
    Raises: OutOfRange for a station without an arm or a negative mass; UnknownName for an unknown horn or
            attachment.
    """
    mechanism = mechanism_of(machine, station)
    extra_kg = attached(station, attachment).mass_kg
    hands = 2 if mechanism.arm.paired and not one_arm else 1
    swept = sweep(mechanism, tuple(angles_rad))
    moment = loaded_moment(mechanism, machine.horns_of(station), loads, extra_kg)
    torques = gravity_torques(moment, swept.cosines, swept.sines)
    hung_n = STANDARD_GRAVITY * hung_kg(mechanism, extra_kg)

    def felt(way: Way) -> tuple[float, ...]:
        return tuple([hands * (force + hung_n) for force in handle_forces(swept, torques, way)])

    raising_n = felt(Way.RAISING)
    lowering_n = felt(Way.LOWERING) if mechanism.has_friction else raising_n
    return ResistanceCurve(tuple(angles_rad), tuple(handle_travels(swept)), raising_n, lowering_n)
