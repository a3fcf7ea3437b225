"""Whatever lifters have done and left: every set has its turn once, in order, and the turn goes round."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from steelyard.training.turn_taking import Standing, Taken, follows, taken_in_turn, turns_of

STAGES = {1: 0, 2: 1, 3: 2}


@st.composite
def sessions(draw: st.DrawFn) -> list[str]:
    """The slots of a session of one to three exercises; some one arm at a time, some with drops or pauses, of each
    arm at once or, as journals of earlier versions have them, once both arms are done."""
    slots: list[str] = []
    for place in range(1, draw(st.integers(1, 3)) + 1):
        sides = draw(st.sampled_from([("",), (".left", ".right")]))
        counts = [("warm-up", draw(st.integers(0, 2))), ("work", draw(st.integers(1, 4)))]
        counts.append((draw(st.sampled_from(["drop", "rest-pause"])), draw(st.integers(0, 2))))
        sets = [(role, number) for role, count in counts for number in range(1, count + 1)]
        last = sets.index(("work", counts[1][1])) if draw(st.booleans()) else len(sets)
        slots += [f"{place}.{role}.{number}{side}" for role, number in sets[:last] for side in sides]
        slots += [f"{place}.{role}.{number}{side}" for side in sides for role, number in sets[last:]]
    return slots


@st.composite
def standings(draw: st.DrawFn, *, alike: bool = False) -> list[Standing]:
    """Two to four lifters, each somewhere in a session of their own or, if alike, of the same outline."""
    common = draw(sessions())
    found = []
    for _ in range(draw(st.integers(2, 4))):
        slots = common if alike else draw(sessions())
        done = draw(st.integers(0, len(slots)))
        left_out = frozenset(draw(st.sets(st.sampled_from(slots), max_size=2))) if slots else frozenset()
        left = tuple(slot for slot in slots[done:] if slot not in left_out)
        exercises = {place: f"exercise {place}" for place in (1, 2, 3)}
        taken = frozenset(slots) - frozenset(left)
        did = [slot for slot in slots[:done] if slot not in left_out]
        at = float(draw(st.integers(0, 9))) if did else -float("inf")
        found.append(Standing(exercises, STAGES, left, frozenset(), taken, did[-1] if did else "", at))
    return found


def rounds(order: list[Taken]) -> list[list[Taken]]:
    """The sets by turn."""
    found: list[list[Taken]] = []
    for one in order:
        if one.at_once and found:
            found[-1].append(one)
        else:
            found.append([one])
    return found


@settings(max_examples=200)
@given(standings())
def test_every_set_left_has_its_turn_once_and_each_keeps_their_own_order(lifters: list[Standing]) -> None:
    order = list(taken_in_turn(lifters))
    for number, lifter in enumerate(lifters):
        assert [one.slot for one in order if one.number == number] == list(lifter.left)


@settings(max_examples=200)
@given(standings())
def test_nobody_comes_between_a_set_and_what_goes_on_with_it(lifters: list[Standing]) -> None:
    order = list(taken_in_turn(lifters))
    for turn in rounds(order):
        assert len({one.number for one in turn}) == 1
        assert all(follows(before.slot, one.slot) for before, one in pairwise(turn))


@settings(max_examples=300)
@given(standings(alike=True))
def test_nobody_goes_twice_while_another_has_a_set_in_the_same_exercise(lifters: list[Standing]) -> None:
    left = [list(lifter.left) for lifter in lifters]
    begun = [number for number, lifter in enumerate(lifters) if lifter.latest]
    before = max(begun, key=lambda number: lifters[number].latest_at, default=None)
    for turn in rounds(list(taken_in_turn(lifters))):
        number, place = turn[0].number, turn[0].slot[0]
        others = [slots for other, slots in enumerate(left) if other != number]
        if number == before and not turn[0].at_once:
            assert not any(slot[0] == place for slots in others for slot in slots)
        for one in turn:
            left[one.number].remove(one.slot)
        before = number


@settings(max_examples=200)
@given(standings())
def test_what_goes_on_with_the_latest_set_comes_first(lifters: list[Standing]) -> None:
    order = list(taken_in_turn(lifters))
    begun = [lifter for lifter in lifters if lifter.latest]
    latest = max(begun, key=lambda lifter: lifter.latest_at, default=None)
    goes_on = latest is not None and bool(latest.left) and follows(latest.latest, latest.left[0])
    assert bool(order and order[0].at_once) == goes_on


@settings(max_examples=200)
@given(standings(alike=True), st.data())
def test_a_set_done_as_told_changes_nothing_in_the_order_of_the_others(
    lifters: list[Standing], data: st.DataObject
) -> None:
    """Asked anew after every set, the turn goes on as it was foretold."""
    order = list(taken_in_turn(lifters))
    done = data.draw(st.integers(0, len(order)))
    for count, one in enumerate(order[:done], start=1):
        who = lifters[one.number]
        left = tuple(slot for slot in who.left if slot != one.slot)
        taken = who.taken | {one.slot}
        now = replace(who, left=left, taken=taken, latest=one.slot, latest_at=10.0 + count)
        lifters = [now if number == one.number else each for number, each in enumerate(lifters)]
    assert [(one.number, one.slot) for one in taken_in_turn(lifters)] == [
        (one.number, one.slot) for one in order[done:]
    ]


@given(sessions())
def test_turns_hold_every_set_and_begin_with_one_that_follows_none(slots: list[str]) -> None:
    turns = turns_of(slots)
    assert [slot for turn in turns for slot in turn] == slots
    assert not any(follows(one[-1], other[0]) for one, other in pairwise(turns))


def test_exercises_that_alternate_are_one_turn() -> None:
    slots = ("1.work.1", "2.work.1", "1.work.2", "2.work.2")
    paired = frozenset(["2.work.1", "2.work.2"])
    alternating = Standing({1: "row", 2: "curl"}, {1: 0, 2: 0}, slots, paired)
    order = [(one.number, one.slot[0], one.at_once) for one in taken_in_turn([alternating, alternating])]
    assert order == [(number, place, place == "2") for _ in range(2) for number in (0, 1) for place in "12"]


def test_in_the_middle_of_alternating_the_other_exercise_comes_first() -> None:
    paired = frozenset(["2.work.1", "2.work.2"])
    whole = ("1.work.1", "2.work.1", "1.work.2", "2.work.2")
    begun = Standing({}, {}, whole[1:], paired, frozenset(whole[:1]), "1.work.1", 1.0)
    order = [(one.number, one.slot) for one in taken_in_turn([Standing({}, {}, whole, paired), begun])]
    assert order[:3] == [(1, "2.work.1"), (0, "1.work.1"), (0, "2.work.1")]


def test_one_who_is_a_little_ahead_waits_and_one_far_ahead_goes_on_between() -> None:
    exercises = {1: "row", 2: "curl"}
    ahead = Standing(
        exercises, STAGES, ("2.work.1", "2.work.2"), frozenset(), frozenset(["1.work.1"]), "1.work.1", 1.0
    )
    for count, expected in ((3, [1, 1, 1, 0, 0]), (5, [1, 0, 1, 0, 1, 1, 1])):
        behind = Standing(exercises, STAGES, tuple(f"1.work.{number}" for number in range(1, count + 1)))
        assert [one.number for one in taken_in_turn([ahead, behind])] == expected


def test_after_a_test_set_a_lifter_waits_for_the_others_since_work_follows_from_it() -> None:
    exercises = {1: "row", 2: "curl"}
    tested = Standing(exercises, STAGES, ("1.test.1", "2.work.1"))
    many = Standing(exercises, STAGES, tuple(f"1.work.{number}" for number in range(1, 7)))
    assert [one.number for one in taken_in_turn([tested, many])] == [0, 1, 1, 1, 1, 1, 1, 0]
