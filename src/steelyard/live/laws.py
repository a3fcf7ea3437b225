"""What the stations of a machine make of plates, as plain data: the page must reckon with the very figures here.

A law's coefficients come of sines, cosines and arc tangents, which the mathematical libraries of a server and of a
phone round differently in the last place (glibc and WebAssembly's: up to 7 values in 100). Felt loads are compared
in whole grams, so a law that differs by so little could move a load that lies on half a gram. What was worked out
once is therefore sent along, and read back exactly, for JSON keeps every digit of a number.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from steelyard.machine.model import FeltLaw, HornShare, Machine, Station
from steelyard.training.gym import Gym, LawKey

PEAKS = ("peak_base_n", "peak_per_kg_n", "moving_base_n", "moving_per_kg_n")


def plain_laws(gym: Gym) -> list[dict[str, Any]]:
    """The laws of every station on an arm, with one arm and with both.

    Those of other stations need no sending: sums and products round alike everywhere.
    """
    return [
        {"station": station.name, "one_arm": one_arm, **_plain(gym.law(station, one_arm=one_arm))}
        for station in gym.machine.stations.values()
        if station.arm is not None
        for one_arm in (False, True)
    ]


def _plain(law: FeltLaw) -> dict[str, Any]:
    shares = [[share.horn.name, share.sides, share.per_kg, share.per_kg_m] for share in law.shares]
    lowering = None if law.lowering is None else _plain(law.lowering)
    peaks = {name: getattr(law, name) for name in PEAKS}
    return {"base_kg": law.base_kg, "shares": shares, "stroke_m": law.stroke_m, **peaks, "lowering": lowering}


def read_laws(machine: Machine, laws: Iterable[Mapping[str, Any]]) -> dict[LawKey, FeltLaw]:
    """The laws that plain data stand for. Raises: UnknownName for a station that the machine lacks."""
    return {(law["station"], law["one_arm"]): _law(machine, machine.station(law["station"]), law) for law in laws}


def _law(machine: Machine, station: Station, plain: Mapping[str, Any]) -> FeltLaw:
    shares = tuple(HornShare(machine.horns[name], *figures) for name, *figures in plain["shares"])
    peaks = {name: _tuples(plain[name]) for name in PEAKS}
    lowering = None if plain["lowering"] is None else _law(machine, station, plain["lowering"])
    return FeltLaw(station, plain["base_kg"], shares, plain["stroke_m"], **peaks, lowering=lowering)


def _tuples(figures: Any) -> Any:
    return tuple(map(_tuples, figures)) if isinstance(figures, list | tuple) else figures
