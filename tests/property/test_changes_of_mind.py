"""Whatever a lifter changes their mind about, and in whatever order: laws that what is left of a session keeps."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from gyms import NOW, as_done, boathouse, lifter, outlines, strong
from steelyard.journal.events import (
    Body,
    Event,
    EventDeleted,
    ExerciseEnded,
    ExercisePostponed,
    ExerciseSwapped,
    LoadChosen,
    PlatesMissing,
    SessionStarted,
    SetSkipped,
    StationClosed,
    TimeShortened,
)
from steelyard.journal.fold import SessionState, fold
from steelyard.plates.loading import check_loading, felt_kg
from steelyard.training.model import Outline, PreparedSession
from steelyard.training.prepare import Task, prepare_task

GYM = boathouse()
PLATES = [plate.name for plate in GYM.inventory.counts]
SLOTS = [f"{place}.{role}.{n}{side}" for place in (1, 2, 3) for role in ("warm-up", "work", "drop")
         for n in (1, 2, 3) for side in ("", ".left", ".right")]  # fmt: skip
PAIRED = replace(
    outlines()["pull"],
    items=tuple(replace(item, superset=place == 1) for place, item in enumerate(outlines()["pull"].items)),
)


@dataclass(frozen=True)
class Do:
    """The lifter does the set that is next, with so many reps and so many left."""

    reps: int
    rir: int


@dataclass(frozen=True)
class Undo:
    """The lifter takes back what happened so many events ago."""

    back: int


def _plates() -> st.SearchStrategy[str]:
    counts = st.sampled_from(["", "*1", "*2", "*99", "*0"])
    return st.builds("{}{}".format, st.sampled_from([*PLATES, "7 kg", ""]), counts)


def changes() -> st.SearchStrategy[Body]:
    """Changes of mind, also such as make no sense."""
    session, places, slots = st.just("today"), st.integers(1, 6), st.sampled_from([*SLOTS, "nonsense"])
    some_slots = st.lists(slots, max_size=4).map(tuple)
    return st.one_of(
        st.builds(ExerciseSwapped, session, places, st.sampled_from([*GYM.exercises, "moon_walk"])),
        st.builds(ExercisePostponed, session, places, places),
        st.builds(StationClosed, session, st.sampled_from([*GYM.machine.stations, "nowhere"])),
        st.builds(PlatesMissing, session, st.lists(_plates(), max_size=2).map(tuple)),
        st.builds(LoadChosen, session, slots, st.sampled_from([0.0, 5.0, 37.3, 60.0, 1999.0])),
        st.builds(ExerciseEnded, session, places, st.sampled_from(["pain", "sign", "enough"])),
        st.builds(TimeShortened, session, st.integers(1, 60), some_slots),
        st.builds(SetSkipped, session, slots),
    )


def steps() -> st.SearchStrategy[list[Do | Undo | Body]]:
    do = st.builds(Do, st.integers(0, 12), st.integers(0, 5))
    return st.lists(do | changes() | changes() | st.builds(Undo, st.integers(1, 4)), min_size=1, max_size=8)


def prepared(today: SessionState, outline: Outline, minutes: int) -> tuple[Task, PreparedSession]:
    now = NOW + timedelta(minutes=minutes)
    task = Task(GYM, outline, lifter(), [*strong(), *today.sets], now, today)
    return task, prepare_task(task, {})


def lived(outline: Outline, steps: list[Do | Undo | Body]) -> list[Event]:
    """The events of a session in which all this happened, a minute apart."""
    events = [Event(f"{0:032x}", "test", NOW, SessionStarted("today", "ida", outline.name, GYM.machine.name))]
    for number, step in enumerate(steps, start=1):
        body = step
        if isinstance(step, Undo):
            body = EventDeleted(events[max(1, len(events) - step.back)].id) if len(events) > 1 else None
        elif isinstance(step, Do):
            left = prepared(fold(events).sessions["today"], outline, number)[1].sets
            body = replace(as_done(left[0], number, step.reps, step.rir).done) if left else None
        if body is not None:
            events.append(Event(f"{number:032x}", "test", NOW + timedelta(minutes=number), body))
    return events


@given(st.sampled_from([*outlines().values(), PAIRED]), steps())
@settings(max_examples=60, deadline=None)
def test_what_is_left_keeps_every_word_and_every_limit(outline: Outline, steps: list[Do | Undo | Body]) -> None:
    today = fold(lived(outline, steps)).sessions["today"]
    task, session = prepared(today, outline, len(steps) + 1)
    left = task.gym_today.inventory
    assert len({one.slot for one in session.sets}) == len(session.sets)
    for one in session.sets:
        exercise, station = GYM.exercises[one.exercise], GYM.machine.stations[one.station]
        loads = task.gym_today.loads(station, one_arm=exercise.one_arm, body_mass_kg=70.0)
        check_loading(GYM.machine, loads.law, one.loading, left)
        assert one.felt_kg == felt_kg(loads.law, one.loading)
        assert one.station not in today.changed.closed
        assert not today.is_taken(one.slot)
        assert today.changed.exercises.get(int(one.slot[0]), one.exercise) in (one.exercise, "moon_walk")


@given(st.sampled_from([*outlines().values(), PAIRED]), steps(), st.data())
@settings(max_examples=25, deadline=None)
def test_any_order_and_repetition_leaves_the_same(
    outline: Outline, steps: list[Do | Undo | Body], data: st.DataObject
) -> None:
    events = lived(outline, steps)
    shuffled = data.draw(st.permutations(events))
    again = data.draw(st.lists(st.sampled_from(events), max_size=5))
    one, other = (fold(each).sessions["today"] for each in (events, [*again, *shuffled]))
    assert prepared(one, outline, 9)[1] == prepared(other, outline, 9)[1]


@given(steps(), st.integers(0, 3))
@settings(max_examples=15, deadline=None)
def test_a_change_taken_back_leaves_no_trace(steps: list[Do | Undo | Body], at: int) -> None:
    outline, events = PAIRED, lived(PAIRED, steps)
    extra = Event(f"{999:032x}", "test", NOW + timedelta(minutes=at), StationClosed("today", "row-chest"))
    undone = Event(f"{1000:032x}", "test", NOW + timedelta(minutes=at + 1), EventDeleted(extra.id))
    usual, other = (fold(each).sessions["today"] for each in (events, [*events, extra, undone]))
    assert prepared(usual, outline, 9)[1] == prepared(other, outline, 9)[1]


@given(steps())
@settings(max_examples=15, deadline=None)
def test_a_session_comes_to_its_end_whatever_was_changed(steps: list[Do | Undo | Body]) -> None:
    events = lived(PAIRED, steps)
    for number in range(len(steps) + 1, len(steps) + 90):
        left = prepared(fold(events).sessions["today"], PAIRED, number)[1].sets
        if not left:
            return
        done = as_done(left[0], number, left[0].reps_low, 1).done
        events.append(Event(f"{number:032x}", "test", NOW + timedelta(minutes=number), done))
    raise AssertionError(f"{len(left)} sets are left after 90 more")
