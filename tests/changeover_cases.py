"""Sessions for the tests of the changeover, at random: stations, plates, wishes, and what hangs there."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from hypothesis import strategies as st

from racks import plate_of, rack
from steelyard.machine.examples import example_text
from steelyard.machine.felt import felt_law
from steelyard.machine.file import read_machine
from steelyard.machine.model import FeltLaw, Machine
from steelyard.plates.changeover import Plan, changeover
from steelyard.plates.course import Course, Searcher
from steelyard.plates.fillings import Rack, rack_of
from steelyard.plates.handling import Handling
from steelyard.plates.model import Inventory, Loading, Plate
from steelyard.plates.outlook import Outlook
from steelyard.plates.stages import Stage, rigs_of, stages_of
from steelyard.plates.ways import Chains
from steelyard.plates.wishes import Way, Wish

STATIONS = (
    ("boathouse", ("row",)),
    ("boathouse", ("row", "handle")),
    ("twin-arms", ("row", "press")),
    ("counterbeam", ("row",)),
)
"""One horn; two that share plates; two on one arm; one along the arm, where place counts, and another."""
SIZES = ("20 kg", "10 kg", "5 kg", "2.5 kg", "1.25 kg")


@dataclass(frozen=True)
class Case:
    """What a plan is asked for."""

    machine: Machine
    inventory: Inventory
    wishes: tuple[Wish, ...]
    on_horns: Loading
    handling: Handling

    def plan(self) -> Plan:
        return changeover(
            self.machine, self.inventory, self.wishes, on_horns=self.on_horns, handling=self.handling
        )

    def seen(self) -> tuple[Rack, list[Stage], Chains]:
        """As the optimiser sees it."""
        rigs = rigs_of(self.machine, self.wishes, tuple(self.on_horns))
        rack = rack_of(tuple(rigs.values()), self.inventory, self.handling, self.on_horns)
        start = tuple(rack.chain(post, self.on_horns.get(name, ())) for name, post in rack.posts.items())
        return rack, stages_of(self.wishes, rack, rigs), start

    def searched(self) -> Course:
        """By the search that knows nothing of single horns, however long it takes."""
        rack, stages, start = self.seen()
        return Searcher(rack, stages, Outlook(stages, rack.weights)).cheapest(start, lambda work: work >= 0)


@lru_cache
def station_laws(name: str, stations: tuple[str, ...]) -> tuple[Machine, tuple[FeltLaw, ...]]:
    """An example machine and the laws of some of its stations."""
    machine = read_machine(example_text(name), name)
    return machine, tuple(felt_law(machine, machine.stations[station]) for station in stations)


@st.composite
def wishes(draw: st.DrawFn, law: FeltLaw, heaviest_kg: float) -> Wish:
    """Any wish for a station."""
    way = draw(st.sampled_from((Way.FREE, Way.FREE, Way.FREE, Way.STRIP, Way.ADD)))
    per_kg = max(share.per_kg * share.sides for share in law.shares)
    wanted_kg = law.base_kg + draw(st.floats(0.05, 0.8)) * per_kg * heaviest_kg
    return Wish(
        law,
        wanted_kg,
        draw(st.sampled_from((0.0, 0.02, 0.1))) * wanted_kg,
        over_kg=draw(st.sampled_from((None, 0.0))),
        near_kg=draw(st.sampled_from((0.0, 0.5))),
        price_s=draw(st.sampled_from((0.0, 150.0, 1000.0))),
        way=way,
        haste=draw(st.sampled_from((1.0, 3.0))) if way is Way.STRIP else 1.0,
    )


@st.composite
def cases(draw: st.DrawFn, stations: tuple[tuple[str, tuple[str, ...]], ...] = STATIONS, most: int = 6) -> Case:
    """Any session on one of these machines."""
    machine, laws = station_laws(*draw(st.sampled_from(stations)))
    names = draw(st.lists(st.sampled_from(SIZES), min_size=1, max_size=3, unique=True))
    inventory = rack({name: draw(st.sampled_from((2, 4))) for name in names})
    heaviest_kg = sum(plate.mass.kg * count / 2 for plate, count in inventory.counts.items())
    each = st.sampled_from(laws).flatmap(lambda law: wishes(law, heaviest_kg))
    horn = laws[0].shares[0].horn.name
    hanging = draw(st.lists(st.sampled_from(names), max_size=2, unique=True))
    return Case(
        machine,
        inventory,
        tuple(draw(st.lists(each, min_size=1, max_size=most))),
        {horn: tuple(map(plate_of, hanging))} if hanging else {},
        Handling(*draw(st.sampled_from(((4.0, 0.15), (0.0, 0.15), (0.0, 0.0))))),
    )


def another_pair(inventory: Inventory, plate: Plate) -> Inventory:
    """The same plates and one pair more."""
    return Inventory({**inventory.counts, plate: inventory.counts.get(plate, 0) + 2})
