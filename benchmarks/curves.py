"""How long a resistance curve takes, against a physics engine's inverse statics on the same machines, in one run.

The reference is MuJoCo, given every advantage: its model is compiled once outside the clock, only the forward and
inverse passes at each angle are timed, and its forces are read straight from its arrays. Machines with two wheels
in a row are left out, since the engine needs a search there. Ours counts raising, lowering and travel.

Run with: python benchmarks/curves.py   (needs the reference extra)
"""

from __future__ import annotations

import math
import sys
from dataclasses import replace
from pathlib import Path
from statistics import median
from time import perf_counter
from typing import Any

import mujoco

# The machines and their models are those of the reference tests.
sys.path[:0] = [str(Path(__file__).parents[1] / "tests"), str(Path(__file__).parents[1] / "tests" / "reference")]

from drawn_machines import KINDS, Loaded, loaded_machine  # noqa: E402
from mujoco_machines import mjcf  # noqa: E402

from steelyard.machine.curve import resistance_curve  # noqa: E402
from steelyard.machine.examples import example_names, example_text  # noqa: E402
from steelyard.machine.file import read_machine  # noqa: E402
from steelyard.machine.model import Cable, Machine  # noqa: E402
from steelyard.machine.statics import mechanism_of  # noqa: E402

ANGLES = 181
RUNS = 15
MACHINES_OF_A_KIND = 8
OF_FORCE = 1e-9
"""Compared in the middle of the range, for which the engine's guide sites are set out."""


def best_of(task: Any) -> float:
    """Seconds of the fastest of several runs."""
    times = []
    for _ in range(RUNS):
        start = perf_counter()
        task()
        times.append(perf_counter() - start)
    return min(times)


def engine_forces(model: Any, data: Any, angles: tuple[float, ...]) -> list[float]:
    """Handle force at rest at each angle, by the engine's inverse dynamics. [N]"""
    found = []
    for angle in angles:
        data.qpos[0] = angle
        mujoco.mj_forward(model, data)
        data.qacc[:] = 0.0
        mujoco.mj_inverse(model, data)
        found.append(float(data.qfrc_inverse[0]) / (float(data.qfrc_actuator[0]) or math.inf))
    return found


def ratio_on(loaded: Loaded) -> tuple[float, float, float]:
    """Our time, the engine's, and how far apart the forces are in the middle, as a share. [s], [s]"""
    machine, station, angles = loaded.machine, loaded.station, loaded.mechanism.angles(ANGLES)
    if isinstance(station.drive, Cable):  # what hangs at the hand is no part of the engine's tendon
        station = replace(station, attachments=())
    middle = angles[ANGLES // 2]
    model = mujoco.MjModel.from_xml_string(mjcf(loaded, middle))
    data = mujoco.MjData(model)
    data.ctrl[0] = 1.0
    (ours,) = resistance_curve(machine, station, (middle,), loaded.loads).raising_n
    (theirs,) = engine_forces(model, data, (middle,))
    apart = abs(ours / theirs - 1.0)
    our_s = best_of(lambda: resistance_curve(machine, station, angles, loaded.loads))
    return our_s, best_of(lambda: engine_forces(model, data, angles)), apart


def all_stations(machine: Machine) -> tuple[int, float]:
    """How many lever and cable stations a machine has, and the time of all their curves together. [s]"""
    stations = [station for station in machine.stations.values() if station.arm is not None]
    ranges = [mechanism_of(machine, station).angles(ANGLES) for station in stations]

    def draw() -> None:
        for station, angles in zip(stations, ranges, strict=True):
            loads = {horn.name: (20.0, 0.5) for horn in machine.horns_of(station)}
            resistance_curve(machine, station, angles, loads)

    return len(stations), best_of(draw)


def main() -> None:
    """One line for each shipped machine, then one for each kind of drive against the engine."""
    for name in example_names():
        count, seconds = all_stations(read_machine(example_text(name), name))
        print(
            f"{name:12} {count:2} stations, {ANGLES} angles each, raising and lowering: {seconds * 1000:5.2f} ms"
        )
    print()
    for kind in (kind for kind in KINDS if kind != "two_to_one_two_wheels"):
        rows = [ratio_on(loaded_machine(kind, number)) for number in range(MACHINES_OF_A_KIND)]
        our_s, their_s = (median(row[part] for row in rows) for part in (0, 1))
        agree = (
            "agree" if max(row[2] for row in rows) < OF_FORCE else f"DIFFER by {max(row[2] for row in rows):.1e}"
        )
        print(
            f"{kind:26} {ANGLES} angles: ours {our_s * 1e6:6.0f} us, engine {their_s * 1e6:6.0f} us, "
            f"ratio {their_s / our_s:5.1f}, {agree}"
        )


if __name__ == "__main__":
    main()
