"""Sets of one exercise read in the order they were done, so that a tired set is not taken for a weak one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from steelyard.errors import OutOfRange
from steelyard.strength.estimate import estimate
from steelyard.strength.fatigue import Fatigue
from steelyard.strength.model import Estimate, Observation

ROUNDS = 3
"""The maximum depends on the capacities and they on it; each round shrinks the error about tenfold."""


def read_session(sets: Sequence[Observation], one_rm_kg: float) -> tuple[Observation, ...]:
    """The sets of one session, each with the capacity that was left before it.

    sets:      in the order they were done; a set without a rest before it starts fresh.
    one_rm_kg: the fresh maximum, or a guess at it, above 0. [kg]

    Raises: OutOfRange if the maximum is not above 0, or a rest is negative.

    >>> from steelyard.strength.model import Ended
    >>> first = Observation(75.0, 10, 0, Ended.FAILURE, days_ago=0.0)
    >>> second = Observation(75.0, 5, 0, Ended.FAILURE, days_ago=0.0, rest_s=60.0)
    >>> [round(each.capacity, 3) for each in read_session([first, second], 100.0)]
    [1.0, 0.874]
    """
    return _walk(sets, one_rm_kg)[0]


def fatigue_after(sets: Sequence[Observation], one_rm_kg: float) -> Fatigue:
    """What the sets of one session have taken when the last of them ends; takes and raises as `read_session`."""
    return _walk(sets, one_rm_kg)[1]


def estimate_sessions(sessions: Sequence[Sequence[Observation]]) -> Estimate | None:
    """Today's fresh maximum from whole sessions, each in the order it was done; None as `estimate`.

    Raises: OutOfRange if a rest is negative.
    """
    known = estimate([each for sets in sessions for each in sets])
    for _ in range(ROUNDS):
        if known is None:
            return None
        max_kg = known.one_rm_kg
        known = estimate([each for sets in sessions for each in read_session(sets, max_kg)])
    return known


def _walk(sets: Sequence[Observation], one_rm_kg: float) -> tuple[tuple[Observation, ...], Fatigue]:
    if not one_rm_kg > 0:
        raise OutOfRange("one-rep maximum", f"{one_rm_kg} kg", "above 0 kg")
    fatigue, found = Fatigue(), []
    for each in sets:
        fatigue = Fatigue() if each.rest_s is None else fatigue.after_rest(each.rest_s)
        found.append(replace(each, capacity=fatigue.capacity))
        fatigue = fatigue.after_set(max(0.0, each.felt_kg) / one_rm_kg, each.reps)
    return tuple(found), fatigue
