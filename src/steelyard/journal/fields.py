"""What each field of an event may hold, checked at the door in both directions.

A `Check` reads a value as JSON holds it into the value the event holds, or says that it does not fit. Reading a
value it has already read gives the same value again, so writing uses the same checks.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

ROLES = ("warm-up", "test", "work", "drop", "rest-pause")
SIDES = ("both", "left", "right")
ENDINGS = ("failure", "reported", "form", "unsaid")
UNITS = ("kg", "lb")
SCALE_UNITS = ("kg", "lb", "N")
CREEPS = ("up", "down", "held")
WHYS = ("pain", "sign", "enough")

UNFIT = object()
"""What a check reads from a value that does not fit."""

_ID = re.compile(r"[0-9a-f]{32}")
_MOMENT = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}T(?:[01][0-9]|2[0-3]):[0-9]{2}:[0-9]{2}(?:\.[0-9]{1,6})?Z")
_NOT_IN_A_NAME = re.compile("[\x00-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff]")
_NOT_IN_A_NOTE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff]")


@dataclass(frozen=True, slots=True)
class Check:
    """accepted: the rule in words. read: the value read, or UNFIT."""

    accepted: str
    read: Callable[[object], object]


def whole(least: int, most: int) -> Check:
    """A whole number from least to most."""

    def read(value: object) -> object:
        fits = isinstance(value, int) and not isinstance(value, bool) and least <= value <= most
        return value if fits else UNFIT

    return Check(f"a whole number from {least} to {most}", read)


def number(least: float, most: float) -> Check:
    """A finite number from least to most."""

    def read(value: object) -> object:
        if isinstance(value, bool) or not isinstance(value, int | float) or not least <= value <= most:
            return UNFIT
        return float(value) + 0.0  # adding zero makes -0.0 a plain 0.0: equal events are written alike

    return Check(f"a number from {least:.10g} to {most:.10g}", read)


def text(*, least: int = 1, most: int = 200) -> Check:
    """A text on one line, of least to most characters and not only blanks."""

    def read(value: object) -> object:
        if not isinstance(value, str) or not least <= len(value) <= most or _NOT_IN_A_NAME.search(value):
            return UNFIT
        return UNFIT if least and not value.strip() else str(value)

    return Check(f"a text of {least} to {most} characters on one line", read)


def long_text(most: int) -> Check:
    """A text that may run over several lines; it may be empty."""

    def read(value: object) -> object:
        fits = isinstance(value, str) and len(value) <= most and not _NOT_IN_A_NOTE.search(value)
        return str(value) if fits else UNFIT

    return Check(f"a text of 0 to {most} characters", read)


def choice(*options: str) -> Check:
    """One of the options."""
    return Check(
        f"one of {', '.join(options)}",
        lambda value: str(value) if isinstance(value, str) and value in options else UNFIT,
    )


def optional(check: Check) -> Check:
    """null, or what the check accepts."""
    return Check(f"null or {check.accepted}", lambda value: None if value is None else check.read(value))


def _read_id(value: object) -> object:
    return value if isinstance(value, str) and _ID.fullmatch(value) else UNFIT


def _read_moment(value: object) -> object:
    if not isinstance(value, str) or not _MOMENT.fullmatch(value):
        return UNFIT
    try:
        return datetime.fromisoformat(value)
    except ValueError:  # the 31st of February
        return UNFIT


def _read_loading(value: object) -> object:
    if not isinstance(value, dict) or len(value) > 50:
        return UNFIT
    for horn, plates in value.items():
        if TEXT.read(horn) is UNFIT or not isinstance(plates, list | tuple) or len(plates) > 100:
            return UNFIT
        if any(TEXT.read(plate) is UNFIT for plate in plates):
            return UNFIT
    return {horn: tuple(value[horn]) for horn in sorted(value)}


def _read_loads(value: object) -> object:
    """Mass and stack moment by horn."""
    if not isinstance(value, dict) or len(value) > 50:
        return UNFIT
    read = {}
    for horn, pair in value.items():
        if TEXT.read(horn) is UNFIT or not isinstance(pair, list | tuple) or len(pair) != 2:
            return UNFIT
        read[horn] = (MASS.read(pair[0]), MOMENT_KG_M.read(pair[1]))
        if UNFIT in read[horn]:
            return UNFIT
    return {horn: read[horn] for horn in sorted(read)}


def several(check: Check, most: int) -> Check:
    """A list of what the check accepts, up to so many."""

    def read(value: object) -> object:
        if not isinstance(value, list | tuple) or len(value) > most:
            return UNFIT
        found = tuple(map(check.read, value))
        return UNFIT if any(each is UNFIT for each in found) else found

    return Check(f"a list of up to {most}, each {check.accepted}", read)


def _read_covariance(value: object) -> object:
    """Rows as long as there are rows, symmetric, with no variance below 0."""
    rows = several(several(FIGURE, MOST_NAMES), MOST_NAMES).read(value)
    if rows is UNFIT or not isinstance(rows, tuple) or any(len(row) != len(rows) for row in rows):
        return UNFIT
    for at, row in enumerate(rows):
        if row[at] < 0 or any(row[other] != rows[other][at] for other in range(at)):
            return UNFIT
    return rows


def _read_company(value: object) -> object:
    found = several(TEXT, 20).read(value)
    return found if isinstance(found, tuple) and 2 <= len(set(found)) == len(found) else UNFIT


MOST_NAMES = 300
"""More unknowns than any machine has."""
TEXT = text()
TEXT_OR_EMPTY = text(least=0)
NOTE = long_text(2000)
FLAG = Check("true or false", lambda value: value if isinstance(value, bool) else UNFIT)
EVENT_ID = Check("32 hexadecimal digits in lower case", _read_id)
MOMENT = Check("a time in UTC such as 2026-03-01T18:30:00.250000Z", _read_moment)
LOADING = Check('plate names by horn, such as {"tip": ["20 kg", "10 kg"]}', _read_loading)
MASS = number(0, 2000)
MOMENT_KG_M = number(0, 2000)
LOADS = Check('mass and moment by horn, such as {"tip": [20.0, 0.5]}', _read_loads)
FIGURE = number(-1e12, 1e12)
NAMES = several(TEXT, MOST_NAMES)
FIGURES = several(FIGURE, MOST_NAMES)
COVARIANCE = Check("a symmetric square of numbers, none below 0 on its diagonal", _read_covariance)
EVENT_IDS = several(EVENT_ID, 10_000)
PLACE = whole(1, 1000)
PLACES = several(PLACE, 1000)
SLOTS = several(TEXT, 1000)
COMPANY = Check("a list of 2 to 20 different texts", _read_company)
OBJECT = Check("an object, written {...}", lambda value: value if isinstance(value, dict) else UNFIT)
