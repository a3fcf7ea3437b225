"""Plates: what a stack weighs, what is refused and in which words, the ladder and what is read off it."""

from __future__ import annotations

import math

import pytest

from racks import Gym, gym_of, plate_of, post, rack
from steelyard.errors import LimitExceeded, NoLoading, OutOfRange, UnknownName
from steelyard.machine.felt import felt_law
from steelyard.machine.model import Axis, Counterweight, FeltLaw, FreeWeight, HornShare, Machine, Station
from steelyard.plates.loading import (
    build_exactly,
    check_loading,
    felt_kg,
    gaps,
    heaviest_at_most,
    ladder,
    largest_gap,
    loadings,
    lowering_kg,
    nearest,
    plates_kg,
)
from steelyard.plates.model import BUILDS_KEPT, Inventory, Rung

TWENTY, TEN, FIVE = plate_of("20 kg"), plate_of("10 kg"), plate_of("5 kg")
HOUSE = {"20 kg": 4, "10 kg": 4, "5 kg": 2}


def refused(gym: Gym, loading: dict[str, tuple[object, ...]]) -> str:
    with pytest.raises(LimitExceeded) as met:
        check_loading(gym.machine, gym.law, loading, gym.inventory)  # type: ignore[arg-type]
    assert "\n" not in str(met.value)
    return str(met.value)


def rungs(*felt: float) -> tuple[Rung, ...]:
    return tuple(Rung(kg, ({},)) for kg in felt)


# ---- weighing ----


def test_an_empty_horn_weighs_nothing() -> None:
    assert plates_kg(()) == 0.0


def test_pounds_are_summed_exactly_before_they_become_a_float() -> None:
    assert plates_kg((plate_of("45 lb"),) * 10) == 204.1165665


def test_a_plate_that_was_weighed_counts_as_weighed() -> None:
    light = plate_of("20 kg")
    weighed = type(light)(light.name, light.nominal, light.thickness_m, plate_of("19.6 kg").nominal)
    assert plates_kg((light, weighed)) == 39.6


def test_felt_load_is_the_base_plus_both_sides() -> None:
    gym = gym_of([post()], HOUSE, per_kg=[0.8], base_kg=6.0)
    assert felt_kg(gym.law, {}) == 6.0
    assert felt_kg(gym.law, {"tip": (TWENTY, FIVE)}) == 6.0 + 2 * 0.8 * 25


def test_one_arm_of_a_pair_feels_one_post() -> None:
    gym = gym_of([post()], HOUSE, per_kg=[0.8], base_kg=6.0, arm={"paired": True})
    assert felt_kg(gym.law, {"tip": (TWENTY,)}) == 22.0


def test_on_a_horn_along_the_plane_a_plate_counts_by_its_centre() -> None:
    nose = post("nose", 300, sides=1, axis=Axis.ALONG)
    gym = gym_of([nose], HOUSE, per_kg=[0.5], per_kg_m=[2.0], base_kg=0.0)
    # 20 kg is 35 mm thick, so its centre lies at 17.5 mm; 10 kg is 28 mm, so its centre lies at 35 + 14 = 49 mm.
    assert felt_kg(gym.law, {"nose": (TWENTY, TEN)}) == 0.5 * 30 + 2.0 * (20 * 0.0175 + 10 * 0.049)
    assert felt_kg(gym.law, {"nose": (TEN, TWENTY)}) == 0.5 * 30 + 2.0 * (10 * 0.014 + 20 * 0.0455)


def test_lowering_is_its_own_law_where_there_is_friction() -> None:
    gym = gym_of([post()], HOUSE, per_kg=[0.8])
    station, shares = gym.law.station, (HornShare(gym.law.shares[0].horn, 2, 0.6),)
    rubbing = FeltLaw(station, 6.0, gym.law.shares, 0.5, lowering=FeltLaw(station, 4.0, shares, 0.5))
    assert lowering_kg(rubbing, {"tip": (TEN,)}) == 16.0
    assert lowering_kg(gym.law, {"tip": (TEN,)}) == felt_kg(gym.law, {"tip": (TEN,)})


def test_an_unknown_horn_is_refused_everywhere() -> None:
    gym = gym_of([post()], HOUSE)
    with pytest.raises(UnknownName, match="horn at station row 'tipp' is not known; did you mean tip"):
        felt_kg(gym.law, {"tipp": ()})
    with pytest.raises(UnknownName):
        check_loading(gym.machine, gym.law, {"tipp": ()}, gym.inventory)


# ---- limits ----


def test_a_full_horn_is_told_by_how_much() -> None:
    gym = gym_of([post(length_mm=120, collar_m=0.04)], HOUSE)
    assert refused(gym, {"tip": (TWENTY, TWENTY, TEN)}) == (
        "plates on horn tip would be 98 mm; it must not exceed 80 mm, collar of 40 mm left out: "
        "take off at least 18 mm of plates, or use thinner ones"
    )
    check_loading(gym.machine, gym.law, {"tip": (TWENTY, TWENTY)}, gym.inventory)


def test_plates_that_fill_a_horn_to_the_millimetre_fit() -> None:
    gym = gym_of([post(length_mm=110, collar_m=0.04)], HOUSE)
    check_loading(gym.machine, gym.law, {"tip": (TWENTY, TWENTY)}, gym.inventory)


def test_a_post_is_rated_for_its_own_stack() -> None:
    gym = gym_of([post(rated_kg=25.0)], HOUSE)
    check_loading(gym.machine, gym.law, {"tip": (TWENTY, FIVE)}, gym.inventory)
    assert refused(gym, {"tip": (TWENTY, TEN)}) == (
        "mass on one post of horn tip would be 30 kg; it must not exceed 25 kg: take at least 5 kg off each post"
    )


def test_a_rating_in_pounds_bears_plates_of_just_that_mass() -> None:
    gym = gym_of([post(rated_kg=plate_of("90 lb").mass.kg)], {"45 lb": 4})
    check_loading(gym.machine, gym.law, {"tip": (plate_of("45 lb"),) * 2}, gym.inventory)


def test_an_arm_is_rated_for_all_its_posts_and_a_pair_for_each_arm() -> None:
    horns = [post(), post("back")]
    heavy = {"tip": (TWENTY, TEN), "back": (TEN,)}
    one = gym_of(horns, HOUSE, arm={"rated_plates_kg": 60.0})
    message = refused(one, heavy)
    assert "plates on arm main would be 80 kg; it must not exceed 60 kg: take at least 20 kg off" in message
    pair = gym_of(horns, HOUSE, arm={"rated_plates_kg": 60.0, "paired": True})
    check_loading(pair.machine, pair.law, heavy, pair.inventory)


def test_a_cable_is_rated_at_its_worst_angle() -> None:
    peaks = ((50.0, (10.0,)), (100.0, (8.0,)))
    gym = gym_of([post()], HOUSE, cable_rated_n=251.0, peaks=peaks)
    check_loading(gym.machine, gym.law, {"tip": (TEN, FIVE)}, gym.inventory)
    message = refused(gym, {"tip": (TWENTY,)})
    assert "cable tension at station row would be 260.0 N (26.51 kg); it must not exceed 251.0 N" in message


def test_more_plates_than_are_owned_are_refused_over_all_posts() -> None:
    gym = gym_of([post(), post("back")], HOUSE)
    check_loading(gym.machine, gym.law, {"tip": (TWENTY,), "back": (TWENTY,)}, gym.inventory)
    message = refused(gym, {"tip": (TWENTY,) * 2, "back": (TWENTY,)})
    assert message.startswith("plates named 20 kg in use would be 6; it must not exceed 4, all there are: ")
    assert "15 kg in use would be 2; it must not exceed 0" in refused(gym, {"tip": (plate_of("15 kg"),)})


def test_plates_that_would_lift_the_arm_are_refused() -> None:
    gym = gym_of([post(), post("back")], HOUSE, per_kg=(0.8, -0.4))
    check_loading(gym.machine, gym.law, {"back": (FIVE,)}, gym.inventory)
    message = refused(gym, {"back": (TEN,)})
    assert message.startswith("uplift at station row would be 2 kg; it must not exceed 0 kg: the arm would rise")


# ---- the ladder ----


def test_a_station_without_plates_or_horns_has_one_rung() -> None:
    assert ladder(*gym_of([post()], {})) == (Rung(6.0, ({},)),)
    assert ladder(*gym_of([], HOUSE)) == (Rung(6.0, ({},)),)


def test_a_small_ladder_in_full() -> None:
    gym = gym_of([post()], {"10 kg": 2, "5 kg": 4}, per_kg=[1.0], base_kg=5.0)
    assert [rung.felt_kg for rung in ladder(*gym)] == [5.0, 15.0, 25.0, 35.0, 45.0]
    # 10 kg a side is built from one plate a side before it is built from two.
    assert ladder(*gym)[2].builds == ({"tip": (TEN,)}, {"tip": (FIVE, FIVE)})
    assert ladder(*gym)[2].loading == {"tip": (TEN,)}


def test_a_single_plate_is_no_use_where_both_sides_must_be_alike() -> None:
    assert len(ladder(*gym_of([post()], {"10 kg": 3}))) == 2
    assert len(ladder(*gym_of([post(sides=1)], {"10 kg": 3}))) == 4


def test_horns_share_the_plates() -> None:
    gym = gym_of([post(sides=1), post("back", sides=1)], {"10 kg": 1}, per_kg=(0.8, 0.37), base_kg=0.0)
    assert [(rung.felt_kg, dict(rung.loading)) for rung in ladder(*gym)] == [
        (0.0, {}),
        (3.7, {"back": (TEN,)}),
        (8.0, {"tip": (TEN,)}),
    ]


def test_no_rung_keeps_more_builds_than_agreed() -> None:
    kinds = {plate_of(f"no {n}", mass="5 kg"): 2 for n in range(12)}
    rung = ladder(*gym_of([post()], Inventory(kinds)))[1]
    assert [stack[0].name for build in rung.builds for stack in build.values()] == sorted(p.name for p in kinds)[
        :8
    ]
    assert len(rung.builds) == BUILDS_KEPT


def test_the_heaviest_plate_is_innermost_and_equal_masses_go_by_name() -> None:
    kinds = {plate_of("b", mass="5 kg"): 2, plate_of("45 lb"): 2, TWENTY: 2, plate_of("a", mass="5 kg"): 2}
    last = list(loadings(*gym_of([post()], Inventory(kinds))))[-1]
    assert [plate.name for plate in last["tip"]] == ["45 lb", "20 kg", "a", "b"]


def test_a_plate_behind_the_hinge_lets_the_cable_bear_a_heavier_one_in_front() -> None:
    # 20 kg in front asks 250 N, too much; 10 kg behind, decided on later, take 50 N off.
    peaks = ((50.0, (10.0, -5.0)),)
    horns = [post(sides=1), post("back", sides=1)]
    gym = gym_of(horns, {"20 kg": 1, "10 kg": 1}, per_kg=(0.8, -0.1), cable_rated_n=200.0, peaks=peaks)
    assert {"tip": (TWENTY,), "back": (TEN,)} in list(loadings(*gym))
    assert {"tip": (TWENTY,)} not in list(loadings(*gym))
    assert any(rung.loading == {"tip": (TWENTY,), "back": (TEN,)} for rung in ladder(*gym))


def test_where_even_the_empty_station_breaks_a_limit_the_ladder_says_so() -> None:
    for counts in (HOUSE, {}):
        gym = gym_of([post()], counts, cable_rated_n=100.0, peaks=((150.0, (10.0,)),))
        with pytest.raises(LimitExceeded, match="cable tension at station row would be"):
            ladder(*gym)


def test_a_free_weight_is_felt_as_what_it_weighs() -> None:
    pin = post("pin", sides=1)
    station = Station("handle", "Handle", FreeWeight(2.0), horn="pin")
    machine = Machine("Test gym", {}, {"pin": pin}, {"handle": station})
    found = ladder(machine, felt_law(machine, station), rack({"10 kg": 1, "45 lb": 1}))
    assert [rung.felt_kg for rung in found] == [2.0, 12.0, 22.412, 32.412]


def test_a_counterweight_is_in_the_base_and_not_on_the_plates() -> None:
    plain = gym_of([post()], HOUSE, arm={"rated_plates_kg": 40.0})
    balanced = gym_of(
        [post()], HOUSE, arm={"rated_plates_kg": 40.0, "counterweight": Counterweight(30.0, (-0.4, 0.0))}
    )
    assert ladder(*plain) == ladder(*balanced)


# ---- what is read off a ladder ----


def test_gaps_are_the_steps_between_neighbours_in_kg_and_percent() -> None:
    steps = gaps(rungs(0.0, 5.0, 7.5, 10.0))
    assert [gap.step_kg for gap in steps] == [5.0, 2.5, 2.5]
    assert [gap.percent for gap in steps] == [math.inf, 50.0, pytest.approx(100 / 3)]


def test_the_largest_gap_is_the_lowest_of_equals() -> None:
    largest = largest_gap(rungs(1.0, 2.0, 4.0, 6.0))
    assert largest is not None
    assert largest.below_kg == 2.0
    assert largest_gap(rungs(1.0)) is None


def test_nearest_comes_nearest_first_and_the_lighter_of_two_as_near() -> None:
    found = nearest(rungs(10.0, 20.0, 30.0, 40.0), 25.0, count=3)
    assert [rung.felt_kg for rung in found] == [20.0, 30.0, 10.0]
    assert [rung.felt_kg for rung in nearest(rungs(10.0, 20.0), 99.0)] == [20.0, 10.0]
    assert nearest((), 25.0) == ()


def test_the_heaviest_at_most_may_be_just_the_limit() -> None:
    assert heaviest_at_most(rungs(10.0, 20.4, 30.0), 20.4).felt_kg == 20.4
    assert heaviest_at_most(rungs(10.0, 20.4, 30.0), 20.399).felt_kg == 10.0
    with pytest.raises(NoLoading, match="no loading makes at most 9 kg; nearest is 10 kg"):
        heaviest_at_most(rungs(10.0, 20.4), 9.0)


def test_an_exact_build_is_found_or_its_neighbours_are_offered() -> None:
    steps = rungs(60.2, 62.4, 70.0)
    assert build_exactly(steps, 62.0, 0.4).felt_kg == 62.4
    with pytest.raises(NoLoading) as met:
        build_exactly(steps, 61.0, 0.5)
    assert str(met.value) == "no loading makes 61 kg; nearest are 60.2 kg and 62.4 kg"
    with pytest.raises(NoLoading, match=r"nearest is 70 kg$"):
        build_exactly(steps, 80.0, 1.0)


@pytest.mark.parametrize("wanted", [math.nan, math.inf])
def test_a_felt_load_that_is_no_number_is_refused(wanted: float) -> None:
    with pytest.raises(OutOfRange, match=r"felt load is (nan|inf) kg"):
        build_exactly(rungs(60.2), wanted, 0.5)


def test_a_negative_tolerance_is_refused() -> None:
    with pytest.raises(OutOfRange, match="tolerance is -1 kg; it must be 0 kg or more"):
        build_exactly(rungs(60.2), 60.0, -1.0)
