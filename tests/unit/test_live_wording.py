"""Sets in words, as the page says them."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from steelyard.journal.events import Body, ExerciseEnded, LoadChosen, PlatesMissing, SetDone
from steelyard.live import wording
from steelyard.live.undoing import undo_words
from steelyard.plates.model import Plate
from steelyard.training.model import PreparedSet, Role, Side
from steelyard.units import Mass, Unit

TEN, FIVE, SMALL = (Plate(f"{mass} kg", Mass(Decimal(mass), Unit.KG), 0.02) for mass in ("10", "5", "1.25"))
WORK = PreparedSet("1.work.1", "row", "bench", Role.WORK, 1, 3, Side.BOTH, 8, 10, 2, 120.0, {}, 60.0, 60.0, (), "")
DONE = SetDone("s", "l", "m", "bench", "row", "1", "work", "both", {}, 60.0, 10, None, "unsaid")


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [(8, 10, "8 to 10"), (5, 5, "5")],
)
def test_a_range_of_one_is_one_figure(low: int, high: int, said: str) -> None:
    assert wording.reps_wanted(replace(WORK, reps_low=low, reps_high=high)) == said


def test_effort_says_where_to_stop() -> None:
    assert wording.effort_wanted(WORK) == "stop with 2 left"
    assert wording.effort_wanted(replace(WORK, rir=0)) == "all you have in good form"
    assert wording.effort_wanted(replace(WORK, role=Role.TEST, rir=4)) == "light: stop with 4 or more left"


@pytest.mark.parametrize(("low", "high"), [(1, 1), (3, 5), (8, 10), (12, 20), (20, 30)])
def test_the_pad_holds_nine_counts_round_the_range(low: int, high: int) -> None:
    keys = wording.keys_for(replace(WORK, reps_low=low, reps_high=high))
    assert len(keys) == 9
    assert 1 <= keys[0] <= max(1, low - 2)
    assert keys[0] <= (low + high) // 2 <= keys[-1]


def test_a_set_done_is_said_with_its_side() -> None:
    assert wording.done_words(DONE, Unit.KG) == "10 reps at 60.0 kg"
    assert wording.done_words(replace(DONE, reps=1, side="left"), Unit.KG) == "1 rep at 60.0 kg, left side"


def test_the_summary_groups_reps_by_load_and_leaves_warm_ups_out() -> None:
    sets = [
        replace(DONE, role="warm-up", felt_kg=30.0),
        DONE,
        replace(DONE, reps=9),
        replace(DONE, reps=8, felt_kg=50.0),
    ]
    assert wording.summary(sets, {"row": "Row"}, Unit.KG) == ("Row: 10 and 9 at 60.0 kg; 8 at 50.0 kg.",)


def test_the_summary_says_one_load_once_where_the_arms_alternate() -> None:
    sets = [replace(DONE, side=side, reps=reps) for reps in (12, 11) for side in ("left", "right")]
    lighter = [replace(each, felt_kg=50.0) for each in sets[:2]]
    said = wording.summary([*sets, *lighter], {"row": "Row"}, Unit.KG)
    both = "left side 12 and 11, right side 12 and 11 at 60.0 kg; left side 12, right side 12 at 50.0 kg"
    assert said == (f"Row: {both}.",)


@pytest.mark.parametrize(
    ("body", "said"),
    [
        (LoadChosen("mine", "1.work.1", 50.0), "50.0 kg wanted"),
        (LoadChosen("yours", "1.work.1", 50.0), "110.2 lb wanted"),
        (ExerciseEnded("mine", 1, "pain"), "it hurt"),
        (ExerciseEnded("mine", 1, "sign"), "a sign to stop"),
        (ExerciseEnded("mine", 1, "enough"), "no more of an exercise"),
    ],
)
def test_what_is_taken_back_is_said_for_what_it_was(body: Body, said: str) -> None:
    assert undo_words(body, {}, {"mine": Unit.KG, "yours": Unit.LB}) == said


@pytest.mark.parametrize(
    ("plates", "said"),
    [
        (("5 kg*1", "25 lb old*2"), "missing: 1 × 5 kg, 2 × 25 lb old"),
        (("10 kg",), "missing: 10 kg"),
        ((), "no plate missing"),
    ],
)
def test_plates_missing_are_said_as_people_count_them(plates: tuple[str, ...], said: str) -> None:
    assert undo_words(PlatesMissing("s", plates), {}, {}) == said
