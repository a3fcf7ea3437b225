"""Time and memory of the belief: a set learnt, a history folded, a decision made.

    python benchmarks/belief.py

The named reference is the NSCA load chart looked up for the same set, the cheapest advice there is: figures are
ratios to it in one run, with milliseconds of this machine beside them.
"""

from __future__ import annotations

import math
import tracemalloc
from collections.abc import Callable
from datetime import UTC, datetime
from time import perf_counter

from steelyard.machine.examples import example_text
from steelyard.machine.file import read_machine
from steelyard.plates.example import example_text as plates_text
from steelyard.plates.file import read_inventory
from steelyard.strength.belief import Belief, learn, newcomer, on_day, outlook
from steelyard.strength.equations import percent_of_max
from steelyard.strength.lifts import Lift
from steelyard.strength.model import Ended, Observation
from steelyard.training.decide import Situation, Wanted, decide
from steelyard.training.exercises import exercises
from steelyard.training.gym import Gym
from steelyard.training.history import Evidence
from steelyard.units import Unit

LIFTS = [Lift(f"lift {n}", math.log(60.0), 0.4, 30.0, {f"muscle {n % 3}": 1.0}) for n in range(4)]
SESSIONS, SETS = 100, 3
NOW = datetime(2026, 1, 1, tzinfo=UTC)


def folded() -> Belief:
    """A hundred sessions of three sets on each of four lifts."""
    belief = newcomer(LIFTS, training_months=12)
    for session in range(SESSIONS):
        for lift in LIFTS:
            for number in range(SETS):
                rest_s = 120.0 if number or lift is not LIFTS[0] else None
                reps = 11 - number + (session * 7 + number) % 3 - 1
                set_ = Observation(lift.name, 44.0 - 2 * number, reps, 1, Ended.REPORTED, 3.5 * session, rest_s)
                belief = learn(belief, set_).belief
    return belief


def best_ms(work: Callable[[], object], times: int) -> float:
    """The shortest of several runs. [ms]"""
    found = math.inf
    for _ in range(times):
        start = perf_counter()
        work()
        found = min(found, perf_counter() - start)
    return 1000.0 * found


def main() -> None:
    """Print the figures."""
    belief = folded()
    gym = Gym(
        read_machine(example_text("boathouse"), "boathouse"),
        read_inventory(plates_text(), "plates"),
        exercises(),
    )
    loads = gym.loads(gym.stations_for("lever_row_chest")[0])
    fresh = on_day(belief, 3.5 * SESSIONS)

    def one_decision() -> object:
        promised = outlook(fresh, "lift 0")
        return decide(loads, promised, Evidence(None, 44.0), Wanted(10, 12, 2), Situation(), unit=Unit.KG, now=NOW)

    chart_ms = best_ms(lambda: percent_of_max(10), 200)
    fold_ms, decision_ms = best_ms(folded, 5), best_ms(one_decision, 50)
    tracemalloc.start()
    folded()
    _, peak = tracemalloc.get_traced_memory()
    print(f"the load chart looked up:         {1000 * chart_ms:9.2f} us")
    print(
        f"a decision among {len(loads.ladder)} loads:     {decision_ms:9.2f} ms  x {decision_ms / chart_ms:,.0f}"
    )
    print(f"{SESSIONS} sessions, {SESSIONS * SETS * len(LIFTS)} sets folded:  {fold_ms:9.1f} ms")
    print(f"a set learnt:                     {1000 * fold_ms / (SESSIONS * SETS * len(LIFTS)):9.1f} us")
    print(f"peak memory of the fold:          {peak / 1e6:9.2f} MB")


if __name__ == "__main__":
    main()
