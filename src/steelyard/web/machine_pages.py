"""The machine on the page: all of it from the side, and each station with its curve, its loads and its steps."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from steelyard.drawing.beam import Beam, draw_beam
from steelyard.drawing.curves import draw_comparison, draw_curves
from steelyard.drawing.force_curve import curve_of, told_comparison, told_curve
from steelyard.drawing.side_view import draw_side_view
from steelyard.live.wording import exercise_names
from steelyard.machine.model import Station
from steelyard.machine.tempo import USUAL_TEMPO, parse_tempo
from steelyard.plates.loading import largest_gap
from steelyard.plates.model import Loading, Rung, plate_names
from steelyard.service import Steelyard, needs_body_mass
from steelyard.training.gym import Gym, StationLoads
from steelyard.units import Unit, in_unit, parse_mass
from steelyard.web.machine_words import increments, plates_of
from steelyard.web.render import page, steelyard_of
from steelyard.workshop.joints import part_of
from steelyard.workshop.motion import station_motion
from steelyard.workshop.motion_words import CAUTION, remarks, stroke_lines, warnings
from steelyard.workshop.pictures import USUAL_FELT_KG, band_of, compared, rung_near


@dataclass(frozen=True, slots=True)
class StationShown:
    """A station in the list: its number in the drawing, and its loads where they can be known."""

    number: int
    station: Station
    loads: StationLoads | None
    beam: Markup
    largest_step_kg: float


@dataclass(frozen=True, slots=True)
class Compared:
    """Two stations beside each other, as drawn and as said."""

    picture: Markup
    words: str


async def machine(request: Request) -> Response:
    """All of the machine from the side, its stations, their loads and what they are rated for."""
    steelyard = steelyard_of(request)
    unit = unit_asked(request)
    if unit is None:
        return RedirectResponse("/machine", 303)
    known = steelyard.gym.machine
    return page(
        request,
        "machine.html",
        machine=known,
        note=steelyard.believed.note,
        side=Markup(draw_side_view(known, unit=unit)),
        exercises=exercise_names(steelyard.gym.exercises),
        stations=list(_listed(steelyard, unit)),
        unit=unit,
        other=_other(unit),
    )


def _listed(steelyard: Steelyard, unit: Unit) -> list[StationShown]:
    return [
        _shown(number, station, _loads(steelyard, station), unit)
        for number, station in enumerate(steelyard.gym.machine.stations.values(), start=1)
    ]


def _shown(number: int, station: Station, loads: StationLoads | None, unit: Unit) -> StationShown:
    if loads is None:
        return StationShown(number, station, None, Markup(), 0.0)
    gap = largest_gap(loads.ladder)
    beam = draw_beam(Beam(loads.felt_kg, unit), title=f"{station.title}: every load")
    return StationShown(number, station, loads, Markup(beam), gap.step_kg if gap else 0.0)


def _loads(steelyard: Steelyard, station: Station) -> StationLoads | None:
    """The loads of a station; None where the body is the load and nobody has been weighed."""
    someone = _someone(steelyard)
    if someone is None and needs_body_mass(station):
        return None
    return steelyard.stations(someone, only=station.name)[0]


def _someone(steelyard: Steelyard) -> str | None:
    """A lifter whose body mass is known, so that body-weight stations can be shown for somebody."""
    known = [lifter for lifter in steelyard.lifters() if lifter.body_mass_kg is not None]
    return known[0].lifter if known else None


def unit_asked(request: Request) -> Unit | None:
    """The unit asked for; None for one that there isn't."""
    named = request.query_params.get("unit", "kg")
    return Unit(named) if named in list(Unit) else None


def _other(unit: Unit) -> Unit:
    return Unit.LB if unit is Unit.KG else Unit.KG


async def station(request: Request) -> Response:
    """One station: from the side, its curve near a felt load, its loads, its steps, and another beside it."""
    steelyard = steelyard_of(request)
    known = steelyard.gym.machine
    shown = known.station(request.path_params["station"])
    unit = unit_asked(request)
    if unit is None:
        return RedirectResponse(f"/station/{shown.name}", 303)
    loads, wanted_kg = _loads(steelyard, shown), _felt_asked(request, unit)
    rung = rung_near(loads, wanted_kg) if loads else None
    loading = rung.loading if rung else {}
    return page(
        request,
        "station.html",
        machine=known,
        note=steelyard.believed.note,
        station=shown,
        side=Markup(draw_side_view(known, station=shown, loading=loading, unit=unit)),
        plates=plates_of(known, shown, loading),
        exercises=exercise_names(steelyard.gym.exercises),
        joint=part_of(steelyard.gym, shown),
        motion_caution=CAUTION,
        motion=_in_motion(steelyard.gym, shown, loading, request.query_params.get("tempo", ""), unit),
        unit=unit,
        other_unit=_other(unit),
        felt=f"{in_unit(wanted_kg, unit):.1f}",
        others=[one for one in known.stations.values() if one.name != shown.name],
        asked=request.query_params.get("beside", ""),
        **_curve_and_loads(steelyard, loads, rung, unit),
        beside=_beside(steelyard, loads, request.query_params.get("beside", ""), wanted_kg, unit),
    )


@dataclass(frozen=True, slots=True)
class InMotion:
    """A station moved at a tempo, in words."""

    tempo: str
    strokes: tuple[tuple[str, ...], ...]
    remarks: tuple[str, ...]
    warnings: tuple[str, ...]


def _in_motion(gym: Gym, shown: Station, loading: Loading, asked: str, unit: Unit) -> InMotion | None:
    """What a loaded station comes to at the tempo asked for; None where no arm moves.

    Raises: OutOfRange if it is no tempo; LimitExceeded if it takes the cable over its rating.
    """
    if shown.arm is None:
        return None
    tempo = parse_tempo(asked.strip() or USUAL_TEMPO)
    moved = station_motion(gym, shown.name, plate_names(loading), tempo)
    return InMotion(
        str(tempo),
        (
            tuple(stroke_lines("raising", moved.raising, unit)),
            tuple(stroke_lines("lowering", moved.lowering, unit)),
        ),
        tuple(remarks(moved, unit)),
        tuple(warnings(moved, unit)),
    )


def _felt_asked(request: Request, unit: Unit) -> float:
    """The felt load asked for, else the usual one. [kg] Raises: OutOfRange if it is no mass."""
    asked = request.query_params.get("felt", "").strip()
    return parse_mass(asked[:40], unit).kg if asked else USUAL_FELT_KG


def _curve_and_loads(
    steelyard: Steelyard, loads: StationLoads | None, rung: Rung | None, unit: Unit
) -> dict[str, object]:
    """What is drawn and said of a station at one of its loads; nothing where its loads can't be known."""
    if loads is None or rung is None:
        return {"loads": None}
    curve = curve_of(
        steelyard.gym.machine, loads.law, rung.loading, band_n=band_of(steelyard, loads, rung.loading)
    )
    return {
        "loads": loads,
        "curve": Markup(draw_curves([curve], unit=unit, title=f"{curve.title}: force over the travel")),
        "banded": curve.band_kg is not None,
        "told": told_curve(curve, unit),
        "ladder": _shown(0, loads.station, loads, unit),
        "beam": Markup(
            draw_beam(Beam(loads.felt_kg, unit, next_kg=rung.felt_kg), title="Every load, and the one shown")
        ),
        "increments": increments(loads.law, loads.ladder, steelyard.gym.inventory, unit),
    }


def _beside(
    steelyard: Steelyard, loads: StationLoads | None, name: str, wanted_kg: float, unit: Unit
) -> Compared | None:
    """Another station near the same felt load; None if none was asked for, or loads can't be known. [kg]"""
    if not name or loads is None:
        return None
    known = steelyard.gym.machine
    other = _loads(steelyard, known.station(name))
    if other is None:
        return None
    pair = compared((known, loads), (known, other), wanted_kg)
    return Compared(Markup(draw_comparison(*pair, unit=unit)), told_comparison(*pair, unit))
