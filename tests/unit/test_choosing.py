"""The plates of a whole session: one choice for all sets, and what is said of it."""

from __future__ import annotations

from gyms import NOW, boathouse, known_at, lifter, outline_of, outlines, strong
from steelyard.plates.model import Loading
from steelyard.plates.moves import replay
from steelyard.training.choosing import choose_plates
from steelyard.training.prepare import Task, asked_of, prepared_with
from steelyard.training.rules import BETWEEN_ARMS_S

GYM = boathouse()
PAUSES = outline_of('do = "lever_row_chest"\nreps = [10, 12]\nrir = [2, 1]\nthen = "rest-pause"\nrounds = 2')


def task(name: str = "pull") -> Task:
    return Task(GYM, outlines()[name], lifter(), strong(), NOW)


def test_every_set_gets_its_plates() -> None:
    asked = asked_of(task())
    chosen = choose_plates(GYM, asked, {})
    assert list(chosen.changes) == [one.slot for one in asked]


def test_the_moves_of_the_session_lead_from_set_to_set() -> None:
    on: Loading = {}
    for change in choose_plates(GYM, asked_of(task()), {}).changes.values():
        on = replay(on, change.moves)
        assert on == change.on_horns


def test_a_rest_pause_goes_on_with_the_very_plates() -> None:
    chosen = choose_plates(GYM, asked_of(Task(GYM, PAUSES, lifter(), strong(), NOW)), {}).changes
    assert chosen["1.rest-pause.2"].loading == chosen["1.work.2"].loading
    assert chosen["1.rest-pause.1"].moves == chosen["1.rest-pause.2"].moves == ()


def test_both_arms_are_given_the_same_plates() -> None:
    session = prepared_with(task(), choose_plates(GYM, asked_of(task()), {}))
    for one in session.sets:
        if one.rest_s == BETWEEN_ARMS_S:
            assert one.moves == ()


def test_a_work_set_made_lighter_by_the_plates_says_so() -> None:
    session = prepared_with(task("legs"), choose_plates(GYM, asked_of(task("legs")), {}))
    asked = {one.slot: one.wish for one in asked_of(task("legs"))}
    for one in session.sets:
        if one.role == "work":
            short = 1 - one.felt_kg / asked[one.slot].wanted_kg
            assert (" would do; this saves plates." in one.reason) == (short >= 0.01)


def test_plates_that_are_missing_since_are_taken_to_be_off() -> None:
    five = GYM.inventory.plate("5 kg")
    chosen = choose_plates(GYM, asked_of(task()), {"tip": (five,) * 9})
    first = next(iter(chosen.changes.values()))
    assert replay({"tip": (five,) * 2}, first.moves) == first.on_horns


def test_plate_work_of_the_session_is_the_sum_of_its_changes() -> None:
    chosen = choose_plates(GYM, asked_of(task()), {})
    assert chosen.handling_s == round(sum(change.handling_s for change in chosen.changes.values()), 3)
    assert chosen.gap_s == 0


def test_a_warm_up_has_the_steps_that_plates_were_asked_for() -> None:
    heavy, light = rows_of(100.0), rows_of(25.0)
    assert len(ramp_asked(heavy)) > len(ramp_asked(light))
    for planned, laid in ((heavy, light), (light, heavy)):
        session = prepared_with(laid, choose_plates(GYM, asked_of(planned), {}))
        assert [one.slot for one in session.sets if one.role == "warm-up"] == ramp_asked(planned)


def rows_of(maximum_kg: float) -> Task:
    past = known_at({"lever_row_chest": maximum_kg})
    return Task(GYM, outline_of('do = "lever_row_chest"\nreps = [5, 6]\nrir = [2]'), lifter(), past, NOW)


def ramp_asked(task: Task) -> list[str]:
    return [one.slot for one in asked_of(task) if ".warm-up." in one.slot]
