"""Lifts, and what one says of another: how alike their maxima are, and how much of one's fatigue another feels.

A lift is an exercise on a station; its maximum is a felt load there. Before anything was seen, the logarithms of
all
maxima of one person are jointly normal: a part that all share (size, sex, years), a part that goes with the
muscles two lifts share, and a part of its own (what a station's felt load hides, and a knack for it).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

COMMON_SHARE = 0.60
"""Correlation of two lifts that share no muscle. Pull-up and bench press correlate at 0.81 among rugby players
(Baker and Newton 2004, J Strength Cond Res 18:594), pull-up and pulldown at 0.78 in men, 0.44 in women (Johnson
2009, doi 10.1519/JSC.0b013e3181a2d7f5); with a station's own part of 0.2 that makes about so much (derived,
judged)."""
ALIKE_SHARE = 0.15
"""What is added for lifts that work the very same muscles (judged, as above); the rest of 1 is a lift's own."""
CARRIED = 0.3
"""Share of a lift's fatigue felt by another whose direct muscles it works fully: 0.3 ± 0.2, a guess. The order of
exercises costs a third of the reps in one study (doi 10.1080/15438627.2013.825794), nothing in another (Senna
2009)."""
CARRIED_ANYWAY = 0.05
"""The same for lifts that share no muscle (a guess)."""
CARRIED_SD = 0.7
"""Standard deviation of what is carried over, as a share of it."""


@dataclass(frozen=True, slots=True)
class Lift:
    """One exercise on one station, as strength knows it.

    name:     any word that tells it from others.
    log_max:  mean of the logarithm of the fresh maximum before anything was seen; the maximum in kg felt load.
    sd_log:   standard deviation of that logarithm.
    reps_scale: the load-repetition curve's scale on this lift for the typical person; 30 is Epley's.
    muscles:  how much a set works each muscle: 1 directly, 0.5 indirectly.
    """

    name: str
    log_max: float
    sd_log: float
    reps_scale: float
    muscles: Mapping[str, float] = field(default_factory=dict)


def likeness(one: Lift, other: Lift) -> float:
    """Cosine between what two lifts work, 0 to 1; lifts of which no muscles are known are half alike.

    >>> row = Lift("row", 4.0, 0.4, 30.0, {"lats": 1.0, "elbow_flexors": 0.5})
    >>> curl = Lift("curl", 3.0, 0.4, 30.0, {"elbow_flexors": 1.0})
    >>> round(likeness(row, curl), 3)
    0.447
    """
    if not one.muscles or not other.muscles:
        return 0.5
    shared = math.fsum(work * other.muscles.get(muscle, 0.0) for muscle, work in one.muscles.items())
    return shared / (math.hypot(*one.muscles.values()) * math.hypot(*other.muscles.values()))


def covariance(one: Lift, other: Lift) -> float:
    """Covariance of the logarithms of two lifts' maxima before anything was seen."""
    return one.sd_log * other.sd_log * (COMMON_SHARE + ALIKE_SHARE * likeness(one, other))


def carried(to: Lift, source: Lift) -> float:
    """Share of the fatigue of another lift that one feels.

    >>> curl = Lift("curl", 3.0, 0.4, 30.0, {"elbow_flexors": 1.0})
    >>> row = Lift("row", 4.0, 0.4, 30.0, {"lats": 1.0, "elbow_flexors": 0.5})
    >>> round(carried(curl, row), 3)
    0.175
    """
    direct = [muscle for muscle, work in to.muscles.items() if work >= 1.0]
    if not direct:
        return CARRIED_ANYWAY
    worked = math.fsum(min(1.0, source.muscles.get(muscle, 0.0)) for muscle in direct) / len(direct)
    return CARRIED_ANYWAY + (CARRIED - CARRIED_ANYWAY) * worked


@dataclass(frozen=True, slots=True)
class Lifts:
    """All lifts that are believed in together. carry: share of each one's fatigue (column) that each feels
    (row)."""

    each: tuple[Lift, ...]
    place: Mapping[str, int]
    carry: tuple[tuple[float, ...], ...]


def together(lifts: Sequence[Lift]) -> Lifts:
    """Lifts with what they carry over to one another, their own fatigue in full."""
    carry = tuple(tuple(1.0 if one is other else carried(one, other) for other in lifts) for one in lifts)
    return Lifts(tuple(lifts), {lift.name: place for place, lift in enumerate(lifts)}, carry)
