"""What each page shows, worked out once, so that the templates only lay it out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from markupsafe import Markup

from steelyard.drawing.beam import Beam, draw_beam
from steelyard.drawing.stack import HornChange, draw_stack, horn_change
from steelyard.journal.fold import LifterState
from steelyard.plates.instructions import instructions
from steelyard.plates.loading import felt_kg
from steelyard.plates.model import Loading, Move
from steelyard.recording import SessionView
from steelyard.training.gym import Gym, StationLoads
from steelyard.training.model import Exercise, PreparedSession, PreparedSet, Role
from steelyard.training.nearness import near_words
from steelyard.training.together import RunSheet
from steelyard.units import Unit
from steelyard.web import wording
from steelyard.workshop.pace import session_pace


@dataclass(frozen=True, slots=True)
class Bench:
    """A station as one lifter uses it for one exercise, and what is drawn of it."""

    gym: Gym
    loads: StationLoads
    unit: Unit

    def now_kg(self, loading: Loading) -> float:
        """What the lifter would feel with these plates; those on horns of another arm don't count. [kg]"""
        mine = {share.horn.name for share in self.loads.law.shares}
        return felt_kg(self.loads.law, {name: stack for name, stack in loading.items() if name in mine})

    def stack(self, loading: Loading, moves: Sequence[Move], *, small: bool = False) -> Markup:
        """The horns with this loading, and the moves that lead to it."""
        return Markup(draw_stack(self.changes(loading, moves), unit=self.unit, small=small))

    def changes(self, loading: Loading, moves: Sequence[Move]) -> list[HornChange]:
        """The horns that carry plates or are about to, or did; all of the station where none is."""
        sides = {share.horn.name: share.sides for share in self.loads.law.shares}
        sides |= {move.horn: move.sides for move in moves}
        horns = self.gym.machine.horns
        moved = [move.horn for move in moves]
        found = dict.fromkeys([*(name for name in self.loads.horns if loading.get(name)), *moved])
        return [
            horn_change(
                f"{name} horn",
                horns[name].length_m,
                sides.get(name, horns[name].sides),
                loading.get(name, ()),
                [move for move in moves if move.horn == name],
            )
            for name in found or self.loads.horns
        ]


def bench_for(gym: Gym, one: PreparedSet, body_mass_kg: float | None, unit: Unit) -> Bench:
    """The bench of a prepared set."""
    exercise = gym.exercises[one.exercise]
    station = gym.machine.stations[one.station]
    return Bench(gym, gym.loads(station, one_arm=exercise.one_arm, body_mass_kg=body_mass_kg), unit)


@dataclass(frozen=True, slots=True)
class SetShown:
    """The set to do now, ready for the template."""

    one: PreparedSet
    exercise: Exercise
    station: str
    beam: Markup
    stack: Markup
    words: str
    reps: str
    effort: str
    place: str
    side: str
    near: str
    keys: tuple[int, ...]

    @property
    def at_once(self) -> bool:
        """Whether it follows with no rest, or only a few breaths."""
        return self.one.role in (Role.DROP, Role.REST_PAUSE)


def set_shown(gym: Gym, view: SessionView) -> SetShown | None:
    """The set to do now; None when all is done."""
    one = view.current
    if one is None:
        return None
    bench = bench_for(gym, one, view.lifter.body_mass_kg, view.unit)
    beam = Beam(
        rungs_kg=tuple(view.prepared.ladders.get(one.station, bench.loads.felt_kg)),
        unit=view.unit,
        now_kg=bench.now_kg(view.on_horns) if one.moves else one.felt_kg,
        next_kg=one.felt_kg,
        fitting_kg=one.fitting_kg,
    )
    exercise = gym.exercises[one.exercise]
    return SetShown(
        one=one,
        exercise=exercise,
        station=bench.loads.station.title,
        beam=Markup(draw_beam(beam, title=f"{exercise.name}: the load")),
        stack=bench.stack(one.loading, one.moves) if bench.loads.horns or one.moves else Markup(),
        words=instructions(one.moves, bench.unit, named=len(bench.loads.horns) > 1),
        reps=wording.reps_wanted(one),
        effort=wording.effort_wanted(one),
        place=wording.place_in_exercise(one),
        side=wording.side_wanted(one),
        near=near_words(one),
        keys=wording.keys_for(one),
    )


@dataclass(frozen=True, slots=True)
class Line:
    """One set in the list of the evening before."""

    one: PreparedSet
    place: str
    side: str
    reps: str
    effort: str
    words: str
    near: str
    stack: Markup


@dataclass(frozen=True, slots=True)
class Block:
    """All sets of one exercise, under one beam."""

    exercise: Exercise
    station: str
    beam: Markup
    lines: tuple[Line, ...]
    pace: str

    @property
    def starts_s(self) -> float:
        """Where on the session's clock it begins. [s]"""
        return self.lines[0].one.starts_s


def blocks(gym: Gym, prepared: PreparedSession, body_mass_kg: float | None, unit: Unit) -> Iterator[Block]:
    """The prepared session, exercise by exercise."""
    pace = session_pace(gym, prepared)
    for _, group in groupby(prepared.sets, key=lambda one: (one.exercise, one.station)):
        sets = tuple(group)
        bench = bench_for(gym, sets[0], body_mass_kg, unit)
        exercise = gym.exercises[sets[0].exercise]
        beam = _beam_of(sets, tuple(prepared.ladders.get(sets[0].station, bench.loads.felt_kg)), unit)
        lines = tuple(_line(bench, one) for one in sets)
        drawn = Markup(draw_beam(beam, title=f"{exercise.name}: the loads"))
        yield Block(exercise, bench.loads.station.title, drawn, lines, pace.get(exercise.id, ""))


def _beam_of(sets: Sequence[PreparedSet], rungs_kg: tuple[float, ...], unit: Unit) -> Beam:
    """One beam for an exercise: the first work load in the accent, the others marked lightly."""
    main = next((one for one in sets if one.role is Role.WORK), sets[0])
    others = sorted({one.felt_kg for one in sets} - {main.felt_kg})
    return Beam(rungs_kg, unit, next_kg=main.felt_kg, fitting_kg=main.fitting_kg, also_kg=tuple(others))


def _line(bench: Bench, one: PreparedSet) -> Line:
    added = [move for move in one.moves if move.on]
    return Line(
        one=one,
        place=wording.place_in_exercise(one),
        side=wording.side_wanted(one),
        reps=wording.reps_wanted(one),
        effort=wording.effort_wanted(one),
        words=instructions(one.moves, bench.unit, named=len(bench.loads.horns) > 1),
        near=near_words(one),
        stack=bench.stack(one.loading, added, small=True) if bench.loads.horns else Markup(),
    )


@dataclass(frozen=True, slots=True)
class TurnBlock:
    """An exercise that several lifters do in turn: whose set, what they read, and its line."""

    exercise: Exercise
    station: str
    starts_s: float
    turns: tuple[tuple[LifterState, Unit, Line], ...]


def turn_blocks(gym: Gym, sheet: RunSheet, people: Mapping[str, LifterState]) -> Iterator[TurnBlock]:
    """A run sheet, exercise by exercise."""
    for (exercise, station), group in groupby(sheet.turns, key=lambda turn: (turn.one.exercise, turn.one.station)):
        turns = []
        for turn in group:
            who = people[turn.lifter]
            unit = Unit(who.unit)
            turns.append((who, unit, _line(bench_for(gym, turn.one, who.body_mass_kg, unit), turn.one)))
        starts_s = turns[0][2].one.starts_s
        yield TurnBlock(gym.exercises[exercise], gym.machine.stations[station].title, starts_s, tuple(turns))


def names_of(exercises: Mapping[str, Exercise]) -> dict[str, str]:
    """Exercise names by id."""
    return {id_: exercise.name for id_, exercise in exercises.items()}
