"""Which of several equal stacks to build: few moves, a warm-up that only adds, a drop that only strips.

A later optimiser will weigh a whole session at once; this one looks at one set, with the same currency: seconds.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from steelyard.machine.model import Machine
from steelyard.plates.loading import felt_kg, strips
from steelyard.plates.model import Loading
from steelyard.plates.moves import move_seconds, moves
from steelyard.training.gym import StationLoads
from steelyard.training.rules import DROP_SHARE, warm_up_steps

TOO_NEAR = 0.9
"""A warm-up step at or above this share of the work load warms nothing; it is left out."""
RAMP_PRICE_S = 150.0
"""Seconds of plate work that a warm-up step is worth being nearer by the whole work load (a choice)."""
DROP_PRICE_S = 2000.0
"""The same for a drop, per share of the load dropped from: once begun it can't be mended (a choice)."""
ABOUT = 0.05
"""Within so much of a third a drop is about a third; nobody need move plates for less (a choice)."""


@dataclass(frozen=True, slots=True)
class WarmUp:
    """One step of the ramp: its loading, felt load [kg], reps, and the share of the work load it aimed at."""

    loading: Loading
    felt_kg: float
    reps: int
    aim: float


def ramp(machine: Machine, loads: StationLoads, work: Loading, reps_high: int) -> tuple[WarmUp, ...]:
    """The warm-up before a work set: every step is the inner part of the next, so plates are only added.

    Steps that the empty station already exceeds are left out, and so is a step that lands on the same loading as
    the one before it.
    """
    work_kg = felt_kg(loads.law, work)
    usable = [each for each in strips(machine, loads.law, work) if each.felt_kg < TOO_NEAR * work_kg]
    found: list[WarmUp] = []
    for share, reps in warm_up_steps(reps_high):
        aim_kg = share * work_kg
        inner = {each.felt_kg: each.loading for each in usable}
        if not inner or loads.ladder[0].felt_kg > aim_kg:
            continue
        kg = _nearest(tuple(inner), aim_kg)
        found.append(WarmUp(inner[kg], kg, reps, share))
        usable = [each for each in usable if each.felt_kg > kg and _contains(each.loading, inner[kg])]
    return tuple(found)


def _contains(loading: Loading, inner: Loading) -> bool:
    """Whether a strip of a stack holds all that another strip of it does, so that the way to it only adds."""
    return all(len(loading.get(horn, ())) >= len(stack) for horn, stack in inner.items())


def _nearest(loads_kg: Sequence[float], aim_kg: float) -> float:
    """The load nearest to an aim, the lighter of two as near. [kg]"""
    return min(loads_kg, key=lambda kg: (round(abs(kg - aim_kg), 3), kg))


def drop_to(machine: Machine, loads: StationLoads, work: Loading) -> Loading:
    """What a drop set strips to: the inner part of the stack whose felt load is nearest to a third less.

    About a third off is common practice. The whole stack comes back if it is empty.
    """
    work_kg = felt_kg(loads.law, work)
    lighter = {
        strip.felt_kg: strip.loading for strip in strips(machine, loads.law, work) if strip.felt_kg < work_kg
    }
    return lighter[_nearest(tuple(lighter), (1 - DROP_SHARE) * work_kg)] if lighter else work


def build_cost(
    before: Loading, machine: Machine, loads: StationLoads, *, ramp_reps: int | None = None, drops: int = 0
) -> Callable[[Loading], float]:
    """What a build costs, as a function of it: plate work, plus what its ramp and its drops miss. [s]

    ramp_reps: top of the rep range if a warm-up leads to this set, else None.
    drops:     how many drops follow.
    """

    def cost(build: Loading) -> float:
        seconds = move_seconds(moves(before, build, machine.horns))
        if ramp_reps is not None:
            seconds += RAMP_PRICE_S * _ramp_miss(machine, loads, build, ramp_reps)
        return round(seconds + DROP_PRICE_S * _drop_miss(machine, loads, build, drops), 3)

    return cost


def _ramp_miss(machine: Machine, loads: StationLoads, work: Loading, reps_high: int) -> float:
    """How far the ramp lies from where it aims, in shares of the work load; a step left out misses by a half."""
    work_kg = felt_kg(loads.law, work)
    steps = ramp(machine, loads, work, reps_high)
    missing = len(warm_up_steps(reps_high)) - len(steps)
    return sum(abs(step.felt_kg / work_kg - step.aim) for step in steps) + 0.5 * missing


def _drop_miss(machine: Machine, loads: StationLoads, work: Loading, drops: int) -> float:
    """How far each drop lies from about a third off, in shares of the load it drops from."""
    missed = 0.0
    for _ in range(drops):
        lower = drop_to(machine, loads, work)
        off = 1 - felt_kg(loads.law, lower) / felt_kg(loads.law, work)
        missed += max(0.0, abs(off - DROP_SHARE) - ABOUT)
        work = lower
    return missed
