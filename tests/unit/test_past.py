"""A lifter's sets found by exercise and by station, as going through all of them would find them."""

from __future__ import annotations

from random import Random

import pytest

from gyms import logged
from steelyard.journal.fold import LoggedSet
from steelyard.training.model import Role
from steelyard.training.past import Past, past_of, place_of, shared_start

EXERCISES = ("lever_row_chest", "curl_lever", "squat_belt")


def drawn(random: Random, count: int) -> list[LoggedSet]:
    roles = (Role.WARM_UP, Role.WORK, Role.DROP)
    return [
        logged(float(random.randint(20, 60)), 8, exercise=random.choice(EXERCISES), role=random.choice(roles))
        for _ in range(count)
    ]


def as_found(past: Past) -> tuple[object, ...]:
    groups = [(place, list(sets)) for place, sets in past.told.items()]
    return past.sets, sorted(past.exercises), [list(past.of(name)) for name in EXERCISES], groups


@pytest.mark.parametrize("seed", range(20))
def test_to_go_on_is_to_begin_anew(seed: int) -> None:
    random = Random(seed)
    sets, more = drawn(random, random.randint(0, 12)), drawn(random, random.randint(0, 5))
    count = random.randint(0, len(sets))
    assert as_found(Past(sets).gone_on(count, more)) == as_found(Past([*sets[:count], *more]))


def test_a_past_stays_as_it_was_when_another_goes_on_from_it() -> None:
    sets = drawn(Random(1), 8)
    past = Past(sets)
    past.gone_on(3, drawn(Random(2), 4))
    assert as_found(past) == as_found(Past(sets))


def test_sets_that_tell_strength_are_found_where_they_were_done() -> None:
    warm, work = logged(20.0, 8, role=Role.WARM_UP), logged(40.0, 8)
    past = past_of([warm, work])
    assert list(past.told_at(*place_of(work))) == [work]
    assert list(past.of(work.done.exercise)) == [warm, work]
    assert past.told_at("curl_lever", "nowhere", "") == ()


def test_a_past_reads_as_a_row_of_sets() -> None:
    sets = drawn(Random(3), 5)
    past = Past(sets)
    assert (len(past), past[0], past[-2:], list(reversed(past))) == (5, sets[0], tuple(sets[-2:]), sets[::-1])
    assert past_of(past) is past


@pytest.mark.parametrize("seed", range(20))
def test_two_ways_share_what_they_begin_with(seed: int) -> None:
    random = Random(seed)
    shared = drawn(random, random.randint(0, 9))
    one, other = ((*shared, *drawn(Random(at), random.randint(0, 3))) for at in (100, 200))
    walked = 0
    while walked < min(len(one), len(other)) and one[walked] == other[walked]:
        walked += 1
    assert shared_start(one, other) == walked >= len(shared)
