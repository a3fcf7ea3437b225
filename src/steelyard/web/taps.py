"""What a tap or a form may say, checked at the door."""

from __future__ import annotations

import re
from typing import Annotated, Any, TypeVar
from urllib.parse import parse_qsl

from msgspec import DecodeError, Meta, Struct, ValidationError, convert, json
from starlette.requests import Request

from steelyard.errors import OutOfRange
from steelyard.web.answers import Unreadable
from steelyard.web.guard import largest_body

NOT_JSON = (ValueError, DecodeError, RecursionError)
"""What reading a body as JSON may raise; the last one for what is nested without end."""

EventId = Annotated[str, Meta(pattern="^[0-9a-f]{32}$")]

ACCEPTED = {
    "target": "32 hexadecimal digits",
    "event": "32 hexadecimal digits",
    "outline": "the name of an outline",
    "active": "true or false",
    "disease": "true or false",
    "symptoms": "true or false",
    "station": "the name of a station",
    "creep": "up, down or held",
    "by": "deg, height or travel",
    "place": "an angle in degrees, or a length such as 92 cm",
    "load": "empty, or a horn with its plates such as tip=20 kg",
    "plates": "a horn with its plates such as tip=20 kg,5 kg",
    "scale": "what the scale shows, such as 31.2",
    "unit": "kg, lb or N",
    "range": "the most the scale shows, such as 150 kg",
    "hung": "a plate or a mass, such as 20 kg",
    "safe": "yes, once the cautions are confirmed",
    "turn": "the number of a reading",
}


class UndoTap(Struct, forbid_unknown_fields=True):
    """The event of this id is not to count."""

    target: EventId
    event: EventId | None = None


class KeepTap(Struct, forbid_unknown_fields=True):
    """What was worked out is to be kept."""

    event: EventId | None = None


class StartTap(Struct, forbid_unknown_fields=True):
    """A session begins."""

    outline: Annotated[str, Meta(min_length=1, max_length=100)]
    order: Annotated[str, Meta(max_length=100)] = ""
    event: EventId | None = None


class ScreeningTap(Struct, forbid_unknown_fields=True):
    """The three screening questions, answered."""

    active: bool
    disease: bool
    symptoms: bool


Tap = TypeVar("Tap", bound=Struct)


async def read_tap(request: Request, kind: type[Tap]) -> Tap:
    """The body of a request, a form or JSON, as a tap of this kind.

    Raises: Unreadable if it is neither; OutOfRange for a value that is not accepted.
    """
    body = await read_body(request)
    is_json = "application/json" in request.headers.get("content-type", "")
    values = _json(body) if is_json else _form(body)
    try:
        return convert(values, kind, strict=is_json)
    except ValidationError as problem:
        raise _out_of_range(problem, values) from None


async def read_body(request: Request) -> bytes:
    """The body, read no further than it may be long at this address, whatever length was announced.

    Raises: OutOfRange.
    """
    most, body = largest_body(request.url.path), bytearray()
    async for part in request.stream():
        body += part
        if len(body) > most:
            raise OutOfRange("the body", f"over {most} bytes", f"at most {most} bytes")
    return bytes(body)


def _json(body: bytes) -> dict[str, Any]:
    try:
        return json.decode(body, type=dict[str, Any])
    except NOT_JSON as problem:
        raise Unreadable(f"the body is not a JSON object ({problem}); send one, or a form") from None


def _form(body: bytes) -> dict[str, Any]:
    """A form's values; fields left empty count as not filled in."""
    try:
        return dict(parse_qsl(body.decode(), strict_parsing=bool(body), max_num_fields=30))
    except ValueError:
        raise Unreadable("the body is not a form; send one, or a JSON object") from None


def _out_of_range(problem: ValidationError, values: dict[str, Any]) -> OutOfRange:
    """The refusal in our own words: which field, what it held, what is accepted."""
    found = re.search(r"`\$\.(\w+)|field `(\w+)`", str(problem))
    field = (found[1] or found[2]) if found else ""
    if field not in ACCEPTED:
        return OutOfRange("the form's field", f"'{field[:40]}'", "one that this form has")
    value = f"'{str(values[field])[:60]}'" if field in values else "missing"
    return OutOfRange(field, value, ACCEPTED[field])
