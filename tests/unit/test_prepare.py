"""A prepared session: what is laid for whom, and what a session in progress changes."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from gyms import NOW, as_done, boathouse, known_at, lifter, loads_for, logged, outline_of, outlines, strong
from racks import rack
from steelyard.errors import OutOfRange
from steelyard.journal.fold import LoggedSet, SessionState
from steelyard.machine.model import FreeWeight, Machine, Station
from steelyard.plates.handling import Handling
from steelyard.plates.loading import felt_kg
from steelyard.training.decide import LEAST_CONFIDENCE
from steelyard.training.gym import Gym
from steelyard.training.model import Outline, PreparedSession, PreparedSet, Role, Side
from steelyard.training.prepare import prepare
from steelyard.training.rules import BETWEEN_ARMS_S, CAUTIONS

ROWS = outline_of(
    'do = "lever_row_chest"\nreps = [10, 12]\nrir = [2, 1]\nrest = "90 s"\nthen = "drop"\nrounds = 2'
)
PAUSES = outline_of('do = "lever_row_chest"\nreps = [10, 12]\nrir = [2, 1]\nthen = "rest-pause"')
ONE_ARM = outline_of('do = "curl_cable_one_arm"\nreps = 10\nsets = 2\nrir = 1\nthen = "drop"')


def prepared(
    outline: Outline,
    done: list[LoggedSet] | None = None,
    skipped: set[str] | None = None,
    *,
    gym: Gym | None = None,
    past: list[LoggedSet] | None = None,
    body_mass_kg: float | None = 70.0,
) -> PreparedSession:
    done = done or []
    today = SessionState("today", "ida", "trial", "", NOW, None, tuple(done), frozenset(skipped or ()), ())
    known = [*(strong() if past is None else past), *done]
    who = lifter(body_mass_kg=body_mass_kg)
    now = NOW + timedelta(minutes=3 * len(done))
    return prepare(gym or boathouse(), outline, who, known, now=now, today=today if done or skipped else None)


def slots(session: PreparedSession) -> list[str]:
    return [one.slot for one in session.sets]


def of_role(session: PreparedSession, role: Role) -> list[PreparedSet]:
    return [one for one in session.sets if one.role is role]


def test_an_exercise_is_warmed_up_worked_and_dropped_in_this_order() -> None:
    session = prepared(ROWS)
    assert slots(session) == [
        "1.warm-up.1",
        "1.warm-up.2",
        "1.work.1",
        "1.work.2",
        "1.drop.1",
        "1.drop.2",
    ]
    assert [one.rir for one in of_role(session, Role.WORK)] == [2, 1]


def test_both_arms_do_each_set_left_first() -> None:
    work = of_role(prepared(ONE_ARM), Role.WORK)
    assert [(one.slot, one.side) for one in work[:2]] == [
        ("1.work.1.left", Side.LEFT),
        ("1.work.1.right", Side.RIGHT),
    ]
    assert work[1].rest_s == BETWEEN_ARMS_S
    assert (work[1].loading, work[1].moves) == (work[0].loading, ())


@pytest.mark.parametrize(("then", "role"), [("drop", "drop"), ("rest-pause", "rest-pause")])
def test_what_follows_the_last_set_of_an_arm_comes_before_the_other_arm(then: str, role: str) -> None:
    """A drop or a pause is of the arm that has just worked (common practice): that one must not rest meanwhile."""
    item = f'do = "curl_cable_one_arm"\nreps = 10\nsets = 2\nrir = 1\nthen = "{then}"\nrounds = 2'
    order = [slot for slot in slots(prepared(outline_of(item))) if "warm-up" not in slot]
    assert order[:2] == ["1.work.1.left", "1.work.1.right"]
    assert order[2:5] == ["1.work.2.left", f"1.{role}.1.left", f"1.{role}.2.left"]
    assert order[5:] == ["1.work.2.right", f"1.{role}.1.right", f"1.{role}.2.right"]


def test_the_other_arm_is_loaded_as_the_first_one_was_after_its_drop() -> None:
    by_slot = {one.slot: one for one in prepared(ONE_ARM).sets}
    left, right = by_slot["1.work.2.left"], by_slot["1.work.2.right"]
    assert (right.loading, right.rest_s) == (left.loading, BETWEEN_ARMS_S)
    assert right.moves and all(move.on for move in right.moves)
    assert by_slot["1.drop.1.right"].loading == by_slot["1.drop.1.left"].loading
    assert by_slot["1.drop.1.right"].rest_s == by_slot["1.drop.1.left"].rest_s == 0.0


def one_arm_done(*wanted: str) -> list[str]:
    """What is left of the session once these sets were done as prepared."""
    by_slot = {one.slot: one for one in prepared(ONE_ARM).sets}
    before = [slot for slot in by_slot if "warm-up" in slot or ".work.1." in slot]
    done = [as_done(by_slot[slot], number, 10, 1) for number, slot in enumerate([*before, *wanted], start=1)]
    return slots(prepared(ONE_ARM, done))


def test_an_arm_that_is_done_with_its_drop_leaves_the_other_arm_to_do() -> None:
    assert one_arm_done("1.work.2.left") == ["1.drop.1.left", "1.work.2.right", "1.drop.1.right"]
    assert one_arm_done("1.work.2.left", "1.drop.1.left") == ["1.work.2.right", "1.drop.1.right"]


def test_a_session_begun_in_the_former_order_goes_on_with_both_drops() -> None:
    assert one_arm_done("1.work.2.left", "1.work.2.right") == ["1.drop.1.left", "1.drop.1.right"]


def test_the_other_arm_keeps_the_load_that_the_first_one_had() -> None:
    work = next(one for one in prepared(ONE_ARM).sets if one.role is Role.WORK)
    lighter = {"tip": (boathouse().inventory.plate("1.25 kg"),)}
    done = as_done(replace(work, loading=lighter), 1, 10, 1)
    left = prepared(ONE_ARM, [done], past=known_at({"curl_cable_one_arm": 30.0}))
    following = next(one for one in left.sets if one.slot == "1.work.1.right")
    assert following.loading == lighter


def test_the_other_arm_is_not_held_to_be_tired_by_the_first_one() -> None:
    work = next(one for one in prepared(ONE_ARM).sets if one.role is Role.WORK)
    left = prepared(ONE_ARM, [as_done(work, 1, 12, 0)])
    following = next(one for one in left.sets if one.slot == "1.work.1.right")
    assert "12 reps at 35.5 kg, to failure. 8 chances in 10 for 10 or more here." in following.reason


def test_a_better_set_than_thought_raises_the_next_one() -> None:
    first = of_role(prepared(ROWS), Role.WORK)[0]
    better, worse = (prepared(ROWS, [as_done(first, 1, reps, 0)]) for reps in (16, 6))
    assert of_role(better, Role.WORK)[0].felt_kg > 1.05 * of_role(worse, Role.WORK)[0].felt_kg


def test_drops_follow_the_load_that_was_really_used() -> None:
    two = of_role(prepared(ROWS), Role.WORK)
    done = [as_done(one, number, 10, 1) for number, one in enumerate(two)]
    session = prepared(ROWS, done)
    assert slots(session)[-2:] == ["1.drop.1", "1.drop.2"]
    assert 0.55 * two[1].felt_kg < session.sets[-2].felt_kg < 0.8 * two[1].felt_kg


def test_light_test_sets_climb_by_adding_plates() -> None:
    done: list[LoggedSet] = []
    for number in range(1, 5):
        (one,) = prepared(ROWS, done, past=[]).sets
        assert number == 1 or (one.moves and all(move.on for move in one.moves))
        done.append(as_done(one, number, 8, 5))


def test_after_a_drop_to_the_empty_arm_there_is_no_other() -> None:
    *before, first, second = prepared(ROWS).sets
    done = [as_done(one, number, 10, 1) for number, one in enumerate(before)]
    bare = as_done(replace(first, loading={}), len(done), 8, None)
    assert second.slot == "1.drop.2"
    after = prepared(ROWS, [*done, bare])
    assert after.sets == ()
    assert (
        "Lever row, chest supported: a drop set is left out; nothing lighter is left to strip to." in after.notes
    )


def test_a_drop_from_the_empty_arm_is_left_out_of_both_layings() -> None:
    weak = known_at({"curl_cable_one_arm": 8.0})
    session = prepared(ONE_ARM, past=weak)
    assert of_role(session, Role.WORK)[-1].loading == {}
    assert of_role(session, Role.DROP) == []
    assert sum("a drop set is left out" in note for note in session.notes) == 1


def test_a_drop_is_told_from_the_load_that_its_own_arm_had() -> None:
    work = [one for one in prepared(ONE_ARM).sets if one.role is not Role.DROP]
    done = [as_done(one, number, 10, 1) for number, one in enumerate(work[:-1], start=1)]
    loading = {"tip": (boathouse().inventory.plate("5 kg"),) * 2}
    lighter = as_done(replace(work[-1], loading=loading), len(work), 10, 1)
    (drop,) = prepared(ONE_ARM, [*done, lighter], skipped={"1.drop.1.left"}).sets
    before_kg = felt_kg(loads_for("curl_cable_one_arm").law, loading)
    assert drop.reason.startswith(f"{100 * (1 - drop.felt_kg / before_kg):.0f} % off")


def test_a_skipped_drop_leads_the_next_from_the_work_load() -> None:
    *_, work, drop = prepared(ROWS, skipped={"1.drop.1"}).sets
    assert 0.6 < drop.felt_kg / work.felt_kg < 0.75


@pytest.mark.parametrize("outline", [ROWS, PAUSES])
def test_without_work_sets_nothing_follows_them(outline: Outline) -> None:
    work = {one.slot for one in of_role(prepared(outline), Role.WORK)}
    assert prepared(outline, skipped=work).sets == ()


def test_a_skipped_set_is_left_out_and_the_rest_stays() -> None:
    assert slots(prepared(ROWS, skipped={"1.warm-up.1", "1.work.2"})) == [
        "1.warm-up.2",
        "1.work.1",
        "1.drop.1",
        "1.drop.2",
    ]


def test_plates_given_away_since_do_not_stop_the_session() -> None:
    one, two = of_role(prepared(ROWS), Role.WORK)
    gone = as_done(one, 1, 10, 1)
    gone = replace(gone, done=replace(gone.done, loading={"tip": ("50 kg of lead",)}))
    assert slots(prepared(ROWS, [gone]))[0] == two.slot


def test_a_session_in_progress_begins_where_the_lifter_stands() -> None:
    first = prepared(ROWS)
    later = prepared(ROWS, [as_done(first.sets[0], 1, 8, None)])
    assert first.sets[0].starts_s >= boathouse().machine.stations["row-chest"].setup_s
    following = later.sets[0]
    assert following.starts_s == max(following.rest_s, Handling().seconds(following.moves))


def test_an_exercise_without_a_station_is_left_out_and_named() -> None:
    session = prepared(
        outline_of('do = "cable_row_seated"\nreps = 10\nrir = [1]', 'do = "curl_lever"\nreps = 10\nrir = [1]')
    )
    assert {one.exercise for one in session.sets} == {"curl_lever"}
    assert session.notes[0] == (
        f"{boathouse().exercises['cable_row_seated'].name} is left out: "
        "no station of Boathouse lever gym is made for it."
    )


def test_without_a_body_mass_body_weight_work_is_left_out() -> None:
    session = prepared(outline_of('do = "inverted_row"\nreps = 10\nrir = [1]'), body_mass_kg=None)
    assert session.sets == ()
    assert "is left out: " in session.notes[0]
    assert "body mass" in session.notes[0]


def test_the_station_used_last_is_used_again() -> None:
    stations = {
        name: Station(name, name, FreeWeight(5.0), horn="pin", exercises=("shrug_lever",))
        for name in ("near", "far")
    }
    gym = Gym(replace(boathouse().machine, stations=stations), boathouse().inventory, boathouse().exercises)
    outline = Outline("trial", "Trial", (replace(ROWS.items[0], exercise="shrug_lever"),))
    assert prepared(outline, gym=gym, past=[]).sets[0].station == "near"
    past = [logged(20.0, 10, 1, exercise="shrug_lever", station="far")]
    assert prepared(outline, gym=gym, past=past).sets[0].station == "far"


def test_an_empty_hand_is_no_load() -> None:
    free = Station("bare", "Bare", FreeWeight(0.0), horn="pin", exercises=("carry_suitcase",))
    machine: Machine = replace(boathouse().machine, stations={"bare": free})
    gym = Gym(machine, rack({"5 kg": 2}), boathouse().exercises)
    assert gym.loads(free).felt_kg == (5.0, 10.0)
    assert Gym(machine, rack({}), boathouse().exercises).loads(free).felt_kg == (0.0,)


def test_a_station_may_only_name_known_exercises() -> None:
    with pytest.raises(OutOfRange, match="exercise of station row is 'lever_row_bent'; it must be an id"):
        Gym(boathouse().machine, boathouse().inventory, {})


def test_tests_that_told_nothing_are_said_to() -> None:
    top_kg = boathouse().loads(boathouse().machine.stations["row-chest"]).ladder[-1].felt_kg
    session = prepared(ROWS, past=[logged(top_kg, 8, 5, role=Role.TEST)])
    assert session.sets == ()
    assert "the test sets told nothing; log one and say how many reps were left." in session.notes[0]


def test_stops_are_asked_for_where_failing_alone_is_not_safe() -> None:
    failing = outline_of('do = "chest_press_lever"\nreps = 10\nrir = [1, 0]')
    sparing = outline_of('do = "chest_press_lever"\nreps = 10\nrir = [1, 1]')
    assert len(prepared(failing).cautions) == len(CAUTIONS) + 1
    assert (
        prepared(failing)
        .cautions[-1]
        .endswith("set the stops or catches first; don't go to failure alone without them.")
    )
    assert prepared(sparing).cautions == CAUTIONS


@pytest.mark.parametrize("name", ["legs", "press", "pull"])
def test_the_shipped_outlines_come_out_whole(name: str) -> None:
    session = prepared(outlines()[name])
    assert {one.exercise for one in session.sets} == {item.exercise for item in outlines()[name].items}
    assert 20 * 60 < session.lasts_s < 75 * 60
    assert all(one.reason for one in session.sets)
    assert set(session.ladders) == {one.station for one in session.sets}
    assert all(": plates come off in the warm-up; only adding would cost" in note for note in session.notes)


def test_every_work_set_keeps_its_chance_and_its_place_in_the_range() -> None:
    for name in outlines():
        for one in of_role(prepared(outlines()[name]), Role.WORK):
            assert one.chance is not None
            assert (
                one.chance >= LEAST_CONFIDENCE or one.felt_kg == prepared(outlines()[name]).ladders[one.station][0]
            )
            assert one.lowering_kg < one.felt_kg or one.station == "inverted-row"
