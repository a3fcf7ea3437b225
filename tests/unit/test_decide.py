"""How heavy the next set is: the rule's every clause, and the sentence that says why."""

from __future__ import annotations

import pytest

from gyms import NOW, boathouse, loads_for, logged
from racks import rack
from steelyard.errors import OutOfRange
from steelyard.strength.estimate import chance_of_reps
from steelyard.strength.fatigue import Fatigue
from steelyard.strength.model import Estimate
from steelyard.training.decide import (
    CONFIDENCE,
    Decision,
    Evidence,
    Situation,
    Wanted,
    decide,
    left_words,
    odds_words,
)
from steelyard.training.gym import Gym, StationLoads
from steelyard.units import Unit

TEN = Wanted(10, 12, 2)


def knowing(one_rm_kg: float, heaviest_kg: float | None = None) -> Evidence:
    return Evidence(Estimate(one_rm_kg, 0.03, 4, 3.0, 12.0), None, heaviest_kg, Fatigue())


def decided(
    evidence: Evidence,
    wanted: Wanted = TEN,
    situation: Situation | None = None,
    *,
    loads: StationLoads | None = None,
) -> Decision:
    rows = loads or loads_for("lever_row_chest")
    return decide(rows, evidence, wanted, situation or Situation(), unit=Unit.KG, now=NOW)


def coarse(**counts: int) -> StationLoads:
    """The row with nothing but a few large plates."""
    plates = rack({name.replace("kg", " kg"): count for name, count in counts.items()})
    return loads_for("lever_row_chest", Gym(boathouse().machine, plates, boathouse().exercises))


@pytest.mark.parametrize("one_rm_kg", [25.0, 47.0, 80.0, 133.0])
def test_the_heaviest_load_that_keeps_eight_chances_in_ten(one_rm_kg: float) -> None:
    loads, evidence = loads_for("lever_row_chest"), knowing(one_rm_kg)
    given = decided(evidence)
    above = loads.ladder[loads.at_most(given.rung.felt_kg) + 1]
    assert evidence.estimate is not None
    assert given.chance >= CONFIDENCE > chance_of_reps(evidence.estimate, above.felt_kg, 12)


def test_the_effort_wanted_counts_as_reps() -> None:
    assert decided(knowing(80), Wanted(8, 10, 4)).rung == decided(knowing(80), Wanted(12, 14, 0)).rung


def test_the_expected_reps_lie_in_a_range_of_three() -> None:
    given = decided(knowing(80.0))
    assert 10 <= given.expected <= 12.5
    low, high = given.fitting_kg
    assert low < given.rung.felt_kg < high


def test_less_capacity_is_less_load() -> None:
    fresh, tired = decided(knowing(80.0)), decided(knowing(80.0), situation=Situation(capacity=0.85))
    assert 0.75 < tired.rung.felt_kg / fresh.rung.felt_kg < 0.86


def test_ease_after_a_break_takes_its_share_off() -> None:
    usual, eased = decided(knowing(100.0)), decided(knowing(100.0), situation=Situation(ease=0.8))
    assert 0.78 < eased.rung.felt_kg / usual.rung.felt_kg <= 0.81
    assert eased.chance > 0.95


def test_no_more_than_a_tenth_above_last_time() -> None:
    given = decided(knowing(120.0, heaviest_kg=50.0))
    assert 54.0 < given.rung.felt_kg <= 55.0
    assert given.reason == "Near certain for 10 or more; more than 10 % up at once is left to you."


def test_a_single_step_may_be_larger_than_a_tenth() -> None:
    loads = coarse(**{"10kg": 4})
    first, second, third = (rung.felt_kg for rung in loads.ladder)
    assert second > 1.1 * first
    assert decided(knowing(300.0, heaviest_kg=first), loads=loads).rung.felt_kg == second
    assert decided(knowing(300.0, heaviest_kg=second), loads=loads).rung.felt_kg == third


def test_the_lightest_station_says_when_it_is_still_too_heavy() -> None:
    given = decided(knowing(10.0))
    assert given.rung == loads_for("lever_row_chest").ladder[0]
    assert given.reason.startswith("This is the lightest the station can be, yet only")
    assert given.chance < 0.75


def test_the_heaviest_station_asks_for_reps_instead() -> None:
    given = decided(knowing(400.0))
    assert given.rung == loads_for("lever_row_chest").ladder[-1]
    assert given.reason == "This is all the station can be loaded to; go up to 12 reps."
    assert given.runner_up == ""


@pytest.mark.parametrize("one_rm_kg", [30.0, 47.0, 80.0, 133.0])
def test_the_next_notch_is_a_step_that_can_be_felt(one_rm_kg: float) -> None:
    given = decided(knowing(one_rm_kg))
    tellable = [
        rung.felt_kg for rung in loads_for("lever_row_chest").ladder if rung.felt_kg >= 1.01 * given.rung.felt_kg
    ]
    assert given.runner_up.startswith(f"Next up is {tellable[0]:.1f} kg: ")


def test_the_second_arm_is_given_what_the_first_one_had() -> None:
    held_kg = loads_for("lever_row_chest").ladder[40].felt_kg
    given = decided(knowing(200.0, heaviest_kg=20.0), situation=Situation(held_kg=held_kg))
    assert given.rung.felt_kg == held_kg


def test_nothing_is_decided_for_someone_unknown() -> None:
    with pytest.raises(OutOfRange, match="not known; it must be found by a light test set first"):
        decided(Evidence(None, None, None, Fatigue()))


@pytest.mark.parametrize(
    ("days_ago", "rir", "words"),
    [
        (0.01, 2, "Just now: 8 reps at 40.0 kg, 2 left."),
        (1.0, 0, "Yesterday: 8 reps at 40.0 kg, to failure."),
        (7.0, None, "7 days ago: 8 reps at 40.0 kg."),
        (7.0, 5, "7 days ago: 8 reps at 40.0 kg, 5 or more left."),
    ],
)
def test_the_reason_names_the_set_it_rests_on(days_ago: float, rir: int | None, words: str) -> None:
    last = logged(40.0, 8, rir, days_ago=days_ago)
    evidence = Evidence(Estimate(60.0, 0.03, 4, 3.0, 12.0), last, None, Fatigue())
    assert decided(evidence).reason.startswith(f"{words} ")


def test_a_lifter_who_reads_pounds_is_told_pounds() -> None:
    evidence = Evidence(Estimate(60.0, 0.03, 4, 3.0, 12.0), logged(40.0, 8, 2), None, Fatigue())
    given = decide(loads_for("lever_row_chest"), evidence, TEN, Situation(), unit=Unit.LB, now=NOW)
    assert "8 reps at 88.2 lb" in given.reason
    assert " lb:" in given.runner_up


@pytest.mark.parametrize(
    ("chance", "words"),
    [(1.0, "near certain"), (0.949, "9 chances in 10"), (0.05, "1 chance in 10"), (0.049, "hardly a chance")],
)
def test_odds_in_words(chance: float, words: str) -> None:
    assert odds_words(chance) == words


def test_reps_left_are_said_as_they_were() -> None:
    assert [left_words(4), left_words(5), left_words(9)] == ["4", "5 or more", "9 or more"]
