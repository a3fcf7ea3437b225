"""The rest that really comes before a set, where it is longer than the one the outline wants."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

STEP_S = 10.0
"""Rests are counted in whole steps, the rest of it left out: a plan of seconds is no promise of seconds. [s]"""
LONGEST_PAUSE_S = 600.0
"""More counts as so much: nineteen parts of twenty are back by then (the two pools of `strength.fatigue`). [s]"""


@dataclass(frozen=True, slots=True)
class Pause:
    """What others' turns put between a set and the same lifter's set before.

    seconds: how long that is. [s]
    others:  names of those who lift meanwhile.
    """

    seconds: float
    others: tuple[str, ...]


def pause(seconds: float, others: Sequence[str]) -> Pause:
    """A pause as it is counted. [s]

    >>> pause(187.0, ["Bo"]), pause(4000.0, ["Bo"]).seconds
    (Pause(seconds=180.0, others=('Bo',)), 600.0)
    """
    return Pause(min(round(seconds, 3) // STEP_S * STEP_S, LONGEST_PAUSE_S), tuple(others))


def at_it(others: Sequence[str]) -> str:
    """Who lifts meanwhile.

    >>> at_it(["Bo"]), at_it(["Bo", "Tove", "Ines"])
    ('Bo lifts', 'Bo, Tove and Ines lift')
    """
    *more, last = others
    return f"{', '.join(more)} and {last} lift" if more else f"{last} lifts"
