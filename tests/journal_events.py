"""Events for the journal's tests: plain ones to name in a test, and hypothesis strategies for any of them."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone
from typing import Any

from hypothesis import strategies as st

from steelyard.journal.events import (
    Body,
    BodyMassMeasured,
    Event,
    EventDeleted,
    ExerciseEnded,
    ExercisePostponed,
    ExerciseSwapped,
    LifterJoined,
    LoadChosen,
    MachineCalibrated,
    PlatesMissing,
    ScaleRead,
    ScreeningAnswered,
    SessionEnded,
    SessionsJoined,
    SessionStarted,
    SetCorrected,
    SetDone,
    SetSkipped,
    StationClosed,
    TimeShortened,
)
from steelyard.journal.fields import CREEPS, ENDINGS, ROLES, SCALE_UNITS, SIDES, UNITS, WHYS

START = datetime(2026, 3, 2, 18, 30, tzinfo=UTC)


def event(number: int, body: Body, *, minute: float | None = None, origin: str = "cli") -> Event:
    """The event with this number as its id, at START plus as many minutes unless told otherwise."""
    at = START + timedelta(minutes=number if minute is None else minute)
    return Event(f"{number:032x}", origin, at, body)


def id_of(number: int) -> str:
    """The id of the event with this number."""
    return f"{number:032x}"


def set_done(**changes: Any) -> SetDone:
    """A work set of rows in the session "monday", changed as told."""
    usual: dict[str, Any] = {
        "session": "monday",
        "lifter": "ida",
        "machine": "boathouse",
        "station": "row",
        "exercise": "seal-row",
        "slot": "1.work.1",
        "role": "work",
        "side": "both",
        "loading": {"tip": ("20 kg", "5 kg")},
        "felt_kg": 41.5,
        "reps": 8,
        "rir": 2,
        "ended": "reported",
        "rest_s": 120.0,
    }
    return SetDone(**usual | changes)


def scale_read(**changes: Any) -> ScaleRead:
    """The boathouse's rows read with a 20 kg plate each side, creeping up, changed as told."""
    usual: dict[str, Any] = {
        "machine": "boathouse",
        "station": "row",
        "angle_rad": 0.1,
        "creep": "up",
        "loads": {"tip": (20.0, 0.36)},
        "plates": {"tip": ("20 kg",)},
        "plates_sd": 0.015,
        "hung_kg": 0.0,
        "scale_kg": 42.5,
        "unit": "kg",
        "as_typed": "tip=20 kg up 42.5 kg",
    }
    return ScaleRead(**usual | changes)


def calibrated(**changes: Any) -> MachineCalibrated:
    """A calibration of the boathouse in two coordinates from one reading, changed as told."""
    usual: dict[str, Any] = {
        "machine": "boathouse",
        "described": "0123456789abcdef",
        "names": ("arm.main.along_kg_m", "scale.gain"),
        "values": (8.4, 0.01),
        "covariance": ((0.04, -0.001), (-0.001, 0.0001)),
        "noise": 1.1,
        "readings": (id_of(1),),
        "suspects": (),
    }
    return MachineCalibrated(**usual | changes)


def session(count: int, *, number: int = 0, day: int = 0) -> list[Event]:
    """A session of this many sets, its events numbered from number * 1000."""
    first, name = number * 1000, f"session-{number}"
    bodies: list[Body] = [SessionStarted(name, "ida", "pull", "boathouse")]
    bodies += [set_done(session=name, slot=f"{n}.work.1", reps=5 + n % 6) for n in range(count)]
    bodies.append(SessionEnded(name))
    return [event(first + n, body, minute=day * 1440 + 2 * n) for n, body in enumerate(bodies)]


_NAMES = st.text(st.characters(exclude_categories=["Cc", "Cs", "Zl", "Zp"]), min_size=1, max_size=12).filter(
    str.strip
)
_NOTES = st.one_of(
    st.sampled_from(["", "=1+1", "left shoulder\nagain", "\u2028"]),
    st.text(st.characters(exclude_categories=["Cc", "Cs"]), max_size=20),
)
_ZONES = st.timedeltas(timedelta(hours=-23), timedelta(hours=23)).map(timezone)
_ANY_TIME = st.datetimes(datetime(2, 1, 1), datetime(9998, 12, 31), timezones=_ZONES)  # noqa: DTZ001  zones are drawn
_ANY_ID = st.integers(0, 2**128 - 1).map(id_of)


def _maybe(strategy: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return st.none() | strategy


def _readings(names: st.SearchStrategy[str]) -> st.SearchStrategy[ScaleRead]:
    masses = st.floats(0, 2000)
    return st.builds(
        ScaleRead,
        machine=names,
        station=st.just("") | names,
        angle_rad=st.floats(-6.28, 6.28),
        creep=st.sampled_from(CREEPS),
        loads=st.dictionaries(names, st.tuples(masses, masses), max_size=2),
        plates=st.dictionaries(names, st.lists(names, max_size=2).map(tuple), max_size=2),
        plates_sd=st.floats(0, 1),
        hung_kg=masses,
        scale_kg=masses,
        unit=st.sampled_from(SCALE_UNITS),
        as_typed=st.just("") | names,
    )


@st.composite
def _calibrations(
    draw: st.DrawFn, names: st.SearchStrategy[str], targets: st.SearchStrategy[str]
) -> MachineCalibrated:
    """One with a symmetric covariance of the size of its estimates, from none to three of them."""
    count, figures = draw(st.integers(0, 3)), st.floats(-1e9, 1e9)
    drawn = [[abs(draw(figures)) if at == to else draw(figures) for to in range(at + 1)] for at in range(count)]
    square = tuple(tuple(drawn[max(at, to)][min(at, to)] for to in range(count)) for at in range(count))
    some_ids = st.lists(targets, max_size=3).map(tuple)
    return MachineCalibrated(
        draw(names),
        draw(names),
        tuple(draw(names) for _ in range(count)),
        tuple(draw(figures) for _ in range(count)),
        square,
        draw(st.floats(0, 1e6)),
        draw(some_ids),
        draw(some_ids),
    )


def _changes_of_mind(names: st.SearchStrategy[str]) -> st.SearchStrategy[Body]:
    places, some_names = st.integers(1, 9), st.lists(names, max_size=3).map(tuple)
    return st.one_of(
        st.builds(ExerciseSwapped, names, places, names),
        st.builds(ExercisePostponed, names, places, places),
        st.builds(StationClosed, names, names),
        st.builds(PlatesMissing, names, some_names),
        st.builds(LoadChosen, names, names, st.floats(0, 2000)),
        st.builds(ExerciseEnded, names, places, st.sampled_from(WHYS)),
        st.builds(TimeShortened, names, st.integers(1, 1440), some_names),
    )


def bodies(
    names: st.SearchStrategy[str], targets: st.SearchStrategy[str], notes: st.SearchStrategy[str] = _NOTES
) -> st.SearchStrategy[Body]:
    """Any body, its names and targets drawn from those given."""
    reps, rirs, flags = st.integers(0, 1000), st.integers(0, 50), st.booleans()
    done = st.builds(
        SetDone,
        session=st.just("") | names,
        slot=st.just("") | names,
        lifter=names,
        machine=names,
        station=names,
        exercise=names,
        role=st.sampled_from(ROLES),
        side=st.sampled_from(SIDES),
        loading=st.dictionaries(names, st.lists(names, max_size=3).map(tuple), max_size=2),
        felt_kg=st.floats(0, 2000),
        reps=reps,
        rir=_maybe(rirs),
        ended=st.sampled_from(ENDINGS),
        rest_s=_maybe(st.floats(0, 1e6)),
        note=notes,
    )
    figures = (_maybe(reps), _maybe(rirs), _maybe(flags), _maybe(notes), _maybe(reps), _maybe(flags))
    corrected = st.builds(SetCorrected, targets, *figures)
    return st.one_of(
        done,
        corrected,
        st.builds(EventDeleted, targets),
        st.builds(LifterJoined, names, names, st.sampled_from(UNITS), st.integers(0, 1200), flags),
        st.builds(BodyMassMeasured, names, st.floats(20, 400)),
        st.builds(ScreeningAnswered, names, flags, flags, flags),
        st.builds(SessionStarted, names, names, names, names, st.lists(st.integers(1, 9), max_size=4).map(tuple)),
        st.builds(SetSkipped, names, names),
        st.builds(SessionEnded, names),
        st.builds(SessionsJoined, st.lists(names, min_size=2, max_size=2, unique=True).map(tuple)),
        _changes_of_mind(names),
        _readings(names),
        _calibrations(names, targets),
    )


def any_events() -> st.SearchStrategy[Event]:
    """Any single event that may be written at all."""
    return st.builds(Event, _ANY_ID, _NAMES, _ANY_TIME, bodies(_NAMES, _ANY_ID))


@st.composite
def event_streams(draw: st.DrawFn) -> list[Event]:
    """Events with different ids that share few names, times and targets, so that they meddle with one another.

    Targets include events that come later, that never come, and the event itself.
    """
    count = draw(st.integers(0, 24))
    names, targets = st.sampled_from(["a", "b"]), st.integers(0, count).map(id_of)
    body = bodies(names, targets, notes=st.sampled_from(["", "x"]))
    minutes = st.integers(0, 5)
    return [event(number, draw(body), minute=draw(minutes), origin=draw(names)) for number in range(count)]
