"""A demo home: the boathouse gym of an invented rowing club, with six weeks of invented history.

Two invented lifters share one machine. Each has a hidden strength that nothing but their reps reveals: the history
is made by preparing every session with the real code and letting them do it, so what the demo shows is what the
software would have said. Before the first session somebody reads a scale at three stations; the machine that the
scale pulls on is not quite the one in the file.
"""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from itertools import product
from math import degrees, exp, floor, radians
from pathlib import Path
from random import Random

from steelyard.errors import DamagedFile
from steelyard.home import Home, make_home, read_home
from steelyard.journal.events import (
    Body,
    BodyMassMeasured,
    Event,
    LifterJoined,
    ScreeningAnswered,
    SessionEnded,
    SessionStarted,
    SetDone,
    make_event,
    new_id,
)
from steelyard.journal.fold import LifterState, LoggedSet, SessionState, fold
from steelyard.journal.sqlite import SqliteJournal
from steelyard.machine.curve import resistance_curve
from steelyard.machine.fit import fit_readings
from steelyard.machine.model import Cable, Machine
from steelyard.machine.reading import Reading
from steelyard.machine.statics import mechanism_of
from steelyard.plates.discs import post_loads
from steelyard.plates.model import plate_names
from steelyard.strength.curve import REPS_SCALE, reps_to_failure
from steelyard.strength.fatigue import Pools
from steelyard.strength.recovery import MEN
from steelyard.training.believed import believed
from steelyard.training.gym import Gym
from steelyard.training.model import PreparedSet, Role
from steelyard.training.prepare import prepare
from steelyard.training.rules import SECONDS_PER_REP
from steelyard.units import felt_kg
from steelyard.workshop.fitting import what_was_found
from steelyard.workshop.taking import Asked, reading_from, reading_in
from steelyard.workshop.typed import read_line

Load = Mapping[str, tuple[str, ...]]
"""Plate names by horn, innermost first."""

DEMO_FOLDER = "steelyard-demo"
MARK_FILE = "demo.txt"
UNFINISHED = "Invented people and history, not yet whole; may be thrown away.\n"
WHOLE = "Invented people and history; may be thrown away.\n"
WEEKS = 6
SEED = 41
READ_AT = {"row": 5, "high-pulley": 3, "low-pulley": 3}
"""Where the scale is read, and at how many angles."""
READ_WITH: tuple[Load, ...] = ({}, {"tip": ("20 kg",)})
SCALE_NOISE_KG = 0.12
TRAINING_HOURS = {0: 18, 2: 18, 4: 17}
"""Monday and Wednesday at six in the evening, Friday at five."""


@dataclass(frozen=True, slots=True)
class InventedLifter:
    """A made-up person: what the journal knows, and the hidden strength that it does not.

    maxima_kg: felt one-rep maximum at the start, by exercise. [kg]
    gain_per_week: relative.
    """

    id: str
    name: str
    unit: str
    months: int
    body_mass_kg: float
    gain_per_week: float
    maxima_kg: dict[str, float]


def ensure_demo(
    folder: Path, now: datetime, *, afresh: bool = False, making: Callable[[], None] = lambda: None
) -> bool:
    """Make the demo home unless it is there; returns whether it was made.

    One that was interrupted while it was made is made anew.

    afresh: throw an earlier demo away first. making: called when it is about to be made, which takes some seconds.

    Raises: DamagedFile if the folder holds something that is not a demo home, or can't be written.
    """
    mark = folder / MARK_FILE
    if folder.is_file() or (folder.is_dir() and any(folder.iterdir())):
        if not mark.is_file():
            accepted = "an empty or new folder, or an earlier demo; choose another with --home"
            raise DamagedFile(str(folder), "", "something else than a demo home", accepted)
        if not afresh and mark.read_text(encoding="utf-8") != UNFINISHED:
            return False
        shutil.rmtree(folder)
    _begin(folder)
    making()
    make_home(folder)
    journal = SqliteJournal(folder / "journal.db")
    try:
        journal.append(invented_history(read_home(folder), now))
    finally:
        journal.close()
    mark.write_text(WHOLE, encoding="utf-8")
    return True


def _begin(folder: Path) -> None:
    """A folder that is marked as a demo home from the first moment, though not as a whole one."""
    mark = folder / MARK_FILE
    try:
        folder.mkdir(parents=True, exist_ok=True)
        mark.write_text(UNFINISHED, encoding="utf-8")
    except OSError as problem:
        accepted = "a folder that can be made; choose another with --home"
        raise DamagedFile(str(folder), "", f"not writable ({problem.strerror})", accepted) from problem


def invented_history(home: Home, now: datetime) -> Iterator[Event]:
    """Six weeks of sessions, three a week for each lifter, that end the day before now."""
    random = Random(SEED)
    first_day = (now - timedelta(weeks=WEEKS)).replace(hour=0, minute=0, second=0, microsecond=0)
    calibration = list(invented_calibration(home.gym, first_day + timedelta(hours=10), random))
    yield from calibration
    gym = believed(home.gym, fold(calibration).calibrations[home.gym.machine.name]).gym
    for lifter in invented_lifters():
        teller = _Teller(replace(home, gym=gym), lifter, random)
        yield from teller.introduction(first_day)
        names = sorted(home.outlines)
        turn = 0
        for day in range(WEEKS * 7):
            morning = first_day + timedelta(days=day)
            hour = TRAINING_HOURS.get(morning.weekday())
            if hour is not None:
                begins = morning.replace(hour=hour) + timedelta(minutes=105 if lifter.id == "marek" else 0)
                yield from teller.session(names[turn % len(names)], begins, weeks=day / 7)
                turn += 1


def invented_calibration(gym: Gym, at: datetime, random: Random) -> Iterator[Event]:
    """A morning with a hanging scale, reading by reading, and what it found."""
    scale = _Scale(gym, random.gauss(1.0, 0.005), random)
    readings: list[Reading] = []
    for number, (station, angle_deg, creep, load) in enumerate(_places(gym.machine)):
        line = scale.line(station, angle_deg, creep, load)
        read = reading_from(read_line(line, gym), Asked(), gym, as_typed=line)
        event = make_event(read, origin="demo", at=at + timedelta(seconds=20 * number), random=random)
        readings.append(reading_in(event.id, read))
        yield event
    found = what_was_found(gym.machine, fit_readings(gym.machine, readings))
    yield make_event(found, origin="demo", at=at + timedelta(minutes=30), random=random)


def _places(machine: Machine) -> Iterator[tuple[str, float, str, Load]]:
    """Station, arm angle in degrees, creep and load of each reading."""
    for station, count in READ_AT.items():
        angles = mechanism_of(machine, machine.stations[station]).angles(count)
        for load, angle, creep in product(READ_WITH, angles, ("up", "down")):
            yield station, round(degrees(angle), 1), creep, load


@dataclass(frozen=True, slots=True)
class _Scale:
    """A scale with its gain and noise, hung on the machine that really stands in the invented boathouse."""

    gym: Gym
    gain: float
    random: Random

    def line(self, station: str, angle_deg: float, creep: str, load: Load) -> str:
        """What somebody types who reads it."""
        real = _as_built(self.gym.machine)
        bare = replace(real.stations[station], attachments=())
        curve = resistance_curve(real, bare, (radians(angle_deg),), post_loads(self.gym.loading(load)))
        (force_n,) = curve.raising_n if creep == "up" else curve.lowering_n
        shown_kg = felt_kg(force_n) * self.gain + self.random.gauss(0.0, SCALE_NOISE_KG)
        plates = " ".join(f"{horn}={','.join(stack)}" for horn, stack in load.items()) or "empty"
        return f"{station} {angle_deg:g} deg {creep} {plates} {shown_kg:.2f} kg"


def _as_built(machine: Machine) -> Machine:
    """The machine behind the invented readings: its arm is heavier and its wheels stiffer than the file says."""
    arms = {
        name: replace(arm, mass_kg=arm.mass_kg + 1.1, hinge_torque_n_m=arm.hinge_torque_n_m + 1.2)
        for name, arm in machine.arms.items()
    }
    stations = {
        name: replace(station, drive=replace(station.drive, efficiency=station.drive.efficiency - 0.012))
        if isinstance(station.drive, Cable)
        else station
        for name, station in machine.stations.items()
    }
    return replace(machine, arms=arms, stations=stations)


def invented_lifters() -> tuple[InventedLifter, ...]:
    """The demo's two people. Names, masses and strengths are made up."""
    tove = {
        "lever_row_chest": 66.0,
        "pulldown_front": 58.0,
        "inverted_row": 76.0,
        "curl_lever": 30.0,
        "curl_cable_one_arm": 13.0,
        "chest_press_lever": 52.0,
        "shoulder_press_lever": 38.0,
        "lateral_raise_cable": 9.5,
        "triceps_pushdown": 30.0,
        "squat_belt": 118.0,
        "rdl_lever": 98.0,
        "pull_through": 62.0,
        "calf_raise_standing": 120.0,
    }
    marek = {exercise: 1.38 * kg for exercise, kg in tove.items()}
    return (
        InventedLifter("tove", "Tove Ambler (invented)", "kg", 20, 68.0, 0.006, tove),
        InventedLifter("marek", "Marek Quillan (invented)", "lb", 50, 88.0, 0.003, marek),
    )


class _Teller:
    """Tells one invented lifter's history, session by session."""

    def __init__(self, home: Home, lifter: InventedLifter, random: Random) -> None:
        self._home = home
        self._lifter = lifter
        self._random = random
        self._past: list[LoggedSet] = []
        self._state: LifterState | None = None

    def introduction(self, at: datetime) -> Iterator[Event]:
        """The lifter joins, is weighed and answers the screening questions."""
        who = self._lifter
        joined = LifterJoined(who.id, who.name, who.unit, who.months, invented=True)
        answers = ScreeningAnswered(who.id, active_last_3_months=True, known_disease=False, symptoms=False)
        yield self._event(joined, at)
        yield self._event(BodyMassMeasured(who.id, who.body_mass_kg), at + timedelta(minutes=1))
        yield self._event(answers, at + timedelta(minutes=2))
        self._state = LifterState(
            who.id, who.name, who.unit, who.months, at, True, who.body_mass_kg, at, answers, at
        )

    def session(self, outline: str, begins: datetime, *, weeks: float) -> Iterator[Event]:
        """One session done to its end: prepared, performed, and prepared again after each test set."""
        who, form = self._lifter, exp(self._random.gauss(0.0, 0.02) + self._lifter.gain_per_week * weeks)
        session = new_id(self._random)
        yield self._event(SessionStarted(session, who.id, outline, self._home.gym.machine.name), begins)
        done: list[LoggedSet] = []
        tired: dict[str, Pools] = {}
        at, remaining = begins, self._remaining(outline, session, begins, done)
        while remaining:
            planned = remaining.pop(0)
            rest_s = max(planned.rest_s, 20.0) if done else 120.0
            at += timedelta(seconds=rest_s + SECONDS_PER_REP * planned.reps_high)
            body = self._perform(session, planned, form, tired, rest_s if done else None)
            event = self._event(body, at)
            yield event
            done.append(LoggedSet(event.id, at, body, event.origin))
            self._past.append(done[-1])
            if planned.role is Role.TEST:
                remaining = self._remaining(outline, session, begins, done)
        yield self._event(SessionEnded(session), at + timedelta(minutes=2))

    def _remaining(self, outline: str, session: str, begins: datetime, done: list[LoggedSet]) -> list[PreparedSet]:
        """What is left of a session, as the software prepares it."""
        machine = self._home.gym.machine.name
        today = SessionState(
            session, self._lifter.id, outline, machine, begins, None, tuple(done), frozenset(), ()
        )
        now = done[-1].at if done else begins
        assert self._state is not None, "the lifter is introduced before the first session"
        prepared = prepare(
            self._home.gym, self._home.outlines[outline], self._state, self._past, now=now, today=today
        )
        return list(prepared.sets)

    def _perform(
        self, session: str, planned: PreparedSet, form: float, tired: dict[str, Pools], rest_s: float | None
    ) -> SetDone:
        """What the invented body makes of a planned set, and what the invented mind says of it."""
        maximum_kg = self._lifter.maxima_kg[planned.exercise] * form
        share = planned.felt_kg / maximum_kg
        key = f"{planned.exercise} {planned.side}"
        pools = tired.get(key, Pools()).after_rest(max(planned.rest_s, 10.0), MEN.fast_s, MEN.slow_s)
        capacity = max(0.05, 1.0 - pools.missing(MEN.fast_share))
        able = max(0, floor(reps_to_failure(share, capacity=capacity) + self._random.gauss(0.0, 0.6)))
        wanted = able - planned.rir if planned.role is not Role.WARM_UP else planned.reps_high
        reps = max(min(able, 1), min(planned.reps_high, wanted))
        tired[key] = pools.after_set(share * reps / REPS_SCALE)
        failed = reps >= able and planned.rir == 0
        left = 0 if failed else max(0, min(5, round(able - reps + self._random.gauss(0.0, 0.7))))
        says = planned.role in (Role.WORK, Role.TEST)
        return SetDone(
            session=session,
            lifter=self._lifter.id,
            machine=self._home.gym.machine.name,
            station=planned.station,
            exercise=planned.exercise,
            slot=planned.slot,
            role=planned.role,
            side=planned.side,
            loading=plate_names(planned.loading),
            felt_kg=planned.felt_kg,
            reps=reps,
            rir=left if says else None,
            ended=("failure" if failed else "reported") if says else "unsaid",
            rest_s=rest_s,
        )

    def _event(self, body: Body, at: datetime) -> Event:
        return make_event(body, origin="demo", at=at, random=self._random)
