"""How long the plates of a whole session take to plan, and what planning is worth, all in one run on this machine.

Cost is compared with loading each set greedily: of the loadings within its tolerance the one that costs least from
the set before, price and plate work together, the order on the horns chosen for that set alone. Time is compared
with OR-tools CP-SAT on the same model (tests/reference/changeover_cpsat.py) on a few short sessions, if installed.

Run with: python benchmarks/changeover.py
"""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from importlib.util import find_spec
from pathlib import Path
from random import Random
from statistics import median
from tempfile import TemporaryDirectory
from time import perf_counter

from steelyard.cli.opening import open_steelyard
from steelyard.demo import ensure_demo
from steelyard.machine.examples import example_text
from steelyard.machine.felt import felt_law
from steelyard.machine.file import read_machine
from steelyard.machine.model import FeltLaw, Machine
from steelyard.plates.changeover import Plan, changeover
from steelyard.plates.model import Inventory, Plate
from steelyard.plates.wishes import Way, Wish
from steelyard.training.prepare import asked_of
from steelyard.units import parse_mass

THICKNESS_MM = {"25 kg": 40, "20 kg": 36, "15 kg": 32, "10 kg": 28, "5 kg": 20, "2.5 kg": 16, "1.25 kg": 12}
SIZES = {
    7: tuple(THICKNESS_MM),
    5: ("20 kg", "10 kg", "5 kg", "2.5 kg", "1.25 kg"),
    3: ("10 kg", "5 kg", "2.5 kg"),
}
HORNS = {"one horn": ("boathouse", ("row", "row-chest")), "two horns": ("twin-arms", ("row", "press"))}
SEEDS = range(20)


@dataclass(frozen=True)
class Session:
    """What a plan is asked for."""

    machine: Machine
    inventory: Inventory
    wishes: tuple[Wish, ...]

    def plan(self, wishes: Sequence[Wish] | None = None) -> Plan:
        return changeover(self.machine, self.inventory, self.wishes if wishes is None else wishes)


def drawn(horns: str, sizes: int, sets: int, seed: int) -> Session:
    """A session: ramps of two sets, then two to four that creep up or down, at times a drop."""
    random, (name, stations) = Random(seed), HORNS[horns]
    machine = read_machine(example_text(name), name)
    plates = [Plate(mass, parse_mass(mass), THICKNESS_MM[mass] / 1000) for mass in SIZES[sizes]]
    laws = [felt_law(machine, machine.stations[station]) for station in stations]
    most_kg = 2 * sum(plate.mass.kg for plate in plates)
    wishes: list[Wish] = []
    while len(wishes) < sets:
        wishes += exercise(random, random.choice(laws), most_kg)
    return Session(machine, Inventory(dict.fromkeys(plates, 4)), tuple(wishes[:sets]))


def exercise(random: Random, law: FeltLaw, most_kg: float) -> Iterator[Wish]:
    """The sets of one exercise."""
    per_kg = max(share.per_kg * share.sides for share in law.shares)
    load_kg = law.base_kg + random.uniform(0.2, 0.55) * per_kg * most_kg
    for share in (0.5, 0.8):
        yield Wish(law, max(share * load_kg, law.base_kg + 0.5), 0.1 * load_kg, price_s=150 * share)
    for _ in range(random.choice((2, 3, 4))):
        yield Wish(law, load_kg, 0.05 * load_kg, over_kg=0.0)
        load_kg *= random.choice((1.0, 1.0, 1.025, 1.05, 0.95))
    if random.random() < 0.4:
        drop_kg = 0.67 * load_kg
        yield Wish(law, drop_kg, 0.0, near_kg=0.05 * load_kg, price_s=2000.0, way=Way.STRIP, haste=3.0)


def greedy(session: Session) -> Iterator[Plan]:
    """Plans that look no further than one set ahead, set by set."""
    on_horns = None
    for wish in session.wishes:
        plan = changeover(session.machine, session.inventory, [wish], on_horns=on_horns)
        on_horns = plan.changes[-1].on_horns
        yield plan


def greedy_s(session: Session) -> float:
    """What that costs in all. [s]"""
    return sum(plan.cost_s for plan in greedy(session))


def greedy_handling_s(session: Session) -> float:
    """What of it is plate work. [s]"""
    return sum(plan.handling_s for plan in greedy(session))


def timed(session: Session) -> tuple[float, Plan]:
    """Milliseconds, and the plan."""
    start = perf_counter()
    plan = session.plan()
    return 1000 * (perf_counter() - start), plan


def compare(title: str, sessions: Sequence[Session]) -> None:
    """Print one line: times, how many plans are proven, and the cost against loading each set greedily."""
    results = sorted((timed(each) for each in sessions), key=lambda result: result[0])
    times = [time for time, _ in results]
    proven = sum(plan.gap_s == 0 for _, plan in results)
    ratios = [each.plan().cost_s / greedy_s(each) for each in sessions[:5]]
    print(
        f"{title:30} p50 {times[len(times) // 2]:7.1f} ms  p95 {times[int(0.95 * (len(times) - 1))]:7.1f} ms  "
        f"worst {times[-1]:7.1f} ms  proven {proven:2} of {len(times):2}  "
        f"cost {sum(ratios) / len(ratios):4.2f} of greedy",
        flush=True,
    )


def realistic_session(seed: int) -> Session:
    """A session that the general solver has a chance with."""
    sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))
    from reference.realistic_sessions import realistic  # noqa: PLC0415

    found = realistic(seed)
    return Session(found.machine, found.inventory, found.wishes)


def against_solver(session: Session) -> float:
    """Print one line: the same session by the general solver; how many times as long it takes."""
    from reference.changeover_cpsat import solve  # noqa: PLC0415

    ours_ms, plan = timed(session)
    start = perf_counter()
    solved = solve(session.machine, session.inventory, session.wishes, most_s=20.0)
    theirs_ms = 1000 * (perf_counter() - start)
    cost_ms = round(1000 * plan.cost_s)
    agree = "agree" if solved.least_ms <= cost_ms <= (solved.found_ms or cost_ms) else "DIFFER"
    print(
        f"{len(session.wishes)} sets, {len(session.inventory.counts)} sizes: {ours_ms:7.1f} ms, "
        f"CP-SAT {theirs_ms:9.1f} ms{'' if solved.proven else ' (stopped)'}, "
        f"{theirs_ms / ours_ms:7.0f} times as long, {agree}",
        flush=True,
    )
    return theirs_ms / ours_ms


def demo_sessions() -> Iterator[tuple[str, Session]]:
    """The next session of each outline for the demo's first lifter, and what its sets ask of the plates."""
    with TemporaryDirectory() as folder:
        ensure_demo(Path(folder) / "demo", datetime.now(UTC))
        steelyard = open_steelyard(Path(folder) / "demo")
        for outline in steelyard.home.outlines:
            task = steelyard.task(steelyard.lifters()[0].lifter, outline)
            wishes = tuple(one.wish for one in asked_of(task))
            yield task.outline.title, Session(task.gym.machine, task.gym.inventory, wishes)


def saved_in_the_demo() -> None:
    """Print the plate work of the demo's sessions, and that of loading each set greedily."""
    whole_s = whole_greedy_s = 0.0
    for title, session in demo_sessions():
        plan_s, each_s = session.plan().handling_s, greedy_handling_s(session)
        whole_s, whole_greedy_s = whole_s + plan_s, whole_greedy_s + each_s
        print(f"{title}: {plan_s:.0f} s of plate work, set by set {each_s:.0f} s", flush=True)
    print(f"demo, all sessions: {whole_greedy_s - whole_s:.0f} s saved, {whole_s / whole_greedy_s:.2f} of greedy")


def main() -> None:
    """Print how planning grows with sets, sizes and horns, what it saves, and a few sessions against a solver."""
    saved_in_the_demo()
    for horns in HORNS:
        for sets in (10, 15, 25, 50, 100):
            seeds = SEEDS if sets <= 25 else SEEDS[:5]
            compare(f"{horns}, 5 sizes, {sets} sets", [drawn(horns, 5, sets, seed) for seed in seeds])
        for sizes in (3, 7):
            compare(f"{horns}, {sizes} sizes, 25 sets", [drawn(horns, sizes, 25, seed) for seed in SEEDS])
    if find_spec("ortools") is None:
        print("CP-SAT is not installed (package ortools); left out")
        return
    ratios = [against_solver(realistic_session(seed)) for seed in range(30)]
    print(f"CP-SAT takes {median(ratios):.0f} times as long in the middle, stopped ones counted as done")


if __name__ == "__main__":
    main()
