"""Laws of mechanics that every machine keeps in motion, whatever its geometry."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from machines_at_random import machines, mirrored
from steelyard.machine.curve import resistance_curve
from steelyard.machine.felt import felt_law, hung_kg, peak_forces
from steelyard.machine.floating import AFLOAT_N, floating, resting_spans, shortest_time, slacknesses
from steelyard.machine.inertia import Disc, disc_loads
from steelyard.machine.model import Cable, FeltLaw, Machine, Station
from steelyard.machine.motion import (
    PATH_SHARES,
    Stroke,
    lowering_stroke,
    moving_peaks,
    path_of,
    raise_stroke,
    ratio_slopes,
)
from steelyard.machine.statics import Way, handle_ratio, mechanism_of, potential_energy, sweep
from steelyard.machine.strokes import LoadedLift, course_of, loaded_lift, stroke_figures, stroke_work
from steelyard.units import STANDARD_GRAVITY

Stacks = dict[str, tuple[Disc, ...]]
SHARES = tuple(step / 40 for step in range(41))

discs = st.builds(Disc, st.floats(0.5, 25.0), st.floats(0.05, 0.3), st.floats(0.0, 0.03), st.floats(0.01, 0.06))
times = st.floats(0.4, 4.0)


def only(machine: Machine) -> Station:
    return machine.stations["only"]


def stacks_on(machine: Machine) -> st.SearchStrategy[Stacks]:
    return st.fixed_dictionaries({name: st.lists(discs, max_size=4).map(tuple) for name in machine.horns})


def lift_of(machine: Machine, stacks: Stacks, *, one_arm: bool = False) -> LoadedLift:
    return loaded_lift(machine, only(machine), stacks, one_arm=one_arm)


def both_ways(lift: LoadedLift, time_s: float) -> tuple[Stroke, Stroke]:
    return raise_stroke(lift.mechanism, time_s), lowering_stroke(lift.mechanism, time_s)


def felt_by_law(law: FeltLaw, stacks: Stacks) -> float:
    plates = disc_loads(stacks)
    parts = [
        share.sides * (share.per_kg * plates[share.horn.name][0] + share.per_kg_m * plates[share.horn.name][1])
        for share in law.shares
    ]
    return law.base_kg + math.fsum(parts)


def has_arm_wheel_friction(machine: Machine) -> bool:
    drive = only(machine).drive
    return isinstance(drive, Cable) and drive.dead_end is not None and drive.efficiency < 1.0


@given(machines(), st.data(), times, st.booleans())
def test_work_of_a_stroke_is_the_felt_law_s_whatever_its_time(
    machine: Machine, data: st.DataObject, time_s: float, one_arm: bool
) -> None:
    # A rubbing wheel on the arm costs a share that changes along the way, also of what inertia asks for.
    assume(not has_arm_wheel_friction(machine))
    stacks = data.draw(stacks_on(machine))
    law, lift = felt_law(machine, only(machine), one_arm=one_arm), lift_of(machine, stacks, one_arm=one_arm)
    for one, stroke in zip((law, law.lowering or law), both_ways(lift, time_s), strict=True):
        work = STANDARD_GRAVITY * felt_by_law(one, stacks) * law.stroke_m
        assert stroke_work(lift, stroke) == pytest.approx(work, rel=1e-10, abs=1e-9)


@given(machines(), st.data(), times)
def test_with_a_rubbing_wheel_on_the_arm_the_work_is_the_law_s_in_a_slow_stroke(
    machine: Machine, data: st.DataObject, time_s: float
) -> None:
    stacks = data.draw(stacks_on(machine))
    law, lift = felt_law(machine, only(machine)), lift_of(machine, stacks)
    work = STANDARD_GRAVITY * felt_by_law(law, stacks) * law.stroke_m
    assert stroke_work(lift, raise_stroke(lift.mechanism, 1e4)) == pytest.approx(work, rel=1e-8)
    assert stroke_work(lift, raise_stroke(lift.mechanism, time_s)) == pytest.approx(work, rel=0.02, abs=0.5)


@given(machines(), st.data(), times)
def test_a_frictionless_raise_takes_the_potential_energy(
    machine: Machine, data: st.DataObject, time_s: float
) -> None:
    lift = lift_of(machine, data.draw(stacks_on(machine)))
    mechanism = lift.mechanism
    smooth = replace(raise_stroke(mechanism, time_s), way=Way.FRICTIONLESS)
    ends = (mechanism.to_rad, mechanism.from_rad)
    top, bottom = (potential_energy(lift.moment_kg_m, angle) for angle in ends)
    hung = STANDARD_GRAVITY * hung_kg(mechanism, lift.hanging_kg) * lift.stroke_m
    assert stroke_work(lift, smooth) == pytest.approx(lift.hands * (top - bottom + hung), rel=1e-10, abs=1e-9)


@given(machines(), st.data(), times)
def test_force_in_motion_is_affine_in_the_plates(machine: Machine, data: st.DataObject, time_s: float) -> None:
    one, other = data.draw(stacks_on(machine)), data.draw(stacks_on(machine))
    # Two stacks of no thickness side by side are one stack.
    one, other = (
        {name: tuple(replace(disc, thickness_m=0.0) for disc in discs) for name, discs in stacks.items()}
        for stacks in (one, other)
    )
    both = {name: one[name] + other[name] for name in one}
    lifts = [lift_of(machine, stacks) for stacks in (both, {}, one, other)]
    found = [course_of(lift, raise_stroke(lift.mechanism, time_s), SHARES).force_n for lift in lifts]
    for sum_, none, first, second in zip(*found, strict=True):
        assert sum_ + none == pytest.approx(first + second, rel=1e-9, abs=1e-9)


@given(machines(), st.data(), times)
def test_a_mirrored_machine_moves_the_same(machine: Machine, data: st.DataObject, time_s: float) -> None:
    stacks, twin = data.draw(stacks_on(machine)), mirrored(machine)
    ours, theirs = lift_of(machine, stacks), lift_of(twin, stacks)
    for stroke, other in zip(both_ways(ours, time_s), both_ways(theirs, time_s), strict=True):
        course, seen = course_of(ours, stroke, SHARES), course_of(theirs, other, SHARES)
        assert seen.force_n == pytest.approx(course.force_n, rel=1e-9, abs=1e-8)
        assert seen.speeds_m_s == pytest.approx(course.speeds_m_s, rel=1e-9, abs=1e-12)


@given(machines(), st.data())
def test_slow_strokes_tend_to_statics(machine: Machine, data: st.DataObject) -> None:
    stacks = data.draw(stacks_on(machine))
    lift = lift_of(machine, stacks)
    up, down = (course_of(lift, stroke, SHARES) for stroke in both_ways(lift, 1e6))
    curve = resistance_curve(machine, only(machine), up.path.swept.angles_rad, disc_loads(stacks))
    assert up.force_n == pytest.approx(curve.raising_n, rel=1e-8, abs=1e-8)
    back = resistance_curve(machine, only(machine), down.path.swept.angles_rad, disc_loads(stacks))
    assert down.force_n == pytest.approx(back.lowering_n, rel=1e-8, abs=1e-8)


@given(machines(), st.data(), times)
def test_inertia_falls_with_the_square_of_the_time(machine: Machine, data: st.DataObject, time_s: float) -> None:
    lift = lift_of(machine, data.draw(stacks_on(machine)))
    quick, slow = (course_of(lift, raise_stroke(lift.mechanism, time), SHARES) for time in (time_s, 2 * time_s))
    for moving, half_as_fast, rest in zip(quick.force_n, slow.force_n, quick.rest_force_n, strict=True):
        assert moving - rest == pytest.approx(4.0 * (half_as_fast - rest), rel=1e-8, abs=1e-8)


@given(machines(), st.floats(0.02, 0.98))
def test_slope_of_the_handle_ratio(machine: Machine, part: float) -> None:
    mechanism = mechanism_of(machine, only(machine))
    assume(isinstance(mechanism.drive, Cable))
    assert isinstance(mechanism.drive, Cable)
    angle = mechanism.from_rad + part * (mechanism.to_rad - mechanism.from_rad)
    slope = (handle_ratio(mechanism, angle + 1e-5) - handle_ratio(mechanism, angle - 1e-5)) / 2e-5
    found = ratio_slopes(sweep(mechanism, (angle,)), mechanism.drive)[0]
    assert found == pytest.approx(slope, rel=1e-5, abs=1e-7)


@given(machines(), st.data(), times)
def test_figures_hold_at_every_moment(machine: Machine, data: st.DataObject, time_s: float) -> None:
    lift = lift_of(machine, data.draw(stacks_on(machine)))
    for stroke in both_ways(lift, time_s):
        figures, course = stroke_figures(lift, stroke), course_of(lift, stroke, SHARES)
        allowed = 1e-9 * max(1.0, abs(figures.peak_n))
        assert figures.peak_n >= max(course.force_n) - allowed
        assert figures.least_n <= min(course.force_n) + allowed
        assert figures.peak_speed_m_s >= max(map(abs, course.speeds_m_s)) - 1e-12


@given(machines(), st.data(), st.floats(0.15, 0.6))
def test_the_shortest_time_avoids_floating_and_five_percent_less_does_not(
    machine: Machine, data: st.DataObject, time_s: float
) -> None:
    lift = lift_of(machine, data.draw(stacks_on(machine)))
    for stroke in both_ways(lift, time_s):
        if resting_spans(lift, stroke.way) or floating(lift, stroke) is None:
            continue
        needed = max(shortest_time(stroke, kind) for kind in slacknesses(lift, stroke))
        assert needed > time_s
        assert floating(lift, replace(stroke, duration_s=needed * (1 + 1e-6))) is None
        assert floating(lift, replace(stroke, duration_s=0.95 * needed)) is not None


@given(machines(), st.data(), st.floats(0.15, 0.6))
def test_the_time_told_avoids_floating(machine: Machine, data: st.DataObject, time_s: float) -> None:
    lift = lift_of(machine, data.draw(stacks_on(machine)))
    for stroke in both_ways(lift, time_s):
        found = floating(lift, stroke)
        if found is not None and found.least_time_s is not None:
            assert round(10 * found.least_time_s, 6).is_integer()
            assert floating(lift, replace(stroke, duration_s=found.least_time_s)) is None


@given(machines(), st.data())
def test_spans_afloat_at_rest_are_where_the_resting_force_is_below_zero(
    machine: Machine, data: st.DataObject
) -> None:
    # A load on the other side of the hinge: the heavier it is, the more of the range floats.
    weight_kg = data.draw(st.floats(0.0, 60.0))
    arm = machine.arms["main"]
    heavy = replace(arm, mass_kg=weight_kg, com_m=(-arm.com_m[0], arm.com_m[1]))
    lift = lift_of(replace(machine, arms={"main": heavy}), data.draw(stacks_on(machine)))
    course = course_of(lift, raise_stroke(lift.mechanism, 1e9), SHARES)
    spans = resting_spans(lift, Way.RAISING)
    columns = zip(course.path.swept.angles_rad, course.rest_tension_n, course.rest_force_n, strict=True)
    for angle, tension, force in columns:
        inside = any(span.from_rad - 1e-9 <= angle <= span.to_rad + 1e-9 for span in spans)
        least = min(tension, force / lift.hands)
        assert inside or least >= AFLOAT_N
        assert not inside or least <= 1e-6


@given(machines(), st.data(), st.floats(0.5, 3.0))
def test_moving_peaks_hold_for_every_stack(machine: Machine, data: st.DataObject, time_s: float) -> None:
    station = replace(only(machine), attachments=())
    fitting = {
        name: data.draw(st.lists(discs, max_size=3).map(tuple)) if horn.length_m >= 0.18 else ()
        for name, horn in machine.horns.items()
    }
    base, per_kg = moving_peaks(mechanism_of(machine, station), machine.horns_of(station), 0.0, time_s)
    masses = [disc_loads(fitting)[name][0] for name in machine.horns]
    lift = loaded_lift(machine, station, fitting, one_arm=True)
    stroke = raise_stroke(lift.mechanism, time_s)
    told = [b + math.fsum(map(float.__mul__, row, masses)) for b, row in zip(base, per_kg, strict=True)]
    for most, met in zip(told, course_of(lift, stroke, PATH_SHARES).force_n, strict=True):
        assert met <= most + 1e-9 * max(1.0, abs(most))
    assert stroke_figures(lift, stroke).peak_n <= max(told) * 1.002 + 1e-9


@given(machines())
def test_moving_peaks_of_a_slow_raise_are_those_at_rest(machine: Machine) -> None:
    mechanism, horns = mechanism_of(machine, only(machine)), machine.horns_of(only(machine))
    still, moving = peak_forces(mechanism, horns, 1.0), moving_peaks(mechanism, horns, 1.0, 1e6)
    assert max(moving[0]) == pytest.approx(max(still[0]), rel=1e-2)
    assert (moving[0][0], moving[0][-1]) == pytest.approx((still[0][0], still[0][-1]), rel=1e-9)
    assert moving[1][-1] == pytest.approx(still[1][-1], rel=1e-9)


@given(machines(), times)
def test_a_stroke_s_speed_adds_up_to_its_way(machine: Machine, time_s: float) -> None:
    mechanism = mechanism_of(machine, only(machine))
    steps = [(step + 0.5) / 400 for step in range(400)]
    path = path_of(mechanism, raise_stroke(mechanism, time_s), steps)
    turned = math.fsum(path.speeds_rad_s) * time_s / 400
    assert turned == pytest.approx(mechanism.to_rad - mechanism.from_rad, rel=1e-6)
