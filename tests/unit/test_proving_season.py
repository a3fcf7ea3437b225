"""A season: who is asked what, what is counted, and the same scores whatever the workers."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from itertools import pairwise

import pytest

from steelyard.errors import BrokenProtocol, OutOfRange
from steelyard.proving.policies import BASELINES, POLICIES
from steelyard.proving.protocol import Answer, Ask, Lifter
from steelyard.proving.scores import MOST_OFF, Tally, load_left, scores
from steelyard.proving.season import Season, after_trial, at_hand, prove, season_of, trial_day

LOADS = tuple(float(load) for load in range(2, 101))


class Plain:
    """Always does what it can at a maximum that never changes, stops where it was asked to, and keeps a diary."""

    exercises: Sequence[str] = ("lever_row_chest", "curl_cable")
    training_months = 12.0
    body_mass_kg = 75.0

    def __init__(self, one_rm_kg: float = 80.0, *, tells: bool = True) -> None:
        self.asked: list[Ask] = []
        self.one_rm_kg, self.tells = one_rm_kg, tells

    def best_kg(self, exercise: str, day: float) -> float | None:
        return self.one_rm_kg * (1 + day / 1000) if self.tells else None

    def do(self, ask: Ask) -> Answer:
        self.asked.append(ask)
        able = int(30 * (self.one_rm_kg / ask.felt_kg - 1))
        if able < 1:
            return Answer(0, "failure", None)
        reps = max(1, able - ask.rir)
        if ask.technique == "test":
            reps = min(reps, ask.reps_high)
        return Answer(reps, "reported", able - reps)


class Fixed:
    """Always advises one load, and says what is to come of it."""

    def __init__(
        self, load_kg: float, *, interval: tuple[int, int] | None = None, expected: float | None = None
    ) -> None:
        self.load_kg, self.said = load_kg, (interval, expected)
        self.calls: list[str] = []
        self.learnt: list[tuple[Ask, Answer]] = []

    def begin(self, exercises: Sequence[str], training_months: float, body_mass_kg: float) -> None:
        self.calls.append("begin")

    def choose(self, ask: Ask, loads_kg: Sequence[float]) -> float:
        assert ask.felt_kg == 0
        self.calls.append("choose")
        return self.load_kg

    def interval(self, ask: Ask) -> tuple[int, int] | None:
        assert ask.felt_kg == self.load_kg
        self.calls.append("interval")
        return self.said[0]

    def expected(self, ask: Ask) -> float | None:
        self.calls.append("expected")
        return self.said[1]

    def learn(self, ask: Ask, answer: Answer) -> None:
        self.calls.append("learn")
        self.learnt.append((ask, answer))


def run(policy: Fixed, lifter: Plain | None = None, season: Season | None = None) -> Tally:
    return season_of(policy, lifter or Plain(), season or Season(weeks=1), 0)


def work(lifter: Plain) -> list[Ask]:
    return [ask for ask in lifter.asked if ask.technique == "straight"]


def test_sessions_are_twice_a_week() -> None:
    lifter = Plain()
    run(Fixed(50.0), lifter, Season(weeks=3))
    assert sorted({ask.day for ask in work(lifter)}) == [0.0, 3.0, 7.0, 10.0, 14.0, 17.0]


def test_every_exercise_gets_its_sets_in_order() -> None:
    lifter = Plain()
    run(Fixed(50.0), lifter, Season(weeks=1, rir=(3, 0)))
    first_day = [(ask.exercise, ask.rir) for ask in work(lifter) if ask.day == 0]
    assert first_day == [(exercise, rir) for exercise in lifter.exercises for rir in (3, 0)]


def test_only_the_first_set_of_a_day_is_rested() -> None:
    lifter = Plain()
    run(Fixed(50.0), lifter, Season(weeks=1, rest_s=90.0))
    assert [ask.rest_s for ask in work(lifter) if ask.day == 3] == [None] + 5 * [90.0]


def test_advice_is_asked_before_and_told_after_every_set() -> None:
    policy = Fixed(50.0)
    run(policy, season=Season(weeks=1, rir=(1,)))
    tests = policy.calls.index("choose") - 1
    assert policy.calls == ["begin", *tests * ["learn"], *4 * ["choose", "interval", "expected", "learn"]]


def test_a_test_day_climbs_until_fewer_than_five_are_left() -> None:
    lifter = Plain()
    sets = [(ask, answer) for ask, answer in trial_day(lifter, Season(), 0) if ask.exercise == "lever_row_chest"]
    loads = [ask.felt_kg for ask, _ in sets]
    assert loads[0] == 15.0
    assert all(1 < after / before <= 1.3 for before, after in pairwise(loads))
    assert [answer.rir == 5 for _, answer in sets] == [True] * (len(sets) - 1) + [False]


def test_test_sets_are_easy_and_before_the_season() -> None:
    asked = [ask for ask, _ in trial_day(Plain(), Season(), 0)]
    assert {(ask.day, ask.reps_high, ask.rir, ask.technique) for ask in asked} == {(-3.0, 8, 4, "test")}


def test_the_test_day_is_the_same_for_all_advice() -> None:
    light, heavy = Fixed(5.0), Fixed(70.0)
    run(light)
    run(heavy)
    tests = [[each for each in policy.learnt if each[0].technique == "test"] for policy in (light, heavy)]
    assert tests[0] == tests[1] != []


@pytest.mark.parametrize(
    ("answer", "load_kg"),
    [
        (Answer(8, "reported", 5), 26.0),
        (Answer(8, "reported", 4), None),
        (Answer(8, "failure", None), None),
        (Answer(8, "unsaid", None), 20.0),
        (Answer(0, "failure", None), 15.0),
        (Answer(1, "reported", 5), 21.0),
    ],
)
def test_what_follows_a_test_set(answer: Answer, load_kg: float | None) -> None:
    assert after_trial(LOADS, 20.0, answer) == load_kg


def test_where_the_lightest_does_not_move_the_tests_are_over() -> None:
    assert after_trial(LOADS, 2.0, Answer(0, "failure", None)) is None


def test_a_lifter_that_never_says_what_is_left_is_asked_ten_times() -> None:
    class Silent(Plain):
        def do(self, ask: Ask) -> Answer:
            return Answer(8, "unsaid", None)

    assert len(list(trial_day(Silent(), Season(), 0))) == 20


def test_the_load_taken_is_never_above_the_one_wanted_unless_none_is_lighter() -> None:
    assert (at_hand(LOADS, 9.99), at_hand(LOADS, 0.5), at_hand(LOADS, 1000.0)) == (9.0, 2.0, 100.0)


@pytest.mark.parametrize(("load_kg", "inside", "below"), [(55.0, 12, 0), (70.0, 0, 12), (40.0, 0, 0)])
def test_sets_are_counted_by_where_their_reps_lie(load_kg: float, inside: int, below: int) -> None:
    tally = run(Fixed(load_kg))
    assert (tally.sets, tally.inside, tally.below) == (12, inside, below)


def test_a_failure_below_the_range_is_counted_apart() -> None:
    tally = run(Fixed(80.0))
    assert (tally.below, tally.failed_below) == (12, 12)
    assert run(Fixed(70.0)).failed_below == 0


def test_intervals_and_expectations_are_held_against_the_count() -> None:
    tally = run(Fixed(55.0, interval=(11, 11), expected=11.5))
    assert (tally.intervals, tally.points) == (12, 12)
    assert tally.held == 4  # 13 reps can be done: 11 and two left in the first sets, 12 and one left in the others
    assert tally.off == pytest.approx(6.0)


def test_what_was_not_said_is_not_scored() -> None:
    found = scores([run(Fixed(55.0))])
    assert (found.held, found.off) == (None, None)


def test_an_expectation_is_never_off_by_more_than_a_mistyped_count_deserves() -> None:
    tally = Tally()
    tally.count_forecast(None, 11.0, 111)
    assert tally.off == MOST_OFF


def test_load_left_is_measured_on_first_sets_against_the_chart() -> None:
    """The NSCA chart allows twelve reps at 70 % (read)."""
    tally = run(Fixed(42.0), season=Season(weeks=1))
    assert tally.left_sets == 4
    expected = [1 - 42 / (80 * (1 + day / 1000) * 0.70) for day in (0, 3)]
    assert tally.left == pytest.approx(2 * math.fsum(expected))
    assert load_left(Ask("curl_cable", 0.0, 70.0, None, 12, 12, 0, "straight"), 100.0) == pytest.approx(0.0)


def test_strength_gained_is_that_of_the_hidden_maximum() -> None:
    found = scores([run(Fixed(50.0), season=Season(weeks=2))])
    assert found.gained == pytest.approx(0.010)


def test_a_lifter_that_keeps_its_truth_is_not_scored_for_it() -> None:
    found = scores([run(Fixed(50.0), Plain(tells=False))])
    assert (found.left, found.gained) == (None, None)


def test_scores_weigh_every_set_alike() -> None:
    found = scores([Tally(sets=10, inside=10), Tally(sets=30, inside=0)])
    assert (found.sets, found.inside) == (40, 0.25)
    assert found.inside_error == pytest.approx(0.5)


def test_one_lifter_alone_has_no_error() -> None:
    assert scores([Tally(sets=10, inside=5)]).inside_error == 0.0


def plain(number: int) -> Lifter:
    return Plain(60.0 + number)


def test_scores_are_the_same_whatever_the_workers() -> None:
    season = Season(weeks=1)
    alone = prove(BASELINES, plain, 45, season=season)
    assert prove(BASELINES, plain, 45, season=season, workers=2) == alone


def test_the_shipped_lifters_can_be_handed_to_workers() -> None:
    from steelyard.proving.lifters import lifter

    found = prove(BASELINES, lifter, 21, season=Season(weeks=1), workers=2)
    assert all(0 < each.inside < 1 for each in found.values())


def broken(number: int) -> Lifter:
    if number == 30:
        raise ValueError("no such person")
    return plain(number)


@pytest.mark.parametrize("workers", [1, 2])
def test_a_broken_lifter_is_named_whatever_the_workers(workers: int) -> None:
    with pytest.raises(BrokenProtocol) as caught:
        prove(BASELINES, broken, 40, season=Season(weeks=1), workers=workers)
    assert str(caught.value) == "making lifter 30 fails: ValueError: no such person; mend the factory"


def test_a_factory_that_can_not_travel_is_told() -> None:
    def inner(number: int) -> Lifter:
        return Plain()

    with pytest.raises(BrokenProtocol, match="put it at the top of a module, or use one worker"):
        prove(BASELINES, inner, 40, season=Season(weeks=1), workers=2)


def test_a_load_that_is_not_at_hand_is_refused() -> None:
    with pytest.raises(BrokenProtocol) as caught:
        run(Fixed(50.25))
    accepted = "it must be one of those at hand, 2 to 600 kg"
    assert str(caught.value) == f"Fixed chooses 50.25 kg for lifter 0; {accepted}"


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: Season(weeks=0), "weeks is 0; it must be from 1 to 520"),
        (lambda: Season(rir=()), "sets is 0; it must be from 1 to 10"),
        (lambda: Season(rest_s=-1.0), "rest is -1 s; it must be from 0 to 3600 s"),
        (lambda: Season(reps_low=12, reps_high=10), "reps_high is 10; it must be from 12 to 50"),
        (lambda: prove(BASELINES, plain, 0), "number of lifters is 0; it must be from 1 to 1000000"),
        (lambda: prove(BASELINES, plain, 1, workers=0), "workers is 0; it must be from 1 to 256"),
    ],
)
def test_a_season_that_can_not_be_is_refused(make: Callable[[], object], message: str) -> None:
    with pytest.raises(OutOfRange) as caught:
        make()
    assert str(caught.value) == message


def test_all_advice_is_in_the_table() -> None:
    assert set(BASELINES) <= set(POLICIES)
