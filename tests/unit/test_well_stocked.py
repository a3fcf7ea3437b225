"""Houses so well stocked that not every loading can be gone through: what is known of them, and at what cost."""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise

import pytest

from racks import plate_of, rack
from steelyard.machine.examples import example_text
from steelyard.machine.felt import felt_law
from steelyard.machine.file import read_machine
from steelyard.machine.model import FeltLaw, Machine
from steelyard.plates import fillings
from steelyard.plates.changeover import Plan, changeover
from steelyard.plates.limits import rig_of
from steelyard.plates.loading import check_loading, felt_kg
from steelyard.plates.model import Inventory, Rung
from steelyard.plates.reach import felt_loads
from steelyard.plates.stackings import Stackings, ladder_of, stackings
from steelyard.plates.thinning import BOUNDS
from steelyard.plates.wishes import Wish

KINDS = {
    "20 kg": 36,
    "45 lb": 38,
    "15 kg": 32,
    "35 lb": 34,
    "10 kg": 28,
    "25 lb": 30,
    "5 kg": 21,
    "10 lb": 22,
    "2.5 kg": 16,
    "5 lb": 17,
    "1.25 kg": 12,
    "2.5 lb": 12,
}
"""Twelve kinds with their thickness. [mm]"""
MACHINES = ("boathouse", "twin-arms", "counterbeam")


def house(pairs: int) -> Inventory:
    """So many pairs of every kind, two of them weighed."""
    weighed = {"20 kg": "20.13 kg", "5 lb": "4.93 lb"}
    plates = (plate_of(name, mm, mass=weighed.get(name)) for name, mm in KINDS.items())
    return Inventory(dict.fromkeys(plates, 2 * pairs))


@lru_cache
def row(name: str) -> tuple[Machine, FeltLaw]:
    machine = read_machine(example_text(name), name)
    return machine, felt_law(machine, machine.stations["row"])


@lru_cache
def stacked(name: str, pairs: int) -> Stackings:
    machine, law = row(name)
    return stackings(rig_of(machine, law), house(pairs))


def rungs_of(name: str, pairs: int) -> tuple[Rung, ...]:
    return ladder_of(row(name)[1], stacked(name, pairs))


def widest_percent(felt: list[float]) -> float:
    """The largest step above the lightest tenth of a ladder. [%]"""
    least = felt[0] + (felt[-1] - felt[0]) / 10
    return max(100 * (above - below) / below for below, above in pairwise(felt) if below >= least)


@pytest.mark.parametrize("name", MACHINES)
def test_a_ladder_keeps_to_its_bounds_however_many_plates_there_are(name: str) -> None:
    assert stacked(name, 3).thinned
    assert 1000 < len(stacked(name, 3).carried) <= BOUNDS.fewer_loadings


@pytest.mark.parametrize("name", MACHINES)
def test_every_build_of_a_thinned_ladder_is_allowed_and_makes_its_load(name: str) -> None:
    machine, law = row(name)
    for rung in rungs_of(name, 3)[::40]:
        for build in rung.builds:
            check_loading(machine, law, build, house(3))
            assert felt_kg(law, build) == rung.felt_kg


def test_no_step_grows_that_anybody_would_notice() -> None:
    machine, law = row("boathouse")
    whole = stackings(rig_of(machine, law), house(3), bounds=BOUNDS._replace(steps=10**9, loadings=10**9))
    every = [rung.felt_kg for rung in ladder_of(law, whole)]
    known = [rung.felt_kg for rung in rungs_of("boathouse", 3)]
    assert len(known) < len(every)
    assert {*known} < {*every}
    assert widest_percent(known) <= widest_percent(every) + 0.2
    assert every[-1] - known[-1] <= 0.02


def test_the_order_of_the_plates_file_changes_nothing() -> None:
    machine, law = row("twin-arms")
    turned = Inventory(dict(reversed(list(house(3).counts.items()))))
    again = ladder_of(law, stackings(rig_of(machine, law), turned, bounds=BOUNDS._replace(least=251)))
    assert [(rung.felt_kg, *rung.builds) for rung in again] == [
        (rung.felt_kg, *rung.builds) for rung in rungs_of("twin-arms", 3)
    ]


def test_loads_that_nobody_builds_yet_keep_to_the_bounds_too() -> None:
    machine, law = row("twin-arms")
    felt = felt_loads(machine, [law], house(3))[0]
    assert 1000 < len(felt) <= BOUNDS.fewer_loadings
    assert widest_percent(list(felt)) <= widest_percent([rung.felt_kg for rung in rungs_of("twin-arms", 3)]) + 0.2


@lru_cache
def plan(name: str, pairs: int, *shares: float) -> Plan:
    machine, law = row(name)
    top = rungs_of(name, pairs)[-1].felt_kg
    wishes = [Wish(law, share * top, 0.05 * top, over_kg=0.0, price_s=800.0) for share in shares]
    return changeover(machine, house(pairs), wishes)


@pytest.mark.parametrize("name", MACHINES)
def test_a_session_is_planned_with_true_loadings_within_the_tolerance(name: str) -> None:
    machine, law = row(name)
    for change in plan(name, 3, 0.3, 0.5, 0.6, 0.45).changes:
        check_loading(machine, law, change.loading, house(3))
        assert felt_kg(law, change.loading) == change.felt_kg
        assert change.wish.beyond_grams(round(1000 * change.felt_kg)) == 0


def test_a_plan_that_looked_at_some_loadings_only_claims_no_proof() -> None:
    found = plan("boathouse", 3, 0.5, 0.6)
    assert found.gap_s == found.cost_s > 0


ODD = ("2.5 lb", "1.25 kg", "5 lb", "2.5 kg", "10 lb", "5 kg", "25 lb", "10 kg")


def test_what_somebody_hung_there_may_stay_however_odd_it_is() -> None:
    machine, law = row("boathouse")
    hanging = {"tip": tuple(map(house(3).plate, ODD))}
    felt = felt_kg(law, hanging)
    held = changeover(machine, house(3), [Wish(law, felt, 0.0, price_s=1000.0)] * 2, on_horns=hanging)
    assert [change.moves for change in held.changes] == [(), ()]
    assert {*held.changes[0].loading["tip"]} == {*hanging["tip"]}


def test_many_plates_of_many_kinds_on_a_long_horn_are_no_endless_search() -> None:
    plates = {plate_of(f"no {n}", 3 + n, mass=f"{0.5 + 0.37 * n:.2f} kg"): 150 for n in range(40)}
    machine, law = row("counterbeam")
    found = stackings(rig_of(machine, law), Inventory(plates))
    assert found.thinned
    assert len(found.carried) <= BOUNDS.fewer_loadings


def test_all_fillings_of_a_horn_are_looked_at_up_to_a_count() -> None:
    few = rack({"20 kg": 4, "10 kg": 4, "5 kg": 4, "2.5 kg": 4, "1.25 kg": 4})
    assert fillings.fillings_within(tuple(few.counts), fields(5, 2), 10**6, 10**18) is not None
    assert fillings.fillings_within(tuple(house(3).counts), fields(12, 3), 10**6, 10**18) is None


def fields(kinds: int, most: int) -> tuple[fillings.Field, ...]:
    return tuple(fillings.Field(kind, kind * most, most) for kind in range(kinds))
