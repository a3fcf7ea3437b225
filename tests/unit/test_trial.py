"""Finding a newcomer's first loads: light, climbing slowly, and over as soon as something is known."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from gyms import NOW, Body, as_done, boathouse, lifter, loads_for, logged, outlines
from steelyard.journal.fold import LoggedSet, SessionState
from steelyard.training.model import PreparedSet, Role
from steelyard.training.prepare import prepare
from steelyard.training.trial import (
    MOST_TRIALS,
    TRIAL_STEP,
    TrialSet,
    first_share,
    next_trial,
    recent,
    tells_enough,
    trial_step,
)

ROW = loads_for("lever_row_chest")


def following(
    *sets: LoggedSet, exercise: str = "lever_row_chest", body_mass_kg: float | None = 70.0
) -> TrialSet | None:
    of = boathouse().exercises[exercise]
    return next_trial(sets, loads_for(exercise), of, body_mass_kg, now=NOW)


def tried(felt_kg: float, reps: int = 8, rir: int | None = 5, *, minutes_ago: float = 2.0) -> LoggedSet:
    return logged(felt_kg, reps, rir, role=Role.TEST, days_ago=minutes_ago / 1440)


def test_the_first_load_is_a_share_of_body_mass() -> None:
    trial = following()
    assert trial is not None
    assert trial.rung == ROW.ladder[ROW.at_most(0.20 * 70.0)]
    assert trial.number == 1


def test_the_whole_body_is_not_called_light() -> None:
    trial = following(exercise="inverted_row")
    assert trial is not None
    assert "it can be no lighter" in trial.reason
    assert "light, easy reps" not in trial.reason


def test_small_muscles_begin_lighter() -> None:
    known = boathouse().exercises
    assert (
        first_share(known["curl_cable"]) < first_share(known["leg_curl"]) == first_share(known["pulldown_front"])
    )


def test_without_a_body_mass_the_lightest_comes_first() -> None:
    trial = following(body_mass_kg=None)
    assert trial is not None
    assert trial.rung == ROW.ladder[0]


def test_a_light_set_is_followed_by_one_at_most_three_tenths_heavier() -> None:
    trial = following(tried(40.0))
    assert trial is not None
    assert 1.2 * 40.0 < trial.rung.felt_kg <= TRIAL_STEP * 40.0
    assert trial.number == 2


def test_what_follows_a_light_set_is_heavier_by_half_a_step_at_least() -> None:
    trial = following(tried(40.0))
    assert trial is not None
    assert trial.climbs
    assert trial.least_kg == pytest.approx((40.0 + trial.rung.felt_kg) / 2)


def test_or_by_one_rung_where_steps_are_larger() -> None:
    ladder = loads_for("curl_cable").ladder
    sparse = replace(loads_for("curl_cable"), ladder=ladder[::120])
    of = boathouse().exercises["curl_cable"]
    trial = next_trial([tried(ladder[0].felt_kg)], sparse, of, 70.0, now=NOW)
    assert trial is not None
    assert trial.rung == ladder[120]


@pytest.mark.parametrize("reps", range(1, 13))
def test_the_next_test_load_can_still_be_moved_three_times(reps: int) -> None:
    maximum_kg = 40.0 * (1 + (reps + 5) / 30)  # Epley 1985; that many reps at least could be done
    heavier_kg = trial_step(reps) * 40.0
    assert 30 * (maximum_kg / heavier_kg - 1) >= 3.0 - 1e-9


def test_a_set_cut_short_is_followed_by_a_smaller_step() -> None:
    short, whole = following(tried(40.0, reps=1)), following(tried(40.0))
    assert short is not None
    assert whole is not None
    assert 40.0 < short.rung.felt_kg <= 1.1 * 40.0 < whole.rung.felt_kg


@pytest.mark.parametrize("rir", [0, 1, 4])
def test_it_is_over_as_soon_as_fewer_than_five_are_left(rir: int) -> None:
    assert following(tried(40.0, rir=rir)) is None


def test_a_telling_work_set_makes_tests_needless() -> None:
    assert following(logged(40.0, 10, 2)) is None
    assert following(logged(40.0, 10, None)) is not None


def test_it_repeats_when_nobody_said() -> None:
    trial = following(tried(ROW.ladder[50].felt_kg, rir=None))
    assert trial is not None
    assert trial.rung == ROW.ladder[50]
    assert "say how many more" in trial.reason


def test_a_load_that_did_not_move_is_followed_by_a_lighter_one() -> None:
    trial = following(tried(40.0, reps=0, rir=0))
    assert trial is not None
    assert trial.rung.felt_kg <= 40.0 / TRIAL_STEP


def test_it_ends_with_the_ladder() -> None:
    assert following(tried(ROW.ladder[-1].felt_kg)) is None


def test_ten_a_day_are_enough() -> None:
    many = [tried(40.0, rir=None, minutes_ago=60 - n) for n in range(MOST_TRIALS)]
    assert following(*many) is None
    assert following(*many[1:]) is not None


def test_the_next_day_begins_again_where_it_stopped() -> None:
    trial = following(*[tried(40.0, rir=None, minutes_ago=2000 + n) for n in range(MOST_TRIALS)])
    assert trial is not None
    assert trial.number == 1
    assert trial.rung.felt_kg == pytest.approx(40.0, abs=0.5)


def test_old_sets_are_forgotten() -> None:
    old, new = logged(40.0, 8, days_ago=61), logged(40.0, 8, days_ago=59)
    assert recent([old, new], NOW) == (new,)


def test_warm_ups_and_failed_first_reps_tell_nothing() -> None:
    assert not tells_enough(logged(40.0, 8, 2, role=Role.WARM_UP).done)
    assert not tells_enough(logged(40.0, 0, 0).done)
    assert tells_enough(logged(40.0, 1, 0).done)


def first_session(outline: str, body: Body, body_mass_kg: float) -> list[PreparedSet]:
    """Every set of a newcomer's session, prepared anew after each."""
    newcomer = lifter(training_months=0, joined_at=NOW, body_mass_kg=body_mass_kg)
    done: list[LoggedSet] = []
    met: list[PreparedSet] = []
    while True:
        today = SessionState("today", "ida", outline, "", NOW, None, tuple(done), frozenset(), ())
        now = NOW + timedelta(minutes=3 * len(done))
        left = prepare(boathouse(), outlines()[outline], newcomer, done, now=now, today=today).sets
        if not left:
            return met
        met.append(left[0])
        reps, rir = body.does(left[0])
        done.append(as_done(left[0], len(done), reps, min(rir, 5)))


def weak(body_mass_kg: float, share: float) -> dict[str, float]:
    """True maxima between those of weak and of strong people, as shares of body mass; not below the station."""
    names = [item.exercise for outline in outlines().values() for item in outline.items]
    small = {"curl_lever", "curl_cable_one_arm", "lateral_raise_cable", "triceps_pushdown"}
    wanted = {name: body_mass_kg * share * (0.4 if name in small else 1.0) for name in names}
    return {name: max(kg, 1.3 * loads_for(name).ladder[0].felt_kg) for name, kg in wanted.items()}


@pytest.mark.parametrize("outline", ["pull", "press", "legs"])
@pytest.mark.parametrize(("body_mass_kg", "share"), [(55.0, 0.33), (70.0, 0.55), (90.0, 1.2)])
def test_a_newcomers_first_session_never_meets_a_load_above_the_maximum(
    outline: str, body_mass_kg: float, share: float
) -> None:
    maxima_kg = weak(body_mass_kg, share)
    met = first_session(outline, Body(maxima_kg), body_mass_kg)
    assert {one.role for one in met} >= {Role.TEST, Role.WORK}
    assert all(one.felt_kg < maxima_kg[one.exercise] for one in met)
    assert {one.exercise for one in met if one.role is Role.WORK} == {one.exercise for one in met}
