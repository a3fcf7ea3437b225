"""What hangs on every horn as one whole number, so that comparing two loadings is one operation on numbers.

A filling says how many plates of each kind hang on a horn, in no order. It is written with as many bits as there
could be plates: so many low bits of a kind's field are set as plates of that kind hang there. Then ``a & b`` is
what two fillings have in common, ``a & ~b`` what one has beyond the other, and a union is ``a | b``.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

from steelyard.errors import UnknownName
from steelyard.machine.model import Horn
from steelyard.plates.grain import EMPTY, Carried, grains, microns
from steelyard.plates.handling import Handling
from steelyard.plates.limits import Rig
from steelyard.plates.loading import check_owned
from steelyard.plates.model import Inventory, Loading, Plate, Stack
from steelyard.plates.search import most_on

Code = int
"""Fillings of any horns, in the bits that a `Rack` gives them."""
MOST_FILLINGS = 6000
"""Fillings of a horn that are all looked at; there are more only in a well stocked house."""


@dataclass(frozen=True, slots=True)
class Field:
    """The bits of one kind of plate on one horn. most: so many plates could hang there. mask: all its bits."""

    kind: int
    first: int
    most: int
    mask: Code = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Work out the mask."""
        object.__setattr__(self, "mask", self.code(self.most))

    def code(self, count: int) -> Code:
        """So many plates of the kind, at most as many as there are bits."""
        return ((1 << count) - 1) << self.first


@dataclass(frozen=True, slots=True)
class Post:
    """A horn and its bits.

    fields: one a kind of plate, heaviest first. mask: all of them.
    along:  a plate counts by its place here, so that plates always hang heaviest innermost.
    """

    horn: Horn
    fields: tuple[Field, ...]
    mask: Code
    along: bool

    def counts(self, code: Code) -> tuple[int, ...]:
        """Plates of each kind in a filling."""
        return tuple((code & each.mask).bit_count() for each in self.fields)


class Weights(dict[Code, int]):
    """What the plates of a code weigh, in whatever is summed plate by plate, each code reckoned once."""

    __slots__ = ("_bits",)

    def __init__(self, bits: Sequence[int]) -> None:
        """bits: what one plate counts, bit by bit."""
        super().__init__()
        self._bits = bits

    def __missing__(self, code: Code) -> int:
        found, rest = 0, code
        while rest:
            low = rest & -rest
            found += self._bits[low.bit_length() - 1]
            rest ^= low
        self[code] = found
        return found


@dataclass(frozen=True, slots=True, eq=False)
class Rack:
    """The plates of the house and the horns that they can hang on. The same is made once; see `rack_of`.

    kinds: heaviest first, as on a stack where order does not matter. owned: plates of each.
    weights: handling time of the plates of a code, every side counted. [ms]
    masses: their mass on one post. [grains]
    scarce: of each kind of which more could hang than there are: its bits on horns of so many sides, and how many
            plates there are.
    """

    kinds: tuple[Plate, ...]
    owned: tuple[int, ...]
    posts: Mapping[str, Post]
    weights: Weights = field(repr=False, compare=False)
    masses: Weights = field(repr=False, compare=False)
    scarce: tuple[tuple[tuple[tuple[int, Code], ...], int], ...] = field(repr=False)

    def code(self, loading: Loading) -> Code:
        """What hangs on the horns, whatever its order. Raises: UnknownName for a horn that is not known."""
        return sum(self.chain(self.post(name), stack)[-1] for name, stack in loading.items() if stack)

    def post(self, name: str) -> Post:
        """The horn of this name. Raises: UnknownName."""
        if name not in self.posts:
            raise UnknownName("horn", name, self.posts)
        return self.posts[name]

    def chain(self, post: Post, stack: Stack) -> tuple[Code, ...]:
        """The filling of a horn plate by plate, innermost first: one code a plate, each containing the last."""
        counts = dict.fromkeys(self.kinds, 0)
        places = dict(zip(self.kinds, post.fields, strict=True))
        found, code = [], 0
        for plate in stack:
            counts[plate] += 1
            code |= places[plate].code(counts[plate])
            found.append(code)
        return tuple(found)

    def plates(self, post: Post, code: Code) -> Stack:
        """The plates of a code on a horn, heaviest first."""
        return tuple(
            plate
            for plate, each in zip(self.kinds, post.fields, strict=True)
            for _ in range((code & each.mask).bit_count())
        )

    def is_owned(self, code: Code) -> bool:
        """Whether there are plates enough for it."""
        for bits, owned in self.scarce:
            used = 0
            for sides, mask in bits:
                used += sides * (code & mask).bit_count()
            if used > owned:
                return False
        return True


def rack_of(rigs: Sequence[Rig], inventory: Inventory, handling: Handling, on_horns: Loading) -> Rack:
    """The rack for these rigs. Every plate that now hangs on one of their horns has a bit, whatever its limits.

    Raises: UnknownName if a plate hangs on a horn of no rig; LimitExceeded if more hang there than are owned.
    """
    horns = {horn.name: (rig, number) for rig in rigs for number, horn in enumerate(rig.horns)}
    for name, stack in on_horns.items():
        if stack and name not in horns:
            raise UnknownName("horn", name, horns)
    check_owned(on_horns, {name: rig.horns[number].sides for name, (rig, number) in horns.items()}, inventory)
    owned = sorted(
        ((plate, count) for plate, count in inventory.counts.items() if count > 0),
        key=lambda kind: (-grains(kind[0].mass), kind[0].name),
    )
    most = tuple(
        tuple(
            max(most_on(rig, number, plate, count), on_horns.get(name, ()).count(plate)) for plate, count in owned
        )
        for name, (rig, number) in horns.items()
    )
    along = tuple(number in rig.along for rig, number in horns.values())
    return _rack(tuple(rig.horns[number] for rig, number in horns.values()), along, tuple(owned), handling, most)


@lru_cache(maxsize=32)
def _rack(
    horns: tuple[Horn, ...],
    along: tuple[bool, ...],
    owned: tuple[tuple[Plate, int], ...],
    handling: Handling,
    most: tuple[tuple[int, ...], ...],
) -> Rack:
    """The rack with so many bits for each kind of plate, horn by horn. Set after set asks for the same one."""
    posts: dict[str, Post] = {}
    bits: list[int] = []
    masses: list[int] = []
    for horn, is_along, counts in zip(horns, along, most, strict=True):
        fields = []
        for kind, ((plate, _), count) in enumerate(zip(owned, counts, strict=True)):
            fields.append(Field(kind, len(bits), count))
            bits.extend([horn.sides * handling.plate_ms(plate)] * count)
            masses.extend([grains(plate.mass)] * count)
        posts[horn.name] = Post(horn, tuple(fields), sum(each.mask for each in fields), is_along)
    kinds = tuple(plate for plate, _ in owned)
    there = tuple(count for _, count in owned)
    scarce = tuple(_scarce(list(posts.values()), there))
    return Rack(kinds, there, posts, Weights(bits), Weights(masses), scarce)


def _scarce(posts: Sequence[Post], owned: Sequence[int]) -> Iterator[tuple[tuple[tuple[int, Code], ...], int]]:
    """Of each kind of which more could hang than there are, its bits by the sides of the horns."""
    for kind, count in enumerate(owned):
        bits: dict[int, Code] = {}
        for post in posts:
            bits[post.horn.sides] = bits.get(post.horn.sides, 0) | post.fields[kind].mask
        if sum(sides * mask.bit_count() for sides, mask in bits.items()) > count:
            yield tuple(bits.items()), count


def fillings(rack: Rack, rig: Rig, number: int) -> tuple[tuple[Code, Carried], ...] | None:
    """Every filling that one horn of a rig may carry by itself, plates heaviest innermost; None if too many."""
    post = rack.posts[rig.horns[number].name]
    return fillings_within(rack.kinds, post.fields, rig.rooms[number], rig.caps[number])


@lru_cache(maxsize=64)
def fillings_within(
    kinds: tuple[Plate, ...], fields: tuple[Field, ...], room: int, cap: int
) -> tuple[tuple[Code, Carried], ...] | None:
    """Every filling of these fields that takes no more room [microns] and weighs no more than that [grains].

    None if they are more than `MOST_FILLINGS`.
    """
    found = [(0, EMPTY)] if room >= 0 else []
    for plate, each in zip(kinds, fields, strict=True):
        mass, length = grains(plate.mass), microns(plate.thickness_m)
        more = [(each.code(count), count) for count in range(1, each.most + 1)]
        grown = found.copy()
        for code, carried in found:
            for bits, count in more:
                new = carried.plus(mass, length, count)
                if new.length > room or new.mass > cap:
                    break
                grown.append((code | bits, new))
            if len(grown) > MOST_FILLINGS:
                return None
        found = grown
    return tuple(found)


def carried_of(rack: Rack, post: Post, code: Code) -> Carried:
    """What a horn carries of a filling, plates heaviest innermost."""
    carried = EMPTY
    for plate, count in zip(rack.kinds, post.counts(code), strict=True):
        if count:
            carried = carried.plus(grains(plate.mass), microns(plate.thickness_m), count)
    return carried
