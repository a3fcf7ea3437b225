"""From a course back to real stacks: a block's plates in the order in which they will leave it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise

from steelyard.plates.course import Trail
from steelyard.plates.fillings import Code, Post, Rack
from steelyard.plates.model import Plate, Stack
from steelyard.plates.nesting import Chain, common_start, end

Leaving = dict[Code, int]
"""When each plate of a block comes off, by its bit: the stage before which it does, or `STAYS`."""
STAYS = 10**9
"""Comes off at no stage of the session."""


def stacks(rack: Rack, trail: Trail) -> list[dict[str, Stack]]:
    """What hangs on every horn at the beginning and then at each stage of a course, innermost first."""
    steps = list(_back(trail))[::-1]
    found: list[dict[str, Stack]] = [{} for _ in steps]
    for number, (name, post) in enumerate(rack.posts.items()):
        chains = [step.chains[number] for step in steps]
        for step, stack in zip(found, _stacks_of(rack, post, chains), strict=True):
            if stack:
                step[name] = stack
    return found


def _back(trail: Trail | None) -> Iterator[Trail]:
    while trail is not None:
        yield trail
        trail = trail.before


def _stacks_of(rack: Rack, post: Post, chains: Sequence[Chain]) -> Iterator[Stack]:
    """One horn's stacks, stage by stage. The first chain is a real stack, plate by plate."""
    blocks: list[Leaving] = [
        _block(mine & ~inner) for inner, mine in zip((0, *chains[0]), chains[0], strict=False)
    ]
    held = [[(block, tuple(block)) for block in blocks]]
    for stage, (before, after) in enumerate(pairwise(chains), start=1):
        kept = stays(before, after)
        for block in blocks:
            for bit in block:
                if not bit & kept and block[bit] == STAYS:
                    block[bit] = stage
        here = [(block, tuple(bit for bit in bits if bit & kept)) for block, bits in held[-1]]
        added = _block(end(after) & ~kept)
        blocks = [block for block, bits in here if bits] + [added]
        held.append([(block, bits) for block, bits in here if bits] + [(added, tuple(added))])
    plates = plates_of(rack, post)
    for each in held:
        yield tuple(
            plates[bit] for block, bits in each for bit in sorted(bits, key=lambda bit: (-block[bit], bit))
        )


def _block(code: Code) -> Leaving:
    """A block of plates none of which has left yet."""
    found = {}
    while code:
        found[code & -code] = STAYS
        code &= code - 1
    return found


def stays(before: Chain, after: Chain) -> Code:
    """The plates of a stack that stay on the horn when it becomes another one."""
    common = common_start(before, after)
    count = len(common)
    if len(before) > count and len(after) > count and after[count] & ~before[count] == 0:
        return after[count]
    return end(common)


def plates_of(rack: Rack, post: Post) -> Mapping[Code, Plate]:
    """The plate that each bit of a horn stands for."""
    return {
        1 << (field.first + number): plate
        for plate, field in zip(rack.kinds, post.fields, strict=True)
        for number in range(field.most)
    }
