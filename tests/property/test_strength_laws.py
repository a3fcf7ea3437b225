"""What must hold of any estimate and any load: more load, fewer reps; more reps, less chance; inverses meet."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from steelyard.errors import OutOfRange
from steelyard.strength.curve import HALF_REP, load_share_for, maximum_for, reps_to_failure
from steelyard.strength.estimate import chance_of_reps, error_at, estimate, expected_reps, load_for
from steelyard.strength.fatigue import Fatigue, recovered
from steelyard.strength.model import Ended, Estimate, Observation

LOADS = st.floats(1.0, 400.0)
REPS = st.integers(1, 50)
CAPACITIES = st.floats(0.05, 1.0)
ESTIMATES = st.builds(
    Estimate, st.floats(2.0, 400.0), st.floats(0.001, 0.3), st.just(3), st.just(1.0), st.floats(0.5, 30.0)
)
FATIGUES = st.builds(Fatigue, st.floats(0.0, 0.5), st.floats(0.0, 0.5))
OBSERVATIONS = st.builds(
    Observation,
    LOADS,
    st.integers(1, 15),
    st.integers(0, 6),
    st.sampled_from(Ended),
    st.floats(0.0, 60.0),
    capacity=st.floats(0.3, 1.0),
)


@given(ESTIMATES, LOADS, LOADS, REPS, CAPACITIES)
def test_a_heavier_load_is_no_likelier(
    known: Estimate, one: float, other: float, reps: int, capacity: float
) -> None:
    light, heavy = sorted((one, other))
    assert chance_of_reps(known, light, reps, capacity=capacity) >= chance_of_reps(
        known, heavy, reps, capacity=capacity
    )
    assert expected_reps(known, light, capacity=capacity) >= expected_reps(known, heavy, capacity=capacity)


@given(ESTIMATES, LOADS, REPS, CAPACITIES)
def test_one_rep_more_is_no_likelier(known: Estimate, load_kg: float, reps: int, capacity: float) -> None:
    more = chance_of_reps(known, load_kg, reps + 1, capacity=capacity)
    assert 0.0 <= more <= chance_of_reps(known, load_kg, reps, capacity=capacity) <= 1.0


@given(ESTIMATES, REPS, st.floats(0.001, 0.999), CAPACITIES)
def test_the_load_for_a_chance_has_that_chance(known: Estimate, reps: int, chance: float, capacity: float) -> None:
    load_kg = load_for(known, reps, chance, capacity=capacity)
    assert chance_of_reps(known, load_kg, reps, capacity=capacity) == pytest.approx(chance, abs=1e-6)


@given(ESTIMATES, LOADS, REPS)
def test_a_chance_is_rounded_so_that_devices_agree(known: Estimate, load_kg: float, reps: int) -> None:
    chance = chance_of_reps(known, load_kg, reps)
    assert round(chance, 6) == chance


@given(st.floats(0.0, 50.0), CAPACITIES)
def test_the_load_for_reps_gives_those_reps(reps: float, capacity: float) -> None:
    share = load_share_for(reps, capacity=capacity)
    assert reps_to_failure(share, capacity=capacity) - HALF_REP == pytest.approx(reps, abs=1e-9)
    assert maximum_for(share, reps, capacity=capacity) == pytest.approx(1.0)


@given(LOADS, st.integers(1, 30), st.floats(0.0, 60.0), st.floats(0.2, 1.0))
def test_a_set_to_failure_predicts_itself(load_kg: float, reps: int, days: float, capacity: float) -> None:
    known = estimate([Observation(load_kg, reps, 0, Ended.FAILURE, days, capacity=capacity)])
    assert known is not None
    assert expected_reps(known, load_kg, capacity=capacity) == pytest.approx(reps, abs=1e-6)


@given(st.lists(OBSERVATIONS, min_size=1, max_size=8), st.randoms())
def test_the_order_in_which_sets_are_given_does_not_matter(sets: list[Observation], random: object) -> None:
    known = estimate(sets)
    random.shuffle(sets)  # type: ignore[attr-defined]
    again = estimate(sets)
    if known is None or again is None:
        assert known is again
    else:
        assert again.one_rm_kg == pytest.approx(known.one_rm_kg)
        assert again.sd_log == pytest.approx(known.sd_log)


@given(
    st.lists(OBSERVATIONS, min_size=1, max_size=6), OBSERVATIONS.filter(lambda each: each.ended is Ended.UNSAID)
)
def test_a_set_nobody_judged_never_lowers_the_estimate(sets: list[Observation], bound: Observation) -> None:
    known, bounded = estimate(sets), estimate([*sets, bound])
    if known is None:
        assert bounded is None
    else:
        assert bounded is not None
        assert bounded.one_rm_kg >= known.one_rm_kg * (1 - 1e-12)


@given(ESTIMATES, st.floats(0.0, 50.0))
def test_the_error_is_least_at_the_reps_seen(known: Estimate, reps: float) -> None:
    assert error_at(known, reps) >= error_at(known, known.reps_seen) == pytest.approx(known.sd_log)


@given(FATIGUES, st.floats(0.0, 600.0), st.floats(0.0, 600.0))
def test_two_rests_are_one_long_rest(tired: Fatigue, one: float, other: float) -> None:
    parts, whole = tired.after_rest(one).after_rest(other), tired.after_rest(one + other)
    assert math.isclose(parts.capacity, whole.capacity, rel_tol=1e-12)
    assert whole.capacity >= tired.after_rest(one).capacity - 1e-12


@given(FATIGUES, st.floats(0.0, 1.2), st.integers(0, 25), st.integers(0, 25))
def test_a_set_in_two_parts_costs_as_much_as_in_one(tired: Fatigue, share: float, one: int, other: int) -> None:
    parts = tired.after_set(share, one).after_set(share, other)
    assert parts.capacity == pytest.approx(tired.after_set(share, one + other).capacity)
    assert 0.05 <= parts.capacity <= 1.0


@given(st.floats(0.0, 3600.0), st.floats(0.0, 3600.0))
def test_a_longer_rest_gives_back_no_less(one: float, other: float) -> None:
    short, long = sorted((one, other))
    assert -1e-12 <= recovered(short) <= recovered(long) <= 1.0


@given(st.floats(max_value=0.0) | st.just(math.nan))
def test_no_load_is_not_a_load(load_kg: float) -> None:
    with pytest.raises(OutOfRange):
        chance_of_reps(Estimate(100.0, 0.03, 1, 0.0, 10.0), load_kg, 5)
