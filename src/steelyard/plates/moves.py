"""From one loading to the next: which plates come off and go on, in the order in which hands can do it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import groupby

from steelyard.errors import OutOfRange, UnknownName
from steelyard.machine.model import Horn
from steelyard.plates.model import Loading, Move, Stack

SECONDS_PER_PLATE = 6.0
"""Taking one plate off a post or putting one on. A guess to start with: no published figure was found, and a
stopwatch tells it better. [s]"""


def moves(before: Loading, after: Loading, horns: Mapping[str, Horn]) -> tuple[Move, ...]:
    """The moves from one loading to another: what is common and innermost stays.

    All horns are stripped first, outermost plate first, so that a plate is free before another horn needs it; then
    they are filled, innermost plate first. Horn by horn in the order given.

    Raises: UnknownName if a loading names a horn that is not given.
    """
    for name in (*before, *after):
        if name not in horns:
            raise UnknownName("horn", name, horns)
    off: list[Move] = []
    on: list[Move] = []
    for name, horn in horns.items():
        old, new = before.get(name, ()), after.get(name, ())
        kept = common(old, new)
        off.extend(Move(False, plate, name, horn.sides) for plate in reversed(old[kept:]))
        on.extend(Move(True, plate, name, horn.sides) for plate in new[kept:])
    return (*off, *on)


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


def move_seconds(moves: Sequence[Move]) -> float:
    """How long moves take, one pair of hands, every side counted. [s]"""
    return SECONDS_PER_PLATE * sum(move.sides for move in moves)


def fewest_moves(before: Loading, builds: Sequence[Loading], horns: Mapping[str, Horn]) -> Loading:
    """The build that takes the fewest plates in hand, every side counted; the earliest of equals.

    Raises: OutOfRange if there is no build; UnknownName if a loading names a horn that is not given.
    """
    if not builds:
        raise OutOfRange("number of builds", 0, "1 or more")
    return min(builds, key=lambda build: sum(move.sides for move in moves(before, build, horns)))


def words(moves: Sequence[Move]) -> str:
    """Moves as a lifter reads them; horns are named if there are several.

    >>> from steelyard.plates.model import Plate
    >>> from steelyard.units import parse_mass
    >>> five, ten = (Plate(name, parse_mass(name), 0.02) for name in ("5 kg", "10 kg"))
    >>> words([Move(False, five, "tip", 2), Move(True, ten, "tip", 2), Move(True, five, "tip", 2)])
    'off: 5 kg; on: 10 kg, 5 kg; same on both sides'
    >>> words([])
    'nothing to change'
    """
    if not moves:
        return "nothing to change"
    several = len({move.horn for move in moves}) > 1
    alike = len({move.sides for move in moves}) == 1
    parts = []
    for (on, horn, sides), group in groupby(moves, key=lambda move: (move.on, move.horn, move.sides)):
        where = f" {horn}" if several else ""
        both = " (both sides)" if sides > 1 and not alike else ""
        parts.append(f"{'on' if on else 'off'}{where}{both}: {', '.join(move.plate.name for move in group)}")
    if alike and moves[0].sides > 1:
        parts.append("same on both sides")
    return "; ".join(parts)
