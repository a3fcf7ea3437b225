"""Motion against a physics engine, on machines drawn anew in every run; see `mujoco_machines` for the source.

Each machine is raised and lowered by minimum jerk in a drawn time. At moments of the stroke the engine's inverse
dynamics, told angle, speed and acceleration, give the torque at the hinge from its own inertias, and its actuator
the torque of one newton at the handle. On half of the machines the plates on posts across the plane spin freely:
there the engine has a joint for each, and must find that nothing turns it.

What hangs at the hand of a cable has the acceleration of the cable: G α + (dG/dθ) ω², where dG/dθ is found from
the engine's own ratios at four near angles.
"""

from __future__ import annotations

import math
from random import Random

import pytest

from reference.drawn_machines import KINDS, MACHINES_OF_A_KIND, SEED, Loaded, loaded_machine
from reference.mujoco_machines import Asked, engine_asks
from steelyard.machine.inertia import loaded_inertia
from steelyard.machine.model import Cable
from steelyard.machine.motion import Stroke, lowering_stroke, raise_stroke
from steelyard.machine.strokes import Course, course_of, loaded_lift
from steelyard.units import STANDARD_GRAVITY

SHARES = (0.0, 0.12, 0.21, 0.4, 0.5, 0.7, 0.79, 0.93, 1.0)
OF_PEAK = 1e-9
NEAR_RAD = 2e-3

CASES = pytest.mark.parametrize(
    ("kind", "number"), [(kind, number) for kind in KINDS for number in range(MACHINES_OF_A_KIND)]
)


def drawn_strokes(loaded: Loaded, kind: str, number: int) -> tuple[Stroke, Stroke]:
    rng = Random(f"{SEED} stroke {kind} {number}")
    up, down = rng.uniform(0.4, 2.0), rng.uniform(0.4, 2.0)
    return raise_stroke(loaded.mechanism, up), lowering_stroke(loaded.mechanism, down)


def stroke_of(loaded: Loaded, stroke: Stroke) -> tuple[Course, list[Asked]]:
    """A stroke by our reckoning and by the engine's."""
    lift = loaded_lift(loaded.machine, loaded.station, loaded.stacks)
    course = course_of(lift, stroke, SHARES)
    path = course.path
    moments = zip(path.swept.angles_rad, path.speeds_rad_s, path.accelerations_rad_s2, strict=True)
    return course, [engine_asks(loaded, angle, speed=w, acceleration=a) for angle, w, a in moments]


def ratio_slope(loaded: Loaded, angle_rad: float) -> float:
    """How the engine's ratio changes with the angle: a difference of fourth order. [m/rad²]"""
    near = {step: engine_asks(loaded, angle_rad + step * NEAR_RAD).ratio_m for step in (-2, -1, 1, 2)}
    return (8.0 * (near[1] - near[-1]) - (near[2] - near[-2])) / (12.0 * NEAR_RAD)


@pytest.mark.usefixtures("mujoco")
@CASES
def test_force_in_motion_is_the_engine_s_within_1e_9_of_its_peak(kind: str, number: int) -> None:
    print(f"STEELYARD_SEED={SEED}")
    loaded = loaded_machine(kind, number)
    for stroke in drawn_strokes(loaded, kind, number):
        course, engine = stroke_of(loaded, stroke)
        theirs = [asked.force_n for asked in engine]
        assert course.tension_n == pytest.approx(theirs, rel=0, abs=OF_PEAK * max(map(abs, theirs)))


@pytest.mark.usefixtures("mujoco")
@CASES
def test_inertia_is_the_engine_s_and_nothing_turns_a_free_plate(kind: str, number: int) -> None:
    print(f"STEELYARD_SEED={SEED}")
    loaded = loaded_machine(kind, number)
    horns = loaded.machine.horns_of(loaded.station)
    ours = loaded_inertia(loaded.mechanism, horns, loaded.stacks, loaded.extra_kg)
    angle = loaded.mechanism.from_rad
    moved, still = engine_asks(loaded, angle, speed=1.0, acceleration=1.0), engine_asks(loaded, angle)
    assert moved.torque_n_m - still.torque_n_m == pytest.approx(ours, rel=1e-9)
    assert moved.spun_n_m < 1e-12


@pytest.mark.usefixtures("mujoco")
@pytest.mark.parametrize("kind", sorted(KINDS.keys() - {"across_arm", "fixed_direction"}))
@pytest.mark.parametrize("number", range(4))
def test_what_hangs_at_the_hand_moves_with_the_engine_s_cable(kind: str, number: int) -> None:
    print(f"STEELYARD_SEED={SEED}")
    loaded = loaded_machine(kind, number)
    stroke = drawn_strokes(loaded, kind, number)[0]
    assert isinstance(loaded.station.drive, Cable)
    course, engine = stroke_of(loaded, stroke)
    theirs = []
    for k, asked in enumerate(engine):
        speed, acceleration = course.path.speeds_rad_s[k], course.path.accelerations_rad_s2[k]
        slope = ratio_slope(loaded, course.path.swept.angles_rad[k])
        up = STANDARD_GRAVITY * math.sin(loaded.station.drive.exit_rad)
        moving = asked.ratio_m * acceleration + slope * speed**2
        theirs.append(asked.force_n + loaded.extra_kg * (up + moving))
    assert course.force_n == pytest.approx(theirs, rel=0, abs=OF_PEAK * max(map(abs, theirs)))
