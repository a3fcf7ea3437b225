"""How slowly a prepared set must be moved, so that its load never floats."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

from gyms import boathouse, outline_of
from steelyard.cli.text import session_lines
from steelyard.machine.examples import example_text
from steelyard.machine.file import read_machine
from steelyard.machine.floating import floating
from steelyard.machine.model import Counterweight
from steelyard.machine.motion import lowering_stroke, raise_stroke
from steelyard.machine.strokes import loaded_lift
from steelyard.plates.model import Loading
from steelyard.training.gym import Gym
from steelyard.training.model import PreparedSession, PreparedSet, Role, Side
from steelyard.units import Unit
from steelyard.web.shown import blocks
from steelyard.workshop.pace import pace_words, session_pace

BEAM = replace(boathouse(), machine=read_machine(example_text("counterbeam"), "counterbeam.toml"))


def prepared(
    station: str, exercise: str, *, role: Role = Role.WORK, loading: Loading | None = None
) -> PreparedSet:
    return PreparedSet(
        slot=f"1.{role}.1",
        exercise=exercise,
        station=station,
        role=role,
        number=1,
        of=1,
        side=Side.BOTH,
        reps_low=8,
        reps_high=10,
        rir=2,
        rest_s=90.0,
        loading=loading or {},
        felt_kg=20.0,
        lowering_kg=20.0,
        moves=(),
        reason="",
    )


def with_arm(gym: Gym, name: str, **changes: Any) -> Gym:
    arms = dict(gym.machine.arms)
    arms[name] = replace(arms[name], **changes)
    return replace(gym, machine=replace(gym.machine, arms=arms))


def test_a_heavy_row_may_be_moved_briskly() -> None:
    twenty = {"tip": (boathouse().inventory.plate("20 kg"),)}
    assert pace_words(boathouse(), prepared("row", "lever_row_bent", loading=twenty)) == ""


def test_a_light_long_arm_says_how_slowly() -> None:
    words = pace_words(BEAM, prepared("pulldown", "pulldown_lever"))
    assert (
        words == "Move down in 1.1 s or more: faster, the handle leaves the hand and the load drops with a jerk."
    )


def test_what_it_says_is_what_keeps_the_load_in_the_hand() -> None:
    lift = loaded_lift(BEAM.machine, BEAM.machine.stations["pulldown"], {})
    assert floating(lift, lowering_stroke(lift.mechanism, 1.1)) is None
    assert floating(lift, lowering_stroke(lift.mechanism, 1.0)) is not None
    assert floating(lift, raise_stroke(lift.mechanism, 1.0)) is None


def test_a_cable_goes_slack_where_a_handle_would_leave_the_hand() -> None:
    slow = with_arm(boathouse(), "main", inertia_kg_m2=30.0)
    assert "the cable goes slack" in pace_words(slow, prepared("high-pulley", "pulldown_front"))


def test_an_overbalanced_arm_floats_at_any_pace() -> None:
    heavy = Counterweight(40.0, (-0.5, 0.0))
    words = pace_words(with_arm(BEAM, "beam", counterweight=heavy), prepared("row", "lever_row_bent"))
    assert (
        words == "In part of the range the handle leaves the hand at any pace; keep hold, or put more plates on."
    )


def test_a_body_has_no_arm_to_float() -> None:
    assert pace_words(boathouse(), prepared("inverted-row", "inverted_row")) == ""


def test_a_session_is_judged_by_its_first_work_sets() -> None:
    ten = {"tail": (boathouse().inventory.plate("10 kg"),)}
    warm_up = prepared("pulldown", "pulldown_lever", role=Role.WARM_UP)
    heavier = prepared("pulldown", "pulldown_lever", loading=ten)
    both: Any = SimpleNamespace(sets=(warm_up, heavier))
    warm_up_only: Any = SimpleNamespace(sets=(warm_up,))
    assert session_pace(BEAM, both) == {}
    assert list(session_pace(BEAM, warm_up_only)) == ["pulldown_lever"]


def test_the_prepared_session_says_so_under_the_exercise() -> None:
    session = PreparedSession(
        outline_of('do = "pulldown_lever"\nreps = [8, 10]\nrir = [2]'),
        "ida",
        BEAM.machine.name,
        (prepared("pulldown", "pulldown_lever"),),
        {},
        (),
        (),
        60.0,
    )
    lines = list(session_lines(session, BEAM, Unit.KG, "Ida"))
    assert any("Move down in 1.1 s or more" in line for line in lines)
    (block,) = blocks(BEAM, session, None, Unit.KG)
    assert block.pace.startswith("Move down in 1.1 s or more")
