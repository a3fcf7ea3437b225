"""Published rest studies, scored against what the population model says of them.

A row is one printed figure: whose reps, after which rest, at how many reps of a fresh set. The format is described
in docs/model-fatigue.md.
"""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum

from steelyard.errors import DamagedFile
from steelyard.strength.curve import REPS_SCALE
from steelyard.strength.recovery import (
    ADOLESCENTS,
    BOYS,
    MEN,
    WOMEN,
    Recovery,
    StraightSets,
    man_of_strength,
    mean_reps,
)
from steelyard.tables import shown

COLUMNS = ("study", "group", "nrm", "cap", "n_sets", "rest_s", "quantity", "mean")
"""Columns that must be there; exercise, load, role and others may be."""
GROUPS: Mapping[str, Recovery] = {
    "men": MEN,
    "mixed": MEN,
    "women": WOMEN,
    "older_women": WOMEN,
    "older_men": MEN,
    "teens": ADOLESCENTS,
    "adolescents": ADOLESCENTS,
    "boys": BOYS,
    "men_low1RM": man_of_strength(80.7),
    "men_high1RM": man_of_strength(140.6),
}
"""Whom a group name means; the last two by the bench press 1RM of Ratamess and others 2012."""
WORDS: tuple[tuple[str, Recovery], ...] = (
    (r"teen\w*|adolesc\w*|youths?", ADOLESCENTS),
    (r"boys?|girls?|child\w*|prepub\w*", BOYS),
    (r"wom[ae]n|females?", WOMEN),
    (r"m[ae]n|males?|mixed|adults?", MEN),
)
"""Words by which another name is understood, looked for in this order."""
QUANTITY = re.compile(r"(total)|(set|frac|ratio)_(\d{1,4})")
LOAD = re.compile(r"(\d{1,2})\s*RM|([1-9]\d{1,2}(?:\.\d+)?)\s*%\s*(?:1\s*RM)?", re.IGNORECASE)
LONGEST_S, MOST_REPS, MOST_SETS = 3600.0, 100.0, 20
"""Accepted at most. [s], reps, sets"""
NEAR_MAXIMUM_REPS = 3.0
"""Below so many reps of a fresh set the model is known to fail."""


class Kind(StrEnum):
    """What a figure is."""

    TOTAL = "total"
    SET = "set"
    FRACTION = "frac"
    RATIO = "ratio"


@dataclass(frozen=True, slots=True)
class RestRow:
    """One printed figure.

    line:     its line in the file.
    of:       the set meant by a single set or a fraction; the rest in seconds a ratio compares with; 0 of a total.
    observed: reps of a total or a set, 1 otherwise.
    """

    line: int
    study: str
    group: str
    sets: StraightSets
    kind: Kind
    of: int
    observed: float
    role: str = ""


@dataclass(frozen=True, slots=True)
class RestScore:
    """A figure and what the model says of it."""

    row: RestRow
    predicted: float

    @property
    def residual(self) -> float:
        """Predicted less observed."""
        return self.predicted - self.row.observed


@dataclass(frozen=True, slots=True)
class RestScores:
    """All figures of a file, with what had to be assumed."""

    scores: tuple[RestScore, ...]
    notes: tuple[str, ...]

    def rmse(self, kind: Kind, *, role: str | None = None) -> float | None:
        """Root mean square error of the figures of a kind; None if there are none.

        role: only rows of this role; all by default.
        """
        off = [
            score.residual
            for score in self.scores
            if score.row.kind is kind and (role is None or score.row.role == role)
        ]
        return math.sqrt(math.fsum(one * one for one in off) / len(off)) if off else None

    @property
    def roles(self) -> tuple[str, ...]:
        """The roles met, in order; an empty one where none was written."""
        return tuple(dict.fromkeys(score.row.role for score in self.scores))


def score_rests(text: str, source: str) -> RestScores:
    """Every figure of a CSV text beside the model's.

    source: the file's name, for messages.

    Raises: DamagedFile, one line that names the file, the line, the column, the value and what is accepted.

    >>> head = "study,group,exercise,load,nrm,cap,n_sets,rest_s,quantity,mean"
    >>> scores = score_rests(head + "\\nA 2020,men,row,10RM,10,10,3,120,total,21.4", "rests.csv")
    >>> round(scores.scores[0].predicted)
    22
    """
    rows = tuple(_read(text, source))
    notes = [*_group_notes(rows), *_near_maximum_notes(rows)]
    return RestScores(tuple(RestScore(row, predicted(row)) for row in rows), tuple(notes))


def predicted(row: RestRow) -> float:
    """The model's mean over people of what a row gives."""
    typical = people_of(row.group) or MEN
    reps = mean_reps(row.sets, typical)
    match row.kind:
        case Kind.TOTAL:
            return sum(reps)
        case Kind.SET:
            return reps[row.of - 1]
        case Kind.FRACTION:
            return reps[row.of - 1] / reps[0]
    other = StraightSets(row.sets.first_reps, row.sets.sets, float(row.of), row.sets.cap)
    return sum(reps) / sum(mean_reps(other, typical))


def people_of(group: str) -> Recovery | None:
    """The typical person of a group, by its name or a word in it; None if no word is known.

    >>> people_of("untrained older women") is WOMEN
    True
    """
    if group in GROUPS:
        return GROUPS[group]
    words = re.split(r"[^a-z]+", group.lower())
    for pattern, typical in WORDS:
        if any(re.fullmatch(pattern, word) for word in words):
            return typical
    return None


def reps_of_load(load: str) -> float:
    """Counted reps of a fresh set at a load, on average; 0 if it says none. [reps]

    Of ``10RM`` its ten; of ``75%1RM`` what the curve gives, half a rep off for counting.

    >>> reps_of_load("10RM"), round(reps_of_load("75%1RM"), 1)
    (10.0, 10.8)
    """
    match = LOAD.fullmatch(load)
    if match is None:
        return 0.0
    if match[1]:
        return float(match[1])
    return max(0.0, (REPS_SCALE + 1.0) / (float(match[2]) / 100.0) - REPS_SCALE - 0.5)


def _group_notes(rows: tuple[RestRow, ...]) -> Iterator[str]:
    for group in dict.fromkeys(row.group for row in rows):
        if people_of(group) is None:
            yield f"group '{group}' is not known, taken as men; known: {', '.join(GROUPS)}"


def _near_maximum_notes(rows: tuple[RestRow, ...]) -> Iterator[str]:
    for study in dict.fromkeys(row.study for row in rows if row.sets.first_reps < NEAR_MAXIMUM_REPS):
        yield f"{study}: fewer than {NEAR_MAXIMUM_REPS:g} reps in a fresh set, where the model is too pessimistic"


def _read(text: str, source: str) -> Iterator[RestRow]:
    lines = [(number, line) for number, line in enumerate(text.splitlines(), 1) if line.strip() and line[0] != "#"]
    if not lines:
        raise DamagedFile(source, "the file", "empty", f"CSV with the columns {', '.join(COLUMNS)}")
    names = [name.strip() for name in _split(lines[0], source)]
    for column in COLUMNS:
        if column not in names:
            raise DamagedFile(source, f"line {lines[0][0]}, column {column}", "missing", "in the first line")
    if len(lines) == 1:
        raise DamagedFile(source, f"line {lines[0][0]}", "the last line", "followed by at least one row")
    for number, line in lines[1:]:
        parts = _split((number, line), source)
        if len(parts) != len(names):
            raise DamagedFile(
                source, f"line {number}", f"of {len(parts)} columns", f"of {len(names)}, as the first"
            )
        yield _Cells(source, number, dict(zip(names, parts, strict=True))).row()


def _split(line: tuple[int, str], source: str) -> list[str]:
    try:
        return next(csv.reader([line[1]], strict=True))
    except csv.Error as problem:
        raise DamagedFile(source, f"line {line[0]}", f"not CSV ({problem})", "values between commas") from None


class _Cells:
    """One line's cells, checked as they are taken."""

    def __init__(self, source: str, line: int, cells: Mapping[str, str]) -> None:
        self._source, self._line, self._cells = source, line, cells

    def row(self) -> RestRow:
        cap = int(self._number("cap", 1, MOST_REPS, whole=True)) if self._text("cap") else None
        count = int(self._number("n_sets", 1, MOST_SETS, whole=True))
        sets = StraightSets(self._reps(), count, self._number("rest_s", 0, LONGEST_S), cap)
        kind, of = self._quantity(count)
        observed = self._number("mean", 0, MOST_REPS * MOST_SETS)
        study, group = self._text("study"), self._text("group")
        return RestRow(self._line, study, group, sets, kind, of, observed, self._text("role"))

    def _reps(self) -> float:
        if self._text("nrm"):
            return self._number("nrm", 1, MOST_REPS)
        reps = reps_of_load(self._text("load"))
        if not 0.0 < reps <= MOST_REPS:
            accepted = f"a number from 1 to {MOST_REPS:g}, or blank beside a load such as 10RM or 75%1RM"
            raise self._wrong("nrm", accepted)
        return reps

    def _text(self, column: str) -> str:
        return self._cells.get(column, "").strip()

    def _quantity(self, count: int) -> tuple[Kind, int]:
        accepted = f"total, set_K or frac_K with K up to {count}, or ratio_REF with a rest of 1 to {LONGEST_S:g} s"
        match = QUANTITY.fullmatch(self._text("quantity"))
        if match is None:
            raise self._wrong("quantity", accepted)
        kind, of = Kind(match[1] or match[2]), int(match[3] or 0)
        if kind is not Kind.TOTAL and not 1 <= of <= (LONGEST_S if kind is Kind.RATIO else count):
            raise self._wrong("quantity", accepted)
        return kind, of

    def _number(self, column: str, least: float, most: float, *, whole: bool = False) -> float:
        try:
            value = float(self._text(column))
        except ValueError:
            value = math.nan
        if not least <= value <= most or (whole and value != int(value)):
            raise self._wrong(column, f"a {'whole ' if whole else ''}number from {least:g} to {most:g}")
        return value

    def _wrong(self, column: str, accepted: str) -> DamagedFile:
        return DamagedFile(self._source, f"line {self._line}, {column}", shown(self._text(column)), accepted)
