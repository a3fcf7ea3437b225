"""What an arm carries besides its plates, and how many posts one lift moves."""

from __future__ import annotations

from steelyard.machine.model import Cable, Horn, Point
from steelyard.machine.statics import Mechanism, arm_moment


def sides_counted(mechanism: Mechanism, horn: Horn, hands: int) -> int:
    """How many posts of a horn this lift moves: on paired arms one for each hand."""
    return hands if mechanism.arm.paired else horn.sides


def carried_moment(mechanism: Mechanism, extra_kg: float) -> Point:
    """First moment of the arm with what is bolted to its handle, in the arm's frame. [kg m]"""
    along, up = arm_moment(mechanism.arm)
    if isinstance(mechanism.drive, Cable):
        return along, up
    hand = mechanism.drive.hand_m
    return along + extra_kg * hand[0], up + extra_kg * hand[1]
