"""The plates of a session as a model for a general constraint solver: OR-tools CP-SAT (package ortools).

Written from docs/model-changeover.md for stations of one rig that begins empty, with horns across the plane. Each
set takes one filling of those allowed, which are enumerated here. How many plates hang through which run of sets,
first to last, is a number for every horn and kind; two runs of one horn may nest or be apart, but not cross, for
plates come off outermost first. A plate costs its handling before the first set of its run and after the last.
Before a strip no run begins. Sets stand one by one, equal ones too; the solver gets no hint and no bound.

Of three formulations tried (places on the stack, precedence of plates, runs that nest) this one proves an
optimum soonest, by ten to a hundred times.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from time import perf_counter

from ortools.sat.python import cp_model

from steelyard.machine.model import FeltLaw, Horn, Machine
from steelyard.plates.grain import EMPTY, felt_grams, grains, microns
from steelyard.plates.limits import breaches, limits_of
from steelyard.plates.model import Inventory, Plate
from steelyard.plates.wishes import Way, Wish

BEYOND_MS_PER_G = 10_000_000
PLATE_MS, KG_MS = 4000, 150
"""Handling as in docs/model-changeover.md: 4 s, and 0.15 s for a kilogram."""

Filling = tuple[tuple[int, ...], ...]
"""For each horn of the rig, plates of each kind."""


@dataclass(frozen=True)
class Solved:
    """What the solver says of a session, in milliseconds of cost.

    least_ms: no plan costs less. found_ms: what its best plan costs, None if it found none; equal once proven.
    seconds:  for building the model and solving it.
    """

    least_ms: int
    found_ms: int | None
    seconds: float

    @property
    def proven(self) -> bool:
        """Whether it proved its plan to be the best."""
        return self.least_ms == self.found_ms


def solve(
    machine: Machine,
    inventory: Inventory,
    wishes: Sequence[Wish],
    *,
    most_s: float = math.inf,
    effort: float = math.inf,
) -> Solved:
    """The least cost of a session, as far as the solver gets.

    most_s: in so much time. [s]
    effort: with so much work of one thread, counted by the solver itself, about a second each; it then gets as far
        on every machine, however slow or busy.
    """
    fillings: dict[int, dict[Filling, int]] = {}
    for wish in wishes:
        if id(wish.law) not in fillings:
            fillings[id(wish.law)] = dict(allowed(machine, wish.law, inventory))
    begun = perf_counter()
    horns = [share.horn for share in wishes[0].law.shares]
    plates = list(inventory.counts)
    fixed, priced = prices(wishes, fillings)
    model = cp_model.CpModel()
    chosen = [{filling: model.new_bool_var("") for filling in each} for each in priced]
    cost: list[cp_model.LinearExprT] = []
    for variables, each in zip(chosen, priced, strict=True):
        model.add_exactly_one(variables.values())
        cost += [price * variables[filling] for filling, price in each.items()]
    for number, horn in enumerate(horns):
        for kind, runs in _hang(model, wishes, priced, number, horn, plates, cost).items():
            for at, variables in enumerate(chosen):
                here = [run for (first, last), run in runs.items() if first <= at <= last]
                model.add(sum(here) == sum(each[number][kind] * var for each, var in variables.items()))
    model.minimize(sum(cost))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 2 if math.isinf(effort) else 1
    solver.parameters.max_time_in_seconds = most_s
    solver.parameters.max_deterministic_time = effort
    status = solver.solve(model)
    has_plan = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    found = round(solver.objective_value) + fixed if has_plan else None
    return Solved(round(solver.best_objective_bound) + fixed, found, perf_counter() - begun)


def allowed(machine: Machine, law: FeltLaw, inventory: Inventory) -> Iterator[tuple[Filling, int]]:
    """Every filling that breaks no limit and takes no more plates than there are, and its felt load. [g]"""
    plates, limits = list(inventory.counts), limits_of(machine, law)
    horns = [share.horn for share in law.shares]
    ways = [
        list(product(*(range(count // horn.sides + 1) for count in inventory.counts.values()))) for horn in horns
    ]
    for filling in product(*ways):
        used = [
            sum(horn.sides * counts[kind] for horn, counts in zip(horns, filling, strict=True))
            for kind in range(len(plates))
        ]
        if any(each > owned for each, owned in zip(used, inventory.counts.values(), strict=True)):
            continue
        posts = []
        for counts in filling:
            post = EMPTY
            for plate, count in zip(plates, counts, strict=True):
                post = post.plus(grains(plate.mass), microns(plate.thickness_m), count)
            posts.append(post)
        if next(breaches(limits, posts), None) is None:
            yield filling, felt_grams(law, posts)


def prices(
    wishes: Sequence[Wish], fillings: Mapping[int, Mapping[Filling, int]]
) -> tuple[int, list[dict[Filling, int]]]:
    """What every set may take and what that costs for missing its load, above what no choice changes. [ms]"""
    fixed, found = 0, []
    for wish in wishes:
        known = fillings[id(wish.law)]
        if wish.way is Way.STRIP:
            under = {part for filling in found[-1] for part in parts(filling)}
            priced = {each: missing_ms(wish, known[each]) for each in under if each in known}
        else:
            nearest = min(beyond(wish, grams) for grams in known.values())
            fixed += BEYOND_MS_PER_G * nearest
            priced = {
                each: missing_ms(wish, grams) for each, grams in known.items() if beyond(wish, grams) == nearest
            }
        least = min(priced.values())
        fixed += least
        found.append({each: price - least for each, price in priced.items()})
    return fixed, found


def parts(filling: Filling) -> Iterator[Filling]:
    """Every filling that is contained in this one."""
    return product(*(product(*(range(count + 1) for count in counts)) for counts in filling))


def missing_ms(wish: Wish, grams: int) -> int:
    """What a felt load costs for missing the wanted one. [ms]"""
    wanted = round(1000 * wish.wanted_kg)
    missed = max(0, abs(grams - wanted) - round(1000 * wish.near_kg))
    return (2 * round(1000 * wish.price_s) * missed + wanted) // (2 * wanted)


def beyond(wish: Wish, grams: int) -> int:
    """How far a felt load lies beyond the tolerance. [g]"""
    wanted = round(1000 * wish.wanted_kg)
    over = wish.tolerance_kg if wish.over_kg is None else wish.over_kg
    return max(0, wanted - round(1000 * wish.tolerance_kg) - grams, grams - wanted - round(1000 * over))


Runs = dict[tuple[int, int], cp_model.IntVar]
"""How many plates hang through just these sets, first to last."""


def _hang(
    model: cp_model.CpModel,
    wishes: Sequence[Wish],
    priced: Sequence[Mapping[Filling, int]],
    number: int,
    horn: Horn,
    plates: Sequence[Plate],
    cost: list[cp_model.LinearExprT],
) -> dict[int, Runs]:
    """For each kind of plate the runs of sets through which it hangs on a horn; none of a horn cross."""
    most = [[max(each[number][kind] for each in some) for kind in range(len(plates))] for some in priced]
    found: dict[int, Runs] = {kind: {} for kind in range(len(plates))}
    used: dict[tuple[int, int], cp_model.IntVar] = {}
    for first, last in product(range(len(wishes)), repeat=2):
        if first > last or wishes[first].way is Way.STRIP:
            continue
        used[first, last] = model.new_bool_var("")
        off = round(wishes[last + 1].haste) if last + 1 < len(wishes) else 0
        for kind, plate in enumerate(plates):
            highest = min(most[at][kind] for at in range(first, last + 1))
            if highest:
                run = found[kind][first, last] = model.new_int_var(0, highest, "")
                model.add(run <= highest * used[first, last])
                cost.append((1 + off) * handling_ms(plate, horn) * run)
    for (first, last), (second, beyond_last) in product(used, repeat=2):
        if first < second <= last < beyond_last:
            model.add_at_most_one([used[first, last], used[second, beyond_last]])
    return found


def handling_ms(plate: Plate, horn: Horn) -> int:
    """One plate off or on, at every side. [ms]"""
    return horn.sides * round(PLATE_MS + KG_MS * plate.mass.kg)
