"""The shipped boathouse, its people and their sets, for tests of training, review, use cases and commands."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from datetime import UTC, datetime, timedelta
from functools import cache
from math import floor, log
from pathlib import Path
from random import Random
from typing import Any

from steelyard.home import Home
from steelyard.journal.events import ScreeningAnswered, SetDone
from steelyard.journal.fold import LifterState, LoggedSet
from steelyard.journal.port import Journal
from steelyard.journal.sqlite import SqliteJournal
from steelyard.machine.examples import example_text as machine_text
from steelyard.machine.file import read_machine
from steelyard.plates.example import example_text as plates_text
from steelyard.plates.file import read_inventory
from steelyard.plates.model import Inventory, Loading
from steelyard.plates.moves import replay
from steelyard.service import Steelyard
from steelyard.strength.curve import REPS_SCALE, reps_to_failure
from steelyard.strength.fatigue import Pools
from steelyard.strength.outlook import Outlook
from steelyard.strength.recovery import MEN
from steelyard.training.exercises import exercises
from steelyard.training.gym import Gym, StationLoads
from steelyard.training.model import Outline, PreparedSession, PreparedSet, Role
from steelyard.training.outline import read_outline
from steelyard.training.outlines import outline_names, outline_text
from steelyard.units import Unit

NOW = datetime(2026, 3, 4, 18, 30, tzinfo=UTC)
"""A Wednesday evening."""


@cache
def boathouse() -> Gym:
    """The shipped gym with the shipped plates."""
    return boathouse_with(read_inventory(plates_text(), "plates.toml"))


def boathouse_with(inventory: Inventory) -> Gym:
    """The shipped gym with other plates."""
    return Gym(read_machine(machine_text("boathouse"), "machine.toml"), inventory, exercises())


@cache
def outlines() -> dict[str, Outline]:
    """The shipped outlines by name."""
    return {name: read_outline(outline_text(name), name, exercises()) for name in outline_names()}


def outline_of(*items: str) -> Outline:
    """An outline of these `[[exercise]]` tables, each without its head."""
    text = 'name = "trial"\n' + "".join(f"[[exercise]]\n{item}\n" for item in items)
    return read_outline(text, "trial.toml", exercises())


def home() -> Home:
    """The boathouse as a home that is on no disk."""
    return Home(Path("boathouse"), boathouse(), outlines())


def loads_for(exercise: str, gym: Gym | None = None, *, body_mass_kg: float | None = 70.0) -> StationLoads:
    """The loads of the first station that serves an exercise."""
    gym = gym or boathouse()
    one_arm = gym.exercises[exercise].one_arm
    return gym.loads(gym.stations_for(exercise)[0], one_arm=one_arm, body_mass_kg=body_mass_kg)


def lifter(**changes: Any) -> LifterState:
    """Ida, two years of training, 70 kg, changed as told."""
    joined_at = NOW - timedelta(days=100)
    usual: dict[str, Any] = {
        "lifter": "ida",
        "name": "Ida",
        "unit": "kg",
        "training_months": 24,
        "joined_at": joined_at,
        "invented": True,
        "body_mass_kg": 70.0,
        "screening": ScreeningAnswered("ida", True, False, False),
        "screening_at": joined_at,
    }
    return LifterState(**usual | changes)


def logged(felt_kg: float, reps: int, rir: int | None = 0, *, days_ago: float = 7.0, **changes: Any) -> LoggedSet:
    """A work set at the chest-supported row, so many days before NOW, changed as told.

    rir: reps said to be left; 0 stands for failure, None for nobody said.
    """
    ended = {None: "unsaid", 0: "failure"}.get(rir, "reported")
    usual: dict[str, Any] = {
        "session": "",
        "lifter": "ida",
        "machine": boathouse().machine.name,
        "station": "row-chest",
        "exercise": "lever_row_chest",
        "slot": "",
        "role": Role.WORK,
        "side": "both",
        "loading": {},
        "felt_kg": felt_kg,
        "reps": reps,
        "rir": rir,
        "ended": ended,
    }
    done = SetDone(**usual | changes)
    at = NOW - timedelta(days=days_ago)
    return LoggedSet(f"{at.isoformat()}-{done.exercise}-{done.slot}-{done.side}", at, done, "test")


def known_at(maxima_kg: dict[str, float], *, days_ago: float = 7.0) -> list[LoggedSet]:
    """Two telling sets for each exercise: someone with these felt maxima who stopped with one rep left."""
    found = []
    for number, (exercise, maximum_kg) in enumerate(maxima_kg.items()):
        loads = loads_for(exercise)
        rung = loads.ladder[loads.at_most(0.72 * maximum_kg)]
        reps = max(1, floor(reps_to_failure(rung.felt_kg / maximum_kg)) - 1)
        for turn in range(2):
            ago = days_ago - (10 * number + 3 * turn) / 1440
            place = {"exercise": exercise, "station": loads.station.name}
            found.append(logged(rung.felt_kg, reps, 1, days_ago=ago, **place))
    return found


def promising(able_kg: float, *, sd_log: float = 0.03) -> Outlook:
    """What a rested lift promises of which a load that just can't be lifted is known, to a relative error."""
    return Outlook(
        log_able_kg=log(able_kg),
        variance=sd_log**2,
        with_curve=0.0,
        curve_variance=0.0,
        scale=REPS_SCALE,
        typical_scale=REPS_SCALE,
        missing=0.0,
        capacity=1.0,
        candour=0.0,
        candour_sd=0.0,
        log_max=log(able_kg * REPS_SCALE / (REPS_SCALE + 1.0)),
        sd_log_max=sd_log,
    )


@cache
def strong() -> tuple[LoggedSet, ...]:
    """A week-old history that tells every exercise of the shipped outlines."""
    names = {item.exercise for outline in outlines().values() for item in outline.items}
    lightest = {name: loads_for(name).ladder[0].felt_kg for name in sorted(names)}
    return tuple(known_at({name: 40.0 + 1.5 * kg for name, kg in lightest.items()}))


class Clock:
    """A clock that stands still until it is told to go on."""

    def __init__(self) -> None:
        self.now = NOW

    def __call__(self) -> datetime:
        return self.now

    def wait(self, **span: float) -> None:
        """Go on by a `timedelta`."""
        self.now += timedelta(**span)


def steelyard(
    journal: Journal | None = None, *, clock: Callable[[], datetime] = lambda: NOW, seed: int = 7
) -> Steelyard:
    """The use cases on the boathouse with a journal in memory; nobody has joined."""
    return Steelyard(home(), journal or SqliteJournal.memory(), clock=clock, random=Random(seed), origin="test")


def join(use: Steelyard, name: str = "ida", *, months: int = 24, body_mass_kg: float = 70.0) -> str:
    """A lifter joins and is weighed; returns the id."""
    use.add_lifter(name, name.title(), Unit.KG, months)
    use.record_body_mass(name, body_mass_kg)
    return name


def tell_strength(use: Steelyard, name: str, sets: Iterable[LoggedSet] | None = None) -> None:
    """Log the telling sets of `strong`, or others, for a lifter; their plates are left out."""
    for each in strong() if sets is None else sets:
        done = each.done
        station = loads_for(done.exercise)
        rung = station.ladder[station.at_most(done.felt_kg + 0.0005)]
        plates = {horn: tuple(plate.name for plate in stack) for horn, stack in rung.loading.items()}
        use.log_loose(name, done.exercise, plates, done.reps, rir=done.rir, station=done.station, at=each.at)


def as_done(planned: PreparedSet, number: int, reps: int, rir: int | None, **changes: Any) -> LoggedSet:
    """A set of a prepared session as a lifter did it, this many minutes after NOW."""
    place = {
        "session": "today",
        "station": planned.station,
        "exercise": planned.exercise,
        "slot": planned.slot,
        "role": planned.role,
        "side": planned.side,
        "loading": {horn: tuple(plate.name for plate in stack) for horn, stack in planned.loading.items()},
    }
    return logged(planned.felt_kg, reps, rir, days_ago=-number * 3 / 1440, **place | changes)


def replayed(session: PreparedSession, on_horns: Loading) -> Iterator[tuple[PreparedSet, Loading]]:
    """Every set with what its moves make of what was on the horns before."""
    for one in session.sets:
        on_horns = replay(on_horns, one.moves)
        yield one, on_horns


class Body:
    """A simulated lifter with a true felt maximum for every exercise, who tires and counts honestly."""

    def __init__(self, maxima_kg: dict[str, float], seed: int = 1) -> None:
        self.maxima_kg = maxima_kg
        self._random = Random(seed)
        self._tired: dict[str, Pools] = {}

    def does(self, planned: PreparedSet) -> tuple[int, int]:
        """Reps completed and reps left."""
        share = planned.felt_kg / self.maxima_kg[planned.exercise]
        key = f"{planned.exercise} {planned.side}"
        pools = self._tired.get(key, Pools()).after_rest(max(planned.rest_s, 10.0), MEN.fast_s, MEN.slow_s)
        capacity = max(0.05, 1.0 - pools.missing(MEN.fast_share))
        able = max(0, floor(reps_to_failure(share, capacity=capacity) + self._random.gauss(0.0, 0.5)))
        reps = max(min(able, 1), min(planned.reps_high, able - planned.rir))
        self._tired[key] = pools.after_set(share * reps / REPS_SCALE)
        return reps, able - reps
