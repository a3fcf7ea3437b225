"""Which sessions are lived through in turn: several lifters on one machine, set by set."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import chain


def in_turn(joins: Iterable[tuple[str, ...]], lifters: Mapping[str, str]) -> dict[str, tuple[str, ...]]:
    """For each session that has company: all sessions of its turn, itself included, in the order they were named.

    joins:   sessions that were named together, in the order of time; what shares a session belongs together.
    lifters: whose each known session is, in the order in which they began. Others are left out, and of a lifter's
             own sessions all but the latest begun.

    >>> in_turn([("a", "b"), ("b", "c"), ("d", "e")], {"a": "ida", "c": "bo", "d": "tove"})
    {'a': ('a', 'c'), 'c': ('a', 'c')}
    """
    together: dict[str, tuple[str, ...]] = {}
    for named in joins:
        widest = tuple(dict.fromkeys(chain.from_iterable(together.get(one, (one,)) for one in named)))
        together.update(dict.fromkeys(widest, widest))
    found: dict[str, tuple[str, ...]] = {}
    began = {session: place for place, session in enumerate(lifters) if session in together}
    for group in dict.fromkeys(together.values()):
        known = sorted((session for session in group if session in began), key=began.__getitem__)
        latest = {lifters[session]: session for session in known}
        kept = tuple(session for session in group if session in latest.values())
        if len(kept) > 1:
            found.update(dict.fromkeys(kept, kept))
    return found
