"""Each baseline does what its name says, and settles inside the range where nothing is hidden."""

from __future__ import annotations

import pytest

from steelyard.proving.baselines import (
    AddWhenOver,
    Baseline,
    LastSet,
    PercentChart,
    RunningAverage,
    chart_reps,
    chart_share,
    is_small,
    to_failure,
)
from steelyard.proving.protocol import Answer, Ask
from steelyard.proving.season import Season, prove
from steelyard.strength.equations import LOAD_CHART
from unit.test_proving_season import Plain

LOADS = tuple(float(load) for load in range(2, 201))
ROW, CURL = "lever_row_chest", "curl_cable"


def ask(felt_kg: float = 0.0, *, day: float = 0.0, exercise: str = ROW, rir: int = 2) -> Ask:
    return Ask(exercise, day, felt_kg, None, 10, 12, rir, "straight")


def after_test(
    policy: Baseline, felt_kg: float = 60.0, reps: int = 8, rir: int = 4, exercise: str = ROW
) -> Baseline:
    """The policy after a test set."""
    policy.learn(Ask(exercise, -3.0, felt_kg, None, 8, 8, 4, "test"), Answer(reps, "reported", rir))
    return policy


def did(
    policy: Baseline, felt_kg: float, reps: int, *, day: float = 0.0, rir: int = 2, exercise: str = ROW
) -> None:
    policy.learn(ask(felt_kg, day=day, exercise=exercise), Answer(reps, "reported", rir))


@pytest.mark.parametrize(("reps", "percent"), LOAD_CHART.items())
def test_the_chart_is_met_at_its_rows(reps: int, percent: int) -> None:
    assert chart_share(reps) == pytest.approx(percent / 100)
    assert chart_reps(percent / 100) == pytest.approx(reps)


@pytest.mark.parametrize("reps", [1.5, 11, 12.5, 20, 35])
def test_between_and_beyond_its_rows_the_chart_can_be_read_both_ways(reps: float) -> None:
    assert chart_reps(chart_share(reps)) == pytest.approx(reps)


def test_a_load_over_the_maximum_is_read_as_a_single() -> None:
    assert (chart_reps(1.2), chart_share(0)) == (1.0, 1.0)


@pytest.mark.parametrize(
    ("answer", "reps"),
    [
        (Answer(9, "failure", None), 9),
        (Answer(11, "reported", 3), 14),
        (Answer(11, "unsaid", None), 13),
        (Answer(0, "failure", None), 0),
        (Answer(0, "reported", 5), None),
        (Answer(111, "reported", 2), None),
    ],
)
def test_a_set_is_taken_to_failure_by_what_was_said(answer: Answer, reps: float | None) -> None:
    assert to_failure(ask(40.0), answer) == reps


def test_muscles_are_small_or_large() -> None:
    assert [is_small(name) for name in (CURL, ROW, "leg_curl", "anvil_toss")] == [True, False, False, True]


def test_the_chart_takes_its_share_of_the_test() -> None:
    """60 kg for 12 in all is 70 % by the chart (read), and the aim is 13."""
    policy = after_test(PercentChart())
    assert policy.choose(ask(), LOADS) == round(60 / 0.70 * chart_share(13))


def test_the_chart_looks_again_after_four_weeks() -> None:
    policy = after_test(PercentChart())
    before = policy.choose(ask(), LOADS)
    did(policy, before, 20)
    assert policy.choose(ask(day=7.0), LOADS) == before
    assert policy.choose(ask(day=28.0), LOADS) > before


def test_the_last_set_alone_decides() -> None:
    policy = after_test(LastSet())
    did(policy, 60.0, 11)
    did(policy, 50.0, 11)
    assert policy.choose(ask(), LOADS) == 50.0


def test_the_average_moves_half_way() -> None:
    policy = after_test(RunningAverage(), 60.0, 9, 4)  # thirteen in all, as aimed at
    did(policy, 70.0, 11)
    assert policy.choose(ask(day=3.0), LOADS) == 65.0


def test_the_average_takes_every_set_of_an_exercise() -> None:
    policy = after_test(RunningAverage(), 60.0, 9, 4)
    did(policy, 60.0, 11)
    did(policy, 50.0, 11)
    assert policy.choose(ask(day=3.0), LOADS) == 55.0


@pytest.mark.parametrize(
    ("reps", "rir", "load_kg"),
    [(11, 2, 60.0), (12, 2, 63.0), (11, 3, 63.0), (9, 2, 57.0), (15, 2, 66.0), (6, 2, 54.0)],
)
def test_load_is_added_when_over_and_taken_when_below(reps: int, rir: int, load_kg: float) -> None:
    policy = after_test(AddWhenOver(), 60.0, 9, 4)
    assert policy.choose(ask(), LOADS) == 60.0
    did(policy, 60.0, reps, rir=rir)
    assert policy.choose(ask(day=3.0), LOADS) == load_kg


def test_a_small_step_goes_at_least_to_the_next_load() -> None:
    policy = after_test(AddWhenOver(), 10.0, 9, 4, exercise=CURL)
    assert policy.choose(ask(exercise=CURL), LOADS) == 10.0
    did(policy, 10.0, 12, exercise=CURL)
    assert policy.choose(ask(day=3.0, exercise=CURL), LOADS) == 11.0


@pytest.mark.parametrize("make", [PercentChart, LastSet, RunningAverage, AddWhenOver])
def test_whoever_knows_nothing_takes_the_lightest(make: type[Baseline]) -> None:
    assert make().choose(ask(), LOADS) == 2.0


@pytest.mark.parametrize("make", [LastSet, RunningAverage])
def test_a_load_that_does_not_move_is_taken_down(make: type[Baseline]) -> None:
    policy = after_test(make())
    policy.learn(ask(100.0), Answer(0, "failure", None))
    policy.learn(ask(100.0, day=3.0), Answer(0, "failure", None))
    assert policy.choose(ask(day=7.0), LOADS) < 75


@pytest.mark.parametrize("make", [PercentChart, LastSet, RunningAverage, AddWhenOver])
def test_expectations_lie_in_the_range_at_the_load_chosen(make: type[Baseline]) -> None:
    policy = after_test(make())
    expected = policy.expected(ask(policy.choose(ask(), LOADS)))
    assert expected is not None
    assert 10 <= expected <= 12


def plain(number: int) -> Plain:
    lifter = Plain(60.0 + 3 * number)
    lifter.exercises = [ROW]
    return lifter


@pytest.mark.parametrize("name", ["last-set equation", "running average", "add when over"])
def test_who_never_tires_is_soon_advised_well(name: str) -> None:
    from steelyard.proving.policies import BASELINES

    found = prove({name: BASELINES[name]}, plain, 10, season=Season(weeks=6))
    assert found[name].inside > 0.8
