"""All sets of a lifter in order of time, found by exercise and by station without going through years of them."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import TypeVar, overload

from steelyard.journal.fold import LoggedSet
from steelyard.training.model import Role

TOLD = (Role.WORK, Role.TEST, Role.DROP, Role.REST_PAUSE)
"""Warm-ups stop far from failure; they say nothing of strength."""

Place = tuple[str, str, str]
"""An exercise, a station and a machine."""


Key = TypeVar("Key")


class Past(Sequence[LoggedSet]):
    """A lifter's sets, in order of time.

    sets: all of them. told: those that tell strength, by place, in the order in which each was first told of.
    """

    __slots__ = ("_by_exercise", "sets", "told")

    def __init__(self, sets: Iterable[LoggedSet] = ()) -> None:
        self.sets = tuple(sets)
        self._by_exercise: Mapping[str, Sequence[LoggedSet]] = _regrouped({}, (), self.sets, _exercise)
        self.told: Mapping[Place, Sequence[LoggedSet]] = _regrouped({}, (), _telling(self.sets), place_of)

    @overload
    def __getitem__(self, at: int) -> LoggedSet: ...
    @overload
    def __getitem__(self, at: slice) -> tuple[LoggedSet, ...]: ...
    def __getitem__(self, at: int | slice) -> LoggedSet | tuple[LoggedSet, ...]:
        """A set by its number, or a run of them."""
        return self.sets[at]

    def __len__(self) -> int:
        """How many there are."""
        return len(self.sets)

    def __iter__(self) -> Iterator[LoggedSet]:
        """All, the first one first."""
        return iter(self.sets)

    def __reversed__(self) -> Iterator[LoggedSet]:
        """All, the latest one first."""
        return reversed(self.sets)

    @property
    def exercises(self) -> Iterable[str]:
        """Every exercise that was ever done."""
        return self._by_exercise

    def of(self, exercise: str) -> Sequence[LoggedSet]:
        """The sets of an exercise, wherever they were done."""
        return self._by_exercise.get(exercise, ())

    def told_at(self, exercise: str, station: str, machine: str) -> Sequence[LoggedSet]:
        """The sets of an exercise at one station that tell strength."""
        return self.told.get((exercise, station, machine), ())

    def gone_on(self, count: int, more: Sequence[LoggedSet]) -> Past:
        """The first so many of these sets, and then others; what stays is not gone through again."""
        past, gone = Past(), self.sets[count:]
        past.sets = (*self.sets[:count], *more)
        past._by_exercise = _regrouped(self._by_exercise, gone, more, _exercise)
        past.told = _regrouped(self.told, _telling(gone), _telling(more), place_of)
        return past


def past_of(sets: Sequence[LoggedSet]) -> Past:
    """These sets as a past. sets: in order of time."""
    return sets if isinstance(sets, Past) else Past(sets)


def place_of(logged: LoggedSet) -> Place:
    """Where a set was done, and of what."""
    return logged.done.exercise, logged.done.station, logged.done.machine


def _exercise(logged: LoggedSet) -> str:
    return logged.done.exercise


def _telling(sets: Iterable[LoggedSet]) -> list[LoggedSet]:
    return [logged for logged in sets if logged.done.role in TOLD]


def _regrouped(
    groups: Mapping[Key, Sequence[LoggedSet]],
    gone: Iterable[LoggedSet],
    come: Iterable[LoggedSet],
    key: Callable[[LoggedSet], Key],
) -> dict[Key, Sequence[LoggedSet]]:
    """The groups without the latest sets, and with others in their stead; groups that stay alike are shared."""
    found: dict[Key, Sequence[LoggedSet]] = dict(groups)
    for name, count in Counter(map(key, gone)).items():
        found[name] = found[name][:-count]
        if not found[name]:
            del found[name]
    more: defaultdict[Key, list[LoggedSet]] = defaultdict(list)
    for logged in come:
        more[key(logged)].append(logged)
    for each, sets in more.items():
        found[each] = [*found.get(each, ()), *sets]
    return found


def shared_start(one: tuple[LoggedSet, ...], other: tuple[LoggedSet, ...]) -> int:
    """How many sets two ways begin with alike; most ways differ in their last sets only, and that is seen at once.

    >>> shared_start((), ())
    0
    """
    alike, unlike = 0, min(len(one), len(other)) + 1
    middle = unlike - 1
    while unlike - alike > 1:
        if one[alike:middle] == other[alike:middle]:
            alike = middle
        else:
            unlike = middle
        middle = (alike + unlike) // 2
    return alike
