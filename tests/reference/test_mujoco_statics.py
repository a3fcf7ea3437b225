"""Statics against a physics engine, on machines drawn anew in every run; see `mujoco_machines` for the source."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from reference.drawn_machines import KINDS, MACHINES_OF_A_KIND, SEED, Loaded, loaded_machine
from reference.mujoco_machines import engine_asks
from steelyard.machine.curve import resistance_curve
from steelyard.machine.felt import hung_kg, loaded_moment
from steelyard.machine.statics import gravity_torque, handle_ratio
from steelyard.units import STANDARD_GRAVITY

ANGLES = 5
OF_PEAK = 1e-9


def engine_statics(loaded: Loaded, angle_rad: float) -> tuple[float, float, float]:
    """Gravity torque, torque of one newton at the handle, and handle force. [N m], [m], [N]"""
    asked = engine_asks(loaded, angle_rad)
    return asked.torque_n_m, asked.ratio_m, asked.force_n


def our_statics(loaded: Loaded, angles: Sequence[float]) -> list[tuple[float, float, float]]:
    """Gravity torque, handle ratio and handle force at each arm angle. [N m], [m], [N]"""
    machine, station, mechanism = loaded.machine, loaded.station, loaded.mechanism
    moment = loaded_moment(mechanism, machine.horns_of(station), loaded.loads, loaded.extra_kg)
    forces = resistance_curve(machine, station, angles, loaded.loads).raising_n
    hung_n = STANDARD_GRAVITY * hung_kg(mechanism, loaded.extra_kg)  # on the hand, and not on the cable
    return [
        (gravity_torque(moment, angle), handle_ratio(mechanism, angle), force - hung_n)
        for angle, force in zip(angles, forces, strict=True)
    ]


@pytest.mark.usefixtures("mujoco")
@pytest.mark.parametrize("number", range(MACHINES_OF_A_KIND))
@pytest.mark.parametrize("kind", KINDS)
def test_torque_ratio_and_force_are_the_engine_s_within_1e_9_of_their_peaks(kind: str, number: int) -> None:
    print(f"STEELYARD_SEED={SEED}")
    loaded = loaded_machine(kind, number)
    angles = loaded.mechanism.angles(ANGLES)
    engine = [engine_statics(loaded, angle) for angle in angles]
    columns = zip(*our_statics(loaded, angles), strict=True), zip(*engine, strict=True)
    for quantity, ours, theirs in zip(("torque", "ratio", "force"), *columns, strict=True):
        assert ours == pytest.approx(theirs, rel=0, abs=OF_PEAK * max(map(abs, theirs))), quantity
