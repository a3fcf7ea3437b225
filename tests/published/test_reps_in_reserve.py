"""How many reps are really left of those said to be left: the model beside each published row.

Sources, abstracts read:
Halperin and others 2022, doi 10.1007/s40279-021-01559-x: 0.95 reps more than said [0.17, 1.73], mixed guesses;
Refalo and others 2024, doi 10.1519/JSC.0000000000004653: bench press at 75 %, 1 and 3 pooled, 24 trained people,
raw -0.17 ± 1.00, absolute 0.65 ± 0.78;
a thesis of Florida Atlantic University (fau.isle.flvc.org, item 14758): sets of 6 to 10, 12 trained men, absolute;
Zourdos and others 2021, doi 10.1519/JSC.0000000000002995: squat at 70 %, sets of 16, 25 trained men;
Steele and others 2017, PeerJ 5:e4105: guesses before a set, standard error 2.64 to 3.38 reps;
Remmert and others 2023, doi 10.1177/00315125231169868: on machines better nearer failure.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import pytest

from steelyard.strength import population as people
from steelyard.strength.gaussian import normal_below

SHORT_SET, LONG_SET = 9, 16


@dataclass(frozen=True)
class Guess:
    """What people who say so many, in a set of so many, are off by: reps really left, less those said. [reps]"""

    bias: float
    sd: float

    @property
    def rms(self) -> float:
        return math.hypot(self.bias, self.sd)

    @property
    def absolute(self) -> float:
        """Mean of the folded normal distribution."""
        z = self.bias / self.sd
        density = math.exp(-0.5 * z * z) / math.sqrt(2.0 * math.pi)
        return self.sd * 2.0 * density + self.bias * (2.0 * normal_below(z) - 1.0)


def guess(said: int, reps: int) -> Guess:
    weight = people.candour_weight(said)
    spread = math.hypot(people.rir_error_reps(said, reps), weight * people.CANDOUR_SD)
    return Guess(weight * people.CANDOUR, spread)


def pooled(*guesses: Guess) -> float:
    return math.sqrt(sum(each.rms**2 for each in guesses) / len(guesses))


@pytest.mark.parametrize("said", [1, 2, 3, 4, 5])
def test_lifters_have_more_left_than_they_say_by_as_much_as_reviewed(said: int) -> None:
    assert 0.17 <= guess(said, SHORT_SET).bias <= 1.73


@pytest.mark.parametrize(("absolute", "within"), [(0.69, 0.12), (0.79, 0.26)], ids=["bench", "squat"])
def test_one_said_to_be_left_is_off_by_what_trained_men_were(absolute: float, within: float) -> None:
    assert guess(1, SHORT_SET).absolute == pytest.approx(absolute, abs=within)


def test_four_said_to_be_left_are_off_by_more_than_in_the_bench_press_and_as_much_as_in_the_squat() -> None:
    bench, bench_within, squat, squat_within = 1.00, 0.18, 1.43, 0.31
    model = guess(4, SHORT_SET).absolute
    assert model > bench - bench_within
    assert model == pytest.approx(squat, abs=squat_within)


def test_anyone_is_taken_to_guess_no_better_than_trained_benchers_and_less_than_half_worse() -> None:
    raw, absolute = math.hypot(-0.17, 1.00), math.hypot(0.65, 0.78)
    assert raw == pytest.approx(absolute, abs=0.005)  # both rows are one distribution
    assert raw <= pooled(guess(1, SHORT_SET), guess(3, SHORT_SET)) < 1.5 * raw


@pytest.mark.parametrize(("said", "mean", "sd"), [(1, 2.05, 1.73), (3, 3.65, 2.46), (5, 5.15, 2.92)])
def test_even_in_long_sets_guesses_are_not_taken_to_be_worse_than_the_worst_seen(
    said: int, mean: float, sd: float
) -> None:
    """The root mean square is the same whether the row is signed or absolute, which its abstract does not say."""
    assert guess(said, SHORT_SET).rms < guess(said, LONG_SET).rms < math.hypot(mean, sd)


def test_guesses_in_a_set_are_better_than_guesses_before_it() -> None:
    assert max(guess(said, SHORT_SET).sd for said in range(1, 6)) < 2.64


def test_guesses_are_better_nearer_failure() -> None:
    errors = [guess(said, SHORT_SET).absolute for said in range(1, 6)]
    assert errors == sorted(errors)
