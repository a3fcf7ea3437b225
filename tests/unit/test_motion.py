"""Strokes and repetitions of a loaded station, and where the load floats, on machines one can reckon by hand."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import pytest

from gyms import boathouse
from steelyard.errors import LimitExceeded, OutOfRange, UnknownName
from steelyard.machine.felt import felt_law
from steelyard.machine.floating import floating, resting_spans, shortest_time, slacknesses, steady_tempo
from steelyard.machine.inertia import Disc
from steelyard.machine.model import AcrossArm, Arm, Attachment, Cable, Counterweight, Horn, Machine, Station, Wheel
from steelyard.machine.motion import (
    LARGEST_OWN_KG_M2,
    lowering_stroke,
    minimum_jerk,
    moving_peaks,
    raise_stroke,
)
from steelyard.machine.statics import Way, mechanism_of
from steelyard.machine.strokes import (
    LoadedLift,
    Phase,
    course_of,
    loaded_lift,
    repetition,
    stroke_figures,
    stroke_work,
)
from steelyard.machine.tempo import parse_tempo
from steelyard.units import STANDARD_GRAVITY
from steelyard.workshop.motion import station_motion

FAST = (3.0 - math.sqrt(3.0)) / 6.0
G = STANDARD_GRAVITY

POINT = Arm("arm", (0.0, 0.0), 10.0, (0.5, 0.0))
PRESS = Station("press", "Press", AcrossArm((1.0, 0.0)), "arm", -0.3, 0.3)
STRAIGHT_DOWN = Cable((1.0, 0.0), Wheel((1.0, 1000.0), 0.0, 1), -math.pi / 2)
PULLEY = Station("pulley", "Pulley", STRAIGHT_DOWN, "arm", -0.3, 0.3, attachments=(Attachment("bar", 2.0),))


def machine_with(arm: Arm, station: Station = PRESS, *horns: Horn) -> Machine:
    return Machine("One arm", {"arm": arm}, {horn.name: horn for horn in horns}, {station.name: station})


def lift_with(arm: Arm = POINT, station: Station = PRESS) -> LoadedLift:
    return loaded_lift(machine_with(arm, station), station, {})


def test_acceleration_is_the_slope_of_speed_and_speed_that_of_place() -> None:
    for share in (0.1, 0.37, 0.5, 0.9):
        before, now, after = (minimum_jerk(share + step) for step in (-1e-6, 0.0, 1e-6))
        assert (after[0] - before[0]) / 2e-6 == pytest.approx(now[1], rel=1e-8)
        assert (after[1] - before[1]) / 2e-6 == pytest.approx(now[2], rel=1e-7, abs=1e-8)


def test_force_of_a_point_on_an_arm() -> None:
    course = course_of(lift_with(), raise_stroke(mechanism_of(machine_with(POINT), PRESS), 1.0), (0.5, FAST))
    angle, acceleration = course.path.swept.angles_rad[1], 0.6 * 10.0 / math.sqrt(3.0)
    assert course.force_n[0] == pytest.approx(5.0 * G)
    assert course.force_n[1] == pytest.approx(5.0 * G * math.cos(angle) + 2.5 * acceleration)


def test_the_way_down_begins_by_letting_go_and_ends_by_catching() -> None:
    lift = lift_with()
    course = course_of(lift, lowering_stroke(lift.mechanism, 1.0), (FAST, 1.0 - FAST))
    letting_go, catching = (
        moving - rest for moving, rest in zip(course.force_n, course.rest_force_n, strict=True)
    )
    assert letting_go == pytest.approx(-catching)
    assert letting_go < 0.0
    assert all(speed < 0.0 for speed in course.speeds_m_s)


def test_a_stroke_needs_time() -> None:
    for duration_s in (0.0, -1.0, math.inf, math.nan):
        with pytest.raises(OutOfRange, match=r"duration of a stroke is .* s; it must be above 0 s"):
            raise_stroke(lift_with().mechanism, duration_s)


def test_a_bar_on_a_cable_is_moved_by_the_hand_and_does_not_strain_the_cable() -> None:
    bare, held = lift_with(station=replace(PULLEY, attachments=())), lift_with(station=PULLEY)
    stroke = raise_stroke(held.mechanism, 1.0)
    without, with_bar = course_of(bare, stroke, (FAST,)), course_of(held, stroke, (FAST,))
    assert with_bar.tension_n == without.tension_n
    # Straight down over a far wheel, the hand goes as the arm's end rises: sin of the angle.
    angle, speed = with_bar.path.swept.angles_rad[0], with_bar.path.speeds_rad_s[0]
    hand = math.cos(angle) * with_bar.path.accelerations_rad_s2[0] - math.sin(angle) * speed**2
    assert with_bar.force_n[0] - without.force_n[0] == pytest.approx(2.0 * (hand - G), rel=1e-3)


def test_two_hands_add_up_and_one_arm_lifts_its_own() -> None:
    horn = Horn("tip", "arm", 0.3, (0.8, 0.0), sides=2)
    paired = machine_with(replace(POINT, paired=True), PRESS, horn)
    plates = {"tip": [Disc(5.0, 0.1, 0.025, 0.02)]}
    both = loaded_lift(paired, PRESS, plates)
    one = loaded_lift(paired, PRESS, plates, one_arm=True)
    stroke = raise_stroke(both.mechanism, 1.0)
    assert stroke_figures(both, stroke).peak_n == pytest.approx(2.0 * stroke_figures(one, stroke).peak_n)
    assert stroke_work(both, stroke) == pytest.approx(2.0 * stroke_work(one, stroke))


def test_figures_of_a_stroke_belong_together() -> None:
    lift = lift_with()
    figures = stroke_figures(lift, raise_stroke(lift.mechanism, 0.8))
    assert figures.work_j == pytest.approx(5.0 * G * 2.0 * math.sin(0.3), rel=1e-12)
    assert figures.mean_n == pytest.approx(figures.work_j / 0.6)
    assert figures.mean_power_w == pytest.approx(figures.work_j / 0.8)
    assert (figures.mean_speed_m_s, figures.peak_speed_m_s) == pytest.approx((0.75, 0.75 * 1.875))
    assert figures.inertial_share == pytest.approx(figures.peak_n / figures.static_n - 1.0)
    assert figures.least_n < figures.static_n < figures.peak_n
    assert figures.peak_rad < 0.0 < figures.least_rad


def test_mean_force_is_the_felt_load() -> None:
    gym = boathouse()
    station = gym.machine.stations["row"]
    lift = loaded_lift(gym.machine, station, {})
    figures = stroke_figures(lift, raise_stroke(lift.mechanism, 0.5))
    assert figures.mean_n / G == pytest.approx(felt_law(gym.machine, station).base_kg, rel=1e-10)


def test_a_repetition_goes_up_waits_comes_down_and_waits() -> None:
    lift = lift_with()
    rows = repetition(lift, parse_tempo("2-0.5-1-1"), rows=11)
    assert [row.phase for row in rows] == [
        *[Phase.RAISING] * 11,
        *[Phase.TOP] * 2,
        *[Phase.LOWERING] * 11,
        *[Phase.BOTTOM] * 2,
    ]
    assert all(before.t_s <= after.t_s for before, after in pairwise(rows))
    assert (rows[0].t_s, rows[-1].t_s) == (0.0, 4.5)
    assert max(rows, key=lambda row: row.angle_rad).phase is Phase.RAISING
    assert (rows[0].travel_m, rows[12].travel_m, rows[-1].travel_m) == pytest.approx((0.0, 0.6, 0.0))


def test_a_pause_of_no_time_has_no_rows() -> None:
    assert {row.phase for row in repetition(lift_with(), parse_tempo("2-0-1-0"))} == {
        Phase.RAISING,
        Phase.LOWERING,
    }


def test_in_a_pause_the_force_lies_between_raising_and_lowering() -> None:
    rows = repetition(lift_with(replace(POINT, hinge_torque_n_m=3.0)), parse_tempo("2-0-2-1"))
    pause = next(row for row in rows if row.phase is Phase.TOP)
    raised = next(row for row in reversed(rows) if row.phase is Phase.RAISING)
    assert pause.force_n == pytest.approx(raised.force_n - 3.0)
    assert (pause.speed_m_s, pause.acceleration_rad_s2) == (0.0, 0.0)


# Floating


def test_a_slow_stroke_does_not_float() -> None:
    lift = lift_with()
    assert floating(lift, raise_stroke(lift.mechanism, 2.0)) is None
    assert floating(lift, lowering_stroke(lift.mechanism, 2.0)) is None


def test_a_fast_raise_floats_near_its_end_and_a_fast_lowering_at_its_start() -> None:
    lift = lift_with()
    up, down = (
        floating(lift, stroke)
        for stroke in (raise_stroke(lift.mechanism, 0.3), lowering_stroke(lift.mechanism, 0.3))
    )
    assert up is not None and down is not None
    assert up.least_n < 0.0 and down.least_n < 0.0
    assert up.least_rad > 0.15 and down.least_rad > 0.15
    assert not up.slack and up.at_rest == ()


def test_the_shortest_time_is_the_closed_form_rounded_up() -> None:
    # So near the level gravity hardly changes: 2.5 D a(s)/T² = 5 g, where a is largest.
    lift = lift_with(station=replace(PRESS, from_rad=-0.001, to_rad=0.001))
    stroke = raise_stroke(lift.mechanism, 0.002)
    exact = math.sqrt(2.5 * 0.002 * 10.0 / math.sqrt(3.0) / (5.0 * G))
    assert shortest_time(stroke, next(slacknesses(lift, stroke))) == pytest.approx(exact, rel=1e-5)
    found = floating(lift, stroke)
    assert found is not None and found.least_time_s is not None
    assert found.least_time_s == 0.1


def test_a_cable_goes_slack_where_a_handle_would_leave_the_hand() -> None:
    lift = lift_with(station=replace(PULLEY, attachments=()))
    found = floating(lift, raise_stroke(lift.mechanism, 0.3))
    assert found is not None and found.slack


def test_a_bar_heavier_than_the_pull_runs_ahead_of_the_hand() -> None:
    heavy = replace(PULLEY, attachments=(Attachment("log", 20.0),))
    lift = lift_with(station=heavy)
    found = floating(lift, raise_stroke(lift.mechanism, 3.0))
    assert found is not None
    assert not found.slack
    assert found.at_rest != ()


OVER = replace(POINT, counterweight=Counterweight(12.0, (-0.5, 0.0)))
TILTED = replace(POINT, com_m=(0.5, 0.2), counterweight=Counterweight(10.0, (-0.5, 0.0)))


def test_an_overbalanced_arm_floats_at_any_tempo() -> None:
    lift = lift_with(OVER)
    found = floating(lift, raise_stroke(lift.mechanism, 30.0))
    assert found is not None
    assert found.least_time_s is None
    (span,) = found.at_rest
    assert (span.from_rad, span.to_rad) == pytest.approx((-0.3, 0.3))
    assert span.least_n == pytest.approx(-1.0 * G, rel=1e-6)
    assert steady_tempo(lift, parse_tempo("5-0-5-0")) is None


def test_part_of_the_range_floats_at_rest_and_its_edge_is_found() -> None:
    # P = 0 and Q = 2 kg m: gravity's torque is -g Q sin of the angle, below zero above the level only.
    lift = lift_with(TILTED, replace(PRESS, from_rad=-0.1))
    (span,) = resting_spans(lift, Way.RAISING)
    assert (span.from_rad, span.to_rad) == pytest.approx((0.0, 0.3), abs=1e-6)
    assert span.least_n == pytest.approx(-2.0 * G * math.sin(0.3), rel=1e-9)
    assert span.least_rad == pytest.approx(0.3, abs=1e-6)


def test_a_rubbing_hinge_holds_a_light_arm_up_when_it_should_come_down() -> None:
    lift = lift_with(replace(POINT, mass_kg=0.5, hinge_torque_n_m=5.0))
    assert resting_spans(lift, Way.RAISING) == ()
    (span,) = resting_spans(lift, Way.LOWERING)
    assert span.least_n == pytest.approx(0.25 * G * math.cos(0.3) - 5.0)


def test_nothing_floats_where_gravity_holds() -> None:
    assert resting_spans(lift_with(), Way.RAISING) == resting_spans(lift_with(), Way.LOWERING) == ()


def test_the_steady_tempo_lengthens_only_the_strokes_that_float() -> None:
    lift = lift_with()
    tempo = steady_tempo(lift, parse_tempo("0.3-1-2-1"))
    assert tempo is not None
    assert (tempo.raising_s, tempo.bottom_s, tempo.top_s) == (2.0, 1.0, 1.0)
    assert 0.3 < tempo.lowering_s < 1.0
    assert floating(lift, lowering_stroke(lift.mechanism, tempo.lowering_s)) is None


def test_a_tempo_in_which_nothing_floats_is_left_alone() -> None:
    tempo = parse_tempo("2-0-2-0")
    assert steady_tempo(lift_with(), tempo) is tempo


# Tension for the rated limit


def test_moving_peaks_bound_the_plates_own_inertia() -> None:
    horn = Horn("tip", "arm", 0.3, (0.8, 0.0))
    machine = machine_with(POINT, PULLEY, horn)
    mechanism = mechanism_of(machine, PULLEY)
    _, per_kg = moving_peaks(mechanism, [horn], 2.0, 1.0)
    _, free = moving_peaks(mechanism, [replace(horn, plates_turn_with_arm=False)], 2.0, 1.0)
    assert max(per_kg)[0] > max(free)[0]
    assert max(per_kg)[0] < max(free)[0] * (1.0 + LARGEST_OWN_KG_M2 / 0.64)


def test_moving_peaks_leave_out_what_hangs_at_the_hand() -> None:
    mechanism = mechanism_of(machine_with(POINT, PULLEY), PULLEY)
    assert moving_peaks(mechanism, [], 0.0, 1.0) == moving_peaks(mechanism, [], 5.0, 1.0)


def test_no_plate_of_a_plates_file_has_more_inertia_than_the_bound() -> None:
    # The largest disc and hole that the file reader accepts: 600 mm and 60 mm.
    assert LARGEST_OWN_KG_M2 >= (0.3**2 + 0.03**2) / 2.0


# The use case


def test_a_station_in_motion_keeps_to_the_rated_limits() -> None:
    gym, tempo = boathouse(), parse_tempo("2-0-2-0")
    moved = station_motion(gym, "row", {"tip": ("20 kg",)}, tempo)
    assert moved.floats == ()
    assert moved.steady == tempo
    assert moved.raising.mean_n > moved.smooth_n > moved.lowering.mean_n
    with pytest.raises(LimitExceeded, match=r"must not exceed"):
        station_motion(gym, "row", {"tip": ("20 kg",) * 5}, tempo)


def test_a_cable_is_held_to_its_rating_at_the_tempo_asked_for() -> None:
    gym = boathouse()
    names = {"tip": ("20 kg", "20 kg")}
    slow = station_motion(gym, "high-pulley", names, parse_tempo("2-0-2-0"))
    assert slow.tension_n is not None
    drive = slow.station.drive
    assert isinstance(drive, Cable) and drive.rated_n is not None
    assert slow.tension_n < drive.rated_n
    with pytest.raises(LimitExceeded, match=r"cable tension at station high-pulley, tempo 2-0-0\.2-0 would be"):
        station_motion(gym, "high-pulley", names, parse_tempo("2-0-0.2-0"))


@pytest.mark.parametrize(
    ("station", "names", "told"),
    [
        ("rowing", {}, "station 'rowing' is not known; did you mean row?"),
        ("row", {"tipp": ()}, "horn 'tipp' is not known"),
        ("row", {"tip": ("3 kg",)}, "plate '3 kg' is not known"),
        ("row", {"pin": ("20 kg",)}, "horn at station row 'pin' is not known"),
    ],
)
def test_what_is_not_there_is_named(station: str, names: dict[str, tuple[str, ...]], told: str) -> None:
    with pytest.raises(UnknownName) as refused:
        station_motion(boathouse(), station, names, parse_tempo("2-0-2-0"))
    assert told in str(refused.value)


def test_a_station_without_an_arm_has_no_motion_to_reckon() -> None:
    with pytest.raises(OutOfRange, match="station handle is without an arm; it must be a lever or cable station"):
        station_motion(boathouse(), "handle", {}, parse_tempo("2-0-2-0"))
