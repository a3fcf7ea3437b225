"""Sessions as people train them, invented: ramps, straight sets, drops, several stations of one arm."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from random import Random

from steelyard.machine.examples import example_text
from steelyard.machine.felt import felt_law
from steelyard.machine.file import read_machine
from steelyard.machine.model import FeltLaw, Machine
from steelyard.plates.model import Inventory, Plate
from steelyard.plates.wishes import Way, Wish
from steelyard.units import parse_mass

THICKNESS_MM = {
    "25 kg": 40,
    "20 kg": 36,
    "15 kg": 32,
    "10 kg": 28,
    "10 lb": 20,
    "5 kg": 20,
    "2.5 kg": 16,
    "1.25 kg": 12,
}
GYMS = {
    "one pair": ("boathouse", ("row", "row-chest", "high-pulley"), 7),
    "inner and outer": ("twin-arms", ("row", "press"), 6),
}
"""Machine, stations, and the most sizes of plates with which a solver is likely to prove an optimum. They have 2
and 4 horns, every post counted."""


@dataclass(frozen=True)
class Session:
    """What a plan is asked for. name: for messages."""

    name: str
    machine: Machine
    inventory: Inventory
    wishes: tuple[Wish, ...]


def realistic(seed: int) -> Session:
    """The session of this seed: 15 to 25 sets, 5 to 7 sizes of plates, 2 to 4 horns."""
    random = Random(seed)
    name = random.choice(list(GYMS))
    example, stations, most_sizes = GYMS[name]
    machine = read_machine(example_text(example), example)
    inventory = _plates(random, most_sizes)
    laws = [felt_law(machine, machine.stations[station]) for station in stations]
    wishes: list[Wish] = []
    count = random.randint(15, 25)
    while len(wishes) < count:
        wishes += _exercise(random, random.choice(laws), inventory)
    return Session(f"seed {seed}, {name}", machine, inventory, tuple(wishes[:count]))


def _plates(random: Random, most_sizes: int) -> Inventory:
    names = random.sample(sorted(THICKNESS_MM), random.randint(5, most_sizes))
    plates = [Plate(name, parse_mass(name), THICKNESS_MM[name] / 1000) for name in names]
    return Inventory({plate: 2 * random.choice((1, 1, 2)) for plate in plates})


def _exercise(random: Random, law: FeltLaw, inventory: Inventory) -> Iterator[Wish]:
    """A ramp, straight sets of which the last may differ, and at times a drop."""
    load_kg = law.base_kg + random.uniform(0.3, 0.8) * (_most_kg(law, inventory) - law.base_kg)
    for share in random.choice(((0.5, 0.8), (0.6,))):
        if share * load_kg > law.base_kg:
            yield _about(random, law, share * load_kg, 0.08 * load_kg, 150.0)
    within_kg = random.choice((0.015, 0.025)) * load_kg
    work = _about(random, law, load_kg, within_kg, 1000.0)
    yield from [work] * random.randint(3, 5)
    if random.random() < 0.3:
        load_kg *= random.choice((0.95, 1.05))
        yield _about(random, law, load_kg, within_kg, 1000.0)
    if random.random() < 0.3:
        wanted_kg = 2 / 3 * load_kg
        near_kg = round(0.075 * wanted_kg, 3)
        yield Wish(law, round(wanted_kg, 3), 0.0, near_kg=near_kg, price_s=1440.0, way=Way.STRIP, haste=3.0)


def _about(random: Random, law: FeltLaw, load_kg: float, within_kg: float, price_s: float) -> Wish:
    """A load within a tolerance; in it all are alike to some people, to others each percent counts."""
    near_kg = random.choice((0.0, within_kg))
    return Wish(law, round(load_kg, 3), round(within_kg, 3), near_kg=round(near_kg, 3), price_s=price_s)


def _most_kg(law: FeltLaw, inventory: Inventory) -> float:
    """About the most that the first horn of a station makes: what fits, or half of what there is."""
    share = law.shares[0]
    room_m, left_kg = share.horn.length_m - share.horn.collar_m, share.horn.rated_kg or 1e9
    total_kg = 0.0
    for plate, count in sorted(inventory.counts.items(), key=lambda kind: -kind[0].mass.kg):
        for _ in range(count // share.sides):
            if plate.thickness_m <= room_m and plate.mass.kg <= left_kg:
                room_m, left_kg = room_m - plate.thickness_m, left_kg - plate.mass.kg
                total_kg += plate.mass.kg
    return law.base_kg + share.sides * share.per_kg * total_kg
