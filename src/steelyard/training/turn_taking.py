"""Whose turn it is when several lifters share one machine, as it follows from what each has done and has left.

Nobody is asked to keep an order that was settled beforehand: every time, the turn goes on from what was done last.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from math import inf

from steelyard.training.model import Role

FOLLOWS_AT_ONCE = (Role.DROP, Role.REST_PAUSE)
"""What goes on with the set before it: nobody else has a turn in between."""
MOST_TURNS_WAITED = 3
"""Who is at a later exercise waits for one who comes level within so many turns, so that all use one station; for
one who needs more they go on in between (a choice)."""


@dataclass(frozen=True, slots=True)
class Standing:
    """Where a lifter stands in a session.

    exercises: of each place of the outline, in the order in which this lifter does them.
    left:      slots that are left, in this lifter's order.
    taken:     slots done or left out.
    latest:    slot of the latest set done; empty if none was.
    latest_at: when that was; any number that grows with time will do.
    """

    exercises: dict[str, str]
    left: tuple[str, ...]
    taken: frozenset[str] = frozenset()
    latest: str = ""
    latest_at: float = -inf


@dataclass(frozen=True, slots=True)
class Taken:
    """A set in its turn. number: whose, counted from 0. at_once: it goes on with that lifter's set before."""

    number: int
    slot: str
    at_once: bool


def taken_in_turn(standings: Sequence[Standing]) -> Iterator[Taken]:
    """All sets that are left, in turn.

    What goes on with the latest set comes first. Then, every time, the turn goes to who has waited longest, but of
    those at the same exercise to who has had fewest turns in it; never twice to the same, unless nobody else has a
    set or those who have one wait.

    >>> rows = {"1": "row"}
    >>> ida = Standing(rows, ("1.work.2", "1.drop.1"), frozenset(["1.work.1"]), "1.work.1", 5.0)
    >>> [(one.number, one.slot) for one in taken_in_turn([ida, Standing(rows, ("1.work.1", "1.work.2"))])]
    [(1, '1.work.1'), (0, '1.work.2'), (0, '1.drop.1'), (1, '1.work.2')]
    """
    lifters = [_lifter(number, standing) for number, standing in enumerate(standings)]
    begun = [one for one in lifters if one.went > -inf]
    latest = max(begun, key=lambda one: (one.went, -one.number), default=None)
    goes_on = latest is not None and latest.is_in_a_turn
    round_ = latest.went if latest is not None else 0.0
    while any(one.turns for one in lifters):
        if not goes_on:
            latest = _next(lifters, latest)
        assert latest is not None  # somebody has a turn left
        round_ += 1.0
        yield from latest.take(round_, goes_on)
        goes_on = False


def turns_of(slots: Sequence[str]) -> list[list[str]]:
    """A lifter's sets by turn: both arms, and what follows at once, make one.

    >>> turns_of(["1.work.1.left", "1.work.1.right", "1.drop.1.left", "1.drop.1.right", "2.work.1"])
    [['1.work.1.left', '1.work.1.right', '1.drop.1.left', '1.drop.1.right'], ['2.work.1']]
    """
    turns: list[list[str]] = []
    for slot in slots:
        if turns and follows(turns[-1][-1], slot):
            turns[-1].append(slot)
        else:
            turns.append([slot])
    return turns


def follows(before: str, slot: str) -> bool:
    """Whether a set belongs to the turn of the set before it."""
    place, role, number = _parts(slot)
    return place == _parts(before)[0] and (role in FOLLOWS_AT_ONCE or (place, role, number) == _parts(before))


def _parts(slot: str) -> tuple[str, str, str]:
    """Place, role and number of a slot; of a set without one, nothing."""
    place, role, number, *_ = (*slot.split("."), "", "")
    return place, role, number


@dataclass(slots=True)
class _Lifter:
    """A lifter while turns are given.

    turns:  those left. passed: turns done or left out, by place.
    went:   when the latest turn was. tested: that was a test, and work sets at its exercise will follow from it.
    """

    number: int
    standing: Standing
    turns: list[list[str]]
    passed: dict[str, int]
    went: float
    tested: bool = False
    stages: dict[str, int] = field(default_factory=dict)

    @property
    def place(self) -> str:
        return _parts(self.turns[0][0])[0]

    @property
    def stage(self) -> int:
        """How many exercises come before the one the lifter is at."""
        return self.stages.get(self.place, 0)

    @property
    def exercise(self) -> str:
        return self.standing.exercises.get(self.place, self.place)

    @property
    def passed_here(self) -> int:
        return self.passed.get(self.place, 0)

    @property
    def is_in_a_turn(self) -> bool:
        """Whether what is left begins with the rest of the turn of the latest set."""
        return bool(self.turns) and follows(self.standing.latest, self.turns[0][0])

    def turns_before(self, stage: int) -> int:
        """How many turns are left at earlier exercises."""
        return sum(1 for turn in self.turns if self.stages.get(_parts(turn[0])[0], 0) < stage)

    def take(self, round_: float, goes_on: bool) -> Iterator[Taken]:
        """The next turn."""
        self.passed[self.place] = self.passed_here + 1
        turn = self.turns.pop(0)
        self.went = round_
        self.tested = _parts(turn[0])[1] == Role.TEST
        for index, slot in enumerate(turn):
            yield Taken(self.number, slot, goes_on or index > 0)


def _lifter(number: int, standing: Standing) -> _Lifter:
    open_ = {_parts(slot) for slot in standing.left}
    passed: dict[str, int] = {}
    for place, role, _ in {_parts(slot) for slot in standing.taken} - open_:
        if role not in FOLLOWS_AT_ONCE:
            passed[place] = passed.get(place, 0) + 1
    stages = {place: stage for stage, place in enumerate(standing.exercises)}
    turns = turns_of(standing.left)
    return _Lifter(number, standing, turns, passed, standing.latest_at, stages=stages)


def _next(lifters: Sequence[_Lifter], latest: _Lifter | None) -> _Lifter:
    """Whose turn it is."""
    left = [one for one in lifters if one.turns]
    able = [one for one in left if not _waits(one, left)]
    others = [one for one in able if one is not latest] or able
    longest = min(others, key=lambda one: (one.went, one.number))
    level = [one for one in others if one.exercise == longest.exercise]
    return min(level, key=lambda one: (one.passed_here, one.went, one.number))


def _waits(one: _Lifter, lifters: Sequence[_Lifter]) -> bool:
    """Whether a lifter lets those at an earlier exercise come level first."""
    behind = [other for other in lifters if other.stage < one.stage and other.exercise != one.exercise]
    soon = all(other.turns_before(one.stage) <= MOST_TURNS_WAITED for other in behind)
    return bool(behind) and (one.tested or soon)
