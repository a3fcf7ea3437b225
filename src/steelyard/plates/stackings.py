"""What a rig can be stacked with, worked out once, and the ladder that a station makes of it.

Every station of an arm has the same horns, limits and plates. What differs is the felt law and the cable, and both
ask only for what the posts carry; so the search is done once for all of them.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from heapq import merge
from itertools import islice
from operator import mul
from typing import overload

from steelyard.machine.model import FeltLaw
from steelyard.plates.grain import EMPTY, base_units, share_units, whole_grams
from steelyard.plates.limits import CableLimit, Limits, Rig, breaches, cable_limits_of
from steelyard.plates.model import BUILDS_KEPT, Inventory, Loading, Rung
from steelyard.plates.search import Ints, Search, climb, search_of
from steelyard.plates.thinning import BOUNDS, Bounds


@dataclass(frozen=True, slots=True)
class Stackings:
    """Everything that the posts of a rig can carry, each with its best builds, whatever the station feels of it.

    Of a well stocked house it is thinned out, see `plates.thinning`.

    carried: mass on each post, then the moment of each post where place counts, as in `Carried`.
    thinned: whether anything was left out.
    orders:  what stands for the best builds of each, best first, at most `BUILDS_KEPT`.
    """

    search: Search
    carried: tuple[Ints, ...]
    orders: tuple[tuple[int, ...], ...]
    thinned: bool


class Builds(Sequence[Loading]):
    """The best builds of one load, put together when they are first looked at; equal to a tuple of the same."""

    __slots__ = ("_found", "_orders", "_search")

    def __init__(self, search: Search, orders: Sequence[Sequence[int]]) -> None:
        """orders: of each stacking that makes the load, best first."""
        self._search = search
        self._orders = orders
        self._found: tuple[Loading, ...] | None = None

    def _loadings(self) -> tuple[Loading, ...]:
        if self._found is None:
            self._found = tuple(map(self._search.loading, islice(merge(*self._orders), BUILDS_KEPT)))
        return self._found

    @overload
    def __getitem__(self, index: int) -> Loading: ...
    @overload
    def __getitem__(self, index: slice) -> tuple[Loading, ...]: ...
    def __getitem__(self, index: int | slice) -> Loading | tuple[Loading, ...]:
        return self._loadings()[index]

    def __len__(self) -> int:
        return min(BUILDS_KEPT, sum(map(len, self._orders)))

    def __eq__(self, other: object) -> bool:
        return self._loadings() == (other._loadings() if isinstance(other, Builds) else other)

    __hash__ = None  # type: ignore[assignment]

    def __repr__(self) -> str:
        return repr(self._loadings())


def stackings(rig: Rig, inventory: Inventory, *, bounds: Bounds = BOUNDS) -> Stackings:
    """Everything that the posts of a rig can carry with these plates, for `ladder_of`.

    bounds: beyond which a well stocked house is thinned out.
    """
    there = Inventory({plate: count for plate, count in inventory.counts.items() if count > 0})
    return kept_stackings(rig, there, bounds)


@lru_cache(maxsize=4)
def kept_stackings(rig: Rig, inventory: Inventory, bounds: Bounds) -> Stackings:
    """The same, kept for the rigs of one session, as ladders and plans both ask for it."""
    search = search_of(rig, inventory)
    found, thinned = climb(search, bounds)
    return Stackings(search, tuple(map(search.figures, found)), tuple(map(tuple, found.values())), thinned)


def ladder_of(law: FeltLaw, stackings: Stackings) -> tuple[Rung, ...]:
    """The ladder of a station from the stackings of its rig, as `plates.loading.ladder` describes it.

    stackings: of the very rig that `rig_of` finds for this law.

    Raises: LimitExceeded if no loading at all is allowed, so that even the empty station breaks a limit.
    """
    search = stackings.search
    reading = reading_of(law, search.rig)
    found: defaultdict[int, list[Sequence[int]]] = defaultdict(list)
    for carried, orders in zip(stackings.carried, stackings.orders, strict=True):
        grams = reading.grams(carried)
        if grams is not None:
            found[grams].append(orders)
    if not found:
        raise next(breaches(Limits(law, search.rig, reading.cables), [EMPTY] * search.posts))
    return tuple(Rung(grams / 1000, Builds(search, found[grams])) for grams in sorted(found))


@dataclass(frozen=True, slots=True)
class Reading:
    """How a station reads a stacking of its rig.

    base:  felt load of the empty station. [felt units]
    units: what each figure that is carried adds to it. [felt units]
    posts: how many of these figures are masses, which come first.
    """

    base: int
    units: Ints
    posts: int
    cables: tuple[CableLimit, ...]

    def grams(self, carried: Ints) -> int | None:
        """Felt load; None if the cable does not bear it or the arm would rise by itself. [g]"""
        for cable in self.cables:
            if not cable.bears(carried[: self.posts]):
                return None
        grams = whole_grams(self.base + sum(map(mul, self.units, carried)))
        return grams if grams >= 0 else None


def reading_of(law: FeltLaw, rig: Rig) -> Reading:
    """How the station of this law reads the stackings of its rig."""
    shares = list(map(share_units, law.shares))
    moments = (shares[post][1] for post in rig.along)
    units = (*(per_grain for per_grain, _ in shares), *moments)
    return Reading(base_units(law), units, len(shares), cable_limits_of(law))
