"""Readings that can't be right: which ones, and what probably went wrong.

Each reading is predicted from all the others. The worst one leaves, everything is fitted again, and so on until
what is left agrees; then whatever agrees with that after all comes back. So one wrong reading can't hide itself by
pulling the fit or widening the scatter, and can't make its neighbours look wrong.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from steelyard.machine.bench import Bench, expected, with_loads
from steelyard.machine.calibration import TWO_SIDED_95
from steelyard.machine.reading import Creep, Reading
from steelyard.machine.solve import EXPECTED, NOISE_WORTH, Solution, noise_found, solve
from steelyard.units import KG_PER_LB

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[Any]

LIMIT_SD, LIMIT_SHARE = 3.5, 0.08
"""A reading can't be right if it is further from what the others expect than so many standard deviations, and than
this share of it: nearer, it may be a careless pull, which the intervals allow for."""
MOST_SHARE = 0.34
"""No more than this share of the readings is called wrong: beyond it, it is the description that must be."""
OPPOSITE = {Creep.UP: Creep.DOWN, Creep.DOWN: Creep.UP}
CLOSE = 0.04
"""A slip explains a reading if it brings it this close to what is expected."""
CALMING_ROUNDS, CALM_SD = 7, 1.5
"""How often readings are weighed anew, and the departure from which on they count much less."""
MIDDLE_SQUARE = 0.4549
"""The median square of a standard normal departure."""


@dataclass(frozen=True, slots=True)
class Suspect:
    """A reading that can't be right, what the others expect in its place with 95 %, and the likely reason."""

    reading: Reading
    expected_kg: float
    low_kg: float
    high_kg: float
    likely: str


def sound_fit(bench: Bench) -> Solution:
    """Best estimates from the readings that can be right; `used` says which."""
    import numpy as np

    used = np.ones(len(bench.readings), dtype=bool)
    solution = solve(bench, used, bench.prior, EXPECTED, rough=True)
    most = math.floor(MOST_SHARE * len(used))
    if beyond_limit(bench, solution, 1.0).any():
        used, solution = agreeing(bench, solution, most)
    while (~used).sum() < most:
        beyond = beyond_limit(bench, solution, noise_typical(bench, solution)) * used
        if not beyond.any():
            break
        used = used & (np.arange(len(used)) != beyond.argmax())
        solution = solve(bench, used, solution.x, EXPECTED)
    back = used | (beyond_limit(bench, solution, noise_typical(bench, solution)) == 0.0)
    for _ in range(2):
        solution = solve(bench, back, solution.x, noise_found(bench, solution))
    return solution


def agreeing(bench: Bench, solution: Solution, most: int) -> tuple[Array, Solution]:
    """Which readings agree with most others, where several may be wrong together; at most so many are not.

    Readings far off count ever less sharply (Cauchy weights), so that wrong ones lose their pull on the fit.
    """
    import numpy as np

    every, slack = solution.used, np.ones(len(bench.readings))
    for _ in range(CALMING_ROUNDS):
        departure = np.abs(bench.shown_kg - solution.expected_kg) / (solution.sd_kg / slack)
        slack = np.sqrt(1.0 + (departure / CALM_SD) ** 2)
        solution = solve(bench, every, solution.x, EXPECTED, slack=slack, rough=True)
    departure = np.abs(bench.shown_kg - solution.expected_kg) / (solution.sd_kg / slack)
    share = np.abs(bench.shown_kg / solution.expected_kg - 1.0)
    limit = max(LIMIT_SD, 3.0 * float(np.median(departure)))
    far = np.where((departure > limit) & (share > LIMIT_SHARE), departure, 0.0)
    worst = np.argsort(far)[::-1][:most]
    used = np.ones(len(far), dtype=bool)
    used[worst[far[worst] > 0.0]] = False
    return used, solve(bench, used, solution.x, EXPECTED)


def beyond_limit(bench: Bench, solution: Solution, noise: float) -> Array:
    """How far each reading is from what the others expect, in standard deviations; 0 where it may be right."""
    import numpy as np

    misfit = np.abs(bench.shown_kg - solution.expected_kg)
    # A reading that was used has pulled the fit its way; left out, it would be off by 1 / (1 - doubt) as much.
    kept = np.where(solution.used, 1.0 - np.minimum(solution.doubt, 1.0 - 1e-9), 1.0)
    unsure = np.where(solution.used, kept, 1.0 + solution.doubt)
    departure = misfit / solution.sd_kg / np.sqrt(unsure) / noise
    share = misfit / kept / np.abs(solution.expected_kg)
    return np.where((departure > LIMIT_SD) & (share > LIMIT_SHARE), departure, 0.0)


def noise_typical(bench: Bench, solution: Solution) -> float:
    """The scatter found over the one expected, from the middle departure, which no wrong one moves; at least 1.

    Less would come from heavy readings, and make light ones, whose scatter is fixed, look wrong.
    """
    import numpy as np

    squares = ((bench.shown_kg - solution.expected_kg) / solution.sd_kg) ** 2 / (1.0 - solution.doubt)
    count = int(solution.used.sum())
    typical = float(np.median(squares[solution.used])) / MIDDLE_SQUARE
    return math.sqrt(max(1.0, (NOISE_WORTH + count * typical) / (NOISE_WORTH + count)))


def suspects_of(bench: Bench, solution: Solution) -> tuple[Suspect, ...]:
    """The readings that the solution leaves out, each with what is expected in its place and the likely reason."""
    other_way = {creep: expected(bench, solution.x, creep=creep) for creep in (Creep.UP, Creep.DOWN)}
    found = []
    for row, reading in enumerate(bench.readings):
        if solution.used[row]:
            continue
        best = float(solution.expected_kg[row])
        half = TWO_SIDED_95 * float(solution.sd_kg[row] * (1.0 + solution.doubt[row]) ** 0.5)
        swapped = float(other_way[OPPOSITE[reading.creep]][row]) if reading.creep in OPPOSITE else None
        likely = likely_reason(bench, solution, row, half, swapped)
        found.append(Suspect(reading, best, best - half, best + half, likely))
    return tuple(found)


def likely_reason(bench: Bench, solution: Solution, row: int, half_kg: float, swapped_kg: float | None) -> str:
    """What probably went wrong with a reading: the first slip that would bring it to what it should be.

    half_kg: half the width of what is expected, 95 %. swapped_kg: what is expected of the other creep. [kg]
    """
    reading, best = bench.readings[row], float(solution.expected_kg[row])
    shown, near = reading.scale_kg, max(half_kg, CLOSE * abs(best))
    in_lb, in_kg = shown * float(KG_PER_LB), shown / float(KG_PER_LB)
    if abs(in_lb - best) <= near:
        return f"{shown:.1f} lb is {in_lb:.1f} kg: typed in lb?"
    if abs(in_kg - best) <= near:
        return f"{shown:.1f} kg is {in_kg:.1f} lb: was it {in_kg:.1f} kg, typed as lb?"
    if swapped_kg is not None and abs(shown - swapped_kg) <= near:
        return f"creeping {OPPOSITE[reading.creep]} it would show {swapped_kg:.1f} kg: up and down swapped?"
    other = other_loading(bench, solution, row, near)
    return other or f"the others expect {best:.1f} kg: read or typed wrongly, or the arm stuck?"


def other_loading(bench: Bench, solution: Solution, row: int, near_kg: float) -> str:
    """Words for a reading that fits another loading read at its station; empty if there is none."""
    reading = bench.readings[row]
    seen = [{}, *(one.loads for one in bench.readings if one.station == reading.station)]
    others = [loads for place, loads in enumerate(seen) if loads != reading.loads and loads not in seen[:place]]
    for loads in others if not reading.is_check else ():
        would_kg = float(expected(with_loads(bench, row, loads), solution.x)[row])
        if abs(would_kg - reading.scale_kg) <= near_kg:
            return f"{on_horns_words(loads)} would show {would_kg:.1f} kg: plates not as written down?"
    return ""


def on_horns_words(loads: Mapping[str, tuple[float, float]]) -> str:
    """What is on the horns, in words. [kg], [kg m]"""
    on = ", ".join(f"{mass_kg:.1f} kg on {name}" for name, (mass_kg, _) in loads.items() if mass_kg)
    return on or "the empty arm"
