"""What holds for every purchase and every closeness, against a plain recount of the ladders."""

from __future__ import annotations

from itertools import pairwise
from math import log

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from property.test_ladder_laws import all_loadings, small
from racks import MASSES, Gym, gyms, plate_of
from steelyard.errors import LimitExceeded
from steelyard.plates.buying import Effect, Use, purchase, standings
from steelyard.plates.closeness import closeness
from steelyard.plates.loading import check_loading, felt_kg, ladder
from steelyard.plates.model import Inventory, Plate
from steelyard.plates.reach import felt_loads

BOUGHT = st.builds(lambda mass, mm: plate_of(f"new {mass}", mm, mass=mass), MASSES, st.integers(5, 60))
USED = st.none() | st.tuples(st.floats(1, 60), st.floats(1, 60)).map(lambda two: (min(two), max(two)))


def loads_of(gym: Gym) -> list[float]:
    """The ladder without the empty hand, by `ladder` itself."""
    found = [rung.felt_kg for rung in ladder(*gym)]
    return [kg for kg in found if kg > 0] or found


def has_a_ladder(gym: Gym) -> bool:
    try:
        check_loading(gym.machine, gym.law, {}, gym.inventory)
    except LimitExceeded:
        return False
    return small(gym)


def bought(gym: Gym, plates: list[Plate], used_kg: tuple[float, float] | None = None) -> Effect:
    now = standings(gym.machine, [Use(gym.law, used_kg)], gym.inventory)
    return purchase(gym.machine, now, gym.inventory, plates, 2).effects[0]


def with_more(gym: Gym, plates: list[Plate]) -> Gym:
    counts = dict(gym.inventory.counts)
    for plate in plates:
        counts[plate] = counts.get(plate, 0) + 2
    return Gym(gym.machine, gym.law, Inventory(counts))


def percent(below: float, above: float) -> float:
    return 100 * round(above - below, 3) / below


def mean_step(loads: list[float], low: float, high: float, *, over: float) -> float:
    """What a step exceeds, averaged over the logarithm of the loads from low to high, piece by piece."""
    total = 0.0
    for below, above in pairwise(loads):
        part = log(min(max(above, low), high) / min(max(below, low), high))
        total += part * max(0.0, percent(below, above) - over)
    return total / log(high / low)


@given(gyms())
def test_loads_without_builds_are_those_of_the_ladder(gym: Gym) -> None:
    assume(has_a_ladder(gym))
    (found,) = felt_loads(gym.machine, [gym.law], gym.inventory)
    assert list(found) == [rung.felt_kg for rung in ladder(*gym)]


@given(gyms(), BOUGHT, USED)
def test_more_plates_never_make_steps_larger_nor_the_top_lower(
    gym: Gym, plate: Plate, used_kg: tuple[float, float] | None
) -> None:
    assume(has_a_ladder(gym))
    effect = bought(gym, [plate], used_kg)
    assert effect.added_kg >= 0
    assert effect.finer_percent >= -1e-9
    if effect.steps is not None and effect.before.steps is not None:
        assert effect.steps.largest.percent <= effect.before.steps.largest.percent
        assert effect.steps.typical_percent <= effect.before.steps.typical_percent + 1e-9


@given(gyms(), st.lists(BOUGHT, min_size=1, max_size=2), USED)
def test_scores_are_a_recount_of_the_ladders(
    gym: Gym, plates: list[Plate], used_kg: tuple[float, float] | None
) -> None:
    assume(has_a_ladder(gym) and small(with_more(gym, plates)))  # most random gyms are too large to recount
    effect = bought(gym, plates, used_kg)
    old, new = loads_of(gym), loads_of(with_more(gym, plates))
    assert (effect.before.felt_kg, effect.top_kg) == (tuple(old), new[-1])
    assume(effect.before.working_kg is not None)
    assert effect.before.working_kg is not None
    assert effect.steps is not None
    low, high = effect.before.working_kg
    steps = [(a, b) for a, b in pairwise(new) if a < high and b > low]
    assert effect.steps.largest.percent == max(percent(*step) for step in steps)
    assert effect.steps.typical_percent == pytest.approx(mean_step(new, low, high, over=0.0), abs=1e-9)
    gain = mean_step(old, low, high, over=2.5) - mean_step(new, low, high, over=2.5)
    assert effect.finer_percent == pytest.approx(gain, abs=1e-9)
    for closed, limit in ((effect.closed_wide, 2.5), (effect.closed_coarse, 5.0)):
        wide = [(a, b) for a, b in pairwise(old) if a < high and b > low and percent(a, b) > limit]
        inside = [[percent(c, d) for c, d in pairwise(new) if a <= c and d <= b] for a, b in wide]
        assert closed == sum(max(parts) <= limit for parts in inside)


@given(gyms())
def test_a_loading_is_allowed_just_where_no_share_is_above_one(gym: Gym) -> None:
    assume(small(gym))
    for loading in list(all_loadings(gym))[:200]:
        near = all(each.share <= 1 for each in closeness(gym.machine, gym.law, loading))
        if near and felt_kg(gym.law, loading) >= 0:
            check_loading(gym.machine, gym.law, loading, gym.inventory)
        else:
            with pytest.raises(LimitExceeded):
                check_loading(gym.machine, gym.law, loading, gym.inventory)
