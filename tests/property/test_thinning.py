"""Ladders thinned out as far as can be: still nothing but true loadings, whatever the machine."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from hypothesis import assume, given
from hypothesis import strategies as st

from racks import Gym, gyms
from steelyard.errors import LimitExceeded
from steelyard.plates.limits import rig_of
from steelyard.plates.loading import check_loading, felt_kg
from steelyard.plates.model import Inventory, Rung
from steelyard.plates.stackings import ladder_of, stackings
from steelyard.plates.thinning import BOUNDS, Bounds

BARE = st.builds(
    Bounds, st.integers(0, 40), st.integers(1, 40), st.integers(1, 60), st.integers(2, 20), st.integers(4, 8)
)


def thinned(gym: Gym, bounds: Bounds) -> tuple[Rung, ...]:
    try:
        return ladder_of(gym.law, stackings(rig_of(gym.machine, gym.law), gym.inventory, bounds=bounds))
    except LimitExceeded:
        assume(False)
        raise


@given(gyms(), BARE)
def test_a_thinned_ladder_has_true_loadings_only_and_no_load_that_the_whole_has_not(
    gym: Gym, bounds: Bounds
) -> None:
    whole = {rung.felt_kg for rung in thinned(gym, BOUNDS)}
    for rung in thinned(gym, bounds):
        assert rung.felt_kg in whole
        for build in rung.builds:
            check_loading(gym.machine, gym.law, build, gym.inventory)
            assert felt_kg(gym.law, build) == rung.felt_kg


@given(gyms(), BARE)
def test_thinning_keeps_to_its_bounds(gym: Gym, bounds: Bounds) -> None:
    found = stackings(rig_of(gym.machine, gym.law), gym.inventory, bounds=bounds)
    assert len(found.carried) <= (bounds.fewer_loadings if found.thinned else bounds.loadings)


@given(gyms(), BARE, st.randoms(use_true_random=False))
def test_thinning_does_not_depend_on_the_order_of_the_plates(gym: Gym, bounds: Bounds, random: Random) -> None:
    kinds = list(gym.inventory.counts.items())
    random.shuffle(kinds)
    assert thinned(replace(gym, inventory=Inventory(dict(kinds))), bounds) == thinned(gym, bounds)
