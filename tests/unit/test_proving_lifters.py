"""The shipped lifters: as strong, tireless and fallible as published people, and the same ones every time."""

from __future__ import annotations

import math
from random import Random
from statistics import fmean, pstdev

import pytest

from steelyard.proving.compartments import CONTROLLERS, GROUP_OF, Kinetics, Pool, endurance_s, worked
from steelyard.proving.lifters import Luck, SimulatedLifter, lifter, mistyped, stimulus
from steelyard.proving.people import RATIOS, SESSIONS, person, trained
from steelyard.proving.protocol import Answer, Ask
from steelyard.training.exercises import MUSCLES, exercises

PEOPLE = range(600)


def ask(exercise: str, felt_kg: float, rest_s: float | None = None, *, day: float = 0.0, rir: int = 0) -> Ask:
    return Ask(exercise, day, felt_kg, rest_s, 10, 12, rir, "straight")


def sets_to_failure(who: SimulatedLifter, exercise: str, reps: int, rest_s: float, most: int) -> list[int]:
    """Three sets with the load for so many reps, each ended at most reps."""
    felt_kg = who.load_for(exercise, 0.0, reps + 0.5)
    asked = [Ask(exercise, 0.0, felt_kg, rest, 1, most, 0, "test") for rest in (None, rest_s, rest_s)]
    return [who.do(each).reps for each in asked]


def mean_total(sex: str, exercise: str, rest_s: float, *, most: int) -> float:
    """Mean reps of three sets, of those for whom the load was their 10RM on that day, as it was in the studies."""
    people = [who for who in map(lifter, PEOPLE) if who.person.sex == sex]
    rows = [sets_to_failure(who, exercise, 10, rest_s, most) for who in people]
    return fmean(sum(row) for row in rows if row[0] in (10, 11) and max(row) < 30)


@pytest.mark.parametrize(
    ("sex", "rest_s", "total"),
    [
        ("man", 60, 18.2),
        ("man", 120, 21.4),
        ("man", 180, 23.9),
        ("man", 60, 18.0),
        ("man", 180, 23.5),
        ("woman", 60, 23.3),
        ("woman", 120, 27.1),
        ("woman", 180, 28.7),
    ],
)
def test_three_sets_of_ten_on_the_bench_come_to_published_totals(sex: str, rest_s: float, total: float) -> None:
    """Bench press, 10RM, at most ten reps a set (all read). Men, n = 17: Faigenbaum and others 2008, doi
    10.1123/pes.20.4.457. Men, n = 21, and women, n = 16: Ratamess and others 2010, doi
    10.1097/01.JSC.0000367200.49548.b1."""
    assert mean_total(sex, "chest_press_lever", rest_s, most=10) == pytest.approx(total, abs=1.5)


@pytest.mark.parametrize(("rest_s", "total"), [(120, 23.7), (300, 27.9)])
def test_three_sets_to_failure_come_to_published_totals(rest_s: float, total: float) -> None:
    """Three upper-body exercises, 10RM, per exercise: Senna and others 2009, J Sports Sci Med 8:197-202 (read)."""
    assert mean_total("man", "chest_press_lever", rest_s, most=99) == pytest.approx(total, abs=1.5)


@pytest.mark.parametrize(("rest_s", "second", "third"), [(60, 0.519, 0.444), (180, 0.745, 0.681)])
def test_knee_extensions_keep_published_shares(rest_s: float, second: float, third: float) -> None:
    """80 % of the maximum to failure, n = 9, both sexes: scielo S1517-86922007000500002 (read); their shares have
    standard deviations of 0.10 to 0.18 between people."""
    rows = [sets_to_failure(who, "leg_extension", 10, rest_s, 99) for who in map(lifter, PEOPLE)]
    sums = [sum(column) for column in zip(*(row for row in rows if max(row) < 30), strict=True)]
    assert sums[1] / sums[0] == pytest.approx(second, abs=0.10)
    assert sums[2] / sums[0] == pytest.approx(third, abs=0.10)


def test_reps_at_80_percent_spread_as_published() -> None:
    """Pulldown: 9.9 ± 2.5 in men, 10.0 ± 2.4 in women: Johnson 2009, doi 10.1519/JSC.0b013e3181a2d7f5 (read). Our
    spread holds the day's form too; a tested maximum's own error, a part of theirs, and mistyped counts are
    out."""
    counts = [
        who.do(ask("pulldown_front", 0.8 * who.best_kg("pulldown_front", 0.0))).reps for who in map(lifter, PEOPLE)
    ]
    meant = [count for count in counts if 1 < count < 40]
    assert fmean(meant) == pytest.approx(9.95, abs=0.4)
    tested = (
        0.042 * 9.4 / -math.log(0.8)
    )  # Grgic 2020, doi 10.1186/s40798-020-00260-z: 4.2 % of the maximum, in reps
    assert math.hypot(pstdev(meant), tested) == pytest.approx(2.5, abs=0.35)


@pytest.mark.parametrize(
    ("group", "share", "time_s"),
    [
        ("elbow", 0.2, 565.4),
        ("elbow", 0.8, 27.8),
        ("shoulder", 0.5, 57.6),
        ("knee", 0.5, 70.2),
        ("grip", 0.8, 25.7),
    ],
)
def test_endurance_without_a_slow_pool_is_the_published_models(group: str, share: float, time_s: float) -> None:
    """The differential equations of Frey-Law and others 2012, solved step by step elsewhere in this project."""
    pool, kinetics = 0.0, Kinetics(CONTROLLERS[group], 1.0, 300.0)
    rates, step_s, clock_s = CONTROLLERS[group], 0.01, 0.0
    while 1 - pool >= share:
        pool += step_s * (rates.fatigue * share - rates.recovery * pool)
        clock_s += step_s
    assert endurance_s(kinetics, share) == pytest.approx(time_s, abs=0.06)
    assert clock_s == pytest.approx(time_s, rel=0.002)


def test_a_light_enough_load_is_held_for_ever() -> None:
    assert endurance_s(Kinetics(CONTROLLERS["elbow"], 1.0, 300.0), 0.09) == math.inf


@pytest.mark.parametrize("share", [0.1, 0.3, 0.6, 0.9, 0.99])
def test_with_a_slow_pool_the_load_fails_when_what_is_left_no_longer_carries_it(share: float) -> None:
    kinetics = Kinetics(CONTROLLERS["shoulder"], 0.5, 250.0)
    step = worked(kinetics, share, endurance_s(kinetics, share))
    assert 1 - step.fast - step.slow == pytest.approx(share, abs=1e-6)


def test_reps_taken_one_by_one_tire_as_much_as_at_once() -> None:
    kinetics = Kinetics(CONTROLLERS["elbow"], 0.5, 250.0)
    step, one, many = worked(kinetics, 0.7, 2.5), Pool(kinetics), Pool(kinetics)
    many.tire(step, 8, 32.0)
    for _ in range(8):
        one.tire(step, 1, 32.0)
    assert one.fast == pytest.approx(many.fast)
    assert one.slow == pytest.approx(many.slow)


def test_every_muscle_and_exercise_used_is_one_of_the_list() -> None:
    assert set(GROUP_OF) <= set(MUSCLES)
    assert {exercise for session in SESSIONS for exercise in session} <= set(RATIOS) & set(exercises())


def test_the_same_number_is_the_same_lifter() -> None:
    first, again = lifter(5), lifter(5)
    asked = [
        ask(name, 15.0, rest, day=day) for day in (0.0, 3.0) for name in first.exercises for rest in (None, 60)
    ]
    assert [first.do(each) for each in asked] == [again.do(each) for each in asked]


def test_another_load_does_not_change_the_luck_of_later_days() -> None:
    light, heavy = lifter(9), lifter(9)
    name = light.exercises[0]
    light.do(ask(name, 5.0))
    heavy.do(ask(name, 500.0))
    later = ask(name, 0.7 * light.best_kg(name, 3.0), day=3.0)
    assert abs(light.do(later).reps - heavy.do(later).reps) <= 1


def test_a_load_far_too_heavy_does_not_move() -> None:
    assert lifter(1).do(ask("curl_cable", 500.0)) == Answer(0, "failure", None)


def test_rows_tire_the_arms_for_curls() -> None:
    fresh, tired = [], []
    for number in range(200):
        rested, rowed = lifter(number), lifter(number)
        felt_kg = rested.load_for("curl_cable", 0.0, 12)
        fresh.append(min(30, rested.do(ask("curl_cable", felt_kg)).reps))
        rowed.do(ask("lever_row_chest", rowed.load_for("lever_row_chest", 0.0, 12)))
        tired.append(min(30, rowed.do(ask("curl_cable", felt_kg, 60.0)).reps))
    assert 0.3 < fmean(fresh) - fmean(tired) < 5


def test_an_exercise_that_shares_no_muscle_leaves_the_other_fresh() -> None:
    who = lifter(2)
    who.do(ask("leg_extension", who.load_for("leg_extension", 0.0, 12)))
    assert all(drive.pool.fast == 0.0 for drive in who.skill("triceps_pushdown").drives)


def test_any_other_word_is_an_exercise_too() -> None:
    assert lifter(3).do(ask("anvil_toss", 1.0)).reps > 12


def test_a_test_set_ends_at_its_top() -> None:
    answer = lifter(4).do(Ask("pulldown_front", -3.0, 5.0, None, 8, 8, 4, "test"))
    assert (answer.reps, answer.rir) == (8, 5)


def test_people_stop_about_where_they_are_asked_to() -> None:
    """Raw error -0.17 ± 1.00 at 1 and 3 left (Refalo and others 2024), 0.95 in favour of more left over twelve
    studies (Halperin and others 2022), both read: ours must lie between."""
    lefts = []
    for number in PEOPLE:
        done, failed = lifter(number), lifter(number)
        felt_kg = done.load_for("pulldown_front", 0.0, 12.5)
        able = failed.do(ask("pulldown_front", felt_kg)).reps
        reps = done.do(ask("pulldown_front", felt_kg, rir=2)).reps
        if 1 < reps <= able < 30:
            lefts.append(able - reps)
    assert -0.17 < fmean(lefts) - 2 < 0.95
    assert 0.7 < pstdev(lefts) < 1.8


def test_training_makes_novices_stronger_than_the_advanced() -> None:
    gains = {}
    for months in (1.0, 100.0):
        people = [who for who in map(lifter, PEOPLE) if months / 4 < who.training_months < 4 * months]
        gains[months] = fmean(gained(who) for who in people[:60])
    assert gains[1.0] > 3 * gains[100.0] > 0


def gained(who: SimulatedLifter, *, share: float = 0.72, weeks: int = 8) -> float:
    """Growth of the pulldown in some weeks of three sets at a share of the maximum, on the log scale."""
    name = "pulldown_front"
    before = who.best_kg(name, 0.0)
    for day in range(0, 7 * weeks, 7):
        for rest_s in (None, 180.0, 180.0):
            who.do(ask(name, share * who.best_kg(name, day), rest_s, day=day, rir=1))
    return math.log(who.best_kg(name, 7.0 * weeks) / before)


def test_loads_too_light_or_too_heavy_gain_less() -> None:
    fair, light, heavy = (
        fmean(gained(lifter(number), share=share) for number in range(40)) for share in (0.72, 0.2, 0.99)
    )
    assert light < fair
    assert heavy < fair


def test_idle_months_cost_strength() -> None:
    who = lifter(8)
    who.do(ask("pulldown_front", 20.0))
    assert who.best_kg("pulldown_front", 120.0) < who.best_kg("pulldown_front", 7.0)


def test_asking_for_the_truth_changes_nothing() -> None:
    asked, left = lifter(6), lifter(6)
    for day in (0.0, 7.0, 30.0):
        asked.best_kg("pulldown_front", day)
    assert asked.do(ask("pulldown_front", 30.0)) == left.do(ask("pulldown_front", 30.0))


@pytest.mark.parametrize(
    ("answer", "which", "written"),
    [
        (Answer(11, "reported", 2), 0.1, Answer(2, "reported", 11)),
        (Answer(11, "reported", 2), 0.6, Answer(111, "reported", 2)),
        (Answer(11, "reported", 2), 0.9, Answer(1, "reported", 2)),
        (Answer(9, "failure", None), 0.1, Answer(99, "failure", None)),
    ],
)
def test_entries_are_mistyped_in_ways_the_protocol_knows(answer: Answer, which: float, written: Answer) -> None:
    assert mistyped(answer, Luck(1.0, 0.0, 0.5, 0.001, which)) == written


def test_most_entries_are_as_meant() -> None:
    meant = Answer(11, "reported", 2)
    assert mistyped(meant, Luck(1.0, 0.0, 0.5, 0.5, 0.1)) is meant


@pytest.mark.parametrize(("reps", "left"), [(10, 8), (2, 0)])
def test_a_poor_set_is_worth_less(reps: int, left: int) -> None:
    assert 0 < stimulus(reps, left) < stimulus(10, 1) == 1.0


def test_pulldowns_of_a_year_are_those_of_college_students() -> None:
    """0.93 ± 0.17 and 0.55 ± 0.11 of body mass: Johnson 2009 (read)."""
    people = [person(Random(number)) for number in range(2000)]
    for sex, share in (("man", 0.93), ("woman", 0.55)):
        shares = [
            who.pulldown_kg / who.body_mass_kg / trained(who.training_months) for who in people if who.sex == sex
        ]
        assert fmean(shares) == pytest.approx(share, rel=0.02)
