"""The sets of a session as the optimiser sees them: alike ones joined, each with the loadings it may be given."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from itertools import chain, groupby
from operator import add, le, mul
from typing import NamedTuple

from steelyard.errors import UnknownName
from steelyard.machine.model import FeltLaw, Machine
from steelyard.plates.fillings import Code, Post, Rack, carried_of, fillings
from steelyard.plates.grain import EMPTY, FELT_PER_GRAM, whole_grams
from steelyard.plates.limits import UNLIMITED, Limits, Rig, breaches, rig_of
from steelyard.plates.model import Inventory
from steelyard.plates.search import Ints
from steelyard.plates.stackings import Reading, reading_of, stackings
from steelyard.plates.wishes import Way, Wish

PRICED_KEPT = 200
"""Choices kept of one station: some weeks of sets."""
MOST_TOGETHER = 1_000_000
"""Fillings of all horns of a station that are all looked at; of more only the best builds of its ladder are."""


class Part(NamedTuple):
    """Fillings of some horns of a station together.

    felt:   what they add to the felt load. [felt units]
    on_arm: what they add to one arm. [grains]
    used:   plates of each kind, every side counted.
    """

    felt: int
    code: Code
    on_arm: int
    used: tuple[int, ...]


@dataclass(eq=False, slots=True)
class Horns:
    """The horns of a station, and what it feels of any filling.

    posts: in the order of the law's shares. mask: all their bits.
    alone: fillings of the first horn by felt load, whose bare felt loads stand in `felts`; with them go the
           `parts`, which are the fillings of all further horns together.
    some:  None if those are all; else the best builds of the ladder. These then stand in `alone`, each with what
           hangs on all horns.
    priced: what stages of these horns were found to choose from.
    """

    law: FeltLaw
    rack: Rack
    rig: Rig
    posts: tuple[Post, ...]
    mask: Code
    reading: Reading
    alone: list[tuple[int, Code, int]] = field(default_factory=list)
    felts: list[int] = field(default_factory=list)
    parts: list[Part] = field(default_factory=list)
    some: frozenset[Code] | None = None
    priced: dict[tuple[object, ...], Mapping[Code, int]] = field(default_factory=dict)
    _grams: dict[Code, int | None] = field(default_factory=dict)

    def grams(self, code: Code) -> int | None:
        """The felt load of a filling; None if the cable does not bear it or the arm would rise by itself. [g]"""
        if code not in self._grams:
            self._grams[code] = self.reading.grams(self._figures(code))
        return self._grams[code]

    def stays(self, code: Code, target: Code) -> Code:
        """The most of a filling that may stay under another: what they share.

        Where place counts plates hang in order, so there it is only what lies under the first that differs.
        """
        kept = code & target
        for number in self.rig.along:
            mask = self.posts[number].mask
            unlike = (code ^ target) & mask
            if unlike:
                kept &= ~mask | ((unlike & -unlike) - 1)
        return kept

    def _figures(self, code: Code) -> tuple[int, ...]:
        """What the station reads of a filling: the mass on each post, and the moment where place counts."""
        masses = (self.rack.masses[code & post.mask] for post in self.posts)
        moments = (carried_of(self.rack, self.posts[number], code).moment for number in self.rig.along)
        return (*masses, *moments)

    @property
    def rising(self) -> Callable[[Code], bool] | None:
        """Tells whether the arm would rise by itself under a filling; None if no filling could make it."""
        units = self.reading.units[: len(self.posts)]
        return self._rises if self.reading.base < 0 or min(units, default=0) < 0 else None

    def _rises(self, code: Code) -> bool:
        return whole_grams(self.reading.base + sum(map(mul, self.reading.units, self._figures(code)))) < 0

    def between(self, least: int, most: int) -> list[tuple[Code, int]]:
        """Every allowed filling between two felt loads, both included, and its felt load. [g]"""
        low = least * FELT_PER_GRAM - FELT_PER_GRAM // 2 - self.reading.base
        high = most * FELT_PER_GRAM + FELT_PER_GRAM // 2 - self.reading.base
        found = []
        for code in chain.from_iterable(self._with(part, low, high) for part in self.parts):
            felt = self.grams(code)
            if felt is not None and least <= felt <= most:
                found.append((code, felt))
        return found

    def _with(self, part: Part, low: int, high: int) -> Iterator[Code]:
        """This part with every filling of the first horn that makes a felt load in between. [felt units]"""
        if not self.posts:  # a station that the body alone loads
            yield part.code
            return
        blocked, on_arm = self._blocked(part), self.rig.on_arm[0]
        spare = self.rig.arm_cap - part.on_arm
        start, stop = bisect_left(self.felts, low - part.felt), bisect_right(self.felts, high - part.felt)
        for _, code, mass in self.alone[start:stop]:
            if not code & blocked and on_arm * mass <= spare:
                yield part.code | code

    def _blocked(self, part: Part) -> Code:
        """The bits of the first horn for which this part leaves no plates."""
        post, blocked = self.posts[0], 0
        for each, used, owned in zip(post.fields, part.used, self.rack.owned, strict=True):
            left = (owned - used) // post.horn.sides
            if left < each.most:
                blocked |= each.mask & ~each.code(left)
        return blocked

    def reaches(self, least: int, most: int) -> bool:
        """Whether felt loads between these two are all there can be. [g]"""
        base = self.reading.base
        lowest = base + self.parts[0].felt + self.felts[0]
        highest = base + self.parts[-1].felt + self.felts[-1]
        return least * FELT_PER_GRAM <= lowest - FELT_PER_GRAM and highest + FELT_PER_GRAM <= most * FELT_PER_GRAM

    def any_breach(self) -> Exception:
        """Why nothing at all is allowed: the first limit that the empty station breaks."""
        return next(breaches(Limits(self.law, self.rig, self.reading.cables), [EMPTY] * len(self.posts)))


@lru_cache(maxsize=128)
def horns_of(law: FeltLaw, rack: Rack, rig: Rig) -> Horns:
    """The horns of the station of a law, on this rig, with these plates; set after set asks for the same ones.

    Where the plates make more fillings than can be gone through, only the best builds of its ladder count.
    """
    posts = tuple(rack.posts[horn.name] for horn in rig.horns)
    horns = Horns(law, rack, rig, posts, sum(post.mask for post in posts), reading_of(law, rig))
    if not posts:
        horns.alone, horns.felts, horns.parts = [(0, 0, 0)], [0], [Part(0, 0, 0, ())]
        return horns
    parts = every_part(horns)
    if parts is None:
        horns.alone = sorted(of_the_ladder(horns))
        horns.some = frozenset(code for _, code, _ in horns.alone)
        horns.parts = [Part(0, 0, 0, (0,) * len(rack.kinds))]
    else:
        horns.alone = sorted((felt, code, mass) for felt, code, mass, _ in felt_alone(horns, 0))
        horns.parts = sorted(parts)
    horns.felts = [felt for felt, _, _ in horns.alone]
    return horns


def every_part(horns: Horns) -> Sequence[Part] | None:
    """Every filling of all horns but the first together; None if with those of the first they are too many."""
    alone = fillings(horns.rack, horns.rig, 0)
    parts: Sequence[Part] | None = [Part(0, 0, 0, (0,) * len(horns.rack.kinds))]
    for number in range(1, len(horns.posts)):
        if alone is None or parts is None:
            return None
        parts = joined(horns, number, parts, MOST_TOGETHER // max(1, len(alone)))
    return None if alone is None else parts


def felt_alone(horns: Horns, number: int) -> Iterator[tuple[int, Code, int, tuple[int, ...]]]:
    """Every filling of one horn: felt load [felt units], code, mass [grains], and the plates used."""
    rig, units, post = horns.rig, horns.reading.units, horns.posts[number]
    turn = units[len(horns.posts) + rig.along.index(number)] if number in rig.along else 0
    for code, carried in fillings(horns.rack, rig, number) or ():
        felt = units[number] * carried.mass + turn * carried.moment
        yield (
            felt,
            code,
            carried.mass,
            tuple(post.horn.sides * count for count in post.counts(code)) if number else (),
        )


def joined(horns: Horns, number: int, parts: Sequence[Part], most: int) -> Sequence[Part] | None:
    """These parts with every filling of one more horn that they leave plates and arm for; None if too many."""
    rig, owned = horns.rig, horns.rack.owned
    if fillings(horns.rack, rig, number) is None:
        return None
    found, more = [], list(felt_alone(horns, number))
    for part in parts:
        for felt, code, mass, plates in more:
            on_arm = part.on_arm + rig.on_arm[number] * mass
            used = tuple(map(add, part.used, plates))
            if on_arm <= rig.arm_cap and all(map(le, used, owned)):
                found.append(Part(part.felt + felt, part.code | code, on_arm, used))
        if len(found) > most:
            return None
    return found


def of_the_ladder(horns: Horns) -> Iterator[tuple[int, Code, int]]:
    """The best build of all that the ladder knows: felt load [felt units], code, and 0 for nothing to check."""
    for carried, code in best_builds(horns.rack, horns.rig):
        yield sum(map(mul, horns.reading.units, carried)), code, 0


@lru_cache(maxsize=8)
def best_builds(rack: Rack, rig: Rig) -> Sequence[tuple[Ints, Code]]:
    """All that the ladders of a rig know, as what its posts carry, each with its best build."""
    posts = [rack.posts[horn.name] for horn in rig.horns]
    stacked = stackings(rig, Inventory(dict(zip(rack.kinds, rack.owned, strict=True))))
    found = []
    for carried, orders in zip(stacked.carried, stacked.orders, strict=True):
        code = 0
        for number, post in enumerate(posts):
            for kind, count in stacked.search.layout.hung(orders[0], number):
                code |= post.fields[kind].code(count)
        found.append((carried, code))
    return tuple(found)


@dataclass(eq=False, slots=True)
class Stage:
    """A run of equal wishes that are done with one loading, for whatever is changed between them is for nothing.

    sets: how many they are.
    held: what hangs on the horns before the session, where only some builds are looked at and it is none of them;
          else 0.
    """

    wish: Wish
    sets: int
    horns: Horns
    held: Code = 0
    _prices: dict[int, int] = field(default_factory=dict)

    @property
    def mask(self) -> Code:
        """All bits of the station's horns."""
        return self.horns.mask

    def is_like(self, other: Stage) -> bool:
        """Whether another stage asks for the same of the same horns."""
        alike = self.horns is other.horns and self.sets == other.sets and self.held == other.held
        return alike and self.wish == other.wish

    def price(self, code: Code) -> int | None:
        """What this filling of the station's horns costs for missing the load [ms]; None if a limit forbids it."""
        grams = self.horns.grams(code)
        return None if grams is None else self._priced(grams)

    def _priced(self, grams: int) -> int:
        """What a felt load costs at all its sets, each worked out once. [g] → [ms]"""
        if grams not in self._prices:
            self._prices[grams] = self.sets * self.wish.price_ms(grams)
        return self._prices[grams]

    def candidates(self) -> Mapping[Code, int]:
        """The price of every filling within the tolerance, or of all that lie nearest to it if there is none. [ms]

        Raises: LimitExceeded if a limit forbids every filling, the empty one included.
        """
        wish = self.wish
        key = (self.sets, wish.wanted_kg, wish.tolerance_kg, wish.over_kg, wish.near_kg, wish.price_s, wish.way)
        known = self.horns.priced.get(key)
        if known is None:
            if len(self.horns.priced) >= PRICED_KEPT:
                self.horns.priced.clear()
            known = self.horns.priced[key] = self._found()
        return self._with_held(known) if self.held else known

    def _with_held(self, found: Mapping[Code, int]) -> Mapping[Code, int]:
        """These prices and that of what hangs there, if that is as near; of it alone if it is nearer."""
        grams = self.horns.grams(self.held)
        if grams is None:
            return found
        nearest = min(self.wish.beyond_grams(self.horns.grams(code) or 0) for code in found)
        mine = {self.held: self._priced(grams)}
        beyond = self.wish.beyond_grams(grams)
        return mine if beyond < nearest else {**found, **mine} if beyond == nearest else found

    def _found(self) -> dict[Code, int]:
        least, most = self.wish.least_grams, self.wish.most_grams
        step = max(100, (most - least) // 2)
        found = self.horns.between(least, most)
        while not found:
            if self.horns.reaches(least, most):
                raise self.horns.any_breach()
            least, most, step = least - step, most + step, 2 * step
            found = self.horns.between(least, most)
        if least < self.wish.least_grams:
            nearest = min(self.wish.beyond_grams(grams) for _, grams in found)
            found = [(code, grams) for code, grams in found if self.wish.beyond_grams(grams) == nearest]
        return {code: self._priced(grams) for code, grams in found}


def rigs_of(machine: Machine, wishes: Sequence[Wish], loaded: Sequence[str]) -> dict[tuple[str, ...], Rig]:
    """The rigs that the wishes use, by the names of their horns, and one for every other horn that is loaded.

    Raises: UnknownName for a horn that the machine lacks.
    """
    found: dict[tuple[str, ...], Rig] = {}
    for law in {id(wish.law): wish.law for wish in wishes}.values():
        rig = rig_of(machine, law)
        names = tuple(horn.name for horn in rig.horns)
        along = {*rig.along, *(found[names].along if names in found else ())}
        found[names] = replace(rig, along=tuple(sorted(along)))
    known = set(chain.from_iterable(found))
    for name in loaded:
        if name not in machine.horns:
            raise UnknownName("horn", name, machine.horns)
        if name not in known:
            horn = machine.horns[name]
            found[(name,)] = Rig(None, (horn,), (UNLIMITED,), (UNLIMITED,), (1,), UNLIMITED, ())
    return found


def stages_of(
    wishes: Sequence[Wish], rack: Rack, rigs: Mapping[tuple[str, ...], Rig], *, held: Code = 0
) -> list[Stage]:
    """The wishes in their order, equal neighbours joined. held: what hangs on the horns before them.

    The last of a run stays by itself where the next set on its horns only strips or only adds: it may then pay to
    change plates one set early.
    """
    known: dict[int, Horns] = {}
    found: list[Stage] = []
    following: dict[tuple[str, ...], Wish] = {}
    for wish, run in groupby(reversed(wishes)):
        names = tuple(share.horn.name for share in wish.law.shares)
        if id(wish.law) not in known:
            known[id(wish.law)] = horns_of(wish.law, rack, rigs[names])
        horns = known[id(wish.law)]
        mine = held & horns.mask
        odd = mine if horns.some is not None and mine not in horns.some else 0
        sets, then = len(list(run)), following.get(names)
        if sets > 1 and then is not None and narrows(then, wish):
            found.append(Stage(wish, 1, horns, odd))
            sets -= 1
        found.append(Stage(wish, sets, horns, odd))
        following[names] = wish
    return found[::-1]


def narrows(then: Wish, wish: Wish) -> bool:
    """Whether the set that follows leaves less freedom, so that it may pay to change plates one set early."""
    return then.way is not Way.FREE and (then.way, then.haste) != (wish.way, wish.haste)
