"""The lower back in a bent-over row: what counts and what is refused."""

from __future__ import annotations

import math

import pytest

from steelyard.errors import OutOfRange
from steelyard.machine.body import Body
from steelyard.machine.trunk import MUSCLE_ARMS_M, trunk_load
from steelyard.units import STANDARD_GRAVITY

BODY = Body(1.75, 75.0)


def test_without_a_pull_only_the_body_is_borne() -> None:
    load = trunk_load(BODY, 0.0, 0.5)
    assert load.moment_n_m == load.own_n_m > 0.0


def test_an_upright_trunk_bears_weight_but_no_moment() -> None:
    load = trunk_load(BODY, 300.0, math.pi / 2)
    above_n = 0.536 * 75.0 * STANDARD_GRAVITY
    assert load.moment_n_m == pytest.approx(0.0, abs=1e-9)
    assert load.compression_n == pytest.approx((above_n + 300.0, above_n + 300.0))


def test_a_level_trunk_is_compressed_by_its_muscles_alone() -> None:
    load = trunk_load(BODY, 300.0, 0.0)
    assert load.compression_n == pytest.approx(tuple(load.moment_n_m / arm for arm in reversed(MUSCLE_ARMS_M)))


def test_a_hundred_newtons_more_add_their_lever() -> None:
    more = trunk_load(BODY, 100.0, 0.5).moment_n_m - trunk_load(BODY, 0.0, 0.5).moment_n_m
    assert more == pytest.approx(100.0 * 0.95 * BODY.trunk_m * math.cos(0.5))


@pytest.mark.parametrize("trunk_rad", [-0.1, 1.6, math.nan])
def test_a_trunk_that_is_not_bent_over_is_refused(trunk_rad: float) -> None:
    with pytest.raises(OutOfRange, match="degrees over the horizontal; it must be from 0 to 90 degrees"):
        trunk_load(BODY, 100.0, trunk_rad)


@pytest.mark.parametrize("force_n", [-1.0, math.nan, math.inf])
def test_a_force_that_is_none_is_refused(force_n: float) -> None:
    with pytest.raises(OutOfRange, match=r"handle force is .* N; it must be 0 N or more"):
        trunk_load(BODY, force_n, 0.5)
