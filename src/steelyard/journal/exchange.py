"""Export and import of a journal in open formats: complete as newline-delimited JSON, sets as CSV."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Iterator
from dataclasses import fields
from datetime import UTC, datetime
from json import JSONDecodeError

from steelyard.errors import DamagedJournal, JournalConflict
from steelyard.journal.codec import decode_line, encode_line
from steelyard.journal.events import Event, SetDone
from steelyard.journal.fold import LoggedSet, State


def export_ndjson(events: Iterable[Event]) -> Iterator[str]:
    """The events as lines of JSON, without line ends; nothing is left out."""
    for event in events:
        yield encode_line(event)


def import_ndjson(lines: Iterable[str | bytes], source: str) -> list[Event]:
    """The events of an exported journal, each once, in the order of the file; all of them or none.

    lines:  as text or, better, bytes, so that a wrong byte is found on its line; with or without line ends; blank
            lines are passed over.
    source: the file's name, for messages.

    Raises: DamagedJournal naming the first line that can't be read; JournalConflict if two lines carry one id with
    different contents.
    """
    found: dict[str, tuple[int, Event]] = {}
    damage: tuple[int, str, DamagedJournal] | None = None
    for number, line in _texts(lines, source):
        if damage:
            raise damage[2]
        try:
            event = decode_line(line, f"{source} line {number}")
        except DamagedJournal as problem:
            damage = (number, line, problem)  # raised at the next line: only the last one can be cut off
            continue
        first, same = found.setdefault(event.id, (number, event))
        if same != event:
            raise JournalConflict(
                f"{source} lines {first} and {number} both carry the id {event.id} with different contents; an id "
                "must belong to one event: take one of the two lines out, or use an undamaged copy"
            )
    if damage:
        raise _last_line(*damage, source)
    return [event for _, event in found.values()]


def _texts(lines: Iterable[str | bytes], source: str) -> Iterator[tuple[int, str]]:
    """Lines that are not blank, with their numbers, without line ends and without a byte order mark."""
    number = 0
    try:
        for number, line in enumerate(lines, start=1):
            text = line.decode() if isinstance(line, bytes) else line
            text = (text.removeprefix("\ufeff") if number == 1 else text).strip()
            if text:
                yield number, text
    except UnicodeDecodeError as problem:
        raise DamagedJournal(
            f"{source} line {number}: byte {problem.object[problem.start]:#04x} is not UTF-8; "
            "the file must be UTF-8 text: export the journal again, or use an undamaged copy"
        ) from problem


def _last_line(number: int, line: str, problem: DamagedJournal, source: str) -> DamagedJournal:
    """The error for a damaged last line, which may only be cut off."""
    cause = problem.__cause__
    if not isinstance(cause, JSONDecodeError) or (line.endswith("}") and cause.pos < len(line)):
        return problem
    return DamagedJournal(
        f"{source} line {number}, the last one, is cut off after {len(line)} characters; it must be a whole line: "
        "copy or export the file again, or take that line out to import the lines before it"
    )


def export_csv(state: State) -> Iterator[str]:
    """All sets as comma-separated values for a spreadsheet: the column names, then one row a set, by time.

    Rows come without line ends, though a note in them may run over several lines.

    Corrections are applied. Repeats are listed too, with ``no`` under ``counts``. Masses are in kg and times in
    s and UTC, whatever unit the lifter reads. A text that a spreadsheet would run as a formula gets a leading
    apostrophe.
    """
    names = [field.name for field in fields(SetDone)]
    yield _csv_line(["set", "at_utc", "origin", "counts", "lifter_name", *names])
    for logged, counts in _all_sets(state):
        lifter = state.lifters.get(logged.done.lifter)
        cells = [_cell(getattr(logged.done, name)) for name in names]
        origin, lifter_name = _cell(logged.origin), _cell(lifter.name if lifter else "")
        yield _csv_line([logged.id, _utc(logged.at), origin, counts, lifter_name, *cells])


def _all_sets(state: State) -> list[tuple[LoggedSet, str]]:
    rows = [(logged, "yes") for logged in state.loose]
    for session in state.sessions.values():
        rows += [(logged, "yes") for logged in session.sets]
        rows += [(logged, "no") for logged in session.repeats]
    return sorted(rows, key=lambda row: (row[0].at, row[0].id))


def _utc(at: datetime) -> str:
    return at.astimezone(UTC).replace(tzinfo=None).isoformat(" ", "milliseconds")


def _cell(value: object) -> str:
    if isinstance(value, dict):
        return json.dumps(value, ensure_ascii=False)
    if isinstance(value, str):
        return f"'{value}" if value.startswith(("=", "+", "-", "@", "\t", "\r")) else value
    return "" if value is None else str(value)


def _csv_line(cells: list[str]) -> str:
    line = io.StringIO()
    csv.writer(line, lineterminator="").writerow(cells)
    return line.getvalue()
