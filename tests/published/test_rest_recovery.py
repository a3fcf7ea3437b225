"""What rest gives back between sets to failure, against the studies the two pools were fitted to.

The fit used all of them at once, so each must still be met within two standard errors of its own mean. Women and
adolescents are left out: the constants are those of men.
"""

from __future__ import annotations

import math

import pytest

from steelyard.strength.curve import HALF_REP, load_share_for, reps_to_failure
from steelyard.strength.fatigue import Fatigue, recovered

RECOVERED = {
    10: 0.17, 15: 0.24, 20: 0.29, 30: 0.36, 45: 0.44, 60: 0.50,
    90: 0.58, 120: 0.64, 180: 0.73, 240: 0.80, 300: 0.86,
}  # fmt: skip
"""This project's own table of the fit, by seconds of rest: guards the constants."""


def total_reps(load_share: float, rest_s: float, most: float, sets: int) -> float:
    """Expected reps of straight sets to failure, each ended at most reps."""
    fatigue, total = Fatigue(), 0.0
    for _ in range(sets):
        reps = min(most, reps_to_failure(load_share, capacity=fatigue.capacity) - HALF_REP)
        total += reps
        fatigue = fatigue.after_set(load_share, reps).after_rest(rest_s)
    return total


@pytest.mark.parametrize(("rest_s", "share"), RECOVERED.items())
def test_the_constants_give_the_recovered_shares_of_the_fit(rest_s: float, share: float) -> None:
    assert recovered(rest_s) == pytest.approx(share, abs=0.005)


@pytest.mark.parametrize(("rest_s", "first", "second", "sd"), [(60, 10.8, 5.6, 1.1), (180, 9.4, 7.0, 1.7)])
def test_second_sets_of_knee_extension(rest_s: float, first: float, second: float, sd: float) -> None:
    """Knee extension at 80 % to failure, n = 9: scielo S1517-86922007000500002, read."""
    standard_error = sd / first / math.sqrt(9)
    assert recovered(rest_s) == pytest.approx(second / first, abs=2 * standard_error)


@pytest.mark.parametrize(("rest_s", "total", "sd"), [(60, 18.2, 4.1), (120, 21.4, 4.1), (180, 23.9, 5.3)])
def test_three_sets_of_ten_on_the_bench(rest_s: float, total: float, sd: float) -> None:
    """Men, 10RM bench press, three sets of at most ten, n = 17: doi 10.1123/pes.20.4.457, read."""
    assert total_reps(load_share_for(10), rest_s, 10, 3) == pytest.approx(total, abs=2 * sd / math.sqrt(17))


@pytest.mark.parametrize(("rest_s", "total", "sd"), [(60, 18.0, 3.8), (120, 21.4, 3.8), (180, 23.5, 5.1)])
def test_three_sets_of_ten_of_trained_men(rest_s: float, total: float, sd: float) -> None:
    """Trained men, as above, n = 21: doi 10.1097/01.JSC.0000367200.49548.b1, read."""
    assert total_reps(load_share_for(10), rest_s, 10, 3) == pytest.approx(total, abs=2 * sd / math.sqrt(21))


def test_what_is_recovered_does_not_depend_on_the_load() -> None:
    """Sustained reps were alike at 80 and 50 % of the maximum: J Strength Cond Res 2006;20(2):396-399, read."""
    for load_share in (0.5, 0.8):
        able = reps_to_failure(load_share)
        tired = Fatigue().after_set(load_share, able).after_rest(120)
        assert reps_to_failure(load_share, capacity=tired.capacity) / able == pytest.approx(recovered(120))


def test_a_known_failure_of_the_model_is_still_one() -> None:
    """A second maximal single after a minute succeeds in 83 to 89 % (J Strength Cond Res 1994;8(1), read).

    The pools predict none, so they must not be trusted near the maximum.
    """
    single = 30 / 31
    tired = Fatigue().after_set(single, 1).after_rest(60)
    assert reps_to_failure(single, capacity=tired.capacity) < 1
