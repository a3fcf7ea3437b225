"""Calibrating on the page: the reading asked for, a small form for it, and what all readings say."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, Literal
from urllib.parse import urlencode

from msgspec import Meta, Struct
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response

from steelyard.errors import LimitExceeded, OutOfRange, SteelyardError
from steelyard.journal.fold import LoggedReading
from steelyard.machine.model import Station
from steelyard.machine.protocol import CAUTIONS
from steelyard.training.gym import Gym
from steelyard.units import Unit, parse_mass
from steelyard.web.answers import answer_saved, status_of, wants_json
from steelyard.web.render import page, steelyard_of
from steelyard.web.taps import EventId, KeepTap, UndoTap, read_tap
from steelyard.workshop import wording
from steelyard.workshop.calibrating import described, forget, logged_readings, take
from steelyard.workshop.fitting import keep, report_of
from steelyard.workshop.taking import Asked, check_load, scale_caution
from steelyard.workshop.turns import Turn, station_to_calibrate, turns
from steelyard.workshop.wording import reading_words, shown_words, stacks_words

PAGE = "/machine/calibrate"
NUMBER = re.compile(r"\s*[+\-\u2212]?\d+(?:[.,]\d+)?\s*")
Text = Annotated[str, Meta(max_length=60)]


class ReadingTap(Struct, forbid_unknown_fields=True):
    """A reading as the form has it; load is one of those offered, plates any other one in words."""

    station: Text
    creep: Literal["up", "down", "held"]
    by: Literal["deg", "height", "travel"]
    place: Text
    load: Text
    scale: Text
    unit: Literal["kg", "lb", "N"]
    plates: Text = ""
    range: Text = ""
    safe: Literal["yes", ""] = ""
    event: EventId | None = None


class CheckTap(Struct, forbid_unknown_fields=True):
    """A known mass hung straight on the scale."""

    hung: Text
    scale: Text
    unit: Literal["kg", "lb", "N"]
    range: Text = ""
    event: EventId | None = None


@dataclass(frozen=True, slots=True)
class ReadingShown:
    """A reading in the list, with why it can't be right."""

    id: str
    where: str
    shown: str
    wrong: str


@dataclass(frozen=True, slots=True)
class Form:
    """What the form holds."""

    station: str
    creep: str
    by: str
    place: str
    load: str
    plates: str = ""
    scale: str = ""
    unit: str = "kg"
    range: str = ""


async def calibrate(request: Request) -> Response:
    """The page."""
    return await _answer(request)


async def _answer(
    request: Request, *, form: Form | None = None, problem: str = "", status: int = 200, safe: bool = False
) -> Response:
    """The page, with what was typed before if that could not be read."""
    steelyard, asked = steelyard_of(request), request.query_params
    station = station_to_calibrate(steelyard, (form.station if form else asked.get("station")) or None)
    report = await run_in_threadpool(report_of, steelyard)  # a fit takes longer than a tap may wait
    readings = tuple(reversed(logged_readings(steelyard)))
    wrong = {one.reading.id: wording.reason_words(one) for one in report.fit.suspects} if report else {}
    saved = next((logged for logged in readings if logged.id == asked.get("saved")), None)
    all_turns = turns(steelyard, station)
    turn, range_ = _turn(all_turns, asked.get("turn", "")), asked.get("range", "")[:20]
    answer = page(
        request,
        "calibrate.html",
        machine=described(steelyard).machine,
        station=station,
        stations=[one for one in described(steelyard).machine.stations.values() if one.arm is not None],
        cautions=CAUTIONS,
        safe=safe or asked.get("safe") == "yes",
        turn=turn,
        turns=all_turns,
        form=form or _form(turn, station, readings[0].read.unit if readings else "kg", range_),
        loads=list(_loads(described(steelyard), station)),
        problem=problem,
        mind=scale_caution(saved.read.scale_kg, _range_kg(range_)) if saved else "",
        beware=scale_caution(turn.expected_kg, _range_kg(range_)) if turn else "",
        saved=_shown(saved, wrong.get(saved.id, "")) if saved else None,
        readings=[_shown(logged, wrong.get(logged.id, "")) for logged in readings],
        report=report,
        felt=report.felt(station.name) if report else None,
        known=steelyard.believed,
        unit=Unit.KG,
        words=wording,
    )
    answer.status_code = status
    return answer


def _shown(logged: LoggedReading, wrong: str) -> ReadingShown:
    return ReadingShown(logged.id, reading_words(logged.read), shown_words(logged.read), wrong)


def _turn(all_turns: tuple[Turn, ...], named: str) -> Turn | None:
    """The reading named by its number, else the first one that is not there."""
    for turn in all_turns:
        if named == str(turn.number):
            return turn
    return next((turn for turn in all_turns if not turn.done), None)


def _form(turn: Turn | None, station: Station, unit: str, range_: str) -> Form:
    """The form filled in for the reading asked for."""
    asked = turn.asked if turn else Asked(station.name, (station.from_rad + station.to_rad) / 2, "up", {})
    place = f"{math.degrees(asked.angle_rad or 0.0):.1f}".removesuffix(".0")
    load = stacks_words(asked.stacks or {})
    return Form(station.name, asked.creep or "up", "deg", place, load, unit=unit, range=range_)


def _loads(gym: Gym, station: Station) -> Iterator[str]:
    """What can be chosen to hang on: nothing, or one plate that may."""
    yield "empty"
    for horn in gym.machine.horns_of(station):
        for plate in gym.inventory.counts:
            try:
                check_load(gym, station, {horn.name: (plate,)})
            except LimitExceeded:
                continue
            yield f"{horn.name}={plate.name}"


async def read(request: Request) -> Response:
    """Record a reading. In a browser one that can't be read is shown again, with what is wrong."""
    tap = await read_tap(request, ReadingTap)
    typed = f"{tap.station} {_place(tap)} {tap.creep} {tap.plates.strip() or tap.load} {tap.scale} {tap.unit}"
    form = Form(tap.station, tap.creep, tap.by, tap.place, tap.load, tap.plates, tap.scale, tap.unit, tap.range)
    try:
        if tap.safe != "yes":
            raise OutOfRange("the cautions", "not confirmed", "confirmed below before anything is loaded")
        event = _record(request, typed, tap.range, tap.event)
    except SteelyardError as problem:
        if wants_json(request):
            raise
        return await _answer(
            request, form=form, problem=str(problem), status=status_of(problem), safe=tap.safe == "yes"
        )
    return answer_saved(request, event, _page(event, tap.station, tap.range))


def _place(tap: ReadingTap) -> str:
    """Where the handle was, in words; a bare number is in degrees or centimetres."""
    words = tap.place.strip()
    bare = NUMBER.fullmatch(words)
    if tap.by == "deg":
        return f"{words} deg" if bare else words
    return f"{tap.by} {words} cm" if bare else f"{tap.by} {words}"


async def check(request: Request) -> Response:
    """Record a check of the scale itself."""
    tap = await read_tap(request, CheckTap)
    event = _record(request, f"check {tap.hung} {tap.scale} {tap.unit}", tap.range, tap.event)
    return answer_saved(request, event, _page(event, "", tap.range))


def _record(request: Request, typed: str, range_: str, event: str | None) -> str:
    steelyard = steelyard_of(request)
    if event is not None and steelyard.knows(event):
        return event
    return take(steelyard, typed, Asked(), scale_range_kg=_range_kg(range_), event_id=event)


def _range_kg(words: str) -> float | None:
    """The most a scale can show, if it was said. [kg] Raises: OutOfRange."""
    return parse_mass(words).kg or None if words.strip() else None


def _page(saved: str, station: str, range_: str) -> str:
    """The page after something was saved."""
    asked = {"station": station, "range": range_.strip(), "safe": "yes", "saved": saved}
    return f"{PAGE}?{urlencode({name: value for name, value in asked.items() if value})}"


async def undo(request: Request) -> Response:
    """Take a reading back."""
    tap = await read_tap(request, UndoTap)
    steelyard = steelyard_of(request)
    if tap.event is None or not steelyard.knows(tap.event):
        forget(steelyard, tap.target, event_id=tap.event)
    return answer_saved(request, tap.target, f"{PAGE}?safe=yes")


async def believe(request: Request) -> Response:
    """Keep what the readings say, and reckon with it from now on."""
    tap = await read_tap(request, KeepTap)
    event = await run_in_threadpool(keep, steelyard_of(request), event_id=tap.event)
    return answer_saved(request, event, f"{PAGE}#kept")
