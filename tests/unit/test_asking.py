"""What sets ask of the plates: loads, tolerances and prices by role."""

from __future__ import annotations

import pytest

from gyms import loads_for
from steelyard.plates.wishes import Way
from steelyard.training.asking import (
    DROP_HASTE,
    RAMP_WITHIN,
    SHORT_OF,
    drop_wish,
    price_s,
    ramp_steps,
    same_wish,
    trial_wish,
    work_wish,
)

ROW = loads_for("lever_row_chest")


def aims(work_kg: float, reps: int = 12) -> list[float]:
    return [step.wish.wanted_kg for step in ramp_steps(ROW.law, ROW.ladder, work_kg, reps)]


def test_missing_a_load_is_dearer_the_shorter_the_rest() -> None:
    prices = [price_s(rest) for rest in (0.0, 12.0, 60.0, 120.0, 180.0, 600.0)]
    assert prices == sorted(prices, reverse=True)
    assert prices[0] == pytest.approx(2 * prices[-1], rel=0.05)


def test_a_work_set_is_never_heavier_than_decided() -> None:
    wish = work_wish(ROW.law, 40.0, 90.0)
    assert wish.most_grams == 40_000
    assert wish.least_grams == 40_000 * (1 - SHORT_OF)


def test_the_same_again_is_exact() -> None:
    wish = same_wish(ROW.law, 40.0)
    assert (wish.least_grams, wish.most_grams) == (40_000, 40_000)


def test_a_test_set_may_be_lighter_but_never_heavier_and_climbs_by_adding() -> None:
    first, next_ = (trial_wish(ROW.law, 20.0, least_kg=18.0, climbs=climbs) for climbs in (False, True))
    assert (first.least_grams, first.most_grams) == (18_000, 20_000)
    assert (first.way, next_.way) == (Way.FREE, Way.ADD)
    assert first.price_ms(19_000) == 5000


def test_a_drop_only_strips_and_is_in_haste() -> None:
    wish = drop_wish(ROW.law, 60.0)
    assert (wish.way, wish.haste) == (Way.STRIP, DROP_HASTE)
    assert wish.wanted_kg == pytest.approx(40.0)
    assert wish.price_ms(37_000) == wish.price_ms(43_000) == 0


def test_a_percent_too_much_in_a_drop_costs_more_than_three_plates() -> None:
    wish = drop_wish(ROW.law, 60.0)
    assert wish.price_ms(43_600) > 1000 * 3 * 6


def test_a_ramp_aims_at_shares_of_the_work_load() -> None:
    assert aims(60.0) == pytest.approx([30.0, 48.0])
    assert aims(60.0, 5) == pytest.approx([24.0, 36.0, 48.0])


def test_a_ramp_stays_under_nine_tenths_of_the_work_load() -> None:
    for step in ramp_steps(ROW.law, ROW.ladder, 60.0, 3):
        assert step.wish.most_grams <= 54_000
        assert step.wish.least_grams >= step.wish.wanted_grams - 60_000 * RAMP_WITHIN - 1


def test_a_step_lighter_than_the_empty_station_is_left_out() -> None:
    empty_kg = ROW.ladder[0].felt_kg
    assert aims(1.6 * empty_kg) == pytest.approx([0.8 * 1.6 * empty_kg])


def test_nothing_warms_up_for_the_empty_station() -> None:
    assert aims(ROW.ladder[0].felt_kg) == []


def test_a_step_without_a_load_of_its_own_is_left_out() -> None:
    coarse = (ROW.ladder[0], ROW.ladder[40])
    assert len(ramp_steps(ROW.law, coarse, ROW.ladder[40].felt_kg, 5)) <= 1


def test_where_loads_are_far_apart_the_nearest_is_asked_for() -> None:
    coarse = (ROW.ladder[0], ROW.ladder[60])
    (step,) = ramp_steps(ROW.law, coarse, 2.5 * ROW.ladder[0].felt_kg, 12)
    assert step.wish.wanted_kg == ROW.ladder[0].felt_kg


def test_a_station_felt_as_nothing_can_still_be_asked_for() -> None:
    assert same_wish(ROW.law, 0.0).wanted_grams == 1
