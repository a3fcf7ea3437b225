"""Whose turn it is when several lifters share one machine, as it follows from what each has done and has left.

Nobody is asked to keep an order that was settled beforehand: every time, the turn goes on from what was done last.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import inf

from steelyard.training.model import Role
from steelyard.training.slots import read_slot

FOLLOWS_AT_ONCE = (Role.DROP, Role.REST_PAUSE)
"""What goes on with the set before it: nobody else has a turn in between."""
MOST_TURNS_WAITED = 3
"""Who would begin a later exercise waits for one who comes level within so many turns: one station serves all;
for one who needs more they go on in between, and then to the end of that exercise (a choice)."""


@dataclass(frozen=True, slots=True)
class Standing:
    """Where a lifter stands in a session.

    exercises: of each place of the outline.
    stages:    how many exercises come before each place; those that alternate come at the same stage.
    left:      slots that are left, in this lifter's order.
    paired:    those of them that go straight on from an exercise that they alternate with.
    taken:     slots done or left out.
    latest:    slot of the latest set done; empty if none was.
    latest_at: when that was; any number that grows with time will do.
    """

    exercises: Mapping[int, str]
    stages: Mapping[int, int]
    left: tuple[str, ...]
    paired: frozenset[str] = frozenset()
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

    >>> done = {"taken": frozenset(["1.work.1"]), "latest": "1.work.1", "latest_at": 5.0}
    >>> ida = Standing({1: "row"}, {1: 0}, ("1.work.2", "1.drop.1"), **done)
    >>> bo = Standing({1: "row"}, {1: 0}, ("1.work.1", "1.work.2"))
    >>> [(one.number, one.slot) for one in taken_in_turn([ida, bo])]
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


def turns_of(slots: Sequence[str], paired: frozenset[str] = frozenset()) -> list[list[str]]:
    """A lifter's sets by turn: both arms, what follows at once and exercises that alternate make one.

    >>> turns_of(["1.work.1.left", "1.drop.1.left", "1.work.1.right", "1.drop.1.right", "2.work.1"])
    [['1.work.1.left', '1.drop.1.left', '1.work.1.right', '1.drop.1.right'], ['2.work.1']]
    """
    turns: list[list[str]] = []
    for slot in slots:
        if turns and (slot in paired or follows(turns[-1][-1], slot)):
            turns[-1].append(slot)
        else:
            turns.append([slot])
    return turns


def follows(before: str, slot: str) -> bool:
    """Whether a set belongs to the turn of the set before it, of the same exercise."""
    one, other = read_slot(before), read_slot(slot)
    if one is None or other is None or one.place != other.place:
        return False
    other_arm = (
        one.role in FOLLOWS_AT_ONCE and one.side != other.side
    )  # after what followed the first arm's last set
    return other.role in FOLLOWS_AT_ONCE or one.whole == other.whole or other_arm


def _place(slot: str) -> int:
    """The place of a slot in the outline; 0 for one that has none."""
    read = read_slot(slot)
    return read.place if read is not None else 0


@dataclass(slots=True)
class _Lifter:
    """A lifter while turns are given.

    turns:  those left. passed: turns done or left out, by place.
    went:   when the latest turn was. tested: that was a test, and work sets at its exercise will follow from it.
    """

    number: int
    standing: Standing
    turns: list[list[str]]
    passed: dict[int, int]
    went: float
    tested: bool = False

    @property
    def place(self) -> int:
        return _place(self.turns[0][0])

    @property
    def stage(self) -> int:
        """How many exercises come before the one the lifter is at."""
        return self.standing.stages.get(self.place, 0)

    @property
    def exercise(self) -> str:
        return self.standing.exercises.get(self.place, "")

    @property
    def passed_here(self) -> int:
        return self.passed.get(self.place, 0)

    @property
    def is_in_a_turn(self) -> bool:
        """Whether what is left begins with the rest of the turn of the latest set."""
        if not self.turns:
            return False
        first = self.turns[0][0]
        return first in self.standing.paired or follows(self.standing.latest, first)

    def turns_before(self, stage: int) -> int:
        """How many turns are left at earlier exercises."""
        return sum(1 for turn in self.turns if self.standing.stages.get(_place(turn[0]), 0) < stage)

    def take(self, round_: float, goes_on: bool) -> Iterator[Taken]:
        """The next turn."""
        self.passed[self.place] = self.passed_here + 1
        turn = self.turns.pop(0)
        self.went = round_
        read = read_slot(turn[0])
        self.tested = read is not None and read.role == Role.TEST
        for index, slot in enumerate(turn):
            yield Taken(self.number, slot, goes_on or index > 0)


def _lifter(number: int, standing: Standing) -> _Lifter:
    left, taken = (
        {(slot.place, slot.role, slot.number) for slot in map(read_slot, slots) if slot is not None}
        for slots in (standing.left, standing.taken)
    )
    passed = Counter(place for place, role, _ in taken - left if role not in FOLLOWS_AT_ONCE)
    return _Lifter(number, standing, turns_of(standing.left, standing.paired), passed, standing.latest_at)


def _next(lifters: Sequence[_Lifter], latest: _Lifter | None) -> _Lifter:
    """Whose turn it is."""
    left = [one for one in lifters if one.turns]
    able = [one for one in left if not _waits(one, left)]
    others = [one for one in able if one is not latest] or able
    longest = min(others, key=lambda one: (one.went, one.number))
    level = [one for one in others if one.exercise == longest.exercise]
    return min(level, key=lambda one: (one.passed_here, one.went, one.number))


def _waits(one: _Lifter, lifters: Sequence[_Lifter]) -> bool:
    """Whether a lifter who would begin an exercise lets those at an earlier one come level first."""
    behind = [other for other in lifters if other.stage < one.stage and other.exercise != one.exercise]
    soon = all(other.turns_before(one.stage) <= MOST_TURNS_WAITED for other in behind)
    return bool(behind) and not one.passed_here and (one.tested or soon)
