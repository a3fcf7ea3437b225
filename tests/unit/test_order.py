"""Another order of exercises: what may pass what, and what is offered."""

from __future__ import annotations

from dataclasses import replace

from gyms import NOW, as_done, boathouse, known_at, lifter, outline_of
from steelyard.journal.fold import SessionState
from steelyard.training.model import Outline
from steelyard.training.order import WORTH_S, allowed_orders, may_pass, neighbours, offers
from steelyard.training.prepare import Task, asked_of, prepare

GYM = boathouse()
KNOWN = GYM.exercises
ITEM = 'do = "{}"\nreps = [10, 12]\nrir = [2, 1]\nrest = "90 s"'
MAXIMA = {"squat_belt": 118.0, "lever_row_chest": 52.0, "curl_lever": 30.0, "calf_raise_standing": 120.0}


def outline(*exercises: str) -> Outline:
    return outline_of(*map(ITEM.format, exercises))


def task(*exercises: str) -> Task:
    return Task(GYM, outline(*exercises), lifter(), known_at(MAXIMA), NOW)


def test_one_joint_never_passes_several() -> None:
    assert not may_pass(KNOWN["curl_lever"], KNOWN["squat_belt"])


def test_small_never_passes_large() -> None:
    small = replace(KNOWN["lever_row_chest"], primary=("forearms",), secondary=())
    assert not may_pass(small, KNOWN["squat_belt"])
    assert may_pass(KNOWN["squat_belt"], small)


def test_nothing_passes_what_works_the_same_muscles() -> None:
    assert not may_pass(KNOWN["pulldown_front"], KNOWN["lever_row_chest"])


def test_one_exercise_passes_at_a_time() -> None:
    known = {1: KNOWN["squat_belt"], 2: KNOWN["lever_row_chest"], 3: KNOWN["curl_lever"]}
    known = {place: replace(each, primary=(f"m{place}",), secondary=()) for place, each in known.items()}
    known[2] = replace(known[2], primary=("lats",))
    assert list(neighbours(((1,), (2,), (3,)), known)) == [((2,), (1,), (3,))]


def test_exercises_that_alternate_pass_together_or_not_at_all() -> None:
    squat_row_curl = outline_of(*(ITEM.format(each) for each in ("squat_belt", "lever_row_chest", "curl_lever")))
    paired = replace(
        squat_row_curl, items=(*squat_row_curl.items[:2], replace(squat_row_curl.items[2], superset=True))
    )
    whole = Task(GYM, paired, lifter(), known_at(MAXIMA), NOW)
    assert list(allowed_orders(whole)) == []  # the curl may not pass the squat
    alone = Task(GYM, squat_row_curl, lifter(), known_at(MAXIMA), NOW)
    assert list(allowed_orders(alone)) == [(2, 1, 3)]


def test_who_has_begun_one_of_two_that_alternate_goes_on_with_both() -> None:
    items = outline("squat_belt", "lever_row_chest", "calf_raise_standing").items
    paired = Outline("trial", "Trial", (items[0], replace(items[1], superset=True), items[2]))
    first = prepare(GYM, paired, lifter(), known_at(MAXIMA), now=NOW).sets[0]
    today = SessionState("today", "ida", "t", "", NOW, None, (as_done(first, 1, 8, None),), frozenset(), ())
    found = allowed_orders(Task(GYM, paired, lifter(), known_at(MAXIMA), NOW, today))
    assert all(order[:2] == (1, 2) for order in found)


def test_orders_are_permutations_that_keep_the_rules() -> None:
    found = list(allowed_orders(task("squat_belt", "lever_row_chest", "curl_lever", "calf_raise_standing")))
    assert found
    for order in found:
        assert sorted(order) == [1, 2, 3, 4]
        assert order.index(2) < order.index(3)
        assert order.index(1) < order.index(4)


def test_an_exercise_that_was_begun_keeps_its_place() -> None:
    whole = task("squat_belt", "lever_row_chest")
    assert list(allowed_orders(whole)) == [(2, 1)]
    first = prepare(GYM, whole.outline, whole.lifter, whole.past, now=NOW).sets[0]
    done = (as_done(first, 1, 8, None),)
    today = SessionState("today", "ida", "trial", "", NOW, None, done, frozenset(), ())
    assert list(allowed_orders(replace(whole, today=today))) == []


def test_an_order_is_offered_only_if_it_saves_enough() -> None:
    for offer in offers(task("squat_belt", "lever_row_chest", "calf_raise_standing"), {}):
        assert max(offer.saved_s, offer.handling_saved_s) >= WORTH_S
        assert min(offer.saved_s, offer.handling_saved_s) >= 0


def test_adding_to_the_lighter_exercise_is_offered_before_stripping_the_heavier() -> None:
    (offer,) = offers(task("squat_belt", "lever_row_chest"), {})
    assert offer.places == (2, 1)
    assert offer.names == (KNOWN["lever_row_chest"].name, KNOWN["squat_belt"].name)


def test_a_session_follows_the_order_asked_for() -> None:
    asked = asked_of(replace(task("squat_belt", "lever_row_chest"), order=(2, 1)))
    assert [one.slot.split(".")[0] for one in asked] == sorted(
        (one.slot.split(".")[0] for one in asked), reverse=True
    )


def test_an_order_that_does_not_fit_the_outline_is_left_aside() -> None:
    assert replace(task("squat_belt", "lever_row_chest"), order=(3, 1)).places == (1, 2)
