"""One set as it is shown, said and logged at the machine, as plain data."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import partial
from typing import Any

from steelyard.live import wording
from steelyard.live.bench import Bench, bench_for
from steelyard.live.minds import place_of, stops
from steelyard.live.once import Once
from steelyard.live.speech import change_said, pause_said, set_said
from steelyard.plates.house import after_set
from steelyard.plates.instructions import instructions
from steelyard.plates.model import Loading, plate_names
from steelyard.recording import SessionView
from steelyard.training.gym import Gym
from steelyard.training.model import PreparedSet, Role
from steelyard.training.nearness import near_words
from steelyard.training.together import Turn
from steelyard.units import show_mass
from steelyard.workshop.wording import opened

Card = dict[str, Any]
"""One set as plain data; docs/live-screen.md names every field."""


@dataclass(frozen=True, slots=True)
class Shared:
    """What the cards of a screen refer to: pieces of their drawings, and the ways to stop at an exercise."""

    pieces: Once = field(default_factory=Once)
    stops: Once = field(default_factory=Once)


def cards(
    gym: Gym, turns: Sequence[tuple[SessionView, Turn]], on_horns: Loading, shared: Shared
) -> Iterator[Card]:
    """The sets that are left, in order, each from what the one before it leaves on the horns.

    turns: whose session, and which set. on_horns: what hangs in the house now. shared: takes what they refer to.
    """
    for view, turn in turns:
        one = turn.one
        bench = bench_for(gym, one, view.lifter.body_mass_kg, view.unit)
        yield card(bench, view, turn, on_horns, shared)
        own = [horn.name for horn in gym.machine.horns_of(bench.loads.station)]
        on_horns = after_set(on_horns, one.loading, own, gym.machine.horns, gym.inventory)


def card(bench: Bench, view: SessionView, turn: Turn, on_horns: Loading, shared: Shared) -> Card:
    """One set of a session, from what hangs in the house before it."""
    one, session = turn.one, view.session.session
    exercise = bench.gym.exercises[one.exercise]
    do = instructions(one.moves, bench.unit, named=len(bench.loads.horns) > 1)
    rungs_kg = view.prepared.ladders.get(one.station, bench.loads.felt_kg)
    return {
        "slot": one.slot,
        "session": session,
        "lifter": view.lifter.lifter,
        "exercise": one.exercise,
        "name": exercise.name,
        "station": bench.loads.station.title,
        "role": str(one.role),
        "place": wording.place_in_exercise(one),
        "side": wording.side_wanted(one),
        "at_once": one.paired or one.role in (Role.DROP, Role.REST_PAUSE),
        "low": one.reps_low,
        "high": one.reps_high,
        "reps": wording.reps_wanted(one),
        "effort": wording.effort_wanted(one),
        "rir": one.rir,
        "do": do,
        "lead": lead_words(one, do),
        "say": said(bench, one, exercise.name),
        "felt": show_mass(one.felt_kg, bench.unit),
        "reason": one.reason,
        "runner_up": one.runner_up,
        "near": near_words(one),
        "rest_s": round(one.rest_s, 1),
        "starts_s": round(one.starts_s, 1),
        "lasts_s": round(one.lasts_s, 1),
        "keys": list(wording.keys_for(one)),
        "beam": shared.pieces.places(bench.beam(one, rungs_kg, on_horns, f"{exercise.name}: the load")),
        "stack": shared.pieces.places(bench.stack(one.loading, one.moves)),
        "stops": shared.stops.place((session, place_of(one)), partial(stops, bench.gym, view, one)),
        "body": logged_as(view, one),
    }


def lead_words(one: PreparedSet, do: str) -> str:
    """The first thing to do for a set, as a sentence. do: its plate changes in words."""
    if one.role is Role.DROP:
        return f"Strip now: {do}. Go at once." if do else "The plates stay. Go at once."
    if one.role is Role.REST_PAUSE:
        return f"Rest {one.rest_s:.0f} s, same load, go again."
    if one.paired:
        return f"Straight on: {do}." if do else "Straight on, the plates stay."
    return f"{opened(do)}." if do else "The plates stay as they are."


def said(bench: Bench, one: PreparedSet, name: str) -> str:
    """What a voice reads out before a set: first the plates, then what is wanted."""
    if one.role is Role.REST_PAUSE:
        return pause_said(one.rest_s)
    change = change_said(one.moves, bench.unit, strip=one.role is Role.DROP)
    if one.role is Role.DROP:
        return change
    reps, effort = wording.reps_wanted(one), wording.effort_wanted(one)
    wanted = set_said(name, wording.place_in_exercise(one), reps, effort, side=wording.side_wanted(one))
    return f"{opened(change)}. {wanted}" if change else f"Plates stay. {wanted}"


def logged_as(view: SessionView, one: PreparedSet) -> dict[str, Any]:
    """What the event of a set says beyond what its card says; reps, effort and remarks come with the tap."""
    return {
        "machine": view.prepared.machine,
        "station": one.station,
        "side": str(one.side),
        "loading": {horn: list(names) for horn, names in sorted(plate_names(one.loading).items())},
        "felt_kg": one.felt_kg,
        "advised_kg": one.advised_kg,
    }
