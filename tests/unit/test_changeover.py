"""What a plan is asked for and answers: wishes, errors, and the simplest sessions."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from gyms import boathouse, loads_for
from steelyard.errors import LimitExceeded, OutOfRange, UnknownName
from steelyard.plates.changeover import changeover
from steelyard.plates.handling import Handling, timed
from steelyard.plates.loading import felt_kg
from steelyard.plates.wishes import Way, Wish

GYM = boathouse()
ROW = loads_for("lever_row_chest").law
FIVE, TEN, TWENTY = (GYM.inventory.plate(name) for name in ("5 kg", "10 kg", "20 kg"))


def test_no_sets_need_no_plates() -> None:
    plan = changeover(GYM.machine, GYM.inventory, [])
    assert (plan.changes, plan.cost_s, plan.gap_s) == ((), 0.0, 0.0)


def test_what_hangs_there_already_costs_nothing() -> None:
    on_horns = {"tip": (TEN, FIVE)}
    plan = changeover(GYM.machine, GYM.inventory, [Wish(ROW, felt_kg(ROW, on_horns), 0.0)], on_horns=on_horns)
    assert (plan.cost_s, plan.changes[0].moves) == (0.0, ())


def test_a_plate_that_leaves_first_hangs_outermost() -> None:
    heavy = Wish(ROW, 50.0, 1.0)
    lighter = Wish(ROW, 42.0, 1.0, way=Way.STRIP, price_s=5000.0, haste=3.0)
    first, then = changeover(GYM.machine, GYM.inventory, [heavy, lighter]).changes
    assert then.loading["tip"] == first.loading["tip"][: len(then.loading["tip"])]
    assert abs(then.felt_kg - 42.0) < 1.5


def test_where_nothing_is_within_the_tolerance_the_nearest_is_taken() -> None:
    ladder = [rung.felt_kg for rung in loads_for("lever_row_chest").ladder]
    low, high = max(pairwise(ladder), key=lambda pair: pair[1] - pair[0])
    wanted = low + 0.4 * (high - low)
    plan = changeover(GYM.machine, GYM.inventory, [Wish(ROW, wanted, 0.001)])
    assert plan.changes[0].felt_kg == low
    assert plan.cost_s > 10_000


def test_plates_on_a_horn_that_is_not_there_are_refused() -> None:
    with pytest.raises(UnknownName, match="horn 'tap' is not known; did you mean tip"):
        changeover(GYM.machine, GYM.inventory, [Wish(ROW, 30.0, 1.0)], on_horns={"tap": (FIVE,)})


def test_more_plates_than_there_are_can_not_hang_there() -> None:
    with pytest.raises(LimitExceeded, match="plates named 20 kg in use would be 10"):
        changeover(GYM.machine, GYM.inventory, [Wish(ROW, 30.0, 1.0)], on_horns={"tip": (TWENTY,) * 5})


@pytest.mark.parametrize("wanted_kg", [-1.0, 0.0, math.nan, math.inf])
def test_a_load_must_be_one(wanted_kg: float) -> None:
    with pytest.raises(OutOfRange, match="it must be at least a gram"):
        Wish(ROW, wanted_kg, 1.0)


def test_figures_below_nothing_are_refused() -> None:
    with pytest.raises(OutOfRange, match="tolerance is -1; it must be 0 or more"):
        Wish(ROW, 30.0, -1.0)
    with pytest.raises(OutOfRange, match="price of missing the load is -5"):
        Wish(ROW, 30.0, 1.0, price_s=-5.0)
    with pytest.raises(OutOfRange, match="haste is 3; it must be 1, or more where plates are only stripped"):
        Wish(ROW, 30.0, 1.0, haste=3.0)


def test_a_gram_beyond_the_tolerance_costs_ten_thousand_seconds() -> None:
    wish = Wish(ROW, 30.0, 1.0, price_s=0.0)
    assert [wish.price_ms(grams) for grams in (29_000, 31_000, 31_001)] == [0, 0, 10_000_000]


def test_handling_grows_with_mass() -> None:
    assert [Handling().plate_ms(plate) for plate in (FIVE, TEN, TWENTY)] == [4750, 5500, 7000]


def test_two_plates_timed_make_a_handling() -> None:
    assert timed(5.0, 4.0, 20.0, 7.0) == Handling(3.0, 0.2)
    with pytest.raises(OutOfRange, match="mass of the large plate is 5 kg; it must be more than 5 kg"):
        timed(5.0, 4.0, 5.0, 7.0)
    with pytest.raises(OutOfRange, match="time of the large plate is 3 s; it must be 4 s or more"):
        timed(5.0, 4.0, 20.0, 3.0)
