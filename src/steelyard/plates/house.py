"""What hangs in the house: every horn keeps its plates until they are needed elsewhere."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from steelyard.machine.model import Horn
from steelyard.plates.model import Inventory, Loading, Plate, Stack


def after_set(
    before: Loading, loading: Loading, own: Collection[str], horns: Mapping[str, Horn], inventory: Inventory
) -> Loading:
    """What hangs on all horns once a set was done with a loading.

    before:  what hung there.
    own:     the horns of the set's station; they carry its loading and nothing else.
    horns:   all of the machine.

    Other horns keep their plates. Where the set took plates that hung there, they came off the outside, first of
    the horn that is named first: nobody said which, so this is what the rules allow.
    """
    stacks = {name: stack for name, stack in before.items() if name not in own and stack}
    for plate, count in inventory.counts.items():
        for name in tuple(stacks):
            while hanging(plate, {**stacks, **loading}, horns) > count and plate in stacks[name]:
                stacks[name] = stacks[name][:-1]
    return {name: stack for name, stack in {**stacks, **loading}.items() if stack}


def hanging(plate: Plate, loading: Loading, horns: Mapping[str, Horn]) -> int:
    """How many plates of a kind hang on these horns, every side counted."""
    return sum(horns[name].sides * _count(stack, plate) for name, stack in loading.items())


def _count(stack: Stack, plate: Plate) -> int:
    return sum(1 for each in stack if each == plate)
