"""What each page shows, worked out once, so that the templates only lay it out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from markupsafe import Markup

from steelyard.drawing.beam import Beam, draw_beam
from steelyard.drawing.stack import draw_stack
from steelyard.journal.fold import LifterState
from steelyard.live import wording
from steelyard.live.bench import Bench, bench_for
from steelyard.plates.instructions import instructions
from steelyard.plates.model import Move
from steelyard.training.gym import Gym
from steelyard.training.model import Exercise, PreparedSession, PreparedSet, Role
from steelyard.training.nearness import near_words
from steelyard.training.together import RunSheet
from steelyard.units import Unit
from steelyard.workshop.pace import session_pace


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
        stack=_small_stack(bench, one, added) if bench.loads.horns else Markup(),
    )


def _small_stack(bench: Bench, one: PreparedSet, added: Sequence[Move]) -> Markup:
    return Markup(draw_stack(bench.changes(one.loading, added), unit=bench.unit, small=True))


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
