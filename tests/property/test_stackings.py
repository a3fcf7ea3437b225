"""Ladders made from stackings that are worked out once for all stations of a rig."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from racks import Gym, gym_of, gyms, plate_of, post
from steelyard.errors import LimitExceeded
from steelyard.machine.model import Cable
from steelyard.plates.limits import rig_of
from steelyard.plates.loading import check_loading, felt_kg, loadings
from steelyard.plates.model import BUILDS_KEPT, Inventory, Rung
from steelyard.plates.stackings import Stackings, ladder_of, stackings


def stackings_of(gym: Gym) -> Stackings:
    return stackings(rig_of(gym.machine, gym.law), gym.inventory)


def another_station(gym: Gym, base_kg: float, nearer: float, rated_n: float | None) -> Gym:
    """A station on the same arm: another base, every share nearer to the hinge, its cable rated otherwise."""
    shares = tuple(
        replace(share, per_kg=share.per_kg * nearer, per_kg_m=share.per_kg_m * nearer) for share in gym.law.shares
    )
    drive = gym.law.station.drive
    if isinstance(drive, Cable):
        drive = replace(drive, rated_n=rated_n)
    station = replace(gym.law.station, name="other", drive=drive)
    return replace(gym, law=replace(gym.law, station=station, base_kg=base_kg, shares=shares))


def refused_empty(gym: Gym) -> bool:
    try:
        check_loading(gym.machine, gym.law, {}, gym.inventory)
    except LimitExceeded:
        return True
    return False


@given(gyms(), st.sampled_from([-3.0, 0.0, 11.5]), st.sampled_from([0.5, 1.25]), st.none() | st.floats(60, 500))
def test_stackings_of_one_station_make_the_ladder_of_another_on_the_same_arm(
    gym: Gym, base_kg: float, nearer: float, rated_n: float | None
) -> None:
    other = another_station(gym, base_kg, nearer, rated_n)
    assert rig_of(other.machine, other.law) == rig_of(gym.machine, gym.law)
    felt = [felt_kg(other.law, loading) for loading in loadings(*other)]
    assume(felt)
    assert [rung.felt_kg for rung in ladder_of(other.law, stackings_of(gym))] == sorted(set(felt))


@given(gyms())
def test_every_build_of_a_rung_is_allowed_and_makes_its_load(gym: Gym) -> None:
    assume(not refused_empty(gym))
    for rung in ladder_of(gym.law, stackings_of(gym)):
        assert 1 <= len(rung.builds) <= BUILDS_KEPT
        for build in rung.builds:
            check_loading(gym.machine, gym.law, build, gym.inventory)
            assert felt_kg(gym.law, build) == rung.felt_kg


def test_one_arm_work_shares_the_stackings_of_its_pair() -> None:
    pair = gym_of([post()], {"10 kg": 4}, per_kg=[1.0], base_kg=5.0, arm={"paired": True})
    both = replace(pair.law, shares=tuple(replace(share, sides=2) for share in pair.law.shares))
    shared = stackings_of(pair)
    assert [rung.felt_kg for rung in ladder_of(pair.law, shared)] == [5.0, 15.0, 25.0]
    assert [rung.felt_kg for rung in ladder_of(both, shared)] == [5.0, 25.0, 45.0]


def test_builds_are_a_sequence_equal_to_a_tuple_of_the_same_loadings() -> None:
    ten, five = plate_of("10 kg"), plate_of("5 kg")
    gym = gym_of([post()], Inventory({ten: 2, five: 4}), per_kg=[1.0], base_kg=5.0)
    expected = ({"tip": (ten,)}, {"tip": (five, five)})
    rung = ladder_of(gym.law, stackings_of(gym))[2]
    assert (len(rung.builds), rung.builds[-1], rung.builds[:1]) == (2, expected[1], expected[:1])
    assert rung.builds != expected[:1]
    assert rung.builds == expected
    assert repr(rung.builds) == repr(expected)
    again = ladder_of(gym.law, stackings_of(gym))[2]
    assert rung == again == Rung(25.0, expected)
    assert hash(rung) == hash(Rung(25.0, expected))


def test_a_station_whose_cable_bears_nothing_is_refused_though_its_rig_can_be_loaded() -> None:
    gym = gym_of([post()], {"10 kg": 2}, cable_rated_n=100.0, peaks=((150.0, (10.0,)),))
    shared = stackings_of(gym)
    assert len(shared.carried) == 2
    with pytest.raises(LimitExceeded, match="cable tension at station row would be 150"):
        ladder_of(gym.law, shared)
