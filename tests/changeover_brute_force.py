"""The least cost of a session's plates by trying every stack of every horn: the reference for small sessions.

Written from docs/model-changeover.md, with nothing of the optimiser: a set's loadings are all ordered stacks that
`check_loading` allows, and from one set to the next every one of them is tried from every one before.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import product
from math import prod

from steelyard.errors import SteelyardError
from steelyard.machine.model import FeltLaw, Horn, Machine
from steelyard.plates.handling import Handling
from steelyard.plates.loading import check_loading, felt_kg
from steelyard.plates.model import Inventory, Loading, Plate, Stack
from steelyard.plates.wishes import Way, Wish

BEYOND_MS_PER_G = 10_000_000
Stacks = tuple[Stack, ...]
"""One stack a horn, in the order of the session's horns."""


class TooMany(Exception):
    """The session has more stacks than can be tried in a test."""


class BruteForce:
    """All that hang on the horns of a session, and what it costs."""

    def __init__(self, machine: Machine, inventory: Inventory, handling: Handling, most: int) -> None:
        """most: stacks of all horns together that are tried. [1]"""
        self.machine, self.inventory, self.most = machine, inventory, most
        self.plates = sorted(inventory.counts, key=lambda plate: (-plate.mass.kg, plate.name))
        self.ms = {
            plate: round(1000 * (handling.plate_s + handling.kg_s * plate.mass.kg)) for plate in self.plates
        }
        self.horns: dict[str, Horn] = {}
        self.along: set[str] = set()
        self.known: dict[int, list[tuple[Mapping[str, Stack], int]]] = {}

    def least_ms(self, wishes: Sequence[Wish], on_horns: Loading) -> int | None:
        """The least cost of a session; None if it can't be done. Raises: TooMany."""
        self.along = {share.horn.name for wish in wishes for share in wish.law.shares if share.per_kg_m}
        self.horns = {share.horn.name: share.horn for wish in wishes for share in wish.law.shares}
        self.horns |= {name: self.machine.horns[name] for name in on_horns}
        now: dict[Stacks, int] = {tuple(on_horns.get(name, ()) for name in self.horns): 0}
        for wish in wishes:
            now = self._after(wish, now)
        return min(now.values(), default=None)

    def _after(self, wish: Wish, now: Mapping[Stacks, int]) -> dict[Stacks, int]:
        """What every way through one more set costs, by what hangs then."""
        found: dict[Stacks, int] = {}
        loadings = self._loadings(wish)
        if len(loadings) * len(now) > self.most:
            raise TooMany
        for before, spent in now.items():
            for loading, price in loadings:
                for after in self._hanging(wish, before, loading):
                    change = self._change(wish, before, after)
                    if change is not None and spent + change + price < found.get(after, 10**18):
                        found[after] = spent + change + price
        return found

    def _loadings(self, wish: Wish) -> list[tuple[Mapping[str, Stack], int]]:
        """Every loading the set may be given, and what it costs for missing the wanted load. [ms]"""
        if id(wish.law) not in self.known:
            self.known[id(wish.law)] = list(self._allowed(wish.law))
        found = [
            (loading, missed_ms(wish, grams), beyond(wish, grams)) for loading, grams in self.known[id(wish.law)]
        ]
        nearest = min((each[2] for each in found), default=0)
        return [(loading, price + BEYOND_MS_PER_G * far) for loading, price, far in found if far == nearest]

    def _allowed(self, law: FeltLaw) -> Iterator[tuple[Mapping[str, Stack], int]]:
        """Every loading that a station may be given, and its felt load. [g] Raises: TooMany."""
        names = [share.horn.name for share in law.shares]
        stacks = [list(self._stacks(name)) for name in names]
        if prod(map(len, stacks)) > self.most:
            raise TooMany
        for each in product(*stacks):
            loading = dict(zip(names, each, strict=True))
            try:
                check_loading(self.machine, law, loading, self.inventory)
            except SteelyardError:
                continue
            yield loading, round(1000 * felt_kg(law, loading))

    def _stacks(self, name: str) -> Iterator[Stack]:
        """Every ordered stack of one horn; where place counts only those with the heaviest innermost."""
        most = {plate: self.inventory.counts[plate] // self.horns[name].sides for plate in self.plates}
        ahead: list[Stack] = [()]
        while ahead:
            stack = ahead.pop()
            yield stack
            for plate in self.plates:
                ordered = not stack or self.plates.index(stack[-1]) <= self.plates.index(plate)
                if stack.count(plate) < most[plate] and (ordered or name not in self.along):
                    ahead.append((*stack, plate))

    def _hanging(self, wish: Wish, before: Stacks, loading: Mapping[str, Stack]) -> Iterator[Stacks]:
        """What may hang on all horns with this loading: on others no more comes off than the set needs."""
        others = [
            [loading[name]] if name in loading else [stack[:count] for count in range(len(stack), -1, -1)]
            for name, stack in zip(self.horns, before, strict=True)
        ]
        taken: list[Stacks] = []
        for stacks in product(*others):
            if self._is_owned(stacks) and not any(_under(stacks, more) for more in taken):
                taken.append(stacks)
                yield stacks

    def _is_owned(self, stacks: Stacks) -> bool:
        return all(
            sum(horn.sides * stack.count(plate) for horn, stack in zip(self.horns.values(), stacks, strict=True))
            <= owned
            for plate, owned in self.inventory.counts.items()
        )

    def _change(self, wish: Wish, before: Stacks, after: Stacks) -> int | None:
        """What a change costs; None if the set does not allow it. [ms]"""
        own = {share.horn.name for share in wish.law.shares}
        off = on = elsewhere = plates_off = 0
        for (name, horn), old, new in zip(self.horns.items(), before, after, strict=True):
            kept = next(
                (n for n, (a, b) in enumerate(zip(old, new, strict=False)) if a != b), min(len(old), len(new))
            )
            off_ms = horn.sides * sum(self.ms[plate] for plate in old[kept:])
            if name not in own:
                elsewhere += off_ms
                continue
            off += off_ms
            on += horn.sides * sum(self.ms[plate] for plate in new[kept:])
            plates_off += len(old) - kept
        if wish.way is Way.STRIP and on:
            return None
        against = BEYOND_MS_PER_G * plates_off if wish.way is Way.ADD else 0
        return round(wish.haste * off) + on + elsewhere + against


def _under(stacks: Stacks, more: Stacks) -> bool:
    """Whether other stacks keep at least as many plates on every horn."""
    return all(len(mine) <= len(its) for mine, its in zip(stacks, more, strict=True))


def missed_ms(wish: Wish, grams: int) -> int:
    """What a felt load costs for missing the wanted one. [ms]"""
    wanted = round(1000 * wish.wanted_kg)
    missed = max(0, abs(grams - wanted) - round(1000 * wish.near_kg))
    return (2 * round(1000 * wish.price_s) * missed + wanted) // (2 * wanted)


def beyond(wish: Wish, grams: int) -> int:
    """How far a felt load lies beyond the tolerance; a strip has none. [g]"""
    if wish.way is Way.STRIP:
        return 0
    wanted = round(1000 * wish.wanted_kg)
    over = wish.tolerance_kg if wish.over_kg is None else wish.over_kg
    return max(0, wanted - round(1000 * wish.tolerance_kg) - grams, grams - wanted - round(1000 * over))


def stack_of(plates: Sequence[Plate]) -> Stack:
    """Plates in the order of a horn where place counts."""
    return tuple(sorted(plates, key=lambda plate: (-plate.mass.kg, plate.name)))
