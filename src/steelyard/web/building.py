"""How to build a felt load: the short form on the page of plates, and its answer."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from markupsafe import Markup
from starlette.datastructures import QueryParams

from steelyard.drawing.stack import HornChange, draw_stack
from steelyard.errors import SteelyardError
from steelyard.machine.model import Horn
from steelyard.plates.instructions import stack_words
from steelyard.plates.model import Loading
from steelyard.service import Steelyard, needs_body_mass
from steelyard.units import Unit, parse_mass
from steelyard.web.answers import status_of
from steelyard.workshop.building import Build, build, loads_without
from steelyard.workshop.wording import opened

NEAR_KG = 0.5
"""How near is near enough where nobody says; as on the terminal. [kg]"""
LONGEST = 40


@dataclass(frozen=True, slots=True)
class Asked:
    """What the form holds, as it was sent. without: kinds of plate that are missing, all of each."""

    station: str
    felt: str
    without: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Way:
    """One way to build it, ready for the template."""

    build: Build
    words: str
    stack: Markup


@dataclass(frozen=True, slots=True)
class Shown:
    """The form and what was found; status: of the answer that shows it."""

    asked: Asked
    stations: Mapping[str, str]
    ways: tuple[Way, ...] = ()
    problem: str = ""
    status: int = 200


def building(steelyard: Steelyard, query: QueryParams) -> Shown:
    """The form as it was sent, and the answer if a load was asked for."""
    asked = Asked(
        query.get("station", "")[:LONGEST],
        query.get("felt", "")[:LONGEST].strip(),
        tuple(query.getlist("without")),
    )
    stations = {
        name: station.title
        for name, station in steelyard.gym.machine.stations.items()
        if not needs_body_mass(station)
    }
    if not asked.felt:
        return Shown(asked, stations)
    try:
        wanted = parse_mass(asked.felt)
        loads = loads_without(steelyard, asked.station, asked.without)
        answer = build(loads.ladder, wanted.kg, NEAR_KG, wanted.unit)
    except SteelyardError as problem:
        return Shown(asked, stations, problem=opened(str(problem)), status=status_of(problem))
    ways = tuple(way(one, loads.horns, wanted.unit) for one in answer.builds)
    return Shown(asked, stations, ways, opened(str(answer.refusal or "")))


def way(one: Build, horns: Mapping[str, Horn], unit: Unit) -> Way:
    """A build in words and drawn."""
    loading = one.rung.loading
    return Way(one, stack_words(loading, horns), Markup(draw_stack(carrying(loading, horns), unit=unit)))


def carrying(loading: Loading, horns: Mapping[str, Horn]) -> list[HornChange]:
    """The horns that carry plates; all where none does."""
    return [
        HornChange(f"{name} horn", horn.length_m, horn.sides, loading.get(name, ()))
        for name, horn in horns.items()
        if loading.get(name) or not any(loading.values())
    ]
