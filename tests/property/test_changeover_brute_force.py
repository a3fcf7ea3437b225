"""Plans of random small sessions cost just what trying everything finds."""

from __future__ import annotations

import os
from random import Random

from changeover_brute_force import BruteForce, TooMany, stack_of
from steelyard.errors import NoLoading
from steelyard.machine.examples import example_text
from steelyard.machine.felt import felt_law
from steelyard.machine.file import read_machine
from steelyard.machine.model import FeltLaw, Machine
from steelyard.plates.changeover import changeover
from steelyard.plates.handling import Handling
from steelyard.plates.model import Inventory, Loading, Plate
from steelyard.plates.wishes import Way, Wish
from steelyard.units import parse_mass

SEED = int(os.environ.get("STEELYARD_SEED", "0"))
SESSIONS = 500
MOST_TRIED = 10_000
"""Changes tried at one set; sessions with more are left out."""
GYMS = {
    "one pair": ("boathouse", ("row",)),
    "arm and pin": ("boathouse", ("row", "handle")),
    "inner and outer": ("twin-arms", ("row", "press")),
    "along the plane": ("counterbeam", ("row",)),
}
SIZES = ("20 kg", "10 kg", "5 kg", "2.5 kg", "1.25 kg", "25 lb", "5 lb")


def session(random: Random) -> tuple[Machine, Inventory, list[Wish], Loading, Handling]:
    """Two to four kinds of plate, one to three horns, three to eight sets, and perhaps plates on a horn."""
    name = random.choice(list(GYMS))
    example, stations = GYMS[name]
    machine = read_machine(example_text(example), example)
    sizes = random.sample(SIZES, random.choice((2, 3, 3, 4) if name == "one pair" else (2, 3)))
    inventory = Inventory({Plate(size, parse_mass(size), 0.02): random.choice((2, 2, 3, 4)) for size in sizes})
    laws = [felt_law(machine, machine.stations[station]) for station in stations]
    wishes: list[Wish] = []
    for _ in range(random.randint(3, 6)):
        wishes += [wish(random, random.choice(laws), inventory, lone=name != "arm and pin")] * random.choice(
            (1, 1, 2)
        )
    handling = random.choice((Handling(), Handling(6.0, 0.0)))
    return machine, inventory, wishes, hung(random, laws[0], inventory), handling


def wish(random: Random, law: FeltLaw, inventory: Inventory, *, lone: bool) -> Wish:
    """Any wish. lone: no other station comes between, so that it may narrow what can be done before it."""
    total_kg = sum(plate.mass.kg * count for plate, count in inventory.counts.items())
    reach_kg = max(share.per_kg * share.sides for share in law.shares) * total_kg / 2
    way = random.choices((Way.FREE, Way.STRIP, Way.ADD), (0.7, 0.2, 0.1))[0] if lone else Way.FREE
    return Wish(
        law,
        max(0.5, law.base_kg + random.uniform(0, 1) * reach_kg),
        random.choice((0.0, 0.5, 2.0, 5.0)),
        over_kg=random.choice((None, 0.0, 1.0)),
        near_kg=random.choice((0.0, 0.0, 0.5)),
        price_s=random.choice((0.0, 150.0, 1000.0, 2000.0)),
        way=way,
        haste=3.0 if way is Way.STRIP and random.random() < 0.5 else 1.0,
    )


def hung(random: Random, law: FeltLaw, inventory: Inventory) -> Loading:
    """Up to two plates that hang on the first horn of a station already, at times."""
    horn = law.shares[0].horn
    plates = [plate for plate, count in inventory.counts.items() for _ in range(count // horn.sides)]
    taken = random.sample(plates, min(len(plates), random.choice((0, 0, 1, 2))))
    return {horn.name: stack_of(taken) if law.shares[0].per_kg_m else tuple(taken)} if taken else {}


def test_plans_cost_what_trying_everything_finds() -> None:
    random, compared = Random(SEED), 0
    while compared < SESSIONS:
        machine, inventory, wishes, on_horns, handling = session(random)
        try:
            least_ms = BruteForce(machine, inventory, handling, MOST_TRIED).least_ms(wishes, on_horns)
        except TooMany:
            continue
        compared += 1
        told = f"session {compared} of STEELYARD_SEED={SEED}"
        try:
            plan = changeover(machine, inventory, wishes, on_horns=on_horns, handling=handling)
        except NoLoading:
            assert least_ms is None, told
            continue
        assert (round(1000 * plan.cost_s), plan.gap_s) == (least_ms, 0), told
