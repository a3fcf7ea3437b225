"""What sets cost and rest gives back inside a session, and the curve that both are counted on."""

from __future__ import annotations

import math

import pytest

from steelyard.errors import OutOfRange
from steelyard.strength.curve import HALF_REP, load_share_for, maximum_for, reps_to_failure
from steelyard.strength.fatigue import Pools
from steelyard.strength.recovery import FAST_SHARE, MEN, recovered


def after_rest(pools: Pools, seconds: float) -> Pools:
    return pools.after_rest(seconds, MEN.fast_s, MEN.slow_s)


def test_a_fresh_lift_misses_nothing() -> None:
    assert Pools().missing(FAST_SHARE) == 0.0


def test_a_set_costs_what_it_costs_however_quickly_it_is_repaid() -> None:
    spent = Pools(0.1, 0.2).after_set(0.25)
    assert (spent.fast, spent.slow) == pytest.approx((0.35, 0.45))
    assert Pools().after_set(0.25).missing(FAST_SHARE) == pytest.approx(0.25)


def test_a_set_to_failure_leaves_what_the_load_asks_for() -> None:
    cost = reps_to_failure(0.75) * 0.75 / 30.0
    assert 1.0 - Pools().after_set(cost).missing(FAST_SHARE) == pytest.approx(0.75)


def test_the_fast_share_is_back_first() -> None:
    left = after_rest(Pools(0.25, 0.25), 60.0)
    assert left.fast < 0.1 * left.slow


def test_what_is_missing_after_a_rest_is_what_recovery_has_not_given_back() -> None:
    for seconds in (0.0, 30.0, 120.0, 300.0):
        left = after_rest(Pools().after_set(0.25), seconds).missing(FAST_SHARE)
        assert 1.0 - left / 0.25 == pytest.approx(recovered(seconds, MEN))


def test_another_time_constant_is_exact_for_one_set_and_near_for_several() -> None:
    one = Pools().after_set(20.0).after_rest(90.0, MEN.fast_s, MEN.slow_s)
    both = one.after_set(10.0).after_rest(60.0, MEN.fast_s, MEN.slow_s)
    other_s = 1.5 * MEN.slow_s
    assert one.slow_at(MEN.slow_s, other_s) == pytest.approx(20.0 * math.exp(-90.0 / other_s))
    told = 20.0 * math.exp(-150.0 / other_s) + 10.0 * math.exp(-60.0 / other_s)
    assert both.slow_at(MEN.slow_s, other_s) == pytest.approx(told, rel=0.01)


def test_a_day_empties_both_pools() -> None:
    assert after_rest(Pools(1.0, 1.0, 1.0), 86400.0).missing(FAST_SHARE) < 1e-12


@pytest.mark.parametrize("share", [0.0, -0.5, math.nan, math.inf])
def test_a_curve_without_load_or_capacity_is_refused(share: float) -> None:
    with pytest.raises(OutOfRange, match=f"load share is {share}; it must be above 0"):
        reps_to_failure(share)
    with pytest.raises(OutOfRange, match=f"capacity is {share}; it must be above 0"):
        load_share_for(10, capacity=share)


def test_a_curve_of_negative_reps_is_refused() -> None:
    with pytest.raises(OutOfRange, match="reps is -1; it must be 0 or more"):
        load_share_for(-1)
    with pytest.raises(OutOfRange, match="reps is -1"):
        maximum_for(60.0, -1)


def test_less_capacity_is_fewer_reps_at_the_same_load() -> None:
    assert reps_to_failure(0.75, capacity=0.9) == pytest.approx(6.0)
    assert reps_to_failure(0.95, capacity=0.9) < 0.0
    assert load_share_for(10, capacity=0.9) == pytest.approx(0.9 * 30 / (40 + HALF_REP))
