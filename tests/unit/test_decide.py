"""How heavy the next set is: the rule's every clause, and the sentence that says why."""

from __future__ import annotations

from dataclasses import replace

import pytest

from gyms import NOW, boathouse, loads_for, logged, promising
from racks import rack
from steelyard.journal.fold import LoggedSet
from steelyard.strength.belief import newcomer, outlook, rested, spent
from steelyard.strength.outlook import Outlook
from steelyard.training.decide import (
    CONFIDENCE,
    Decision,
    Situation,
    Wanted,
    decide,
    left_words,
    odds_words,
)
from steelyard.training.gym import Gym, StationLoads
from steelyard.training.history import Evidence
from steelyard.training.priors import lift_of
from steelyard.units import Unit

TEN = Wanted(10, 12, 2)
ROW = lift_of(boathouse().exercises["lever_row_chest"], "row-chest", "boathouse", 70.0)


def decided(
    promised: Outlook,
    wanted: Wanted = TEN,
    *,
    heaviest_kg: float | None = None,
    last: LoggedSet | None = None,
    situation: Situation | None = None,
    loads: StationLoads | None = None,
    unit: Unit = Unit.KG,
) -> Decision:
    rows, evidence = loads or loads_for("lever_row_chest"), Evidence(last, heaviest_kg)
    return decide(rows, promised, evidence, wanted, situation or Situation(), unit=unit, now=NOW)


def coarse(**counts: int) -> StationLoads:
    """The row with nothing but a few large plates."""
    plates = rack({name.replace("kg", " kg"): count for name, count in counts.items()})
    return loads_for("lever_row_chest", Gym(boathouse().machine, plates, boathouse().exercises))


@pytest.mark.parametrize("able_kg", [25.0, 47.0, 80.0, 133.0])
def test_the_heaviest_load_that_keeps_eight_chances_in_ten(able_kg: float) -> None:
    loads, promised = loads_for("lever_row_chest"), promising(able_kg)
    given = decided(promised)
    above = loads.ladder[loads.at_most(given.rung.felt_kg) + 1]
    assert given.chance >= CONFIDENCE > promised.chance_of_reps(above.felt_kg, 10, rir=2)


def test_the_effort_wanted_counts_as_reps() -> None:
    saying, failing = decided(promising(80), Wanted(8, 10, 4)), decided(promising(80), Wanted(12, 14, 0))
    assert saying.fitting_kg == pytest.approx(failing.fitting_kg, rel=1e-9)
    assert 0.95 < saying.rung.felt_kg / failing.rung.felt_kg <= 1.0  # what is said to be left is less sure


def test_who_has_more_left_than_they_say_is_given_less_for_the_same_words() -> None:
    plain, modest = (decided(replace(promising(80.0), candour=more)) for more in (0.0, 1.0))
    assert modest.rung.felt_kg < plain.rung.felt_kg


def test_the_expected_reps_lie_in_a_range_of_three() -> None:
    given = decided(promising(80.0))
    assert 10 <= given.expected <= 12.5
    low, high = given.fitting_kg
    assert low < given.rung.felt_kg < high


def test_less_capacity_is_less_load() -> None:
    fresh = newcomer([ROW])
    tired = rested(spent(fresh, ROW.name, 40.0, 12.0), 60.0)
    left = outlook(tired, ROW.name).capacity
    ratio = decided(outlook(tired, ROW.name)).rung.felt_kg / decided(outlook(fresh, ROW.name)).rung.felt_kg
    assert 0.75 < left < 0.95
    assert 0.85 * left < ratio < left  # how one recovers is not known either


def test_who_is_not_known_is_given_less_than_who_is() -> None:
    unknown = outlook(newcomer([ROW]), ROW.name)
    known = replace(unknown, variance=0.03**2)
    assert decided(unknown).rung.felt_kg < 0.85 * decided(known).rung.felt_kg


def test_ease_after_a_break_takes_its_share_off() -> None:
    usual, eased = decided(promising(100.0)), decided(promising(100.0), situation=Situation(ease=0.8))
    assert 0.78 < eased.rung.felt_kg / usual.rung.felt_kg <= 0.81
    assert eased.chance > 0.95


def test_no_more_than_a_tenth_above_last_time() -> None:
    given = decided(promising(120.0), heaviest_kg=50.0)
    assert 54.0 < given.rung.felt_kg <= 55.0
    assert given.reason == "Near certain for 10 or more; more than 10 % up at once is left to you."


def test_a_single_step_may_be_larger_than_a_tenth() -> None:
    loads = coarse(**{"10kg": 4})
    first, second, third = (rung.felt_kg for rung in loads.ladder)
    assert second > 1.1 * first
    assert decided(promising(300.0), heaviest_kg=first, loads=loads).rung.felt_kg == second
    assert decided(promising(300.0), heaviest_kg=second, loads=loads).rung.felt_kg == third


def test_the_lightest_station_says_when_it_is_still_too_heavy() -> None:
    given = decided(promising(10.0))
    assert given.rung == loads_for("lever_row_chest").ladder[0]
    assert given.reason.startswith("This is the lightest the station can be, yet only")
    assert given.chance < 0.75


def test_the_heaviest_station_asks_for_reps_instead() -> None:
    given = decided(promising(400.0))
    assert given.rung == loads_for("lever_row_chest").ladder[-1]
    assert given.reason == "This is all the station can be loaded to; go up to 12 reps."
    assert given.runner_up == ""


@pytest.mark.parametrize("able_kg", [30.0, 47.0, 80.0, 133.0])
def test_the_next_notch_is_a_step_that_can_be_felt(able_kg: float) -> None:
    given = decided(promising(able_kg))
    tellable = [
        rung.felt_kg for rung in loads_for("lever_row_chest").ladder if rung.felt_kg >= 1.01 * given.rung.felt_kg
    ]
    assert given.runner_up.startswith(f"Next up is {tellable[0]:.1f} kg: ")


def test_the_second_arm_is_given_what_the_first_one_had() -> None:
    held_kg = loads_for("lever_row_chest").ladder[40].felt_kg
    given = decided(promising(200.0), heaviest_kg=20.0, situation=Situation(held_kg=held_kg))
    assert given.rung.felt_kg == held_kg


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
    assert decided(promising(60.0), last=last).reason.startswith(f"{words} ")


def test_helped_reps_are_told_where_they_decide() -> None:
    last = logged(40.0, 12, 0, helped=2)
    words = "7 days ago: 12 reps at 40.0 kg, 2 of them helped or cut short, to failure. "
    assert decided(promising(60.0), last=last).reason.startswith(words)


def test_a_set_whose_form_broke_is_said_to_have_ended_so() -> None:
    last = logged(40.0, 8, None, ended="form")
    assert decided(promising(60.0), last=last).reason.startswith("7 days ago: 8 reps at 40.0 kg, form broke. ")


def test_a_lifter_who_reads_pounds_is_told_pounds() -> None:
    given = decided(promising(60.0), last=logged(40.0, 8, 2), unit=Unit.LB)
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
