"""When to raise the load, by how much, and what comes before and after work sets.

Sources: American College of Sports Medicine (ACSM), position stand on progression models, 2009, read: raise 2 to
10 % once one or two reps over target are possible. The two-for-two rule of the NSCA, read on a secondary page.
Drop sets, rest-pause: common practice. Warm-up and rest figures are choices of this project, so only what trials
support is tested here.
"""

from __future__ import annotations

import pytest

from steelyard.strength.equations import epley
from steelyard.training.exercises import exercises
from steelyard.training.rules import (
    ACSM_RISE,
    AUTOMATIC_RISE,
    DROP_SHARE,
    REST_PAUSE_RANGE_S,
    REST_PAUSE_S,
    default_rest_s,
    rise_due,
    two_for_two,
    warm_up_steps,
)


def test_acsm_one_or_two_reps_over_target_call_for_two_to_ten_per_cent() -> None:
    assert rise_due(11, 10) == rise_due(12, 10) == (0.02, 0.10)
    assert rise_due(10, 10) is None


def test_no_automatic_rise_is_larger_than_acsm_gives() -> None:
    assert AUTOMATIC_RISE == max(ACSM_RISE) == 0.10


@pytest.mark.parametrize(("reps", "share"), [(6, 0.056), (10, 0.050), (15, 0.044)])
def test_two_spare_reps_pay_for_a_rise_inside_acsm(reps: int, share: float) -> None:
    """Arithmetic on Epley's equation."""
    rise = epley(1.0, reps + 2) / epley(1.0, reps) - 1
    assert rise == pytest.approx(share, abs=0.0005)
    assert ACSM_RISE[0] <= rise <= ACSM_RISE[1]


@pytest.mark.parametrize(
    ("before", "latest", "due"),
    [
        ((40.0, 12), (40.0, 12), True),
        ((40.0, 14), (40.0, 13), True),
        ((40.0, 12), (40.0, 11), False),
        ((40.0, 11), (40.0, 12), False),
        ((40.0, 12), (40.001, 12), False),
        ((0.1 + 0.2, 12), (0.3, 12), True),
    ],
)
def test_nsca_two_extra_reps_in_two_sessions_at_one_load(
    before: tuple[float, int], latest: tuple[float, int], due: bool
) -> None:
    assert two_for_two(10, before, latest) is due


def test_common_practice_a_drop_takes_about_a_third_off() -> None:
    assert pytest.approx(0.33, abs=0.005) == DROP_SHARE


def test_common_practice_rest_pause_is_ten_to_fifteen_seconds() -> None:
    assert REST_PAUSE_RANGE_S == (10.0, 15.0)
    assert REST_PAUSE_RANGE_S[0] <= REST_PAUSE_S <= REST_PAUSE_RANGE_S[1]


@pytest.mark.parametrize("reps", range(1, 13))
def test_a_warm_up_for_real_work_climbs_to_four_fifths(reps: int) -> None:
    """40 and 80 % of the load before a press, 80 % before a squat (Ribeiro 2020, doi 10.3390/ijerph17186882)."""
    shares = [share for share, _ in warm_up_steps(reps)]
    assert 0.8 in shares
    assert shares == sorted(shares)
    assert max(shares) < 1


def test_rests_lie_where_the_sources_put_them() -> None:
    """Growth: over 60 s (Singer 2024, limits from memory). Strength: 2 to 5 min (NSCA, read in study notes)."""
    row, curl = exercises()["lever_row_bent"], exercises()["curl_cable"]
    assert 60 < default_rest_s(curl, 10) <= 90
    assert 90 <= default_rest_s(row, 10) <= 150
    assert 120 <= default_rest_s(row, 5) <= 300
