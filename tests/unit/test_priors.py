"""What is believed of an exercise before any set of it."""

from __future__ import annotations

import math

import numpy as np
import pytest

from steelyard.strength.belief import FIRST_LIFT, newcomer, outlook
from steelyard.strength.curve import REPS_SCALE
from steelyard.strength.lifts import Lift
from steelyard.training.exercises import PATTERNS, exercises
from steelyard.training.priors import MAX_SHARES, REPS_SCALES, SOURCED, lift_name, lift_of
from steelyard.training.rules import fractional_sets

PULLDOWN, CURL, ONE_ARM_CURL = "pulldown_front", "curl_cable", "curl_cable_one_arm"


def prior(exercise: str, body_mass_kg: float | None = 80.0) -> Lift:
    return lift_of(exercises()[exercise], "station", "gym", body_mass_kg)


def share(exercise: str) -> float:
    """Of body mass."""
    return math.exp(prior(exercise).log_max) / 80.0


def test_a_pulldown_starts_between_the_men_and_the_women_tested() -> None:
    """0.93 ± 0.17 and 0.55 ± 0.11 of body mass: Johnson 2009, doi 10.1519/JSC.0b013e3181a2d7f5, read."""
    assert share(PULLDOWN) == pytest.approx(math.sqrt(0.93 * 0.55), abs=0.005)
    low, high = (share(PULLDOWN) * math.exp(side * prior(PULLDOWN).sd_log) for side in (-1.0, 1.0))
    assert low < 0.55
    assert high > 0.93


def test_a_curl_starts_as_far_below_a_pulldown_as_was_seen() -> None:
    """0.43 in college women: doi 10.1080/02701367.1994.10607605, derived of figures read."""
    assert share(CURL) / share(PULLDOWN) == pytest.approx(0.43, abs=0.005)


def test_a_curl_starts_as_far_below_a_press_as_was_seen() -> None:
    """Curl over bench press 0.517: Hutchins and Gearhart 2010, derived of figures read."""
    assert MAX_SHARES["elbow_flexion"] / MAX_SHARES["horizontal_push"] == pytest.approx(0.517, abs=0.005)


def test_one_arm_starts_at_half_of_two() -> None:
    assert share(ONE_ARM_CURL) == pytest.approx(share(CURL) / 2)


def test_who_was_not_weighed_is_less_known() -> None:
    weighed, not_weighed = prior(PULLDOWN), prior(PULLDOWN, None)
    assert not_weighed.sd_log > weighed.sd_log
    assert abs(not_weighed.log_max - weighed.log_max) < 0.2


def test_twice_the_body_is_twice_the_maximum() -> None:
    assert prior(CURL, 100.0).log_max - prior(CURL, 50.0).log_max == pytest.approx(math.log(2.0))


def test_patterns_without_a_source_are_less_known_than_those_with_one() -> None:
    by_pattern = {exercise.pattern: prior(name).sd_log for name, exercise in exercises().items()}
    sourced = {by_pattern[pattern] for pattern in SOURCED}
    assert max(sourced) < min(sd for pattern, sd in by_pattern.items() if pattern not in SOURCED)


def test_every_pattern_named_is_a_pattern() -> None:
    assert {*MAX_SHARES, *REPS_SCALES, *SOURCED} <= set(PATTERNS)


def test_a_lift_without_a_source_of_its_own_has_the_charts_curve() -> None:
    assert prior(CURL).reps_scale == REPS_SCALE < prior(PULLDOWN).reps_scale


def test_in_a_leg_press_weightlifters_do_as_many_reps_as_were_seen() -> None:
    """11.8 ± 2.7 at 80 %: Richens and Cleather 2014, doi 10.5604/20831862.1099047, read."""
    squat = next(name for name, exercise in exercises().items() if exercise.pattern == "squat")
    promised = outlook(newcomer([prior(squat)]), prior(squat).name)
    assert promised.expected_reps(0.8 * promised.one_rm_kg) == pytest.approx(11.8, abs=0.05 + 1e-9)


def test_a_lift_knows_its_exercises_muscles_and_its_place() -> None:
    lift = prior(CURL)
    assert lift.muscles == fractional_sets(exercises()[CURL])
    assert lift.name == lift_name(CURL, "station", "gym") == "curl_cable at station of gym"


def test_one_exercise_on_two_stations_is_two_lifts() -> None:
    assert lift_name(CURL, "low-pulley", "gym") != lift_name(CURL, "high-pulley", "gym")


def test_all_shipped_exercises_can_be_believed_in_together() -> None:
    belief = newcomer([prior(name) for name in exercises()])
    rows = np.array(belief.covariance)[FIRST_LIFT:, FIRST_LIFT:]
    own = rows.diagonal()
    assert np.linalg.eigvalsh(rows / np.sqrt(np.outer(own, own))).min() > 0.1
