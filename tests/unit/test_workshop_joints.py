"""Which joint a station is looked at for, and what is told of it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from gyms import boathouse
from steelyard.errors import LimitExceeded, OutOfRange, UnknownName
from steelyard.machine.body import Body, Table
from steelyard.machine.examples import example_names, example_text
from steelyard.machine.file import read_machine
from steelyard.machine.model import Joint, JointPlace, Station
from steelyard.plates.example import example_text as plates_text
from steelyard.plates.file import read_inventory
from steelyard.training.exercises import exercises
from steelyard.training.gym import Gym
from steelyard.workshop.joints import (
    JointLook,
    Part,
    cautions,
    drawing,
    hard_span,
    look_at,
    part_of,
    sentences,
    stations_with_joints,
)

GYM = boathouse()
BODY = Body(1.80, 80.0)
TWENTY = {"tip": ("20 kg",)}


def look(station: str, near_kg: float = 36.0) -> JointLook:
    return look_at(GYM, station, BODY, near_kg=near_kg)


def with_station(station: Station) -> Gym:
    machine = replace(GYM.machine, stations=GYM.machine.stations | {station.name: station})
    return Gym(machine, GYM.inventory, GYM.exercises)


def test_the_exercises_of_a_station_say_which_joint_it_works() -> None:
    assert stations_with_joints(GYM) == {
        "row": Part.TRUNK,
        "curl": Part.ELBOW,
        "press": Part.SHOULDER,
        "press-incline": Part.SHOULDER,
        "press-shoulder": Part.SHOULDER,
        "low-pulley": Part.ELBOW,
    }


def test_a_joint_in_the_file_comes_before_the_exercises() -> None:
    row = replace(GYM.machine.stations["row"], joint=JointPlace(Joint.SHOULDER, (1.0, 1.0)))
    assert part_of(GYM, row) is Part.SHOULDER


def test_a_free_weight_is_not_looked_at() -> None:
    curl = replace(GYM.machine.stations["handle"], exercises=("curl_reverse",))
    assert part_of(GYM, curl) is None


def test_a_high_pulley_is_no_curl_station_even_where_curls_are_done() -> None:
    curl = replace(GYM.machine.stations["high-pulley"], exercises=("curl_cable",))
    assert part_of(GYM, curl) is None


@pytest.mark.parametrize("name", example_names())
def test_every_station_of_every_example_that_is_offered_can_be_looked_at(name: str) -> None:
    machine = read_machine(example_text(name), f"{name}.toml")
    gym = Gym(machine, read_inventory(plates_text(), "plates.toml"), exercises())
    for station in stations_with_joints(gym):
        told = sentences(gym, look_at(gym, station, BODY, near_kg=25.0))
        assert machine.stations[station].title in told[0]


def test_a_curl_is_told_with_its_hardest_place_and_its_hard_part() -> None:
    (told,) = sentences(GYM, look("curl"))
    assert told.startswith("Curl pad: hardest at 22 degrees of elbow flexion")
    assert "hard from 10 to 49 degrees" in told


def test_two_curls_get_a_sentence_each_and_one_on_how_they_differ() -> None:
    told = sentences(GYM, look("curl"), look("low-pulley"))
    assert [line.split(":")[0] for line in told[:2]] == ["Curl pad", "Low pulley"]
    assert told[2] == "Curl pad is hardest with the straighter arm, Low pulley with the more bent one."


def test_the_order_in_which_two_curls_are_named_does_not_matter() -> None:
    assert (
        sentences(GYM, look("low-pulley"), look("curl"))[2] == sentences(GYM, look("curl"), look("low-pulley"))[2]
    )


def test_a_curl_beside_itself_is_hardest_at_the_same_place() -> None:
    assert sentences(GYM, look("curl"), look("curl"))[2].endswith("are hardest at about the same place.")


def test_the_hard_part_holds_the_hardest_place() -> None:
    view = look("low-pulley").view
    assert view is not None
    low, high = hard_span(view)
    assert low <= (view.ranked[0].flexion_rad or 0.0) <= high


def test_the_same_felt_load_is_looked_at_on_both() -> None:
    assert look("low-pulley").felt_kg == pytest.approx(look("curl").felt_kg, rel=0.03)


def test_a_row_is_told_as_context_with_the_way_round_it() -> None:
    told = " ".join(sentences(GYM, look("row", 60.0)))
    assert "3.4 kN (NIOSH design value, since 1981)" in told
    assert "disputed" in told
    assert "neither allows nor forbids" in told
    assert "17.2 kN" in told
    assert told.endswith("here: Chest-supported row.")


@pytest.mark.parametrize("felt_kg", [10.0, 60.0, 110.0])
def test_no_row_is_judged_whatever_it_weighs(felt_kg: float) -> None:
    told = " ".join(sentences(GYM, look("row", felt_kg))).lower()
    assert not any(word in told for word in ("safe", "danger", "too heavy", "passes", "fails", "warning", "ok"))


def test_a_gym_without_a_supported_row_still_names_the_way_round() -> None:
    gym = with_station(replace(GYM.machine.stations["row-chest"], exercises=()))
    assert (
        sentences(gym, look_at(gym, "row", BODY))[-1] == "A chest-supported or seated row takes most of it away."
    )


def test_a_row_asks_for_the_largest_force_of_both_hands() -> None:
    found = look("row", 60.0)
    assert found.force_n / 9.80665 >= found.felt_kg
    assert found.trunk is not None and found.view is None


def test_a_press_is_told_in_centimetres_of_travel() -> None:
    (told,) = sentences(GYM, look("press"))
    assert told.startswith("Flat press: most torque about the shoulder where the hand has gone 43 cm")


def test_named_plates_are_put_on() -> None:
    found = look_at(GYM, "curl", BODY, plates=TWENTY)
    assert [plate.name for plate in found.loading["tip"]] == ["20 kg"]


def test_without_plates_the_station_is_empty() -> None:
    assert look_at(GYM, "curl", BODY).loading == {}


def test_every_figure_comes_with_its_cautions() -> None:
    told = " ".join(cautions(look("curl")))
    assert "mean of the tables for men and for women" in told
    assert "not your own strength" in told
    assert "53 to 72 N m" in told
    assert "no medical advice" in told


def test_a_chosen_table_is_named() -> None:
    women = look_at(GYM, "press", Body(1.70, 65.0, Table.WOMEN))
    assert "the table measured on women" in cautions(women)[0]


def test_only_curls_are_set_beside_measured_strength() -> None:
    assert not any("young men" in line for line in cautions(look("press")) + cautions(look("row")))


def test_a_row_has_no_drawing_and_a_curl_has_one() -> None:
    assert drawing(look("row")) is None
    drawn = drawing(look("curl"), look("low-pulley"))
    assert drawn is not None and "Low pulley" in drawn


def test_only_the_same_joint_is_drawn_over_it() -> None:
    drawn = drawing(look("curl"), look("press"))
    assert drawn is not None and "Flat press" not in drawn


def test_an_empty_arm_held_up_by_its_counterweight_asks_nothing() -> None:
    weight = GYM.machine.arms["main"]
    light = replace(weight, mass_kg=0.0, hinge_torque_n_m=0.0)
    gym = Gym(replace(GYM.machine, arms={"main": light}), GYM.inventory, GYM.exercises)
    view = look_at(gym, "curl", BODY).view
    assert view is not None
    assert all(point.torque_n_m == pytest.approx(point.own_n_m) for point in view.points)


def test_a_station_of_no_joint_is_refused_with_those_that_have_one() -> None:
    with pytest.raises(OutOfRange, match=r"station squat is no curl, press .* must be one of: row, curl"):
        look("squat")


def test_an_unknown_station_is_offered_the_nearest() -> None:
    with pytest.raises(UnknownName, match="did you mean curl"):
        look("curls")


def test_an_unknown_plate_is_refused() -> None:
    with pytest.raises(UnknownName, match="plate '99 kg' is not known"):
        look_at(GYM, "curl", BODY, plates={"tip": ("99 kg",)})


def test_a_loading_over_a_rated_limit_is_refused() -> None:
    heavy = dict(GYM.inventory.counts)
    twenty = GYM.inventory.plate("20 kg")
    gym = Gym(GYM.machine, replace(GYM.inventory, counts=heavy | {twenty: 40}), GYM.exercises)
    with pytest.raises(LimitExceeded):
        look_at(gym, "curl", BODY, plates={"tip": ("20 kg",) * 6})


def test_a_lifter_over_the_rated_mass_is_refused() -> None:
    with pytest.raises(LimitExceeded, match=r"user mass would be 160\.0 kg"):
        look_at(GYM, "curl", Body(1.90, 160.0), near_kg=20.0)
