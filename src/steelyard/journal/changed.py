"""What a lifter decided otherwise while a session went on: the changes of mind that count, session by session."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from math import inf

from steelyard.journal.events import (
    Event,
    ExerciseEnded,
    ExercisePostponed,
    ExerciseSwapped,
    LoadChosen,
    PlatesMissing,
    StationClosed,
    TimeShortened,
)


@dataclass(frozen=True, slots=True)
class Changed:
    """What is otherwise than the outline and the house say, for one session.

    exercises: what a place of the outline, from 1, is now, by place.
    postponed: each a place and the one it is done after, in the order they were said.
    closed:    stations out of order. missing: plates as `plates.missing.without` reads them.
    loads_kg:  felt loads the lifter chose, by slot. [kg]
    ended:     places that are over, and why: pain, sign or enough.
    minutes:   what was left when time was short; None if it never was. [min]
    left_out:  slots left out for that and not done after all.
    """

    exercises: Mapping[int, str] = field(default_factory=dict)
    postponed: tuple[tuple[int, int], ...] = ()
    closed: frozenset[str] = frozenset()
    missing: tuple[str, ...] = ()
    loads_kg: Mapping[str, float] = field(default_factory=dict)
    ended: Mapping[int, str] = field(default_factory=dict)
    minutes: int | None = None
    left_out: frozenset[str] = frozenset()

    @property
    def stopped(self) -> bool:
        """Whether a sign to stop was said: nothing more is done that day."""
        return "sign" in self.ended.values()

    def leaves_out(self, slot: str) -> bool:
        """Whether a slot is left out: for want of time, because its exercise is over, or all training is."""
        place = slot.partition(".")[0]
        return self.stopped or slot in self.left_out or (place.isdecimal() and int(place) in self.ended)

    def with_house(self, others: Iterable[Changed]) -> Changed:
        """With what others who train on the same machine found: stations out of order and plates missing."""
        every = (self, *others)
        if len(every) == 1:
            return self
        closed = frozenset[str]().union(*(each.closed for each in every))
        return replace(self, closed=closed, missing=_most_missing(name for each in every for name in each.missing))


def _most_missing(names: Iterable[str]) -> tuple[str, ...]:
    """Of what several say is missing, the most of each plate.

    >>> _most_missing(["5 kg*1", "10 kg", "5 kg*2", "10 kg*1"])
    ('10 kg', '5 kg*2')
    """
    most: dict[str, tuple[float, str]] = {}
    for name in names:
        plate, star, count = name.rpartition("*")
        key = (plate if star else name).strip().casefold()
        found = (float(count) if star and count.strip().isdecimal() else inf, name)
        most[key] = max(found, most.get(key, found))
    return tuple(sorted(name for _, name in most.values()))


UNCHANGED = Changed()


@dataclass(slots=True)
class _Gathering:
    """Changes of one session as far as they are read."""

    exercises: dict[int, str] = field(default_factory=dict)
    postponed: list[tuple[int, int]] = field(default_factory=list)
    closed: set[str] = field(default_factory=set)
    missing: tuple[str, ...] = ()
    loads_kg: dict[str, float] = field(default_factory=dict)
    ended: dict[int, str] = field(default_factory=dict)
    minutes: int | None = None
    left_out: tuple[str, ...] = ()

    def take(self, event: Event) -> None:
        """Read one more event, later than all before."""
        match event.body:
            case ExerciseSwapped(_, place, exercise):
                self.exercises[place] = exercise
                if self.ended.get(place) != "sign":  # after one, nothing else is done instead either
                    self.ended.pop(place, None)
            case ExercisePostponed(_, place, after):
                self.postponed.append((place, after))
            case StationClosed(_, station):
                self.closed.add(station)
            case PlatesMissing(_, plates):
                self.missing = plates
            case LoadChosen(_, slot, load_kg):
                self.loads_kg[slot] = load_kg
            case ExerciseEnded(_, place, why):
                self.ended[place] = why
            case TimeShortened(_, minutes, left_out):
                self.minutes, self.left_out = minutes, left_out


Change = (
    ExerciseSwapped
    | ExercisePostponed
    | StationClosed
    | PlatesMissing
    | LoadChosen
    | ExerciseEnded
    | TimeShortened
)


def changes(events: Iterable[Event]) -> dict[str, Changed]:
    """The changes of mind that count, by session. events: those that count, in the order (at, id)."""
    found: dict[str, _Gathering] = defaultdict(_Gathering)
    for event in events:
        if isinstance(event.body, Change):
            found[event.body.session].take(event)
    return {session: _settled(gathered) for session, gathered in found.items()}


def _settled(gathered: _Gathering) -> Changed:
    return Changed(
        gathered.exercises,
        tuple(gathered.postponed),
        frozenset(gathered.closed),
        gathered.missing,
        gathered.loads_kg,
        gathered.ended,
        gathered.minutes,
        frozenset(gathered.left_out),
    )
