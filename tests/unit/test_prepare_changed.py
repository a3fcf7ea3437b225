"""What a prepared session makes of a lifter's changes of mind."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from gyms import NOW, as_done, boathouse, boathouse_with, lifter, outline_of, outlines, strong
from steelyard.journal.changed import UNCHANGED, Changed
from steelyard.journal.fold import LoggedSet, SessionState
from steelyard.machine.examples import example_text as machine_text
from steelyard.machine.file import read_machine
from steelyard.training.gym import Gym
from steelyard.training.history import was_chosen
from steelyard.training.model import Outline, PreparedSession, PreparedSet, Role
from steelyard.training.prepare import prepare

ROW = 'do = "lever_row_chest"\nreps = [8, 10]\nsets = 2\nrir = 2\nrest = "90 s"'
PULLDOWN = 'do = "pulldown_front"\nreps = [10, 12]\nsets = 2\nrir = 1'
CURL = 'do = "curl_lever"\nreps = [10, 12]\nsets = 2\nrir = 1'
ONE_ARM = 'do = "curl_cable_one_arm"\nreps = 10\nsets = 2\nrir = 1\nthen = "drop"'
PULL = outline_of(ROW, PULLDOWN, CURL)


def prepared(
    changed: Changed = UNCHANGED, done: tuple[LoggedSet, ...] = (), outline: Outline = PULL
) -> PreparedSession:
    today = SessionState("today", "ida", "trial", "", NOW, None, done, frozenset(), (), changed=changed)
    now = NOW + timedelta(minutes=3 * len(done))
    return prepare(boathouse(), outline, lifter(), [*strong(), *done], now=now, today=today)


def began(sets: int, outline: Outline = PULL) -> tuple[LoggedSet, ...]:
    """The first sets of the session, done as planned."""
    done: tuple[LoggedSet, ...] = ()
    for number in range(sets):
        one = prepared(done=done, outline=outline).sets[0]
        done = (*done, as_done(one, number, one.reps_high, 2))
    return done


def exercises(session: PreparedSession) -> list[str]:
    return list(dict.fromkeys(one.exercise for one in session.sets))


def at(session: PreparedSession, slot: str) -> PreparedSet:
    return next(one for one in session.sets if one.slot == slot)


def told(session: PreparedSession, words: str) -> list[str]:
    return [note for note in session.notes if words in note]


# ---- swaps and order ----


def test_a_swapped_place_is_another_exercise_with_the_reps_of_the_outline() -> None:
    session = prepared(Changed(exercises={1: "inverted_row"}))
    assert exercises(session) == ["inverted_row", "pulldown_front", "curl_lever"]
    assert (session.sets[0].exercise, at(session, "1.work.1").reps_low) == ("inverted_row", 8)


def test_sets_done_before_a_swap_keep_their_slots() -> None:
    done = began(3)
    assert done[-1].done.slot == "1.work.1"
    first = prepared(Changed(exercises={1: "inverted_row"}), done).sets[0]
    assert (first.slot, first.exercise) == ("1.work.2", "inverted_row")


def test_sets_done_with_both_hands_are_not_done_again_with_each() -> None:
    curls = outline_of(CURL)
    done = began(3, curls)
    session = prepared(Changed(exercises={1: "curl_cable_one_arm"}), done, curls)
    assert done[-1].done.slot == "1.work.1"
    assert [one.slot for one in session.sets] == ["1.work.2.left", "1.work.2.right"]


def test_an_exercise_swapped_in_that_nobody_knows_of_begins_with_a_light_test_set() -> None:
    assert at(prepared(Changed({2: "lever_row_bent"})), "2.test.1").exercise == "lever_row_bent"


def test_test_sets_begin_anew_after_a_swap_in_their_midst() -> None:
    light = prepared(Changed({1: "lever_row_bent"})).sets[0]
    done = (as_done(light, 0, 8, 5),)
    assert prepared(Changed({1: "lever_row_high"}), done).sets[0].slot == "1.test.2"


def test_an_unknown_exercise_changes_nothing_and_is_told() -> None:
    session = prepared(Changed(exercises={1: "moon_walk"}))
    assert exercises(session) == exercises(prepared())
    assert told(session, "moon_walk is not known here")


def test_an_exercise_put_off_comes_after_the_other_one() -> None:
    assert exercises(prepared(Changed(postponed=((1, 2),)))) == ["pulldown_front", "lever_row_chest", "curl_lever"]


def test_an_exercise_put_off_in_the_middle_goes_on_afterwards() -> None:
    session = prepared(Changed(postponed=((1, 2),)), began(3))
    assert exercises(session) == ["pulldown_front", "lever_row_chest", "curl_lever"]
    assert [one.slot for one in session.sets if one.exercise == "lever_row_chest"] == ["1.work.2"]


# ---- stations and plates ----


def test_an_exercise_goes_to_another_station_that_serves_it() -> None:
    usual = at(prepared(), "2.work.1").station
    others = [s.name for s in boathouse().stations_for("pulldown_front") if s.name != usual]
    session = prepared(Changed(closed=frozenset({usual})))
    assert {one.station for one in session.sets if one.exercise == "pulldown_front"} <= set(others)


def test_an_exercise_that_moved_is_told_with_where_it_went() -> None:
    two_rows = machine_text("boathouse").replace('["lever_row_bent", ', '["lever_row_bent", "lever_row_chest", ')
    gym = Gym(read_machine(two_rows, "machine.toml"), boathouse().inventory, boathouse().exercises)
    today = SessionState("today", "ida", "trial", "", NOW, None, (), frozenset(), ())
    today = replace(today, changed=Changed(closed=frozenset({"row-chest"})))
    session = prepare(gym, PULL, lifter(), strong(), now=NOW, today=today)
    assert session.sets[0].station == "row"
    words = "Lever row, chest supported is done at Lever row: Chest-supported row is out of order."
    assert told(session, "out of order") == [words]


def test_without_a_station_an_exercise_is_left_out_and_swaps_are_named() -> None:
    closed = frozenset(station.name for station in boathouse().stations_for("lever_row_chest"))
    session = prepared(Changed(closed=closed))
    (note,) = told(session, "is out of order")
    assert "lever_row_chest" not in exercises(session)
    assert "Instead: " in note


def test_a_missing_plate_is_on_no_horn() -> None:
    plates = {plate.name for one in prepared().sets for stack in one.loading.values() for plate in stack}
    name = min(plates)
    session = prepared(Changed(missing=(name,)))
    left = {plate.name for one in session.sets for stack in one.loading.values() for plate in stack}
    assert name not in left
    assert told(session, f"Without {name}.")


def test_plates_that_can_not_be_missing_change_nothing_and_are_told() -> None:
    session = prepared(Changed(missing=("7 kg", "20 kg*99")))
    assert [one.loading for one in session.sets] == [one.loading for one in prepared().sets]
    assert len(told(session, "is not known here")) == 2


def test_a_gym_without_a_plate_is_worked_out_once() -> None:
    assert boathouse().without(("5 kg*1",)) is boathouse().without(("5 kg*1",))


def test_of_gyms_without_plates_only_the_latest_few_are_kept() -> None:
    gym = boathouse_with(boathouse().inventory)
    first = gym.without(("5 kg*1",))
    for name in ("20 kg", "15 kg", "10 kg", "5 kg", "2.5 kg", "1.25 kg", "20 kg*1", "10 kg*1"):
        gym.without((name,))
    assert gym.without(("10 kg*1",)) is gym.without(("10 kg*1",))
    assert gym.without(("5 kg*1",)) is not first


# ---- loads ----


def test_a_chosen_load_is_given_and_said_to_be_the_lifters_choice() -> None:
    advised_kg = at(prepared(), "1.work.1").felt_kg
    one = at(prepared(Changed(loads_kg={"1.work.1": 1.08 * advised_kg})), "1.work.1")
    assert one.felt_kg > 1.02 * advised_kg
    assert one.reason.startswith("Your choice; ")
    assert "was advised" in one.reason


@pytest.mark.parametrize("slot", ["1.warm-up.1", "1.warm-up.2", "1.work.1", "2.work.2"])
def test_what_was_advised_is_what_would_be_on_without_the_choice(slot: str) -> None:
    shown_kg = at(prepared(), slot).felt_kg
    one = at(prepared(Changed(loads_kg={slot: 0.9 * shown_kg})), slot)
    assert one.reason.startswith(f"Your choice; {shown_kg:.1f} kg was advised.")
    assert one.advised_kg == shown_kg


@pytest.mark.parametrize("slot", ["1.work.1", "1.work.2"])
def test_a_choice_is_said_to_be_one_though_it_is_as_advised(slot: str) -> None:
    advised_kg = at(prepared(), slot).advised_kg
    one = at(prepared(Changed(loads_kg={slot: advised_kg})), slot)
    assert one.felt_kg == pytest.approx(advised_kg, rel=0.01)
    assert one.reason.startswith("Your choice, and as advised. ")


def test_a_step_back_up_to_what_the_plates_had_lowered_is_the_lifters_choice() -> None:
    """As `heavier` offers it for a set that had been made lighter to save plates."""
    press = outlines()["press"]
    usual = prepared(outline=press)
    lowered = next(one for one in usual.sets if "would do; this saves plates" in one.reason)
    step_kg = next(felt_kg for felt_kg in usual.ladders[lowered.station] if felt_kg > 1.005 * lowered.felt_kg)
    one = at(prepared(Changed(loads_kg={lowered.slot: step_kg}), outline=press), lowered.slot)
    assert one.felt_kg == pytest.approx(step_kg, rel=0.005)
    assert one.reason.startswith("Your choice, and as advised. ")


def test_what_was_advised_stays_known_beside_a_choice() -> None:
    usual = at(prepared(), "1.work.1")
    one = at(prepared(Changed(loads_kg={"1.work.1": 0.9 * usual.felt_kg})), "1.work.1")
    assert usual.advised_kg == usual.felt_kg
    assert one.advised_kg >= usual.felt_kg
    done = as_done(one, 3, 10, 3, advised_kg=one.advised_kg).done
    assert was_chosen(done)


def test_a_load_too_heavy_for_the_plates_becomes_the_heaviest_there_is() -> None:
    one = at(prepared(Changed(loads_kg={"1.work.1": 1999.0})), "1.work.1")
    assert one.felt_kg == max(prepared().ladders[one.station])


def test_a_load_chosen_for_one_set_leaves_the_next_to_be_decided() -> None:
    usual = prepared()
    session = prepared(Changed(loads_kg={"1.work.1": 0.8 * at(usual, "1.work.1").felt_kg}))
    assert at(session, "1.work.2").felt_kg > at(session, "1.work.1").felt_kg
    assert at(session, "1.work.2").advised_kg == at(session, "1.work.2").felt_kg


def test_a_load_chosen_for_one_arm_holds_for_the_other() -> None:
    outline = outline_of(ONE_ARM)
    usual = at(prepared(outline=outline), "1.work.1.left")
    session = prepared(Changed(loads_kg={usual.slot: 0.8 * usual.felt_kg}), outline=outline)
    left, right = at(session, "1.work.1.left"), at(session, "1.work.1.right")
    assert left.felt_kg == right.felt_kg < usual.felt_kg
    assert left.advised_kg == right.advised_kg > left.felt_kg


def test_a_load_chosen_for_the_other_arm_is_its_own() -> None:
    outline = outline_of(ONE_ARM)
    left = at(prepared(outline=outline), "1.work.1.left")
    session = prepared(Changed(loads_kg={"1.work.1.right": 0.8 * left.felt_kg}), outline=outline)
    assert at(session, "1.work.1.right").felt_kg < 0.9 * at(session, "1.work.1.left").felt_kg


def test_a_warm_up_can_be_lighter() -> None:
    usual = at(prepared(), "1.warm-up.2")
    one = at(prepared(Changed(loads_kg={"1.warm-up.2": 0.7 * usual.felt_kg})), "1.warm-up.2")
    assert one.felt_kg < usual.felt_kg
    assert one.reason.startswith("Your choice; ")


def test_a_first_light_test_set_gets_no_heavier() -> None:
    today = SessionState("today", "ida", "trial", "", NOW, None, (), frozenset(), ())
    usual = prepare(boathouse(), PULL, lifter(), [], now=NOW, today=today).sets[0]
    for share, felt_kg in (
        (2.0, usual.felt_kg),
        (0.01, min(boathouse().loads(boathouse().machine.stations[usual.station]).felt_kg)),
    ):
        changed = Changed(loads_kg={usual.slot: share * usual.felt_kg})
        one = prepare(boathouse(), PULL, lifter(), [], now=NOW, today=replace(today, changed=changed)).sets[0]
        assert (usual.role, one.felt_kg) == (Role.TEST, felt_kg)


# ---- ends and time ----


@pytest.mark.parametrize("why", ["pain", "enough"])
def test_an_exercise_that_is_over_is_left_out(why: str) -> None:
    assert exercises(prepared(Changed(ended={1: why}), began(3))) == ["pulldown_front", "curl_lever"]


def test_after_pain_the_caution_comes_first_and_names_what_works_the_same_muscles() -> None:
    session = prepared(Changed(ended={1: "pain"}), began(3))
    assert "Do not train through pain" in session.notes[0]
    assert told(session, f"{boathouse().exercises['pulldown_front'].name} works the same muscles")


def test_a_sign_to_stop_comes_before_everything() -> None:
    session = prepared(Changed(ended={1: "pain", 2: "sign"}))
    assert "get medical help now" in session.notes[0]


def test_after_a_sign_to_stop_nothing_more_is_done_that_day() -> None:
    assert not prepared(Changed(ended={2: "sign"}), began(3)).sets


def test_enough_needs_no_caution() -> None:
    assert not told(prepared(Changed(ended={1: "enough"})), "is over")


def test_what_is_left_out_for_want_of_time_is_told() -> None:
    session = prepared(Changed(minutes=20, left_out=frozenset({"2.work.2", "3.work.1", "3.work.2"})))
    slots = {one.slot for one in session.sets}
    assert slots.isdisjoint({"2.work.2", "3.work.1", "3.work.2"})
    (note,) = told(session, "For want of time, with 20 min left")
    assert "2 sets left out" in note
