"""What is kept from one search for plates to the next changes no choice."""

from __future__ import annotations

from random import Random

import pytest

from changeover_cases import station_laws
from racks import rack
from steelyard.plates import changeover as changing
from steelyard.plates import fillings, nest, stages, ways
from steelyard.plates.changeover import Plan, changeover
from steelyard.plates.handling import Handling
from steelyard.plates.loading import ladder
from steelyard.plates.wishes import Way, Wish

HANDLING = Handling()
HOUSE = rack({"20 kg": 2, "10 kg": 4, "5 kg": 2, "2.5 kg": 2, "1.25 kg": 2})
KEPT = (fillings._rack, stages.horns_of, nest.finished, ways.ways_of, changing.plans_of)


def forget() -> None:
    for kept in KEPT:
        kept.cache_clear()


def wishes_at_random(machine: str, stations: tuple[str, ...], random: Random) -> list[Wish]:
    described, laws = station_laws(machine, stations)
    found = []
    for law in laws:
        loads = [rung.felt_kg for rung in ladder(described, law, HOUSE) if rung.felt_kg > 0]
        for _ in range(random.randint(1, 3)):
            load_kg = random.choice(loads)
            found.append(Wish(law, load_kg, 0.06 * load_kg, over_kg=random.choice((None, 0.0)), price_s=400.0))
    return found


def otherwise(wishes: list[Wish], random: Random) -> list[Wish]:
    """What is left of a session after a set, one load perhaps another, one set perhaps a drop."""
    left = wishes[random.randint(0, 1) :] or wishes
    place = random.randrange(len(left))
    other = left[place].wanted_kg * random.choice((0.9, 1.0, 1.05))
    way = Way.STRIP if place and random.random() < 0.2 else Way.FREE
    law = left[place].law
    return [*left[:place], Wish(law, other, 0.06 * other, price_s=400.0, way=way), *left[place + 1 :]]


def plans(machine: str, stations: tuple[str, ...], seed: int, *, forgetting: bool) -> list[Plan]:
    random = Random(seed)
    described, _ = station_laws(machine, stations)
    wishes, hanging = wishes_at_random(machine, stations, random), {}
    found: list[Plan] = []
    for _ in range(8):
        if forgetting:
            forget()
        found.append(changeover(described, HOUSE, wishes, on_horns=hanging, handling=HANDLING))
        hanging = found[-1].changes[0].on_horns
        wishes = otherwise(wishes, random)
    return found


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize(
    ("machine", "stations"),
    [
        ("boathouse", ("row", "squat", "handle")),
        ("twin-arms", ("press", "row")),
        ("counterbeam", ("row", "kettle")),
    ],
)
def test_a_day_of_searches_chooses_as_each_would_by_itself(
    machine: str, stations: tuple[str, ...], seed: int
) -> None:
    forget()
    assert plans(machine, stations, seed, forgetting=False) == plans(machine, stations, seed, forgetting=True)


def test_the_same_house_has_one_rack() -> None:
    machine, laws = station_laws("boathouse", ("row",))
    forget()
    for _ in range(2):
        changeover(machine, HOUSE, [Wish(laws[0], 30.0, 3.0)], on_horns={}, handling=HANDLING)
    assert fillings._rack.cache_info().misses == 1


def test_the_same_question_has_the_same_answer_without_a_search(monkeypatch: pytest.MonkeyPatch) -> None:
    machine, laws = station_laws("boathouse", ("row", "squat"))
    forget()
    wishes = [Wish(law, 60.0, 3.0) for law in laws]
    first = changeover(machine, HOUSE, wishes, on_horns={}, handling=HANDLING)
    monkeypatch.setattr(changing, "stages_of", lambda *asked: pytest.fail("searched again"))
    assert changeover(machine, HOUSE, list(wishes), on_horns={}, handling=HANDLING) is first
