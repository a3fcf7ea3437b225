"""Plates as the machine room reckons with them: discs, and what hangs on each post."""

from __future__ import annotations

from collections.abc import Sequence

from steelyard.machine.inertia import Disc, disc_loads
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


def post_loads(loading: Loading) -> dict[str, tuple[float, float]]:
    """Mass on one post of each horn, and its moment about the inner face. [kg], [kg m]"""
    return disc_loads(discs_of(loading))
