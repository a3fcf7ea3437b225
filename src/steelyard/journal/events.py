"""What can happen, as frozen and versioned events.

An event is identified by an id made where it happened. The same event twice is one event, and the order in which
events arrive does not matter. Nothing is ever changed or removed: corrections and deletions are events too.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Protocol

from steelyard.errors import OutOfRange


@dataclass(frozen=True, slots=True)
class LifterJoined:
    """A lifter, or their new details; the latest one counts.

    unit: ``kg`` or ``lb``, for display. training_months: months of regular training at the time of the event.
    invented: a made-up person of the demo.
    """

    lifter: str
    name: str
    unit: str
    training_months: int
    invented: bool = False


@dataclass(frozen=True, slots=True)
class BodyMassMeasured:
    """A lifter stood on a scale. [kg]"""

    lifter: str
    body_mass_kg: float


@dataclass(frozen=True, slots=True)
class ScreeningAnswered:
    """The three screening questions, answered yes or no; stays on this device unless exported."""

    lifter: str
    active_last_3_months: bool
    known_disease: bool
    symptoms: bool


@dataclass(frozen=True, slots=True)
class SessionStarted:
    """A lifter began a session from an outline on a machine.

    order: places of the outline's exercises, from 1, in the order in which they are done; empty for as they stand.
    """

    session: str
    lifter: str
    outline: str
    machine: str
    order: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class SetDone:
    """A set was done.

    slot:    its place in the prepared session; empty for a set logged by itself.
    role:    warm-up, test, work, drop or rest-pause.
    side:    both, left or right.
    loading: plate names by horn, innermost first, on one post of each side.
    felt_kg: felt load as believed when it was done. [kg]
    rir:     reps said to be left; None if nobody said.
    ended:   failure, reported, form (it broke) or unsaid.
    rest_s:  rest before it as measured; None if not known. [s]
    advised_kg: felt load that was advised; None if none was. [kg]
    helped:  how many of the reps, the last ones, were helped or cut short.
    """

    session: str
    lifter: str
    machine: str
    station: str
    exercise: str
    slot: str
    role: str
    side: str
    loading: dict[str, tuple[str, ...]]
    felt_kg: float
    reps: int
    rir: int | None
    ended: str
    rest_s: float | None = None
    note: str = ""
    advised_kg: float | None = None
    helped: int = 0


@dataclass(frozen=True, slots=True)
class SetSkipped:
    """A set of the prepared session was left out."""

    session: str
    slot: str


@dataclass(frozen=True, slots=True)
class SetCorrected:
    """A set done is to be read differently; fields left None stay as they were. The latest correction counts.

    failed: the set ended in failure (rir is then 0); None leaves the ending as it was or as rir implies.
    helped: how many of the reps, the last ones, were helped or cut short.
    form:   the set ended because form broke (nobody said then what was left); None leaves the ending alone.
    """

    target: str
    reps: int | None = None
    rir: int | None = None
    failed: bool | None = None
    note: str | None = None
    helped: int | None = None
    form: bool | None = None


@dataclass(frozen=True, slots=True)
class EventDeleted:
    """An event is to be read as if it had not happened."""

    target: str


@dataclass(frozen=True, slots=True)
class SessionEnded:
    """The session is over."""

    session: str


@dataclass(frozen=True, slots=True)
class SessionsJoined:
    """These sessions of different lifters are lived through in turn from now on; the first named begins."""

    sessions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ExerciseSwapped:
    """A place of the outline, from 1, is another exercise for the rest of this session; the latest counts."""

    session: str
    place: int
    exercise: str


@dataclass(frozen=True, slots=True)
class ExercisePostponed:
    """Somebody is at the station: this place of the outline, from 1, is done after another one."""

    session: str
    place: int
    after: int


@dataclass(frozen=True, slots=True)
class StationClosed:
    """A station is out of order for the rest of this session."""

    session: str
    station: str


@dataclass(frozen=True, slots=True)
class PlatesMissing:
    """All the plates that are missing from now on; the latest of a session counts, an empty one says none is.

    plates: each a plate, for all of its kind, or a plate, ``*`` and how many, such as ``5 kg*1``.
    """

    session: str
    plates: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LoadChosen:
    """The lifter wants another load than advised for a set of the prepared session. [kg]

    load_kg: felt load at the handle.
    """

    session: str
    slot: str
    load_kg: float


@dataclass(frozen=True, slots=True)
class ExerciseEnded:
    """A place of the outline, from 1, is over for this session. why: pain, sign (to stop at once) or enough."""

    session: str
    place: int
    why: str


@dataclass(frozen=True, slots=True)
class TimeShortened:
    """So many minutes were left, and these slots are left out for that; the latest of a session counts. [min]

    left_out: as worked out when it was said, so that what is left does not hang on the clock of whoever reads it.
    """

    session: str
    minutes: int
    left_out: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ScaleRead:
    """A scale at a station's handle was read, to calibrate the machine; on paired arms at one arm's handle.

    station:   empty for a check of the scale itself, with a known mass hung straight on it.
    angle_rad: arm angle when it was read; 0 for a check. [rad]
    creep:     which way the handle crept while it was read: up, down or held.
    loads:     mass and stack moment on one post, by horn; a horn left out is empty. [kg], [kg m]
    plates:    the names of those plates by horn, innermost first, on one post.
    plates_sd: relative standard deviation of their mass: small if they were weighed.
    hung_kg:   for a check of the scale, the mass hung on it; else 0. [kg]
    scale_kg:  what the scale showed. [kg]
    unit:      in which it was read: kg, lb or N.
    as_typed:  the person's own words.
    """

    machine: str
    station: str
    angle_rad: float
    creep: str
    loads: dict[str, tuple[float, float]]
    plates: dict[str, tuple[str, ...]]
    plates_sd: float
    hung_kg: float
    scale_kg: float
    unit: str
    as_typed: str = ""


@dataclass(frozen=True, slots=True)
class MachineCalibrated:
    """What scale readings say of a machine is to be believed from now on; the latest of a machine counts.

    described:  fingerprint of the described machine that the fit started from.
    names, values, covariance: the estimates, in coordinates that the machine room names; as many of each.
    noise:      what the fit left of the readings' scatter, relative to what was expected of a scale.
    readings:   ids of the readings used; suspects are the ids of those left out.
    """

    machine: str
    described: str
    names: tuple[str, ...]
    values: tuple[float, ...]
    covariance: tuple[tuple[float, ...], ...]
    noise: float
    readings: tuple[str, ...]
    suspects: tuple[str, ...]


Body = (
    LifterJoined
    | BodyMassMeasured
    | ScreeningAnswered
    | SessionStarted
    | SetDone
    | SetSkipped
    | SetCorrected
    | EventDeleted
    | SessionEnded
    | SessionsJoined
    | ExerciseSwapped
    | ExercisePostponed
    | StationClosed
    | PlatesMissing
    | LoadChosen
    | ExerciseEnded
    | TimeShortened
    | ScaleRead
    | MachineCalibrated
)


@dataclass(frozen=True, slots=True)
class Event:
    """Something that happened.

    id:     32 hexadecimal digits, made at the origin.
    origin: the device or program where it happened, such as ``cli`` or ``page-3f2a``.
    at:     when, with a time zone.
    """

    id: str
    origin: str
    at: datetime
    body: Body


class BitSource(Protocol):
    """Where new ids come from: `random.SystemRandom()`, or a seeded `random.Random` where runs must repeat."""

    def getrandbits(self, k: int, /) -> int:
        """k random bits as a whole number."""
        ...


def new_id(random: BitSource) -> str:
    """A new event id: 32 hexadecimal digits.

    >>> from random import Random
    >>> len(new_id(Random(1)))
    32
    """
    return f"{random.getrandbits(128):032x}"


def make_event(body: Body, *, origin: str, at: datetime, random: BitSource) -> Event:
    """A new event, with an id of its own and its time in UTC.

    origin: the device or program where it happened.
    at:     when, with a time zone.
    random: where the id comes from.

    Raises: OutOfRange if the time has no time zone.
    """
    if at.utcoffset() is None:
        raise OutOfRange("the time of the event", at.isoformat(), "a time with its time zone")
    return Event(new_id(random), origin, at.astimezone(UTC), body)
