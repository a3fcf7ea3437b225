"""An event as plain data, and as one line of newline-delimited JSON.

A line reads ``{"kind": "set-done", "version": 1, "id": …, "origin": …, "at": …, "body": {…}}``. Nothing is lost on
the way out or back, and nothing is guessed: an unknown kind, a field too many or too few, or a value outside what
is accepted is refused. What each kind holds stands in `kinds`; what was written once is never rewritten.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from steelyard.errors import DamagedJournal
from steelyard.journal import fields as f
from steelyard.journal.events import Body, Event
from steelyard.journal.kinds import KINDS, UPCASTERS, Kind, Upcaster

WAY_OUT = "correct it, or use an undamaged copy"

_BY_NAME = {kind.name: kind for kind in KINDS}
_BY_BODY = {kind.body: kind for kind in KINDS}
_ENVELOPE = {
    "kind": f.choice(*_BY_NAME),
    "version": f.whole(1, 1_000_000),
    "id": f.EVENT_ID,
    "origin": f.TEXT,
    "at": f.MOMENT,
    "body": f.OBJECT,
}


def damaged(where: str, key: str, value: str, accepted: str) -> DamagedJournal:
    """The error for a value that does not fit, in one line with the way out."""
    return DamagedJournal(f"{where}: {key} is {value}; it must be {accepted}: {WAY_OUT}")


def shown(value: object) -> str:
    """A value as JSON writes it, cut to a line's room."""
    written = json.dumps(value, default=repr)
    return written if len(written) <= 60 else f"{written[:59]}…"


def _checked(data: Mapping[str, Any], checks: Mapping[str, f.Check], where: str) -> dict[str, Any]:
    """The fields of a mapping as their checks read them; neither one too many nor one too few."""
    if data.keys() != checks.keys():
        raise _other_fields(data, checks, where)
    values = {}
    for name, check in checks.items():
        value = values[name] = check.read(data[name])
        if value is f.UNFIT:
            raise damaged(where, name, shown(data[name]), check.accepted)
    return values


def _checked_body(data: Mapping[str, Any], kind: Kind, where: str) -> dict[str, Any]:
    """The fields of a body as their checks read them, which must also fit one another."""
    values = _checked(data, kind.fields, where)
    for name in kind.alike:
        first = kind.alike[0]
        if len(values[name]) != len(values[first]):
            raise damaged(where, name, f"{len(values[name])} long", f"as long as {first}, {len(values[first])}")
    return values


def _other_fields(data: Mapping[str, Any], checks: Mapping[str, f.Check], where: str) -> DamagedJournal:
    for name, check in checks.items():
        if name not in data:
            return damaged(where, name, "missing", check.accepted)
    extra = next(name for name in data if name not in checks)
    return damaged(where, f"the field {shown(extra)}", "not known", f"one of {', '.join(checks)}")


def plain_event(event: Event) -> dict[str, Any]:
    """An event as plain data, its fields in their written order.

    Raises: DamagedJournal if a field holds what could not be read back.
    """
    where = f"event {shown(event.id)}"
    plain = plain_body(event.body, where)
    return {
        "kind": plain["kind"],
        "version": plain["version"],
        **_checked({"id": event.id, "origin": event.origin}, _IDENTITY, where),
        "at": _written_moment(event.at, where),
        "body": plain["body"],
    }


def plain_body(body: Body, where: str = "the event") -> dict[str, Any]:
    """What an event says, as plain data: its kind, version and body, before it has happened.

    Raises: DamagedJournal if a field holds what could not be read back.
    """
    kind = _BY_BODY.get(type(body))
    if kind is None:
        raise damaged(where, "the body", shown(body), f"one of {', '.join(_BY_NAME)}")
    fields = {name: getattr(body, name) for name in kind.fields}
    return {"kind": kind.name, "version": kind.version, "body": _checked_body(fields, kind, where)}


_IDENTITY = {"id": f.EVENT_ID, "origin": f.TEXT}


def _written_moment(at: datetime, where: str) -> str:
    try:
        if at.utcoffset() is not None:
            return at.astimezone(UTC).isoformat(timespec="microseconds").replace("+00:00", "Z")
    except OverflowError:  # the first or last hours of the calendar, in a zone that would leave it
        pass
    raise damaged(where, "at", at.isoformat(), "a time with its time zone, in the years 1 to 9999")


def event_from_plain(data: object, where: str) -> Event:
    """The event that plain data stand for, whatever version wrote them.

    where: source and place, for messages, such as ``export.ndjson line 3``.

    Raises: DamagedJournal naming the place, the value, what is accepted and the way out.
    """
    if not isinstance(data, dict):
        raise damaged(where, "the line", shown(data), _ENVELOPE["body"].accepted)
    envelope = _checked(data, _ENVELOPE, where)
    kind = _BY_NAME[envelope["kind"]]
    body = envelope["body"]
    if envelope["version"] != kind.version:
        body = upcast((kind.name, envelope["version"]), kind.version, body, UPCASTERS, where)
    values = _checked_body(body, kind, where)
    return Event(envelope["id"], envelope["origin"], envelope["at"], kind.body(**values))


def upcast(
    written: tuple[str, int],
    newest: int,
    body: dict[str, Any],
    table: Mapping[tuple[str, int], Upcaster],
    where: str,
) -> dict[str, Any]:
    """The body of an older version as the newest version would have written it.

    written: kind and version in the file. table: the steps, one version each, as `UPCASTERS`.

    Raises: DamagedJournal if the version is newer than known, no step leads on from it, or a step can't read it.

    >>> upcast(("set-done", 1), 2, {"reps": 8}, {("set-done", 1): lambda body: body | {"note": ""}}, "here")
    {'reps': 8, 'note': ''}
    """
    name, version = written
    if version > newest:
        raise DamagedJournal(
            f"{where}: {name} is of version {version}; this Steelyard reads versions up to {newest}: "
            "it was written by a newer Steelyard; update Steelyard"
        )
    for step in range(version, newest):
        if (name, step) not in table:
            raise damaged(where, f"the version of {name}", str(version), f"one that leads to version {newest}")
        try:
            body = table[name, step](body)
        except (KeyError, TypeError, ValueError) as problem:
            raise damaged(where, "the body", shown(body), f"a {name} of version {step}") from problem
    return body


def encode_line(event: Event) -> str:
    """An event as one line of JSON, without a line end.

    The line is plain ASCII, other characters escaped, so that no way of splitting lines can cut it. Equal events
    give equal lines.

    Raises: DamagedJournal if a field holds what could not be read back.
    """
    return _ENCODER.encode(plain_event(event))


def decode_line(line: str, where: str) -> Event:
    """The event on one line of JSON.

    where: source and place, for messages.

    Raises: DamagedJournal naming the place, the value, what is accepted and the way out.
    """
    try:
        data = _DECODER.decode(line)
    except (ValueError, RecursionError) as problem:
        column = f" at column {problem.colno}" if isinstance(problem, json.JSONDecodeError) else ""
        reason = problem.msg if isinstance(problem, json.JSONDecodeError) else str(problem)
        raise damaged(where, "the line", f"not JSON ({reason}{column})", "one JSON object") from problem
    return event_from_plain(data, where)


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    result = dict(pairs)
    if len(result) != len(pairs):  # the standard reader would silently keep the last
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        raise ValueError(f"{shown(twice)} is written twice")
    return result


def _refuse_constant(name: str) -> None:
    raise ValueError(f"{name} is not a number")


_ENCODER = json.JSONEncoder(allow_nan=False)
_DECODER = json.JSONDecoder(object_pairs_hook=_object, parse_constant=_refuse_constant)
