"""How many reps a load allows: the load-repetition curve that everything is predicted with.

Loads and capacities are shares of the curve's maximum, the load at which no rep is left. Solved for the load it is
Epley's equation: 1RM = load (1 + n/30). Since n is counted down to whole reps, a load at which n reaches 1, a
single, lies 1/31 below that maximum.

Source: Epley 1985 for the form and the 30. That whole sets are half a rep short of n on average is arithmetic.
"""

from __future__ import annotations

import math

from steelyard.errors import OutOfRange

REPS_SCALE = 30.0
"""Reps lost for each rise of the load by one capacity: Epley's 30."""
HALF_REP = 0.5
"""Mean of what counting down to whole reps leaves out."""


def reps_to_failure(load_share: float, *, capacity: float = 1.0) -> float:
    """Reps to failure as a continuous figure; whole reps are its floor, and half a rep less on average.

    load_share: load as a share of the fresh maximum, above 0.
    capacity:   what is left of that maximum, above 0; 1 when fresh.

    Below 0 if the load is more than the capacity.

    Raises: OutOfRange if a share is not above 0.

    >>> round(reps_to_failure(0.75), 6)
    10.0
    """
    _check_share("load share", load_share)
    _check_share("capacity", capacity)
    return REPS_SCALE * (capacity / load_share - 1.0)


def load_share_for(reps: float, *, capacity: float = 1.0) -> float:
    """Load that gives so many counted reps on average, as a share of the fresh maximum.

    reps:     counted reps to failure, 0 or more.
    capacity: what is left of the fresh maximum, above 0.

    Raises: OutOfRange.

    >>> round(load_share_for(10), 4)
    0.7407
    """
    _check_reps(reps)
    _check_share("capacity", capacity)
    return REPS_SCALE * capacity / (REPS_SCALE + reps + HALF_REP)


def maximum_for(load_kg: float, reps: float, *, capacity: float = 1.0) -> float:
    """The fresh maximum of someone who failed after so many counted reps: the curve read backwards. [kg]

    load_kg:  load moved. [kg]
    reps:     counted reps to failure, 0 or more.
    capacity: what was left of the fresh maximum before the set, above 0.

    Raises: OutOfRange.

    >>> round(maximum_for(74.07, 10), 1)
    100.0
    """
    return load_kg / load_share_for(reps, capacity=capacity)


def _check_share(name: str, share: float) -> None:
    if not (math.isfinite(share) and share > 0):
        raise OutOfRange(name, share, "above 0, as a share of the fresh maximum")


def _check_reps(reps: float) -> None:
    if not (math.isfinite(reps) and reps >= 0):
        raise OutOfRange("reps", reps, "0 or more")
