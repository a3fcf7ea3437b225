"""How long a load ladder takes, against going through every loading; both in one run on this machine.

A further ladder is that of another station on the same arm, from the stackings that the first one was made of.
The last line is a well stocked house, against seven sizes of it.

Run with: python benchmarks/ladder.py
"""

from __future__ import annotations

from collections.abc import Callable
from time import perf_counter

from steelyard.machine.felt import felt_law
from steelyard.machine.file import read_machine
from steelyard.plates.limits import rig_of
from steelyard.plates.loading import felt_kg, ladder, loadings
from steelyard.plates.model import Inventory, Plate
from steelyard.plates.stackings import kept_stackings, ladder_of, stackings
from steelyard.units import parse_mass

KILOGRAMS = {"25 kg": 42, "20 kg": 35, "15 kg": 30, "10 kg": 28, "5 kg": 20, "2.5 kg": 16, "1.25 kg": 12}
MIXED = {"20 kg": 35, "45 lb": 38, "10 kg": 28, "25 lb": 30, "10 lb": 22, "2.5 kg": 16, "1.25 kg": 12}
"""Seven sizes by name, with their thickness. [mm]"""
MACHINE = """
[machine]
name = "Benchmark"
[arm.main]
pivot_mm = [0, 500]
mass = "15 kg"
balance_mm = [500, 0]
[station.row]
title = "Row"
kind = "lever"
arm = "main"
hand_mm = [1000, 0]
range_deg = [-15, 15]
"""
HORN = '[horn.{name}]\non = "main"\nat_mm = [{at}, 0]\nsides = 2\nlength_mm = {length}\n'


def timed(task: Callable[[], int]) -> tuple[float, int]:
    """Seconds of the best of three runs, nothing kept from one to the next, and the last result."""
    best = float("inf")
    for _ in range(3):
        kept_stackings.cache_clear()
        start = perf_counter()
        result = task()
        best = min(best, perf_counter() - start)
    return best, result


def main() -> None:
    """Print one line for each case: loadings, rungs, the times, and how often the ladder fits into one by one."""
    cases = [
        (f"{len(horns)} horns of {length} mm, {name}", horns, length, sizes)
        for horns in ((900,), (900, 410))
        for length in (500, 220)
        for name, sizes in (("kg", KILOGRAMS), ("kg and lb", MIXED))
    ]
    for title, horns, length, sizes in cases:
        text = MACHINE + "".join(HORN.format(name=f"h{at}", at=at, length=length) for at in horns)
        machine = read_machine(text, "benchmark.toml")
        law = felt_law(machine, machine.stations["row"])
        house = Inventory({Plate(mass, parse_mass(mass), mm / 1000): 4 for mass, mm in sizes.items()})
        fast_s, rungs = timed(lambda m=machine, w=law, h=house: len(ladder(m, w, h)))  # type: ignore[misc]
        stacked = stackings(rig_of(machine, law), house)
        further_s, _ = timed(lambda w=law, s=stacked: len(ladder_of(w, s)))  # type: ignore[misc]
        start = perf_counter()
        felt = [felt_kg(law, loading) for loading in loadings(machine, law, house)]
        slow_s = perf_counter() - start
        agree = "agree" if len(set(felt)) == rungs else "DIFFER"
        print(
            f"{title:32} {len(felt):7} loadings {rungs:6} rungs, {agree}: "
            f"ladder {fast_s * 1000:7.1f} ms, further {further_s * 1000:6.1f} ms, "
            f"one by one {slow_s * 1000:8.1f} ms, ratio {slow_s / fast_s:5.1f}"
        )
    well_stocked()


def well_stocked() -> None:
    """Print how much longer a ladder of twelve kinds takes, three pairs of each, than one of seven, two pairs."""
    text = MACHINE + "".join(HORN.format(name=f"h{at}", at=at, length=220) for at in (900, 410))
    machine = read_machine(text, "benchmark.toml")
    law = felt_law(machine, machine.stations["row"])
    counts = ((MIXED, 4), (KILOGRAMS | MIXED | {"35 lb": 34, "5 lb": 17}, 6))
    few, many = (
        timed(lambda h=house: len(ladder(machine, law, h)))  # type: ignore[misc]
        for sizes, count in counts
        for house in [Inventory({Plate(mass, parse_mass(mass), mm / 1000): count for mass, mm in sizes.items()})]
    )
    print(
        f"well stocked, 2 horns of 220 mm: {many[1]} rungs in {many[0] * 1000:.1f} ms, "
        f"{many[0] / few[0]:.1f} times as long as {few[1]} rungs of seven sizes"
    )


if __name__ == "__main__":
    main()
