"""Fatigue inside a session, and tired sets that must not pass for weak ones."""

from __future__ import annotations

from dataclasses import replace

import pytest

from steelyard.errors import OutOfRange
from steelyard.strength.curve import HALF_REP, load_share_for, reps_to_failure
from steelyard.strength.estimate import estimate
from steelyard.strength.fatigue import LEAST_CAPACITY, Fatigue
from steelyard.strength.model import Ended, Observation
from steelyard.strength.session import estimate_sessions, fatigue_after, read_session

FIRST = Observation(60.0, 10, 0, Ended.FAILURE, days_ago=3.0)


def session_of(max_kg: float, load_kg: float, rest_s: float, *, sets: int = 4) -> list[Observation]:
    """Sets to failure as the model itself has them, in whole reps by rounding."""
    fatigue, done = Fatigue(), []
    for number in range(sets):
        reps = round(reps_to_failure(load_kg / max_kg, capacity=fatigue.capacity) - HALF_REP)
        done.append(Observation(load_kg, reps, 0, Ended.FAILURE, 2.0, None if number == 0 else rest_s))
        fatigue = fatigue.after_set(load_kg / max_kg, reps).after_rest(rest_s)
    return done


def test_a_fresh_set_has_all_its_capacity_and_a_later_one_less() -> None:
    read = read_session([FIRST, replace(FIRST, rest_s=90.0), replace(FIRST, rest_s=90.0)], 80.0)
    assert read[0].capacity == 1.0
    assert read[0].capacity > read[1].capacity > read[2].capacity


def test_a_set_without_a_rest_before_it_starts_fresh() -> None:
    read = read_session([FIRST, FIRST], 80.0)
    assert [each.capacity for each in read] == [1.0, 1.0]


def test_tired_sets_are_not_taken_for_weak_ones() -> None:
    sets = session_of(100.0, 75.0, 90.0)
    naive, known = estimate(sets), estimate_sessions([sets])
    assert naive is not None
    assert known is not None
    assert known.one_rm_kg == pytest.approx(100.0, rel=0.02)
    assert naive.one_rm_kg < 0.96 * known.one_rm_kg


def test_what_the_sets_took_is_there_for_the_next() -> None:
    sets = session_of(100.0, 75.0, 90.0, sets=2)
    tired = fatigue_after(sets, 100.0)
    assert tired.capacity == pytest.approx(0.75, abs=0.03)  # failure: what is left is what the load asks for
    assert fatigue_after([], 100.0) == Fatigue()


def test_sessions_without_a_telling_set_tell_nothing() -> None:
    assert estimate_sessions([[replace(FIRST, ended=Ended.UNSAID)], []]) is None


def test_capacity_never_vanishes() -> None:
    assert Fatigue().after_set(2.0, 50).capacity == LEAST_CAPACITY


@pytest.mark.parametrize("share", [0.0, -0.5])
def test_a_curve_without_load_or_capacity_is_refused(share: float) -> None:
    with pytest.raises(OutOfRange, match=f"load share is {share}; it must be above 0"):
        reps_to_failure(share)
    with pytest.raises(OutOfRange, match=f"capacity is {share}; it must be above 0"):
        load_share_for(10, capacity=share)


def test_negative_reps_and_rests_are_refused() -> None:
    with pytest.raises(OutOfRange, match="reps is -1"):
        Fatigue().after_set(0.5, -1)
    with pytest.raises(OutOfRange, match="rest is -3"):
        Fatigue().after_rest(-3)
    with pytest.raises(OutOfRange, match="reps is -1"):
        load_share_for(-1)
    with pytest.raises(OutOfRange, match=r"one-rep maximum is 0\.0 kg"):
        read_session([FIRST], 0.0)
