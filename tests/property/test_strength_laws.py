"""What must hold of any lifter and any set: order, inverses, and a belief that nothing can break."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lessons import LIFTS, failed, fresh, known, new, taught, unsaid
from steelyard.errors import OutOfRange
from steelyard.strength.belief import FIRST_LIFT, Belief, learn, on_day, outlook, rested, spent
from steelyard.strength.curve import HALF_REP, load_share_for, maximum_for, reps_to_failure
from steelyard.strength.fatigue import Pools
from steelyard.strength.gaussian import between
from steelyard.strength.model import Ended, Observation
from steelyard.strength.outlook import Outlook
from steelyard.strength.recovery import MEN, recovered

LOADS = st.floats(1.0, 400.0)
REPS = st.integers(1, 50)
RIRS = st.integers(0, 6)
NAMES = st.sampled_from([lift.name for lift in LIFTS])
CAPACITIES = st.floats(0.05, 1.0)
POOLS = st.builds(Pools, st.floats(0.0, 0.5), st.floats(0.0, 0.5), st.floats(0.0, 0.5))
SECONDS = st.floats(0.0, 3600.0)


@st.composite
def outlooks(draw: st.DrawFn) -> Outlook:
    """What somebody with any strength, certainty and tiredness is promised."""
    log_able, scale = math.log(draw(st.floats(2.0, 400.0))), draw(st.floats(10.0, 60.0))
    sd, curve_sd = draw(st.floats(0.005, 0.3)), draw(st.floats(0.0, 0.2))
    capacity = draw(st.floats(0.3, 1.0))
    return Outlook(
        log_able_kg=log_able,
        variance=sd * sd,
        with_curve=draw(st.floats(-1.0, 1.0)) * sd * curve_sd,
        curve_variance=curve_sd * curve_sd,
        scale=scale,
        typical_scale=draw(st.floats(10.0, 60.0)),
        missing=1.0 - capacity,
        capacity=capacity,
        candour=draw(st.floats(-0.5, 1.0)),
        candour_sd=draw(st.floats(0.0, 0.5)),
        log_max=log_able - math.log(capacity),
        sd_log_max=sd,
    )


@st.composite
def observations(draw: st.DrawFn) -> Observation:
    """Any set, wildly mistyped ones among them; the day is the time since the one before."""
    reps = draw(st.integers(0, 20) | st.sampled_from([0, 60, 200]))
    return Observation(
        lift=draw(NAMES),
        felt_kg=draw(st.floats(5.0, 200.0) | st.sampled_from([0.001, 5000.0])),
        reps=reps,
        rir=draw(st.none() | st.integers(0, 20)),
        ended=draw(st.sampled_from(Ended)),
        day=draw(st.sampled_from([0.0, 0.001, 1.0, 3.5, 7.0]) | st.floats(0.0, 3000.0)),
        rest_s=draw(st.none() | st.floats(0.0, 600.0) | st.just(1e6)),
        side=draw(st.sampled_from(["both", "left", "right"])),
        helped=draw(st.just(0) | st.integers(0, reps)),
        load_sd=draw(st.sampled_from([0.0, 0.01, 0.1])),
        chosen=draw(st.booleans()),
        aim_reps=draw(st.none() | st.floats(1.0, 20.0)),
    )


def told(sets: list[Observation]) -> Belief:
    belief, day = new(), 0.0
    for each in sets:
        day += each.day
        belief = learn(belief, replace(each, day=day)).belief
    return belief


# ---- what is promised ----


@given(outlooks(), LOADS, LOADS, REPS, RIRS)
def test_a_heavier_load_is_no_likelier(of: Outlook, one: float, other: float, reps: int, rir: int) -> None:
    light, heavy = sorted((one, other))
    assert of.chance_of_reps(light, reps, rir=rir) >= of.chance_of_reps(heavy, reps, rir=rir)
    assert of.expected_reps(light, rir=rir) >= of.expected_reps(heavy, rir=rir)


@given(outlooks(), LOADS, REPS, RIRS)
def test_a_chance_is_one_and_rounded_so_that_devices_agree(of: Outlook, load: float, reps: int, rir: int) -> None:
    chance = of.chance_of_reps(load, reps, rir=rir)
    assert 0.0 <= chance <= 1.0
    assert round(chance, 6) == chance


@given(outlooks(), st.integers(1, 20), st.floats(0.05, 0.95), RIRS)
def test_the_load_for_a_chance_has_that_chance(of: Outlook, reps: int, chance: float, rir: int) -> None:
    load_kg = of.load_for(reps, chance, rir=rir)
    assert of.chance_of_reps(load_kg, reps, rir=rir) == pytest.approx(chance, abs=2e-6)


@given(outlooks(), LOADS, RIRS)
def test_the_chances_of_all_reps_make_one(of: Outlook, load_kg: float, rir: int) -> None:
    chances = list(of.chances(load_kg, rir=rir))
    assert min(chances) >= 0.0
    assert math.fsum(chances) == pytest.approx(1.0, abs=1e-8)


@settings(max_examples=40)
@given(outlooks(), LOADS, st.floats(0.3, 0.95))
def test_no_run_of_reps_is_nearer_to_its_share_than_the_interval(
    of: Outlook, load_kg: float, share: float
) -> None:
    chances = list(of.chances(load_kg))
    low, high = of.interval(load_kg, share)
    missed = abs(math.fsum(chances[low : high + 1]) - share)
    others = (
        abs(math.fsum(chances[one : one + size]) - share) for one in range(len(chances)) for size in range(1, 26)
    )
    assert missed <= min(others) + 1.1e-6


@given(outlooks(), LOADS, RIRS)
def test_the_median_divides_the_chances(of: Outlook, load_kg: float, rir: int) -> None:
    chances = list(of.chances(load_kg, rir=rir))
    median = of.median_reps(load_kg, rir=rir)
    assert math.fsum(chances[:median]) <= 0.5 + 1e-9
    assert math.fsum(chances[: median + 1]) >= 0.5 - 1e-9


@given(outlooks(), st.floats(max_value=0.0) | st.sampled_from([math.nan, math.inf]))
def test_no_load_is_not_a_load(of: Outlook, load_kg: float) -> None:
    with pytest.raises(OutOfRange, match="it must be above 0 kg"):
        of.chance_of_reps(load_kg, 5)


# ---- what is believed ----


@settings(max_examples=100, deadline=None)
@given(st.lists(observations(), min_size=1, max_size=6))
def test_learning_is_deterministic_and_leaves_the_old_belief_as_it_was(sets: list[Observation]) -> None:
    before = told(sets)
    kept = repr(before)
    later = replace(sets[0], day=1e4)
    assert learn(before, later) == learn(told(sets), later)
    assert repr(before) == kept


@settings(max_examples=100, deadline=None)
@given(st.lists(observations(), min_size=1, max_size=12))
def test_a_belief_stays_a_distribution_whatever_was_typed(sets: list[Observation]) -> None:
    belief = told(sets)
    covariance = np.array(belief.covariance)
    assert np.isfinite([*belief.mean, *covariance.flat]).all()
    assert covariance == pytest.approx(covariance.T, rel=1e-9, abs=1e-12)
    assert np.linalg.eigvalsh(covariance).min() > -1e-12


@settings(max_examples=100, deadline=None)
@given(st.lists(observations(), max_size=8), NAMES, LOADS)
def test_whatever_was_typed_a_lift_still_promises_something(sets: list[Observation], lift: str, kg: float) -> None:
    promised = outlook(told(sets), lift)
    assert math.fsum(promised.chances(kg)) == pytest.approx(1.0, abs=1e-8)
    assert promised.load_for(8, 0.8) < promised.load_for(8, 0.5)


@settings(max_examples=100, deadline=None)
@given(st.lists(observations(), max_size=6), observations())
def test_no_set_makes_one_much_less_sure_unless_it_was_odd(sets: list[Observation], last: Observation) -> None:
    before = told(sets)
    lesson = learn(before, replace(last, day=1e4 + last.day))
    place = FIRST_LIFT + before.place(last.lift)
    after = math.sqrt(lesson.belief.covariance[place][place])
    assert after <= 1.1 * lesson.before.sd_log_max or lesson.odd > 0.1


@settings(deadline=None)
@given(st.floats(5.0, 300.0), st.integers(1, 29))
def test_of_someone_new_each_rep_more_is_more_strength(felt_kg: float, reps: int) -> None:
    fewer, more = (learn(new(), failed(each, felt_kg)).belief for each in (reps, reps + 1))
    assert outlook(on_day(more, 1.0), "row").log_able_kg > outlook(on_day(fewer, 1.0), "row").log_able_kg


def margin(of: Outlook, reps: float) -> float:
    """Mean logarithm of the load that just gives so many reps."""
    return of.log_able_kg - math.log1p(reps / of.scale)


@settings(deadline=None)
@given(st.integers(1, 25), st.integers(1, 25), st.floats(5.0, 200.0))
def test_a_set_nobody_judged_never_lowers_what_so_many_reps_allow(usual: int, reps: int, felt_kg: float) -> None:
    lesson = learn(known(2, reps=usual), unsaid(reps, felt_kg=felt_kg, day=3.5))
    after = outlook(fresh(lesson.belief), "row")
    assert margin(after, reps) >= margin(lesson.before, reps) - 1e-9


@settings(deadline=None)
@given(st.lists(observations(), max_size=4), st.floats(1.0, 500.0), st.floats(1.0, 500.0))
def test_the_longer_the_wait_the_less_sure_of_every_lift(
    sets: list[Observation], one: float, other: float
) -> None:
    belief = taught(told(sets), failed(day=1e5))
    there = on_day(belief, 1e5 + one)
    later = on_day(belief, 1e5 + one + other)
    for place in range(FIRST_LIFT, len(belief.mean)):
        assert belief.covariance[place][place] < there.covariance[place][place] < later.covariance[place][place]


# ---- what sets cost and rest gives back ----


@given(POOLS, st.floats(0.0, 600.0), st.floats(0.0, 600.0))
def test_two_rests_are_one_long_rest(tired: Pools, one: float, other: float) -> None:
    parts = tired.after_rest(one, MEN.fast_s, MEN.slow_s).after_rest(other, MEN.fast_s, MEN.slow_s)
    whole = tired.after_rest(one + other, MEN.fast_s, MEN.slow_s)
    assert (parts.fast, parts.slow, parts.age_s) == pytest.approx((whole.fast, whole.slow, whole.age_s))


@given(POOLS, st.floats(0.0, 1.2), st.floats(0.0, 1.2), st.floats(0.0, 1.0))
def test_a_set_in_two_parts_costs_as_much_as_in_one(tired: Pools, one: float, other: float, share: float) -> None:
    parts, whole = tired.after_set(one).after_set(other), tired.after_set(one + other)
    assert parts.missing(share) == pytest.approx(whole.missing(share))
    assert whole.missing(share) >= tired.missing(share)


@given(SECONDS, SECONDS)
def test_a_longer_rest_gives_back_no_less(one: float, other: float) -> None:
    short, long = sorted((one, other))
    assert -1e-12 <= recovered(short, MEN) <= recovered(long, MEN) <= 1.0
    tired = spent(known(2), "row", 60.0, 10.0)
    assert outlook(rested(tired, short), "row").capacity <= outlook(rested(tired, long), "row").capacity


# ---- the curve ----


@given(st.floats(0.0, 50.0), CAPACITIES)
def test_the_load_for_reps_gives_those_reps(reps: float, capacity: float) -> None:
    share = load_share_for(reps, capacity=capacity)
    assert reps_to_failure(share, capacity=capacity) - HALF_REP == pytest.approx(reps, abs=1e-9)
    assert maximum_for(share, reps, capacity=capacity) == pytest.approx(1.0)


# ---- one figure seen in an interval ----


@given(st.floats(-3.0, 3.0), st.floats(0.01, 4.0), st.floats(0.0, 2.0), st.floats(-4.0, 4.0), st.floats(0.01, 5.0))
def test_what_is_seen_of_a_figure_never_widens_it(
    mean: float, variance: float, noise: float, low: float, width: float
) -> None:
    seen = between(mean, variance, noise, low, low + width)
    assert 0.0 < seen.variance <= variance * (1 + 1e-9)
