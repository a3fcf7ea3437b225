"""A station with plates on, moved at a tempo: what it comes to, where it floats, what friction does."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from steelyard.errors import LimitExceeded
from steelyard.machine.extremes import highest
from steelyard.machine.floating import Floating, floating, steady_tempo
from steelyard.machine.model import Cable, Station
from steelyard.machine.motion import Stroke, raise_stroke
from steelyard.machine.statics import Way, mechanism_of
from steelyard.machine.strokes import (
    LoadedLift,
    StrokeFigures,
    course_of,
    loaded_lift,
    stroke_figures,
    stroke_work,
    strokes_of,
)
from steelyard.machine.tempo import Tempo
from steelyard.plates.discs import discs_of
from steelyard.plates.limits import shown_pull
from steelyard.plates.model import Loading
from steelyard.training.gym import Gym


@dataclass(frozen=True, slots=True)
class StationMotion:
    """A loaded station moved at a tempo.

    tempo:     as asked for. timed: the same with the time of a raise as fast as possible.
    smooth_n:  mean force while raising, were there no friction. [N]
    floats:    the strokes in which the load floats.
    steady:    a tempo at which it does not; None if no tempo helps.
    tension_n: the largest on one cable in either stroke; None on a lever. [N]
    """

    station: Station
    loading: Loading
    tempo: Tempo
    timed: Tempo
    lift: LoadedLift
    raising: StrokeFigures
    lowering: StrokeFigures
    smooth_n: float
    floats: tuple[Floating, ...]
    steady: Tempo | None
    tension_n: float | None


def station_motion(
    gym: Gym,
    station: str,
    names: Mapping[str, tuple[str, ...]],
    tempo: Tempo,
    *,
    one_arm: bool = False,
    attachment: str | None = None,
) -> StationMotion:
    """What a station with these plates comes to at a tempo.

    names: plates by horn, innermost first.

    Raises: UnknownName for a station, horn, plate or attachment not here; OutOfRange for a station without an arm;
            LimitExceeded if the loading breaks a rated limit, or the cable's in this motion.
    """
    place = gym.machine.station(station)
    mechanism_of(gym.machine, place)
    loading = gym.allowed(gym.loads(place, one_arm=one_arm), names)
    lift = loaded_lift(gym.machine, place, discs_of(loading), one_arm=one_arm, attachment=attachment)
    up, down = strokes_of(lift, tempo)
    return StationMotion(
        station=place,
        loading=loading,
        tempo=tempo,
        timed=tempo.over(lift.stroke_m),
        lift=lift,
        raising=stroke_figures(lift, up),
        lowering=stroke_figures(lift, down),
        smooth_n=mean_without_friction(lift),
        floats=tuple(found for stroke in (up, down) if (found := floating(lift, stroke)) is not None),
        steady=steady_tempo(lift, tempo),
        tension_n=checked_tension(lift, place, tempo),
    )


def mean_without_friction(lift: LoadedLift) -> float:
    """Mean force over the travel, were there no friction; the tempo does not matter. [N]"""
    up = raise_stroke(lift.mechanism, 1.0)
    return stroke_work(lift, Stroke(up.from_rad, up.to_rad, 1.0, Way.FRICTIONLESS)) / lift.stroke_m


def checked_tension(lift: LoadedLift, station: Station, tempo: Tempo) -> float | None:
    """The largest tension of a station's cable at a tempo; None on a lever. [N]

    Raises: LimitExceeded if it is more than the cable is rated for.
    """
    if not isinstance(station.drive, Cable):
        return None
    tension_n = max(
        highest(lambda shares, stroke=stroke: course_of(lift, stroke, shares).tension_n)[1]  # type: ignore[misc]
        for stroke in strokes_of(lift, tempo)
    )
    rated_n = station.drive.rated_n
    if rated_n is not None and tension_n > rated_n:
        name = f"cable tension at station {station.name}, tempo {tempo}"
        shown, rated = (shown_pull(round(1000 * pull)) for pull in (tension_n, rated_n))
        raise LimitExceeded(name, shown, rated, "move more slowly, or take plates off; a cable that parts hurts")
    return tension_n
