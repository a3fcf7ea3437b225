"""What a well stocked house is spared: of loadings that weigh nearly the same, all but the best.

Seven kinds in kilograms beside five in pounds make millions of loadings a few grams apart. Up to a count of steps
a search goes through all of them. Beyond it, before every kind and horn, loadings that turn the arm nearly alike
fall into one class, as narrow as a smaller count allows. Of a class the best by rule goes on, and the one that
takes up least room. So whatever is found is a true loading with its exact load; what is left out has a neighbour.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from steelyard.plates.layout import Layout, State


class Bounds(NamedTuple):
    """What a search may cost, in counts, so that every device finds the same.

    steps, loadings: of a search that leaves out nothing; a step is a loading or part of one that is looked at,
                     and loadings are what it ends with.
    fewer_steps, fewer_loadings: of one that would need more; the steps are shared out over what is left to do.
    least: loadings that go on in any case, in a house of some hundred kinds.
    """

    steps: int = 200_000
    loadings: int = 40_000
    fewer_steps: int = 300_000
    fewer_loadings: int = 12_000
    least: int = 250


BOUNDS = Bounds()
FINEST_BITS = 20
"""A class is told by so many bits at most of what the mass on the arm could pull at one metre, from the highest
down: a millionth. One bit less makes it twice as wide."""
FINER = 3
"""So many bits more than the last time are tried at first."""
METRE_BITS = 25
"""A lever of one metre has so many bits."""


@dataclass(eq=False, slots=True)
class Thinning:
    """Keeps one search within bounds.

    steps: how many times plates of a kind are still put on a horn. tight: whether room decides anywhere.
    thinned: whether anything was left out.
    """

    layout: Layout
    steps: int
    tight: bool
    bounds: Bounds
    thinned: bool = False
    _done: int = 0
    _share: int = 0
    _bits: int = FINEST_BITS
    _masks: dict[int, list[State]] = field(default_factory=dict)

    def before(self, states: list[State], more: int) -> list[State]:
        """Those of the states to go on with, to each of which up to so many plates are then added."""
        self._done += len(states) * (more + 1)
        if self._done > self.bounds.steps and not self.thinned:
            self.thinned, self._share = True, self.bounds.fewer_steps // self.steps
        self.steps -= 1
        return self._classed(states, max(self.bounds.least, self._share // (more + 1))) if self.thinned else states

    def after(self, states: list[State]) -> list[State]:
        """Those of the states to end with."""
        self.thinned = self.thinned or len(states) > self.bounds.loadings
        self.tight = False  # nothing more needs room
        return self._classed(states, self.bounds.fewer_loadings) if self.thinned else states

    def _classed(self, states: list[State], most: int) -> list[State]:
        """At most so many of the states, in classes as narrow as can be; the widest is one for all."""
        if len(states) <= most:
            return states
        kept: list[State] = []
        self._bits = min(self._bits + FINER, FINEST_BITS) + 1
        while not kept:
            self._bits -= 1
            kept = self._best(states, self._masks_of(self._bits), max(2, most // 2 if self.tight else most))
        return kept

    def _best(self, states: Sequence[State], masks: Sequence[State], most: int) -> list[State]:
        """The best of every class; nothing if there are more classes than that."""
        first, arm = self.layout.arm
        ordering, room = self.layout.ordering, self.layout.room.bits
        ahead: dict[State, State] = {}
        narrow: dict[State, State] = {}
        for state in states:
            key = state & masks[(state >> first & arm).bit_length()]
            if key not in ahead:
                if len(ahead) == most:
                    return []
                ahead[key] = narrow[key] = state
                continue
            if state & ordering < ahead[key] & ordering:
                ahead[key] = state
            if state & room < narrow[key] & room:
                narrow[key] = state
        return list(dict.fromkeys((*ahead.values(), *narrow.values()) if self.tight else ahead.values()))

    def _masks_of(self, bits: int) -> list[State]:
        """By the bits of the mass on the arm, those bits of the pull that tell classes apart."""
        if bits not in self._masks:
            first, mask = self.layout.pull
            most = self.layout.arm.mask.bit_length() + 1
            idle = [max(0, size + METRE_BITS - bits) for size in range(most)]
            self._masks[bits] = [(mask >> low << low) << first for low in idle]
        return self._masks[bits]
