"""Stacks whose order is decided no sooner than it must be.

A chain is a stack cut into blocks: the filling of its innermost block, then of its two innermost blocks, and so
on; within a block the order is still open. Plates put on together make one block. What stays when plates come off
is a whole number of blocks and any part of the next, so every real order of plates is a chain, and no two chains
need be followed where one would do.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import reduce
from itertools import product
from operator import or_

from steelyard.plates.fillings import Code, Post, Rack, Weights

Chain = tuple[Code, ...]
"""Fillings of one horn, each containing the one before; empty for an empty horn."""


def parts(posts: Sequence[Post], inner: Code, outer: Code) -> Iterator[Code]:
    """Every filling of these horns that contains the inner one and is contained in the outer one."""
    spare = outer & ~inner
    choices = []
    for post in posts:
        for field in post.fields:
            left = spare & field.mask
            if left:
                choices.append(_prefixes(left))
    return (reduce(or_, taken, inner) for taken in product(*choices))


def _prefixes(bits: Code) -> list[Code]:
    """Nothing, the lowest of some neighbouring bits, the two lowest, and so on."""
    found, taken = [0], 0
    while bits:
        low = bits & -bits
        taken |= low
        bits ^= low
        found.append(taken)
    return found


def keeps(post: Post, chain: Chain, target: Code, weights: Weights) -> list[tuple[int, Chain]]:
    """What of a stack may stay under a target filling: the chain that stays, and what is lost on the best. [ms]

    Least lost first. Taking more off than must be can pay: it brings a plate outside that is wanted off next.
    """
    best = weights[end(chain) & target]
    found: dict[Code, Chain] = {0: ()}
    inner: Code = 0
    for number, block in enumerate(chain):
        for kept in parts((post,), inner, block & target):
            if kept not in found:
                found[kept] = (*chain[:number], kept)
        if block & ~target:
            break
        inner = block
    return sorted((best - weights[kept], way) for kept, way in found.items())


def with_more(chain: Chain, target: Code) -> Chain:
    """A chain that stays, and what the target has beyond it as one more block."""
    return chain if end(chain) == target else (*chain, target)


def end(chain: Chain) -> Code:
    """All that a stack holds."""
    return chain[-1] if chain else 0


def common_start(one: Chain, other: Chain) -> Chain:
    """The inner blocks that two chains share."""
    count = 0
    for mine, its in zip(one, other, strict=False):
        if mine != its:
            break
        count += 1
    return one[:count]


def in_order(rack: Rack, post: Post, code: Code) -> Chain:
    """A filling plate by plate, heaviest innermost."""
    return rack.chain(post, rack.plates(post, code))


def contains(finer: Sequence[Chain], coarser: Sequence[Chain]) -> bool:
    """Whether every block boundary of the coarser chains is one of the finer ones, horn by horn."""
    return all(block in its for mine, its in zip(coarser, finer, strict=True) for block in mine)
