"""Print what calibration reaches on machines drawn at random: the tables of docs/model-calibration.md.

Run from the root of the repository, with the test extra installed:

    python builders/calibration_study.py [MACHINES] [WORKERS]

Every machine has a seed of its own, its number, so that any line can be looked into again.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path
from random import Random
from statistics import fmean, median

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

from simulated_scales import (
    LOADS_KG,
    SLIPS,
    Case,
    Stop,
    World,
    drawn_case,
    judged,
    protocol,
    readings_of,
    two_stops,
    with_slip,
)
from steelyard.machine.fit import fit_readings
from steelyard.machine.reading import Creep

WORLDS = {
    "as the facts have it": World(),
    "nobody pulls off the way": World(off_axis_rad=0.0),
    "angle errors belong to the stop": World(per_stop=True),
    "scale scatters by 0.15 kg and 1 %": World(scale_share=0.01),
}
SLIP_WORLDS = ("as the facts have it", "angle errors belong to the stop")
READINGS = {"60 readings": 3, "20 readings": 1}
Line = dict[str, list[float]]


def stops_of(case: Case, kind: str) -> list[Stop]:
    """The readings of a row of the tables."""
    if kind in READINGS:
        return protocol(case, repeats=READINGS[kind])
    return two_stops(case, Creep.HELD if kind == "2 held" else Creep.UP)


def coverage_line(seed: int, kind: str, world: World) -> Line:
    """One machine: whether intervals hold the truth, and how far off estimates are."""
    random = Random(seed)
    case = drawn_case(random, world)
    outcome = judged(case, readings_of(random, case, stops_of(case, kind), world), world)
    line = {f"{load:.0f} kg": [float(held)] for load, held in zip(LOADS_KG, outcome.held["read"], strict=True)}
    others = [held for name, helds in outcome.held.items() if name != "read" for held in helds]
    off, half = outcome.off["read"], outcome.half["read"]
    return line | {"others": [float(held) for held in others], "off": off, "half": half}


def slips_line(seed: int, kind: str, world: World) -> Line:
    """One machine: whether a slip is found and nothing else is, slip by slip, and what is found without one."""
    random = Random(seed)
    case = drawn_case(random, world)
    readings = readings_of(random, case, stops_of(case, kind), world)
    row = random.randrange(len(readings))
    line = {"false": [float(bool(fit_readings(case.described, readings).suspects))]}
    for slip in SLIPS:
        suspects = fit_readings(case.described, with_slip(readings, row, slip)).suspects
        ids = {suspect.reading.id for suspect in suspects}
        line[slip] = [float(readings[row].id in ids)]
    return line


def gathered(pool: ProcessPoolExecutor, work: partial[Line], count: int) -> Line:
    """The lines of all machines as columns."""
    columns: Line = {}
    for line in pool.map(work, range(count), chunksize=10):
        for name, values in line.items():
            columns.setdefault(name, []).extend(values)
    return columns


def coverage_rows(pool: ProcessPoolExecutor, count: int) -> Iterator[str]:
    """How often 95 % intervals hold the truth."""
    yield "| readings | world | empty | 20 kg | 40 kg | 60 kg | other stations | median error | half width |"
    yield "|---|---|---|---|---|---|---|---|---|"
    for kind in (*READINGS, "2 creeping up", "2 held"):
        for name, world in WORLDS.items():
            columns = gathered(pool, partial(coverage_line, kind=kind, world=world), count)
            shares = [f"{fmean(columns[f'{load:.0f} kg']):.1%}" for load in LOADS_KG]
            rest = f"{fmean(columns['others']):.1%} | {median(columns['off']):.2%} | {median(columns['half']):.1%}"
            yield f"| {kind} | {name} | {' | '.join(shares)} | {rest} |"


def slips_rows(pool: ProcessPoolExecutor, count: int) -> Iterator[str]:
    """How often a wrong reading is found."""
    yield f"| readings | world | {' | '.join(SLIPS)} | nothing wrong, flagged |"
    yield "|---|---|---|---|---|---|---|"
    for kind in READINGS:
        for name in SLIP_WORLDS:
            columns = gathered(pool, partial(slips_line, kind=kind, world=WORLDS[name]), count)
            shares = [f"{fmean(columns[slip]):.1%}" for slip in (*SLIPS, "false")]
            yield f"| {kind} | {name} | {' | '.join(shares)} |"


def main() -> None:
    """Print both tables."""
    count, workers = (int(text) for text in (sys.argv[1:] + ["1000", "2"][len(sys.argv) - 1 :]))
    with ProcessPoolExecutor(workers) as pool:
        for rows in (coverage_rows, slips_rows):
            for row in rows(pool, count):
                print(row, flush=True)
            print()


if __name__ == "__main__":
    main()
