"""Changes of mind during a session: which of them hold, and how they are taken back."""

from __future__ import annotations

import pytest

from journal_events import event, id_of, set_done
from steelyard.journal.changed import UNCHANGED, Changed, changes
from steelyard.journal.codec import decode_line, encode_line
from steelyard.journal.events import (
    Body,
    EventDeleted,
    ExerciseEnded,
    ExercisePostponed,
    ExerciseSwapped,
    LoadChosen,
    PlatesMissing,
    SessionStarted,
    SetCorrected,
    StationClosed,
    TimeShortened,
)
from steelyard.journal.fold import SessionState, fold

START = SessionStarted("monday", "ida", "pull", "boathouse")


def _monday(*after: Body) -> SessionState:
    """The session with what was said in it, the first of it with id 1."""
    return fold([event(number, body) for number, body in enumerate((START, *after))]).sessions["monday"]


def _changed(*after: Body) -> Changed:
    return _monday(*after).changed


def test_nothing_said_changes_nothing() -> None:
    assert _changed() == UNCHANGED


def test_the_latest_swap_of_a_place_counts() -> None:
    swaps = (
        ExerciseSwapped("monday", 1, "curl"),
        ExerciseSwapped("monday", 2, "row"),
        ExerciseSwapped("monday", 1, "press"),
    )
    assert _changed(*swaps).exercises == {1: "press", 2: "row"}


def test_a_swap_that_is_taken_back_leaves_the_one_before() -> None:
    swaps = ExerciseSwapped("monday", 1, "curl"), ExerciseSwapped("monday", 1, "press")
    assert _changed(*swaps, EventDeleted(id_of(2))).exercises == {1: "curl"}


def test_after_a_sign_to_stop_no_slot_is_left_and_no_swap_takes_it_back() -> None:
    sign = ExerciseEnded("monday", 2, "sign")
    for changed in (_changed(sign), _changed(sign, ExerciseSwapped("monday", 2, "curl"))):
        assert changed.stopped
        assert changed.leaves_out("1.work.1")


def test_closed_stations_add_up_and_missing_plates_are_said_anew() -> None:
    changed = _changed(
        StationClosed("monday", "row"),
        PlatesMissing("monday", ("5 kg*1",)),
        StationClosed("monday", "curl"),
        PlatesMissing("monday", ("10 kg",)),
    )
    assert (changed.closed, changed.missing) == ({"row", "curl"}, ("10 kg",))


def test_exercises_are_put_off_in_the_order_it_was_said() -> None:
    put_off = ExercisePostponed("monday", 1, 3), ExercisePostponed("monday", 2, 1)
    assert _changed(*put_off).postponed == ((1, 3), (2, 1))


def test_the_latest_load_of_a_slot_counts() -> None:
    chosen = LoadChosen("monday", "1.work.1", 40.0), LoadChosen("monday", "1.work.1", 42.5)
    assert _changed(*chosen).loads_kg == {"1.work.1": 42.5}


@pytest.mark.parametrize("slot", ["1.warm-up.1", "1.work.2", "1.work.2.left"])
def test_an_exercise_that_is_over_leaves_its_slots_out(slot: str) -> None:
    monday = _monday(ExerciseEnded("monday", 1, "pain"))
    assert monday.is_taken(slot)
    assert not monday.is_taken(slot.replace("1.", "11.", 1))


def test_a_swap_takes_a_place_up_again() -> None:
    over, swap = ExerciseEnded("monday", 1, "pain"), ExerciseSwapped("monday", 1, "curl")
    assert _changed(over, swap).ended == {}
    assert _changed(swap, over).ended == {1: "pain"}


def test_the_latest_shortening_counts() -> None:
    changed = _changed(TimeShortened("monday", 10, ("1.work.2",)), TimeShortened("monday", 30, ("2.work.3",)))
    assert (changed.minutes, changed.left_out) == (30, {"2.work.3"})


def test_a_slot_left_out_for_want_of_time_and_then_done_was_done() -> None:
    shortened = TimeShortened("monday", 10, ("1.work.1", "1.work.2"))
    assert _changed(shortened, set_done()).left_out == {"1.work.2"}


def test_changes_belong_to_their_session() -> None:
    assert _changed(StationClosed("tuesday", "row")) == UNCHANGED
    assert list(changes([event(1, StationClosed("tuesday", "row"))])) == ["tuesday"]


def test_a_change_alone_makes_no_session() -> None:
    assert fold([event(1, StationClosed("tuesday", "row"))]).sessions == {}


def test_a_correction_of_the_first_version_is_still_read() -> None:
    written = encode_line(event(1, SetCorrected(id_of(0), reps=9)))
    older = written.replace('"version": 2', '"version": 1').replace(', "helped": null, "form": null', "")
    assert older != written
    assert decode_line(older, "here") == decode_line(written, "here")
