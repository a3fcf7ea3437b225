"""Ramps that only add, drops that only strip, and what a build costs."""

from __future__ import annotations

from itertools import pairwise

import pytest

from gyms import boathouse, loads_for
from racks import plate_of, rack
from steelyard.machine.examples import example_text
from steelyard.machine.file import read_machine
from steelyard.plates.loading import felt_kg
from steelyard.plates.model import Loading, Stack
from steelyard.plates.moves import moves
from steelyard.training.exercises import exercises
from steelyard.training.gym import Gym, StationLoads
from steelyard.training.stacking import build_cost, drop_to, ramp

MACHINE = boathouse().machine
ROW = loads_for("lever_row_chest")


def tip(*names: str) -> Loading:
    stack: Stack = tuple(boathouse().inventory.plate(name) for name in names)
    return {"tip": stack}


def felt(loading: Loading) -> float:
    return felt_kg(ROW.law, loading)


def test_a_ramp_is_made_of_inner_parts_of_the_stack() -> None:
    work = tip("15 kg", "10 kg", "5 kg", "2.5 kg")
    steps = ramp(MACHINE, ROW, work, 12)
    assert [step.loading["tip"] for step in steps] == [work["tip"][:1], work["tip"][:2]]
    assert [(step.reps, step.aim) for step in steps] == [(8, 0.5), (4, 0.8)]


def test_every_step_is_the_nearest_to_its_aim() -> None:
    work = tip("10 kg", "10 kg", "5 kg", "5 kg", "2.5 kg")
    inner_kg = [felt(tip(*[plate.name for plate in work["tip"][:n]])) for n in range(5)]
    for step in ramp(MACHINE, ROW, work, 12):
        assert step.felt_kg == min(inner_kg, key=lambda kg: abs(kg - step.aim * felt(work)))


def test_a_step_lighter_than_the_empty_station_is_left_out() -> None:
    work = tip("2.5 kg")
    assert felt({}) > 0.5 * felt(work)
    assert [step.aim for step in ramp(MACHINE, ROW, work, 12)] == [0.8]


def test_a_step_that_would_be_the_one_before_is_left_out() -> None:
    steps = ramp(MACHINE, ROW, tip("20 kg", "20 kg"), 5)
    assert [(step.loading, step.aim) for step in steps] == [(tip("20 kg"), 0.4)]


def test_nothing_warms_up_for_the_empty_station() -> None:
    assert ramp(MACHINE, ROW, {}, 12) == ()


def two_horns() -> StationLoads:
    """A row on an arm with an outer and an inner horn."""
    machine = read_machine(example_text("twin-arms"), "twin-arms.toml")
    gym = Gym(machine, rack({"20 kg": 4, "10 kg": 4, "5 kg": 4}), exercises())
    return gym.loads(machine.stations["row"])


def test_between_horns_too_plates_are_only_added() -> None:
    loads = two_horns()
    machine = read_machine(example_text("twin-arms"), "twin-arms.toml")
    work: Loading = {"outer": (plate_of("10 kg"),), "inner": (plate_of("5 kg"),)}
    loadings = [*(step.loading for step in ramp(machine, loads, work, 4)), work]
    assert len(loadings) == 3
    for before, after in pairwise(loadings):
        assert all(move.on for move in moves(before, after, loads.horns))


def test_a_drop_strips_to_the_nearest_to_a_third_less() -> None:
    work = tip("20 kg", "10 kg", "5 kg", "2.5 kg")
    assert drop_to(MACHINE, ROW, work) == tip("20 kg")
    assert drop_to(MACHINE, ROW, tip("10 kg", "10 kg", "5 kg", "5 kg")) == tip("10 kg", "10 kg")


def test_an_empty_station_has_nothing_to_drop() -> None:
    assert drop_to(MACHINE, ROW, {}) == {}


def test_plate_work_is_what_a_build_costs() -> None:
    cost = build_cost(tip("10 kg"), MACHINE, ROW)
    assert cost(tip("10 kg")) == 0
    assert cost(tip("10 kg", "5 kg")) == pytest.approx(12.0)  # one plate on each side, 6 s each
    assert cost({}) == pytest.approx(12.0)


def test_a_build_that_no_ramp_leads_to_costs_more() -> None:
    cost = build_cost({}, MACHINE, ROW, ramp_reps=12)
    plain = build_cost({}, MACHINE, ROW)
    rampable, lump = tip("10 kg", "10 kg"), tip("20 kg")
    assert plain(rampable) > plain(lump)
    assert cost(rampable) < cost(lump)


def test_a_build_that_cannot_drop_by_a_third_costs_more() -> None:
    cost = build_cost({}, MACHINE, ROW, drops=1)
    assert cost(tip("20 kg", "10 kg", "5 kg")) < cost(tip("15 kg", "20 kg"))
    assert cost({}) == pytest.approx(2000 * (1 / 3 - 0.05), abs=0.001)  # nothing comes off at all


def test_each_further_drop_is_priced() -> None:
    once, twice = (build_cost({}, MACHINE, ROW, drops=drops) for drops in (1, 2))
    stack = tip("20 kg", "10 kg", "5 kg", "2.5 kg")
    assert twice(stack) > once(stack)
