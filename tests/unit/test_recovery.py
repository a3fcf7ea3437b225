"""How reps come back between sets: limits, order, and means over people."""

from __future__ import annotations

import math
from collections.abc import Callable
from random import Random
from statistics import fmean, stdev

import pytest

from steelyard.errors import OutOfRange
from steelyard.strength.curve import REPS_SCALE
from steelyard.strength.recovery import (
    ADOLESCENTS,
    MEN,
    MENS_BENCH_KG,
    NODES,
    PEOPLE,
    WOMEN,
    WOMENS_BENCH_KG,
    Recovery,
    Spread,
    StraightSets,
    man_of_strength,
    mean_reps,
    recovered,
    total_sd,
    typical_reps,
)

NOBODY_DIFFERS = Spread(0.0, 0.0, 0.0, 0.0)


def test_nothing_is_back_at_once() -> None:
    assert recovered(0.0, MEN) == pytest.approx(0.0, abs=1e-12)


def test_everything_is_back_after_an_hour() -> None:
    assert recovered(3600.0, MEN) == pytest.approx(1.0, abs=1e-6)


def test_longer_rest_gives_more_back() -> None:
    shares = [recovered(float(seconds), MEN) for seconds in range(0, 600, 10)]
    assert shares == sorted(shares)


@pytest.mark.parametrize(
    ("wrong", "shown"),
    [
        (lambda: Recovery(0.0, 20.0, 200.0), "fast share is 0.0; it must be above 0 and below 1"),
        (lambda: Recovery(1.0, 20.0, 200.0), "fast share is 1.0"),
        (lambda: Recovery(0.3, 0.0, 200.0), "fast time constant is 0.0; it must be above 0, in seconds"),
        (lambda: Recovery(0.3, 20.0, math.inf), "slow time constant is inf"),
        (lambda: recovered(-1.0, MEN), "rest is -1.0; it must be 0 or more, in seconds"),
        (lambda: recovered(math.nan, MEN), "rest is nan"),
        (lambda: StraightSets(0.0, 3, 60.0), "reps of a fresh set is 0.0; it must be above 0"),
        (lambda: StraightSets(10.0, 0, 60.0), "sets is 0; it must be 1 or more"),
        (lambda: StraightSets(10.0, 3, 60.0, cap=0), "cap is 0; it must be 1 or more"),
        (lambda: StraightSets(10.0, 3, -60.0), "rest is -60.0"),
        (lambda: man_of_strength(0.0), "bench press 1RM is 0.0; it must be above 0, in kg"),
    ],
)
def test_what_cannot_be_is_refused(wrong: Callable[[], object], shown: str) -> None:
    with pytest.raises(OutOfRange) as refused:
        wrong()
    assert str(refused.value).startswith(shown)


def test_the_first_set_gives_what_a_fresh_set_gives() -> None:
    assert mean_reps(StraightSets(9.4, 1, 60.0), MEN)[0] == pytest.approx(9.4, abs=0.01)


def test_without_rest_there_is_no_second_set() -> None:
    assert typical_reps(StraightSets(10.0, 2, 0.0), MEN)[1] < 0.1


def test_the_share_that_comes_back_does_not_depend_on_the_load() -> None:
    """Counted reps are half a rep short of what is left, so the half is put back."""
    for first_reps in (5.0, 10.0, 25.0):
        first, second = typical_reps(StraightSets(first_reps, 2, 120.0), MEN)
        assert (second + 0.5) / (first + 0.5) == pytest.approx(recovered(120.0, MEN), abs=1e-3)


def test_no_set_exceeds_its_cap() -> None:
    assert max(mean_reps(StraightSets(15.0, 3, 60.0, cap=10), WOMEN)) <= 10.0


def test_stopping_early_saves_reps_for_later() -> None:
    to_failure = typical_reps(StraightSets(12.0, 2, 60.0), MEN)
    stopped = typical_reps(StraightSets(12.0, 2, 60.0, cap=8), MEN)
    assert stopped[1] > to_failure[1]


def test_a_cap_out_of_reach_changes_nothing() -> None:
    capped = mean_reps(StraightSets(8.0, 3, 90.0, cap=40), MEN)
    assert capped == pytest.approx(mean_reps(StraightSets(8.0, 3, 90.0), MEN))


def test_alike_people_do_whole_reps() -> None:
    reps = mean_reps(StraightSets(10.0, 4, 120.0), MEN, people=NOBODY_DIFFERS)
    assert all(one == pytest.approx(round(one)) for one in reps)


def test_alike_people_have_no_spread() -> None:
    assert total_sd(StraightSets(10.0, 3, 120.0), MEN, people=NOBODY_DIFFERS) == pytest.approx(0.0, abs=1e-6)


def test_the_nodes_have_the_moments_of_a_normal_variable() -> None:
    moments = [sum(weight * node**power for node, weight in NODES) for power in range(10)]
    assert moments == pytest.approx([1, 0, 1, 0, 3, 0, 15, 0, 105, 0], abs=1e-9)


def one_at_random(sets: StraightSets, typical: Recovery, random: Random) -> list[int]:
    """Reps of one invented person who counts, set by set: the model told forward, without any mean."""
    logit = math.log(typical.fast_share / (1 - typical.fast_share)) + PEOPLE.logit_fast_share * random.gauss()
    share, slow_s = 1 / (1 + math.exp(-logit)), typical.slow_s * math.exp(PEOPLE.ln_slow_s * random.gauss())
    form, load = PEOPLE.form_reps * random.gauss(), REPS_SCALE / (REPS_SCALE + sets.first_reps + 0.5)
    fast = slow = 0.0
    counts: list[int] = []
    for _ in range(sets.sets):
        able = REPS_SCALE * ((1 - fast - slow) / load - 1) + form + PEOPLE.set_reps * random.gauss()
        done = max(0.0, able if sets.cap is None else min(able, sets.cap))
        counts.append(math.floor(done))
        fast = (fast + share * done * load / REPS_SCALE) * math.exp(-sets.rest_s / typical.fast_s)
        slow = (slow + (1 - share) * done * load / REPS_SCALE) * math.exp(-sets.rest_s / slow_s)
    return counts


@pytest.mark.parametrize(
    ("sets", "typical"),
    [
        (StraightSets(10.0, 3, 60.0, cap=10), MEN),
        (StraightSets(13.0, 4, 120.0), WOMEN),
        (StraightSets(25.0, 3, 30.0), ADOLESCENTS),
    ],
)
def test_means_and_spread_are_those_of_many_drawn_at_random(sets: StraightSets, typical: Recovery) -> None:
    """4,000 people: a mean has a standard error of about 0.04, and what a set leaves is taken at its mean."""
    random = Random(20)
    people = [one_at_random(sets, typical, random) for _ in range(4000)]
    drawn = [fmean(person[number] for person in people) for number in range(sets.sets)]
    assert mean_reps(sets, typical) == pytest.approx(drawn, abs=0.2)
    assert total_sd(sets, typical) == pytest.approx(stdev(sum(person) for person in people), rel=0.12)


def test_as_strong_as_the_women_a_man_recovers_as_they_do() -> None:
    assert man_of_strength(WOMENS_BENCH_KG).slow_s == pytest.approx(WOMEN.slow_s)


def test_stronger_men_recover_more_slowly() -> None:
    assert man_of_strength(141.0).slow_s > man_of_strength(MENS_BENCH_KG).slow_s > man_of_strength(81.0).slow_s
