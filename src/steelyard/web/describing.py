"""Describing the machine on the page: a form with a live drawing, another person's file, and saving.

The draft lives in the form: every answer comes back with the page, whatever is wrong with it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime
from email.parser import BytesParser
from email.policy import HTTP
from urllib.parse import parse_qsl

from markupsafe import Markup
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, RedirectResponse, Response

from steelyard.drawing.side_view import draw_side_view
from steelyard.errors import DamagedFile, SteelyardError
from steelyard.home import LARGEST_FILE, machine_examples, read_text
from steelyard.machine.examples import example_text
from steelyard.machine.file import read_machine
from steelyard.machine.model import Machine
from steelyard.service import Steelyard
from steelyard.units import Unit
from steelyard.web.answers import Unreadable
from steelyard.web.describe_form import HEADINGS, Form, Problem, problem_of
from steelyard.web.render import page, steelyard_of
from steelyard.web.taps import read_body
from steelyard.workshop.describing import (
    CAUTIONS,
    FILE,
    PLATE_KG,
    StationFelt,
    checked,
    described,
    differences,
    felt_words,
    keep,
    outlines_left_out,
    posts_words,
    station_felts,
)
from steelyard.workshop.draft import Draft, draft_of_form, drafted, with_part, without_part

MOST_FIELDS = 50_000
IN_USE = "the machine in use"
FORMER = re.compile(r"machine-\d{8}-\d{6}(-\d{1,3})?\.toml")


@dataclass(frozen=True, slots=True)
class Asked:
    """What was posted: the answers, and beside them what to do, what to show and what the last sound machine was.

    aside: those other fields by name.
    """

    draft: Draft
    aside: dict[str, str]

    @property
    def origin(self) -> str:
        """What the description started from."""
        return self.aside.get("origin", IN_USE)[:200]


@dataclass(frozen=True, slots=True)
class Look:
    """What a sound machine looks like and comes to.

    shown:   name of the station in the drawing; empty for all.
    line:    what the station shown comes to, in a line.
    changes: against the machine in use.
    text:    its file.
    """

    shown: str
    drawing: Markup
    line: str
    felts: tuple[StationFelt, ...]
    changes: tuple[str, ...]
    left_out: tuple[str, ...]
    text: str


async def describe(request: Request) -> HTMLResponse:
    """The form, for the machine in use or one of the examples."""
    example = request.query_params.get("from", "")
    steelyard = steelyard_of(request)
    machine = read_machine(example_text(example), FILE) if example else steelyard.home.gym.machine
    origin = f"the example {example}" if example else IN_USE
    return _form_page(request, Asked(drafted(machine), {"origin": origin}))


async def start(request: Request) -> HTMLResponse:
    """What to start from."""
    return _start_page(request)


def _start_page(request: Request, *, pasted: str = "", problem: str = "") -> HTMLResponse:
    answer = page(request, "describe_start.html", examples=machine_examples(), pasted=pasted, problem=problem)
    answer.status_code = 422 if problem else 200
    return answer


async def take(request: Request) -> HTMLResponse:
    """The form for a file that was uploaded or pasted; what is wrong with it is told in one line."""
    name, data = _file_in(request.headers.get("content-type", ""), await read_body(request))
    text = data.decode("utf-8-sig", errors="replace").replace("\r\n", "\n")
    try:
        if len(data) > LARGEST_FILE:
            raise DamagedFile(name, "", f"{len(data)} bytes long", f"at most {LARGEST_FILE} bytes")
        if "\N{REPLACEMENT CHARACTER}" in text:
            raise DamagedFile(name, "", "not text", "text in UTF-8; save it again with that encoding")
        machine = checked(text, name, steelyard_of(request).home.gym.exercises)
    except DamagedFile as refused:
        return _start_page(request, pasted=text, problem=str(refused))
    return _form_page(request, Asked(drafted(machine), {"origin": f"the file {name}"}))


def _file_in(kind: str, body: bytes) -> tuple[str, bytes]:
    """Name and content of the file in a form that can carry one, else of the text pasted. Raises: Unreadable."""
    if not kind.startswith("multipart/form-data"):
        raise Unreadable("the body is not a form that carries a file; send one from the page")
    message = BytesParser(policy=HTTP).parsebytes(f"Content-Type: {kind}\r\n\r\n".encode() + body)
    pasted = b""
    for part in message.iter_parts():
        content = part.get_payload(decode=True)
        if not isinstance(content, bytes):
            continue
        if part.get_filename() and content:
            return " ".join(str(part.get_filename()).split())[:80], content
        if part.get_param("name", header="content-disposition") == "text":
            pasted = content
    return "the text pasted", pasted


async def change(request: Request) -> HTMLResponse:
    """The form again: drawn anew, with a part more or a part less."""
    asked = await _asked(request)
    verb, _, place = asked.aside.get("do", "draw").partition(".")
    if verb == "remove":
        return _form_page(request, Asked(without_part(asked.draft, place), asked.aside), opened=place)
    if verb != "add":
        return _form_page(request, asked)
    new = {key: asked.aside.get(f"new.{place}.{key}", "") for key in ("name", "like")}
    try:
        draft, made = with_part(asked.draft, place, **new)
    except DamagedFile as refused:
        return _form_page(request, asked, problem=problem_of(refused, asked.draft))
    left = {key: text for key, text in asked.aside.items() if not key.startswith("new.")}
    return _form_page(request, Asked(draft, left | {"show": _shown_with(made, asked)}), opened=made)


def _shown_with(place: str, asked: Asked) -> str:
    """The station to show once a part was added: the new one, else the one shown before."""
    head, _, rest = place.partition(".")
    return rest.split(".")[0] if head == "station" else asked.aside.get("show", "")


async def _asked(request: Request) -> Asked:
    """What the form says. Raises: Unreadable; OutOfRange for a field that it does not have."""
    body = await read_body(request)
    try:
        pairs = parse_qsl(body.decode(), keep_blank_values=True, max_num_fields=MOST_FIELDS)
    except ValueError:
        raise Unreadable("the body is not a form; send one from the page") from None
    aside = {name: text for name, text in pairs if _is_aside(name)}
    return Asked(draft_of_form(pair for pair in pairs if not _is_aside(pair[0])), aside)


def _is_aside(name: str) -> bool:
    return name in ("do", "show", "good", "origin") or name.startswith("new.")


def _form_page(
    request: Request, asked: Asked, *, opened: str = "", problem: Problem | None = None
) -> HTMLResponse:
    """The page, with the drawing of the draft, or of the last sound one if the draft is not."""
    steelyard = steelyard_of(request)
    look, found = _look(steelyard, asked)
    problem = problem or found
    answer = page(
        request,
        "describe.html",
        form=Form(asked.draft, steelyard.home.gym.exercises, problem, opened),
        problem=problem,
        headings=HEADINGS,
        look=look or _last_good(steelyard, asked),
        opened=opened,
        aside=asked.aside,
        origin=asked.origin,
        own=asked.origin == IN_USE,
        cautions=CAUTIONS,
        **_words(),
    )
    answer.status_code = 422 if problem else 200
    return answer


def _words() -> dict[str, object]:
    return {"plate_kg": PLATE_KG, "kg": Unit.KG, "posts": posts_words}


def _look(steelyard: Steelyard, asked: Asked) -> tuple[Look | None, Problem | None]:
    """What the draft looks like, or what is wrong with it."""
    try:
        machine, text = described(asked.draft, steelyard.home.gym.exercises)
        return _looked(steelyard, machine, text, asked.aside.get("show", "")), None
    except SteelyardError as refused:
        return None, problem_of(refused, asked.draft)


def _last_good(steelyard: Steelyard, asked: Asked) -> Look | None:
    text = asked.aside.get("good", "")
    try:
        machine = checked(text, FILE, steelyard.home.gym.exercises)
        return _looked(steelyard, machine, text, asked.aside.get("show", ""))
    except SteelyardError:
        return None


def _looked(steelyard: Steelyard, machine: Machine, text: str, show: str) -> Look:
    station = machine.stations.get(show)
    felts = station_felts(machine)
    line = next((felt_words(felt) for felt in felts if felt.station is station), "")
    in_use = steelyard.home.gym.machine
    return Look(
        shown=show if station else "",
        drawing=Markup(draw_side_view(machine, station=station)),
        line=f"{station.title}: {line}" if station else "",
        felts=felts,
        changes=differences(in_use, machine),
        left_out=outlines_left_out(in_use, machine, steelyard.home.outlines),
        text=text,
    )


async def drawing(request: Request) -> JSONResponse:
    """For the script: the drawing and the felt loads, or the one thing that is wrong."""
    asked = await _asked(request)
    look, problem = await run_in_threadpool(
        _look, steelyard_of(request), asked
    )  # a set's tap must not wait for it
    if look is None:
        assert problem is not None, "a draft that can't be drawn"
        told = {"key": problem.key, "target": problem.target, "name": problem.name, "words": problem.words}
        return JSONResponse({"problem": told})
    felt = request.app.state.templates.get_template("describe_felt.html").render(look=look, **_words())
    return JSONResponse({"drawing": str(look.drawing), "line": look.line, "felt": felt, "good": look.text})


async def save(request: Request) -> Response:
    """Keep the machine and go on with it; the page comes back as it was if anything is wrong."""
    steelyard, asked = steelyard_of(request), await _asked(request)
    try:
        machine, text = described(asked.draft, steelyard.home.gym.exercises)
        kept = keep(steelyard, text, datetime.now().astimezone())
    except SteelyardError as refused:
        return _form_page(request, asked, problem=problem_of(refused, asked.draft))
    assert machine == kept.home.gym.machine, "the machine that was checked is the one in use"
    former = f"?former={kept.former.name}" if kept.former else ""
    return RedirectResponse(f"/machine/describe/saved{former}", 303)


async def saved(request: Request) -> HTMLResponse:
    """What was saved, against what was there before."""
    steelyard = steelyard_of(request)
    machine, former = steelyard.home.gym.machine, request.query_params.get("former", "")
    path = steelyard.home.folder / former
    changes: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()
    if FORMER.fullmatch(former) and path.is_file():
        changes, left_out = _changed(path.name, read_text(path), steelyard)
    return page(
        request,
        "describe_saved.html",
        machine=machine,
        former=former if FORMER.fullmatch(former) and path.is_file() else "",
        changes=changes,
        left_out=left_out,
        calibration=steelyard.believed.note,
        cautions=CAUTIONS,
    )


def _changed(name: str, text: str, steelyard: Steelyard) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What the machine in use changes against a former file; a former one that was damaged tells nothing."""
    machine = steelyard.home.gym.machine
    try:
        was = read_machine(text, name)
    except DamagedFile:
        return (), ()
    return differences(was, machine), outlines_left_out(was, machine, steelyard.home.outlines)
