"""What a second horn does already: the steps that plates make by hanging nearer to the hinge."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from steelyard.machine.model import FeltLaw, Machine
from steelyard.plates.grain import grains
from steelyard.plates.limits import rig_of
from steelyard.plates.loading import Gap, felt_kg, ladder
from steelyard.plates.model import Inventory, Loading, Plate, Rung
from steelyard.plates.reach import carried
from steelyard.plates.search import search_of
from steelyard.plates.stackings import reading_of
from steelyard.plates.steps import Span, Steps, steps_within


@dataclass(frozen=True, slots=True)
class Shifted:
    """A step made by one plate, or a pair, on another horn.

    from_kg, to_kg: felt load with the plate on the main horn, and on the other. [kg]
    """

    plate: Plate
    main: str
    other: str
    from_kg: float
    to_kg: float


@dataclass(frozen=True, slots=True)
class Shift:
    """What the other horns of a station add to its main one, in the working range.

    alone, both: the steps with plates on the main horn only, and as they are.
    example:     how one of the loads between comes about; None where it takes more than one shifted plate.
    """

    law: FeltLaw
    main: str
    others: tuple[str, ...]
    alone: Steps
    both: Steps
    example: Shifted | None


def shift(machine: Machine, law: FeltLaw, inventory: Inventory, working_kg: Span) -> Shift | None:
    """What the further horns make of the plates there are; None if that is nothing, or there are none.

    The main horn is the one that alone reaches furthest; the range is cut to what it reaches. [kg]
    """
    if len(law.shares) < 2:
        return None
    names = [share.horn.name for share in law.shares]
    lone = dict(zip(names, lone_loads(machine, law, inventory), strict=True))
    main = max(names, key=lambda name: lone[name][-1:])
    low, high = max(working_kg[0], lone[main][0]), min(working_kg[1], lone[main][-1])
    if low >= high:
        return None
    rungs = tuple(rung for rung in ladder(machine, law, inventory) if rung.felt_kg > 0)
    alone = steps_within(lone[main], (low, high))
    both = steps_within(tuple(rung.felt_kg for rung in rungs), (low, high))
    if alone.largest.percent <= both.largest.percent:
        return None
    example = next(shifted(law, rungs, alone.largest, main), None)
    return Shift(law, main, tuple(name for name in names if name != main), alone, both, example)


def lone_loads(machine: Machine, law: FeltLaw, inventory: Inventory) -> list[tuple[float, ...]]:
    """For each horn of a station the loads with plates on no other, the empty one included. [kg]"""
    rig = rig_of(machine, law)
    reading, found = reading_of(law, rig), []
    for post in range(len(rig.horns)):
        rooms = tuple(room if other == post else min(0, room) for other, room in enumerate(rig.rooms))
        grams = map(reading.grams, carried(search_of(replace(rig, rooms=rooms), inventory)))
        found.append(tuple(felt / 1000 for felt in sorted({felt for felt in grams if felt})))
    return found


def shifted(law: FeltLaw, rungs: Sequence[Rung], gap: Gap, main: str) -> Iterator[Shifted]:
    """The loads inside a gap that come of one plate taken from the main horn to another, lightest first."""
    sides = {share.horn.name: share.horn.sides for share in law.shares}
    for rung in rungs:
        if gap.below_kg < rung.felt_kg < gap.above_kg:
            for build in rung.builds:
                for other, plate in _lone_plates(build, main):
                    back = _put_back(build, main, other, plate)
                    from_kg = felt_kg(law, back)
                    if sides[other] == sides[main] and from_kg in (gap.below_kg, gap.above_kg):
                        yield Shifted(plate, main, other, from_kg, rung.felt_kg)


def _lone_plates(build: Loading, main: str) -> Iterator[tuple[str, Plate]]:
    """The plates on other horns than the main one, if there is just one."""
    found = [(name, plate) for name, stack in build.items() if name != main for plate in stack]
    return iter(found if len(found) == 1 else ())


def _put_back(build: Loading, main: str, other: str, plate: Plate) -> Loading:
    """The same plates with this one on the main horn, the heaviest innermost."""
    stack = sorted((*build.get(main, ()), plate), key=lambda each: (-grains(each.mass), each.name))
    return {name: each for name, each in {**build, main: tuple(stack)}.items() if name != other}
