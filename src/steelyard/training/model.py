"""The nouns of training: exercises, outlines and prepared sessions."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from steelyard.plates.closeness import Closeness
from steelyard.plates.model import Loading, Move


@dataclass(frozen=True, slots=True)
class Exercise:
    """One exercise, free of any machine.

    pattern:   the movement pattern, such as horizontal_pull; its first exercise in a session gets the warm-up.
    compound:  several joints move.
    one_arm:   done one side at a time; a set counts when both sides are done.
    primary, secondary: muscles worked directly and indirectly.
    needs_stops: failing it alone is safe only where stops or catches are set.
    source:    where the entry comes from.
    """

    id: str
    name: str
    pattern: str
    compound: bool
    one_arm: bool
    primary: tuple[str, ...]
    secondary: tuple[str, ...]
    needs_stops: bool
    source: str


class Technique(StrEnum):
    """How the last set of an exercise goes on once it is over."""

    STRAIGHT = "straight"
    DROP = "drop"
    REST_PAUSE = "rest-pause"


@dataclass(frozen=True, slots=True)
class OutlineItem:
    """One exercise of an outline; holds no kilos.

    rir:      reps in reserve wanted, one figure a set; its length is the number of work sets.
    after:    what follows the last set; `rounds` times.
    rest_s:   rest before each work set but the first. [s]
    superset: it alternates with the exercise before it: straight on from each of its sets, the rest after both.
    """

    exercise: str
    reps_low: int
    reps_high: int
    rir: tuple[int, ...]
    rest_s: float
    after: Technique = Technique.STRAIGHT
    rounds: int = 0
    superset: bool = False

    @property
    def sets(self) -> int:
        """How many work sets there are."""
        return len(self.rir)


@dataclass(frozen=True, slots=True)
class Outline:
    """A session without machine and kilos."""

    name: str
    title: str
    items: tuple[OutlineItem, ...]
    notes: str = ""


class Role(StrEnum):
    """What a set is for."""

    WARM_UP = "warm-up"
    TEST = "test"
    WORK = "work"
    DROP = "drop"
    REST_PAUSE = "rest-pause"


class Side(StrEnum):
    """Which arm or leg works."""

    BOTH = "both"
    LEFT = "left"
    RIGHT = "right"


@dataclass(frozen=True, slots=True)
class PreparedSet:
    """One set, ready to do.

    slot:      its place in the session, such as ``2.work.1.left``; the same slot is never done twice.
    rest_s:    rest before it, counted from the end of the set before. [s]
    loading:   what must be on the horns; moves are how to get there from the set before.
    felt_kg:   felt load at the handle, raising. [kg]
    lowering_kg: felt load lowering; equal to felt_kg without friction. [kg]
    chance:    probability of at least reps_low with the effort wanted; None for warm-ups and tests.
    starts_s, lasts_s: place on the session's clock. [s]
    fitting_kg: lowest and highest felt load that fits the rep range; None where that is not known.
    nearest:   the machine's rating that the loading comes nearest to; None where none is stated.
    advised_kg: felt load that was advised; another than felt_kg where the lifter chose for themselves. [kg]
    paired:    it goes straight on from a set of the exercise that it alternates with; rest_s is 0 then.
    """

    slot: str
    exercise: str
    station: str
    role: Role
    number: int
    of: int
    side: Side
    reps_low: int
    reps_high: int
    rir: int
    rest_s: float
    loading: Loading
    felt_kg: float
    lowering_kg: float
    moves: tuple[Move, ...]
    reason: str
    runner_up: str = ""
    chance: float | None = None
    fitting_kg: tuple[float, float] | None = None
    starts_s: float = 0.0
    lasts_s: float = 0.0
    nearest: Closeness | None = None
    advised_kg: float = 0.0
    paired: bool = False


@dataclass(frozen=True, slots=True)
class PreparedSession:
    """An outline resolved for one lifter, one machine, one set of plates, one day.

    sets:     all that remain, in order; those already done are not in it.
    ladders:  every felt load of each station used, ascending. [kg]
    cautions: what to know before starting.
    notes:    what was changed, and why: a drop set left out for a novice, an exercise with no station.
    lasts_s:  from now to the end. [s]
    closest:  which set comes nearest to a rating, as a sentence; empty if none is stated.
    """

    outline: Outline
    lifter: str
    machine: str
    sets: tuple[PreparedSet, ...]
    ladders: Mapping[str, tuple[float, ...]]
    cautions: tuple[str, ...]
    notes: tuple[str, ...]
    lasts_s: float
    closest: str = ""
