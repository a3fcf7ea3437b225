"""Weekly sets with indirect work counted by half.

Sources: Pelland and others (doi 10.1007/s40279-025-02344-w, abstract read): of 1, 0.5 and 0 for indirect sets, 0.5
fitted best. Mannarino 2021 (J Strength Cond Res 35(10):2677, read): elbow flexors grew 5.16 % by one-arm rows and
11.06 % by curls. Gentil 2015 (doi 10.5812/asjsm.24057, read): 6.10 % by pulldowns, 5.83 % by curls.
"""

from __future__ import annotations

import pytest

from steelyard.training.exercises import exercises
from steelyard.training.rules import HARD_RIR, fractional_sets, volume_label


def test_direct_work_counts_one_and_indirect_a_half() -> None:
    assert fractional_sets(exercises()["lever_row_chest"]) == {
        "lats": 1.0,
        "mid_back": 1.0,
        "rear_delt": 0.5,
        "elbow_flexors": 0.5,
    }


def test_a_half_lies_between_two_trials_of_rows_and_pulldowns() -> None:
    rows, pulldowns = 5.16 / 11.06, 6.10 / 5.83
    half = fractional_sets(exercises()["lever_row_one_arm"])["elbow_flexors"]
    assert half == pytest.approx(rows, abs=0.05)
    assert half < pulldowns


def test_one_side_is_half_a_set() -> None:
    curl = exercises()["curl_cable_one_arm"]
    both = fractional_sets(curl)
    assert {muscle: 2 * share for muscle, share in fractional_sets(curl, one_side=True).items()} == both


def test_an_easy_set_counts_nothing() -> None:
    curl = exercises()["curl_cable"]
    assert fractional_sets(curl, rir=HARD_RIR + 1) == {}
    assert fractional_sets(curl, rir=HARD_RIR) == fractional_sets(curl, rir=None)


def test_upper_chest_counts_into_chest_and_only_once() -> None:
    assert fractional_sets(exercises()["chest_press_incline"])["chest"] == 1.0
    assert fractional_sets(exercises()["front_raise_cable"])["chest"] == 0.5


def test_squats_add_nothing_to_the_hamstrings() -> None:
    """They hardly grew in nine weeks of squats: PMC10593473, read."""
    assert "hamstrings" not in fractional_sets(exercises()["squat_lever"])


@pytest.mark.parametrize(
    ("sets", "label"),
    [
        (3.5, "less than trials could see an effect of"),
        (4.0, "the least that shows"),
        (5.0, "most gain for the sets"),
        (10.0, "most gain for the sets"),
        (10.5, "high"),
        (31.0, "beyond what was studied"),
    ],
)
def test_a_week_is_told_by_the_classes_of_the_review(sets: float, label: str) -> None:
    """4 and 5 to 10 sets: digest read. Beyond: from memory."""
    assert volume_label(sets) == label
