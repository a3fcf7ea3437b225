"""Breaks, novices and screening: the careful side of every branch."""

from __future__ import annotations

import pytest

from steelyard.errors import OutOfRange
from steelyard.training.exercises import exercises
from steelyard.training.model import Outline, OutlineItem
from steelyard.training.outline import read_outline
from steelyard.training.outlines import outline_text
from steelyard.training.rules import (
    BREAKDOWN,
    CAUTIONS,
    STOP_SIGNS,
    STOPS_CAUTION,
    after_break,
    first_session_warnings,
    screening_advice,
    techniques_allowed,
    warm_up_steps,
)


@pytest.mark.parametrize(
    ("days", "shares"),
    [
        (0, (1.0, 1.0)),
        (14, (1.0, 1.0)),
        (14.5, (0.9, 0.5)),
        (34.9, (0.9, 0.5)),
        (35, (0.8, 0.5)),
        (400, (0.8, 0.5)),
    ],
)
def test_a_break_takes_load_and_sets_away(days: float, shares: tuple[float, float]) -> None:
    assert after_break(days) == shares


@pytest.mark.parametrize(
    ("months", "days_off", "allowed"), [(0.9, 0, False), (1.0, 0, True), (60, 34, True), (60, 35, False)]
)
def test_novices_and_returning_lifters_get_no_techniques(months: float, days_off: float, allowed: bool) -> None:
    assert techniques_allowed(months, days_off) is allowed


@pytest.mark.parametrize(
    ("reps", "steps"),
    [
        (20, ((0.6, 8),)),
        (13, ((0.6, 8),)),
        (12, ((0.5, 8), (0.8, 4))),
        (8, ((0.5, 8), (0.8, 4))),
        (7, ((0.4, 8), (0.6, 5), (0.8, 3))),
        (5, ((0.4, 8), (0.6, 5), (0.8, 3))),
        (4, ((0.4, 8), (0.6, 5), (0.8, 3), (0.9, 1))),
    ],
)
def test_heavier_work_gets_a_longer_warm_up(reps: int, steps: tuple[tuple[float, int], ...]) -> None:
    assert warm_up_steps(reps) == steps


def test_a_warm_up_for_no_reps_is_refused() -> None:
    with pytest.raises(OutOfRange, match="reps is 0"):
        warm_up_steps(0)


@pytest.mark.parametrize(("active", "disease"), [(True, True), (True, False), (False, True), (False, False)])
def test_symptoms_stop_everyone(active: bool, disease: bool) -> None:
    advice = screening_advice(active, disease, True)
    assert advice is not None
    assert advice.startswith("Don't train now")


def test_a_known_disease_needs_a_doctor_before_hard_training() -> None:
    assert "clearance before you begin" in str(screening_advice(False, True, False))
    assert "none near failure" in str(screening_advice(True, True, False))


def test_the_inactive_start_light_and_the_rest_hear_nothing() -> None:
    assert "Start light" in str(screening_advice(False, False, False))
    assert screening_advice(True, False, False) is None


def test_a_full_session_is_too_much_for_a_first_one() -> None:
    warnings = first_session_warnings(read_outline(outline_text("pull"), "pull.toml", exercises()), exercises())
    assert "Lats: 96 reps are more than 60 in a first session." in warnings
    assert warnings[-1] == BREAKDOWN


def test_too_many_sets_of_one_exercise_are_too_much_for_a_first_session() -> None:
    outline = Outline("test", "Test", (OutlineItem("curl_cable", 8, 8, (3, 3, 3, 3), 60.0),))
    assert (
        first_session_warnings(outline, exercises())[0] == "Cable curl: 4 sets are more than 3 in a first session."
    )


def test_a_small_session_is_fine_for_a_first_one() -> None:
    outline = Outline("test", "Test", (OutlineItem("lever_row_chest", 8, 12, (3, 3), 90.0),))
    assert first_session_warnings(outline, exercises()) == ()


def test_cautions_are_whole_lines() -> None:
    for line in (*CAUTIONS, *STOP_SIGNS, STOPS_CAUTION.format(exercise="Flat press")):
        assert line
        assert line.isprintable()
