"""A station as one lifter uses it for one exercise, and what is drawn of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from steelyard.drawing.beam import Beam, beam_pieces
from steelyard.drawing.stack import HornChange, horn_change, stack_pieces
from steelyard.drawing.svg import in_page
from steelyard.plates.loading import felt_kg
from steelyard.plates.model import Loading, Move
from steelyard.training.gym import Gym, StationLoads
from steelyard.training.model import PreparedSet
from steelyard.units import Unit

Pieces = tuple[str, ...]
"""A drawing as SVG in pieces, which are the drawing once they are joined."""


@dataclass(frozen=True, slots=True)
class Bench:
    """A station with its loads as a lifter reads them."""

    gym: Gym
    loads: StationLoads
    unit: Unit

    def now_kg(self, loading: Loading) -> float:
        """What the lifter would feel with these plates; those on horns of another arm don't count. [kg]"""
        mine = {share.horn.name for share in self.loads.law.shares}
        return felt_kg(self.loads.law, {name: stack for name, stack in loading.items() if name in mine})

    def beam(self, one: PreparedSet, rungs_kg: Sequence[float], on_horns: Loading, title: str) -> Pieces:
        """The beam of a set, from what hangs there now to what it is done with. rungs_kg: loads to be had. [kg]"""
        now_kg = self.now_kg(on_horns) if one.moves else one.felt_kg
        beam = Beam(tuple(rungs_kg), self.unit, now_kg=now_kg, next_kg=one.felt_kg, fitting_kg=one.fitting_kg)
        return _beam(beam, title)

    def stack(self, loading: Loading, moves: Sequence[Move]) -> Pieces:
        """The horns with this loading, and the moves that lead to it; none for a station without any."""
        if not self.loads.horns and not moves:
            return ()
        return _stack(tuple(self.changes(loading, moves)), self.unit)

    def changes(self, loading: Loading, moves: Sequence[Move]) -> list[HornChange]:
        """The horns that carry plates or are about to, or did; all of the station where none is."""
        sides = {share.horn.name: share.sides for share in self.loads.law.shares}
        sides |= {move.horn: move.sides for move in moves}
        horns = self.gym.machine.horns
        moved = [move.horn for move in moves]
        found = dict.fromkeys([*(name for name in self.loads.horns if loading.get(name)), *moved])
        return [
            horn_change(
                f"{name} horn",
                horns[name].length_m,
                sides.get(name, horns[name].sides),
                loading.get(name, ()),
                [move for move in moves if move.horn == name],
            )
            for name in found or self.loads.horns
        ]


@lru_cache(maxsize=256)
def _beam(beam: Beam, title: str) -> Pieces:
    """The drawing of a beam; most are the same on the screen that follows."""
    return tuple(map(in_page, beam_pieces(beam, title=title)))


@lru_cache(maxsize=256)
def _stack(changes: tuple[HornChange, ...], unit: Unit) -> Pieces:
    """The drawing of horns, kept likewise."""
    return tuple(map(in_page, stack_pieces(changes, unit=unit)))


def bench_for(gym: Gym, one: PreparedSet, body_mass_kg: float | None, unit: Unit) -> Bench:
    """The bench of a prepared set."""
    exercise = gym.exercises[one.exercise]
    station = gym.machine.stations[one.station]
    return Bench(gym, gym.loads(station, one_arm=exercise.one_arm, body_mass_kg=body_mass_kg), unit)
