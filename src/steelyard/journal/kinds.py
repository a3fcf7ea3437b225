"""The kinds of events: how each is written, what its fields may hold, and how older versions are read.

A kind whose fields change gets the next version and an entry in `UPCASTERS`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from steelyard.journal import fields as f
from steelyard.journal.events import (
    Body,
    BodyMassMeasured,
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

Upcaster = Callable[[dict[str, Any]], dict[str, Any]]
"""Turns the body of one version into the body of the next."""

UPCASTERS: dict[tuple[str, int], Upcaster] = {
    ("session-started", 1): lambda body: body | {"order": []},
    ("set-done", 1): lambda body: body | {"advised_kg": None, "helped": 0},
    ("set-corrected", 1): lambda body: body | {"helped": None, "form": None},
}
"""By kind and the version it starts from."""


@dataclass(frozen=True, slots=True)
class Kind:
    """How one class of body is written: its name in the file, its version now, and a check for each field.

    alike: lists that must be of one length.
    """

    name: str
    version: int
    body: type[Body]
    fields: Mapping[str, f.Check]
    alike: tuple[str, ...] = ()


REPS = f.whole(0, 1000)
RIR = f.optional(f.whole(0, 50))

KINDS = (
    Kind(
        "lifter-joined",
        1,
        LifterJoined,
        {
            "lifter": f.TEXT,
            "name": f.TEXT,
            "unit": f.choice(*f.UNITS),
            "training_months": f.whole(0, 1200),
            "invented": f.FLAG,
        },
    ),
    Kind("body-mass-measured", 1, BodyMassMeasured, {"lifter": f.TEXT, "body_mass_kg": f.number(20, 400)}),
    Kind(
        "screening-answered",
        1,
        ScreeningAnswered,
        {"lifter": f.TEXT, "active_last_3_months": f.FLAG, "known_disease": f.FLAG, "symptoms": f.FLAG},
    ),
    Kind(
        "session-started",
        2,
        SessionStarted,
        {
            "session": f.TEXT,
            "lifter": f.TEXT,
            "outline": f.TEXT_OR_EMPTY,
            "machine": f.TEXT_OR_EMPTY,
            "order": f.PLACES,
        },
    ),
    Kind(
        "set-done",
        2,
        SetDone,
        {
            "session": f.TEXT_OR_EMPTY,
            "lifter": f.TEXT,
            "machine": f.TEXT_OR_EMPTY,
            "station": f.TEXT,
            "exercise": f.TEXT,
            "slot": f.TEXT_OR_EMPTY,
            "role": f.choice(*f.ROLES),
            "side": f.choice(*f.SIDES),
            "loading": f.LOADING,
            "felt_kg": f.number(0, 2000),
            "reps": REPS,
            "rir": RIR,
            "ended": f.choice(*f.ENDINGS),
            "rest_s": f.optional(f.number(0, 31_622_400)),
            "note": f.NOTE,
            "advised_kg": f.optional(f.number(0, 2000)),
            "helped": REPS,
        },
    ),
    Kind("set-skipped", 1, SetSkipped, {"session": f.TEXT, "slot": f.TEXT}),
    Kind(
        "set-corrected",
        2,
        SetCorrected,
        {
            "target": f.EVENT_ID,
            "reps": f.optional(REPS),
            "rir": RIR,
            "failed": f.optional(f.FLAG),
            "note": f.optional(f.NOTE),
            "helped": f.optional(REPS),
            "form": f.optional(f.FLAG),
        },
    ),
    Kind("event-deleted", 1, EventDeleted, {"target": f.EVENT_ID}),
    Kind("session-ended", 1, SessionEnded, {"session": f.TEXT}),
    Kind("sessions-joined", 1, SessionsJoined, {"sessions": f.COMPANY}),
    Kind("exercise-swapped", 1, ExerciseSwapped, {"session": f.TEXT, "place": f.PLACE, "exercise": f.TEXT}),
    Kind("exercise-postponed", 1, ExercisePostponed, {"session": f.TEXT, "place": f.PLACE, "after": f.PLACE}),
    Kind("station-closed", 1, StationClosed, {"session": f.TEXT, "station": f.TEXT}),
    Kind("plates-missing", 1, PlatesMissing, {"session": f.TEXT, "plates": f.NAMES}),
    Kind("load-chosen", 1, LoadChosen, {"session": f.TEXT, "slot": f.TEXT, "load_kg": f.MASS}),
    Kind("exercise-ended", 1, ExerciseEnded, {"session": f.TEXT, "place": f.PLACE, "why": f.choice(*f.WHYS)}),
    Kind(
        "time-shortened",
        1,
        TimeShortened,
        {"session": f.TEXT, "minutes": f.whole(1, 1440), "left_out": f.SLOTS},
    ),
    Kind(
        "scale-read",
        1,
        ScaleRead,
        {
            "machine": f.TEXT,
            "station": f.TEXT_OR_EMPTY,
            "angle_rad": f.number(-6.3, 6.3),
            "creep": f.choice(*f.CREEPS),
            "loads": f.LOADS,
            "plates": f.LOADING,
            "plates_sd": f.number(0, 1),
            "hung_kg": f.MASS,
            "scale_kg": f.MASS,
            "unit": f.choice(*f.SCALE_UNITS),
            "as_typed": f.TEXT_OR_EMPTY,
        },
    ),
    Kind(
        "machine-calibrated",
        1,
        MachineCalibrated,
        {
            "machine": f.TEXT,
            "described": f.TEXT,
            "names": f.NAMES,
            "values": f.FIGURES,
            "covariance": f.COVARIANCE,
            "noise": f.number(0, 1e6),
            "readings": f.EVENT_IDS,
            "suspects": f.EVENT_IDS,
        },
        alike=("names", "values", "covariance"),
    ),
)
