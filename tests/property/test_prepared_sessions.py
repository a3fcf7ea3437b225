"""Whoever trains, whatever is planned and whatever plates there are: laws that every prepared session keeps."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from itertools import pairwise
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gyms import NOW, Body, as_done, boathouse, boathouse_with, known_at, lifter, loads_for, replayed
from racks import inventories
from steelyard.journal.fold import LifterState, LoggedSet, SessionState
from steelyard.plates.loading import check_loading, felt_kg
from steelyard.plates.model import Loading
from steelyard.training.gym import Gym
from steelyard.training.model import Outline, OutlineItem, PreparedSession, PreparedSet, Role, Technique
from steelyard.training.prepare import prepare

EXERCISES = (
    "lever_row_chest",
    "lever_row_bent",
    "pulldown_front",
    "curl_cable_one_arm",
    "inverted_row",
    "squat_lever",
    "cable_row_one_arm",
    "curl_lever",
    "carry_suitcase",
)


@dataclass(frozen=True)
class Case:
    """Someone, somewhere, with something planned."""

    gym: Gym
    outline: Outline
    lifter: LifterState
    past: tuple[LoggedSet, ...]
    on_horns: Loading
    maxima_kg: dict[str, float]

    def prepared(self, done: tuple[LoggedSet, ...] = (), skipped: frozenset[str] = frozenset()) -> PreparedSession:
        today = SessionState("today", "ida", "trial", "", NOW, None, done, skipped, ())
        on_horns = self.gym.loading(done[-1].done.loading) if done else self.on_horns
        now = NOW + timedelta(minutes=3 * len(done))
        return prepare(
            self.gym, self.outline, self.lifter, [*self.past, *done], now=now, today=today, on_horns=on_horns
        )


@st.composite
def items(draw: st.DrawFn) -> OutlineItem:
    low = draw(st.integers(1, 15))
    after = draw(st.sampled_from(Technique))
    return OutlineItem(
        exercise=draw(st.sampled_from(EXERCISES)),
        reps_low=low,
        reps_high=low + draw(st.integers(0, 3)),
        rir=tuple(draw(st.lists(st.integers(0, 4), min_size=1, max_size=3))),
        rest_s=float(draw(st.integers(15, 180))),
        after=after,
        rounds=0 if after is Technique.STRAIGHT else draw(st.integers(1, 2)),
    )


@st.composite
def cases(draw: st.DrawFn, newcomers: bool = False) -> Case:
    gym = draw(st.just(boathouse()) | inventories().map(boathouse_with))
    strength = draw(st.floats(0.6, 3.0))
    lightest = {name: loads_for(name).ladder[0].felt_kg for name in EXERCISES}
    maxima_kg = {name: strength * (20.0 + 1.5 * kg) for name, kg in lightest.items()}
    row = gym.loads(gym.machine.stations["row"]).ladder
    days_ago = draw(st.sampled_from([1.0, 4.0, 20.0, 45.0]))
    return Case(
        gym=gym,
        outline=Outline("trial", "Trial", tuple(draw(st.lists(items(), min_size=1, max_size=4)))),
        lifter=lifter(
            training_months=draw(st.sampled_from([0, 24])), body_mass_kg=draw(st.sampled_from([50.0, 70.0]))
        ),
        past=() if newcomers else tuple(known_at(maxima_kg, days_ago=days_ago)),
        on_horns=draw(st.sampled_from(row)).loading,
        maxima_kg=maxima_kg,
    )


def place(one: PreparedSet) -> str:
    """The number of the exercise in the outline."""
    return one.slot.partition(".")[0]


def pairs(session: PreparedSession) -> list[tuple[PreparedSet, PreparedSet]]:
    """Sets of one exercise that follow one another."""
    return [(one, after) for one, after in pairwise(session.sets) if place(one) == place(after)]


@given(cases() | cases(newcomers=True))
def test_no_loading_breaks_a_limit(case: Case) -> None:
    for one in case.prepared().sets:
        exercise, station = case.gym.exercises[one.exercise], case.gym.machine.stations[one.station]
        loads = case.gym.loads(station, one_arm=exercise.one_arm, body_mass_kg=case.lifter.body_mass_kg)
        check_loading(case.gym.machine, loads.law, one.loading, case.gym.inventory)
        assert one.felt_kg == felt_kg(loads.law, one.loading)


@given(cases())
def test_moves_lead_from_each_loading_to_the_next(case: Case) -> None:
    for one, on_horns in replayed(case.prepared(), case.on_horns):
        own = own_horns(case, one)
        assert {horn: stack for horn, stack in on_horns.items() if horn in own} == dict(one.loading)


def own_horns(case: Case, one: PreparedSet) -> set[str]:
    """The horns of the station where a set is done."""
    return {horn.name for horn in case.gym.machine.horns_of(case.gym.machine.stations[one.station])}


def strips(one: PreparedSet, horns: set[str]) -> bool:
    """Whether a plate comes off one of these horns before a set."""
    return any(not move.on and move.horn in horns for move in one.moves)


@given(cases())
def test_after_a_warm_up_plates_are_only_added_unless_a_note_says_what_that_saves(case: Case) -> None:
    session = case.prepared()
    ramps = [after for one, after in pairs(session) if one.role is Role.WARM_UP]
    stripped = [
        one for one in ramps if any(not move.on and move.horn in own_horns(case, one) for move in one.moves)
    ]
    told = [note for note in session.notes if "plates come off in the warm-up" in note]
    assert len(told) == bool(stripped)
    for one in stripped:
        assert case.gym.exercises[one.exercise].name in told[0]


@given(cases())
def test_only_the_first_exercise_of_a_pattern_is_warmed_up(case: Case) -> None:
    warm: dict[str, str] = {}
    for one in case.prepared().sets:
        first = warm.setdefault(case.gym.exercises[one.exercise].pattern, place(one))
        assert one.role is not Role.WARM_UP or first == place(one)


@given(cases())
def test_drops_only_strip(case: Case) -> None:
    for before, one in pairs(case.prepared()):
        if one.role is Role.DROP:
            assert (place(before), before.side) == (place(one), one.side)
            assert not any(move.on for move in one.moves)
            assert one.felt_kg <= before.felt_kg
            for horn, stack in one.loading.items():
                assert before.loading[horn][: len(stack)] == stack


@given(cases())
def test_a_rest_pause_keeps_the_load_and_pauses_ten_to_fifteen_seconds(case: Case) -> None:
    for before, one in pairs(case.prepared()):
        if one.role is Role.REST_PAUSE:
            assert before.side == one.side
            assert (one.loading, one.moves) == (before.loading, ())
            assert 10 <= one.rest_s <= 15  # common practice
            assert one.starts_s == before.starts_s + before.lasts_s + one.rest_s


@given(cases() | cases(newcomers=True))
def test_no_slot_is_there_twice(case: Case) -> None:
    slots = [one.slot for one in case.prepared().sets]
    assert len(set(slots)) == len(slots)


@given(cases())
def test_the_clock_only_goes_forward_and_ends_with_the_last_set(case: Case) -> None:
    session, clock_s = case.prepared(), 0.0
    for one in session.sets:
        assert one.starts_s >= clock_s + one.rest_s * (clock_s > 0)
        clock_s = one.starts_s + one.lasts_s
    assert session.lasts_s == pytest.approx(clock_s)


@given(cases(newcomers=True))
def test_a_newcomers_clock_allows_for_the_work_that_follows(case: Case) -> None:
    session = case.prepared()
    assert {one.role for one in session.sets} == {Role.TEST}
    assert session.lasts_s > session.sets[-1].starts_s + session.sets[-1].lasts_s


@given(cases())
@settings(max_examples=30)
def test_the_same_input_gives_the_same_session(case: Case) -> None:
    fresh = Gym(case.gym.machine, case.gym.inventory, case.gym.exercises)
    again = Case(fresh, case.outline, case.lifter, case.past, case.on_horns, case.maxima_kg)
    assert again.prepared() == case.prepared()


@given(cases() | cases(newcomers=True), st.integers(0, 99), st.sampled_from([0.0, 0.25]))
@settings(max_examples=20)
def test_doing_the_sets_one_by_one_empties_the_session(case: Case, seed: int, skips: float) -> None:
    body, choice = Body(case.maxima_kg, seed), Random(seed)
    done: tuple[LoggedSet, ...] = ()
    skipped: set[str] = set()
    while (session := case.prepared(done, frozenset(skipped))).sets:
        one = session.sets[0]
        assert {each.slot for each in session.sets}.isdisjoint(skipped | {each.done.slot for each in done})
        assert len(done) + len(skipped) < 150
        if choice.random() < skips:
            skipped.add(one.slot)
            continue
        reps, rir = body.does(one)
        done = (*done, as_done(one, len(done), reps, min(rir, 5)))
