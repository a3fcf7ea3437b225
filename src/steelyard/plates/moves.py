"""From one loading to the next: which plates come off and go on, in the order in which hands can do it."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from itertools import chain

from steelyard.errors import OutOfRange, UnknownName
from steelyard.machine.model import Horn
from steelyard.plates.model import Loading, Move, Stack


def moves(
    before: Loading, after: Loading, horns: Mapping[str, Horn], *, lightening: Collection[str] = ()
) -> tuple[Move, ...]:
    """The moves from one loading to another: what is common and innermost stays.

    All horns are stripped first, outermost plate first, so that a plate is free before another horn needs it; then
    they are filled, innermost plate first. Horn by horn in the order given.

    lightening: horns whose plates lift the arm; they are stripped before the others and filled after them.

    Raises: UnknownName if a loading names a horn that is not given.
    """
    for name in (*before, *after):
        if name not in horns:
            raise UnknownName("horn", name, horns)
    off: list[list[Move]] = []
    on: list[list[Move]] = []
    for name, horn in sorted(horns.items(), key=lambda each: each[0] not in lightening):
        old, new = before.get(name, ()), after.get(name, ())
        kept = common(old, new)
        off.append([Move(False, plate, name, horn.sides) for plate in reversed(old[kept:])])
        on.append([Move(True, plate, name, horn.sides) for plate in new[kept:]])
    last = sum(name in lightening for name in horns)
    return tuple(chain(*off, *on[last:], *on[:last]))


def common(one: Stack, other: Stack) -> int:
    """How many plates two stacks share from the inside."""
    kept = 0
    for mine, its in zip(one, other, strict=False):
        if mine != its:
            break
        kept += 1
    return kept


def replay(before: Loading, moves: Sequence[Move]) -> Loading:
    """The loading that moves lead to; horns left empty are left out.

    Raises: OutOfRange if a plate to be taken off is not the outermost one of its horn.
    """
    stacks = {name: list(stack) for name, stack in before.items()}
    for move in moves:
        stack = stacks.setdefault(move.horn, [])
        if move.on:
            stack.append(move.plate)
        elif stack and stack[-1] == move.plate:
            stack.pop()
        else:
            met = stack[-1].name if stack else "missing"
            raise OutOfRange(f"outermost plate on horn {move.horn}", met, f"{move.plate.name}, to be taken off")
    return {name: tuple(stack) for name, stack in stacks.items() if stack}
