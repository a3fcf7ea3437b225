"""Real sets, replayed: what belief would have said of each one before it was done, beside what baselines say.

docs/proving.md describes the file. Every set is foretold from the sets before it, and from its load: people chose
the loads themselves, so that a load tells something too.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from steelyard.errors import DamagedFile
from steelyard.proving.foretelling import FORETELLINGS, Earlier
from steelyard.strength.belief import Belief, learn, newcomer
from steelyard.strength.curve import REPS_SCALE
from steelyard.strength.lifts import Lift
from steelyard.strength.model import Ended, Observation
from steelyard.strength.outlook import Outlook
from steelyard.tables import shown
from steelyard.training.exercises import exercises
from steelyard.training.history import UNTIMED_REST_S
from steelyard.training.rules import fractional_sets

NAMES = {"exercise": ("exercise", "type"), "machine": ("machine", "station")}
"""Columns that go by one of several names; a machine may be left out."""
NEEDED = ("subject", "day", "load_kg", "reps")
ENDINGS = {
    "failure": Ended.FAILURE,
    "failed": Ended.FAILURE,
    "form": Ended.FORM,
    "reported": Ended.REPORTED,
    "rir": Ended.REPORTED,
    "unsaid": Ended.UNSAID,
    "plan": Ended.UNSAID,
    "stopped": Ended.UNSAID,
}
"""Words for how a set ended. One that was stopped without a word on what was left is learnt from and not
scored."""
UNKNOWN_KG, UNKNOWN_SD = 60.0, 1.0
"""Before the first set of somebody unknown on something unknown: anything from 8 to 440 kg. [kg]"""
TRAINED_MONTHS = 36.0
"""A file says nothing of training age; who keeps such a record has trained for a while (a choice). [months]"""
FROM_SESSION = 4
"""Scored from this session of a person on a lift on, as usual for this kind of data."""
CHANGED = math.log(1.02)
HOLDS = 0.8


@dataclass(frozen=True, slots=True)
class Replayed:
    """One row of the file: a set, and its place in time. reps: as written, which may be broken. [reps]"""

    subject: str
    seen: Observation
    reps: float


@dataclass(frozen=True, slots=True)
class Step:
    """One set foretold.

    sessions: earlier days of this person on this lift. changed: the load differs by more than 2 % from the last
    one.
    expected: median reps foretold; low to high hold 8 times in 10. chance: of just the reps that were done.
    plainly:  reps that plain ways foretell, by name; empty for the first set of a lift.
    """

    row: Replayed
    sessions: int
    changed: bool
    expected: float
    low: int
    high: int
    chance: float
    plainly: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Summary:
    """Scores over many sets: mean absolute errors [reps], share inside the intervals, mean log probability.

    plain: the two errors of every plain way of foretelling, by name. [reps]
    """

    sets: int
    off: float
    changed_sets: int
    off_changed: float | None
    held: float
    log_score: float
    plain: Mapping[str, tuple[float, float | None]]


def read_sets(text: str, source: str) -> dict[str, list[Replayed]]:
    """The sets of a CSV text by subject, in the order they were done.

    source: the file's name, for messages.

    Raises: DamagedFile, one line that names the file, the line, the column, the value and what is accepted.

    >>> text = "subject,exercise,day,load_kg,reps\\nA,row,0,50,10\\nA,row,7,52,9\\n"
    >>> [row.seen.felt_kg for row in read_sets(text, "sets.csv")["A"]]
    [50.0, 52.0]
    """
    lines = [line for line in text.splitlines() if line.strip() and not line.startswith("#")]
    table = csv.DictReader(lines)
    columns = _columns(table.fieldnames or (), source)
    people: dict[str, list[tuple[float, float, int, Replayed]]] = {}
    for number, row in enumerate(table, start=2):
        cells = _Cells(source, number, {name: (row.get(column) or "").strip() for name, column in columns.items()})
        read = _read(cells)
        order = cells.number("set", 0, 1000) if cells.has("set") else 0.0
        people.setdefault(read.subject, []).append((read.seen.day, order or 0.0, number, read))
    if not people:
        raise DamagedFile(source, "rows", "none", "at least one set below the line of column names")
    return {
        name: _rested([row for *_, row in sorted(rows, key=lambda each: each[:3])])
        for name, rows in people.items()
    }


def replay(rows: Sequence[Replayed]) -> Iterator[Step]:
    """One person's sets, each foretold from those before it."""
    lifts = [_lift(name) for name in dict.fromkeys(row.seen.lift for row in rows)]
    belief: Belief = newcomer(lifts, training_months=TRAINED_MONTHS)
    days: dict[str, list[float]] = {}
    earlier: dict[str, list[tuple[float, float]]] = {}
    for row in rows:
        lift, felt_kg = row.seen.lift, row.seen.felt_kg
        lesson = learn(belief, row.seen)
        belief = lesson.belief
        before = days.setdefault(lift, [])
        sessions = len(before) - (bool(before) and before[-1] == row.seen.day)
        yield _step(row, lesson.before, sessions, earlier.setdefault(lift, []))
        if not before or before[-1] != row.seen.day:
            before.append(row.seen.day)
        earlier[lift].append((felt_kg, row.reps + (row.seen.rir or 0)))


def _step(row: Replayed, outlook: Outlook, sessions: int, earlier: Earlier) -> Step:
    felt_kg, rir = row.seen.felt_kg, row.seen.rir or 0
    low, high = outlook.interval(felt_kg, HOLDS, rir=rir)
    chances = list(outlook.chances(felt_kg, rir=rir))
    return Step(
        row=row,
        sessions=sessions,
        changed=bool(earlier) and abs(math.log(felt_kg / earlier[-1][0])) > CHANGED,
        expected=outlook.median_reps(felt_kg, rir=rir),
        low=low,
        high=high,
        chance=chances[row.seen.reps] if row.seen.reps < len(chances) else 0.0,
        plainly={name: max(0.0, say(earlier, felt_kg) - rir) for name, say in FORETELLINGS.items()}
        if earlier
        else {},
    )


def _plainly(earlier: Earlier, felt_kg: float, rir: int) -> dict[str, float]:
    return {name: max(0.0, say(earlier, felt_kg) - rir) for name, say in FORETELLINGS.items()}


def summary(steps: Iterable[Step], *, from_session: int = FROM_SESSION) -> Summary | None:
    """Scores of the sets from a session on; None if there are none."""
    late = (step for step in steps if step.sessions >= from_session - 1 and step.plainly)
    scored = [step for step in late if step.row.seen.ended is not Ended.UNSAID]
    if not scored:
        return None
    off, off_changed = _errors(scored, [step.expected for step in scored])
    return Summary(
        sets=len(scored),
        off=off,
        changed_sets=sum(step.changed for step in scored),
        off_changed=off_changed,
        held=sum(step.low <= step.row.reps <= step.high for step in scored) / len(scored),
        log_score=math.fsum(math.log(max(step.chance, 1e-9)) for step in scored) / len(scored),
        plain={name: _errors(scored, [step.plainly[name] for step in scored]) for name in scored[0].plainly},
    )


def _errors(steps: Sequence[Step], expected: Sequence[float]) -> tuple[float, float | None]:
    """Mean absolute error in reps, of all and of those whose load changed; None if none did."""
    off = [abs(reps - step.row.reps) for step, reps in zip(steps, expected, strict=True)]
    changed = [each for each, step in zip(off, steps, strict=True) if step.changed]
    return math.fsum(off) / len(off), math.fsum(changed) / len(changed) if changed else None


def _lift(name: str) -> Lift:
    known = exercises().get(name.split(" at ", maxsplit=1)[0])
    return Lift(name, math.log(UNKNOWN_KG), UNKNOWN_SD, REPS_SCALE, fractional_sets(known) if known else {})


def _columns(names: Iterable[str], source: str) -> dict[str, str]:
    """Which column of the file holds what."""
    there = {name.strip().lower(): name for name in names}
    found: dict[str, str] = {}
    for wanted, aliases in NAMES.items():
        for alias in aliases:
            if alias in there:
                found.setdefault(wanted, there[alias])
    if "exercise" not in found:
        raise DamagedFile(source, "columns", ", ".join(there) or "none", "a column exercise (or type)")
    for name in NEEDED:
        if name not in there:
            raise DamagedFile(source, "columns", ", ".join(there), f"a column {name}")
    return found | {name: there[name] for name in (*NEEDED, "rir", "rest_s", "set", "ended") if name in there}


@dataclass(frozen=True, slots=True)
class _Cells:
    """One line of the file, its cells by what they hold."""

    source: str
    line: int
    cells: Mapping[str, str]

    def has(self, name: str) -> bool:
        return self.cells.get(name, "").lower() not in ("", "na", "nan", "none")

    def text(self, name: str) -> str:
        if not self.has(name):
            raise self.wrong(name, "a word")
        return self.cells[name]

    def number(self, name: str, least: float, most: float) -> float:
        try:
            value = float(self.cells.get(name, ""))
        except ValueError:
            value = math.nan
        if not least <= value <= most:
            raise self.wrong(name, f"a number from {least:g} to {most:g}")
        return value

    def wrong(self, name: str, accepted: str) -> DamagedFile:
        return DamagedFile(self.source, f"line {self.line}, {name}", shown(self.cells.get(name, "")), accepted)


def _read(cells: _Cells) -> Replayed:
    exercise = cells.text("exercise")
    place = f" at {cells.text('machine')}" if cells.has("machine") else ""
    reps = cells.number("reps", 0, 999)
    rir = int(cells.number("rir", 0, 99)) if cells.has("rir") else None
    seen = Observation(
        lift=exercise + place,
        felt_kg=cells.number("load_kg", 0.001, 5000),
        reps=int(reps),
        rir=rir,
        ended=_ended(cells, rir),
        day=cells.number("day", -1e6, 1e6),
        rest_s=cells.number("rest_s", 0, 1e6) if cells.has("rest_s") else None,
        chosen=True,
    )
    return Replayed(cells.text("subject"), seen, reps)


def _ended(cells: _Cells, rir: int | None) -> Ended:
    """How a set ended; where that is not written, it was to failure unless reps are said to be left."""
    if not cells.has("ended"):
        return Ended.FAILURE if rir is None else Ended.REPORTED
    ended = ENDINGS.get(cells.text("ended").lower())
    if ended is None:
        raise cells.wrong("ended", f"one of {', '.join(ENDINGS)}")
    if ended is Ended.REPORTED and rir is None:
        return Ended.UNSAID
    return ended


def _rested(rows: Sequence[Replayed]) -> list[Replayed]:
    """The sets with a usual rest before a second set of a lift on a day, where none is written."""
    found: list[Replayed] = []
    for before, row in zip((None, *rows), rows, strict=False):
        again = before is not None and (before.seen.lift, before.seen.day) == (row.seen.lift, row.seen.day)
        untimed = again and row.seen.rest_s is None
        found.append(replace(row, seen=replace(row.seen, rest_s=UNTIMED_REST_S)) if untimed else row)
    return found
