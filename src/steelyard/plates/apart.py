"""Rigs that need not take plates from one another: each has its cheapest course by itself."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence

from steelyard.plates.course import Course, Trail
from steelyard.plates.fillings import Code, Rack
from steelyard.plates.nest import Nest, finished
from steelyard.plates.nesting import Chain, end
from steelyard.plates.stages import Stage
from steelyard.plates.ways import Chains

MOST_RUNS = 1_500_000
"""Runs that are worked out for one horn at most; some seconds of work."""


def apart(rack: Rack, stages: Sequence[Stage], start: Chains) -> tuple[Course | None, int]:
    """The cheapest course if every station has one horn at most and there are plates enough for all; else None.

    With it comes what any course costs at least, for taking plates from one another makes none cheaper. [ms]

    Raises: NoLoading if no part of a stack that must be stripped is allowed at its station.
    """
    numbers: defaultdict[Code, list[int]] = defaultdict(list)
    for number, stage in enumerate(stages):
        numbers[stage.mask].append(number)
    held = dict(zip(rack.posts, start, strict=True))
    chains: dict[int, Chain] = {}
    cost = 0
    for its in numbers.values():
        found = _alone(rack, [stages[number] for number in its], held)
        if found is not None:
            cost += found[0]
            chains.update(zip(its, found[1], strict=True))
    trail = _joined(rack, stages, start, chains) if len(chains) == len(stages) else None
    return None if trail is None else Course(trail._replace(bound=cost, spent=cost), cost, cost), cost


def _alone(rack: Rack, stages: Sequence[Stage], held: Mapping[str, Chain]) -> tuple[int, list[Chain]] | None:
    """What the cheapest course of one rig by itself costs [ms], and its stacks; None if it has several horns."""
    posts = stages[0].horns.posts
    if not posts:
        return sum(min(stage.candidates().values()) for stage in stages), [()] * len(stages)
    if len(posts) > 1 or any(stage.horns.rising for stage in stages):
        return None
    nest = Nest(rack, posts[0], stages, held[posts[0].horn.name])
    if nest.size > MOST_RUNS:
        return None
    return finished(rack, posts[0].horn.name).filled(nest).cheapest()


def _joined(rack: Rack, stages: Sequence[Stage], start: Chains, chains: Mapping[int, Chain]) -> Trail | None:
    """The courses of all rigs in one; None if they need plates that another rig holds."""
    held = dict(zip(rack.posts, start, strict=True))
    trail = Trail(0, 0, sum(map(end, start)), start, None)
    for number, stage in enumerate(stages):
        for post in stage.horns.posts:
            held[post.horn.name] = chains[number]
        code = sum(map(end, held.values()))
        if not rack.is_owned(code):
            return None
        trail = Trail(0, 0, code, tuple(held.values()), trail)
    return trail
