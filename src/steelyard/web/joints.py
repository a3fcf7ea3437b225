"""The page of a station's joint: a short form, the plain answer, the curve, and what it was made of."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup
from starlette.datastructures import QueryParams
from starlette.requests import Request
from starlette.responses import HTMLResponse

from steelyard.errors import SteelyardError
from steelyard.machine.body import Body
from steelyard.training.gym import Gym
from steelyard.units import parse_length, parse_mass
from steelyard.web.answers import status_of
from steelyard.web.render import page, steelyard_of
from steelyard.workshop.joints import (
    JointLook,
    Part,
    cautions,
    drawing,
    known_station,
    look_at,
    sentences,
    stations_with_joints,
)
from steelyard.workshop.wording import opened

EXAMPLE = {"stature": "175 cm", "mass": "75 kg", "felt": "30 kg", "beside": "", "one_arm": ""}
"""What is shown until somebody asks for their own: nobody in particular."""
LONGEST = 40


@dataclass(frozen=True, slots=True)
class Asked:
    """What the form holds, as it was typed."""

    stature: str
    mass: str
    felt: str
    beside: str
    one_arm: str

    def looks(self, gym: Gym, station: str) -> tuple[JointLook, JointLook | None]:
        """The station, and the one beside it where one was asked for. Raises: SteelyardError."""
        body = Body(parse_length(self.stature), parse_mass(self.mass).kg)
        one_arm = bool(self.one_arm)
        look = look_at(gym, station, body, near_kg=parse_mass(self.felt).kg, one_arm=one_arm)
        if not self.beside:
            return look, None
        return look, look_at(gym, self.beside, body, near_kg=look.felt_kg, one_arm=one_arm)


def asked(query: QueryParams) -> Asked:
    """The form as it was sent; the example for what was left out."""
    return Asked(**{key: query.get(key, usual)[:LONGEST].strip() for key, usual in EXAMPLE.items()})


async def joints(request: Request) -> HTMLResponse:
    """Where a curl or a press is hard; what a bent-over row asks of the back. Raises: SteelyardError."""
    steelyard = steelyard_of(request)
    gym = steelyard.gym
    station, part = known_station(gym, request.path_params["station"])
    form, problem, looks = asked(request.query_params), None, None
    try:
        looks = form.looks(gym, station.name)
    except SteelyardError as found:
        problem = found
    answer = page(
        request,
        "joints.html",
        station=station,
        form=form,
        others=_others(gym, station.name, part),
        example=not request.query_params,
        problem=opened(str(problem)) if problem else "",
        unit=parse_mass(form.felt).unit if looks else None,
        curve=Markup(drawing(*looks) or "") if looks else "",
        sentences=sentences(gym, *looks) if looks else (),
        notes=_notes(looks) if looks else (),
        cautions=cautions(looks[0]) if looks else (),
        looks=[each for each in looks if each] if looks else [],
    )
    answer.status_code = status_of(problem) if problem else 200
    return answer


def _others(gym: Gym, name: str, part: Part) -> dict[str, str]:
    """Titles by name of the stations that can be laid beside this one."""
    known = stations_with_joints(gym)
    alike = (each for each, other in known.items() if other is part and each != name and part is not Part.TRUNK)
    return {each: gym.machine.stations[each].title for each in alike}


def _notes(looks: tuple[JointLook, JointLook | None]) -> list[str]:
    """What was taken for granted, under the station's name."""
    views = [look.view for look in looks if look is not None and look.view is not None]
    return [opened(f"{view.title}: {note}.") for view in views for note in view.notes]
