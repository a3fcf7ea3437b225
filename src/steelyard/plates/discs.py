"""Plates as the discs that motion reckons with."""

from __future__ import annotations

from collections.abc import Sequence

from steelyard.machine.inertia import Disc
from steelyard.plates.model import Loading, Plate


def disc_of(plate: Plate) -> Disc:
    """A plate as a uniform disc, of the mass to reckon with.

    >>> from steelyard.units import parse_mass
    >>> disc_of(Plate("20 kg", parse_mass("20 kg"), 0.034, diameter_m=0.45, hole_m=0.05))
    Disc(mass_kg=20.0, radius_m=0.225, hole_radius_m=0.025, thickness_m=0.034)
    """
    return Disc(plate.mass.kg, plate.diameter_m / 2.0, plate.hole_m / 2.0, plate.thickness_m)


def discs_of(loading: Loading) -> dict[str, Sequence[Disc]]:
    """The stacks of a loading as discs, innermost first."""
    return {horn: tuple(map(disc_of, stack)) for horn, stack in loading.items()}
