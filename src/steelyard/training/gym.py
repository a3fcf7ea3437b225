"""What there is to train with: one machine, the plates in the house, the exercises, and the loads they make."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass, field

from steelyard.errors import OutOfRange, UnknownName
from steelyard.machine.felt import felt_law
from steelyard.machine.model import FeltLaw, Horn, Machine, Station
from steelyard.plates.limits import Rig, rig_of
from steelyard.plates.loading import check_loading
from steelyard.plates.missing import without
from steelyard.plates.model import Inventory, Loading, Rung
from steelyard.plates.stackings import Stackings, ladder_of, stackings
from steelyard.training.model import Exercise

LawKey = tuple[str, bool]
"""A station on an arm by its name, and whether one arm alone is used."""


MOST_WITHOUT = 8
"""So many gyms with plates missing are kept: a ladder takes a tenth of a second to work out, and some memory."""


@dataclass(frozen=True, slots=True)
class StationLoads:
    """A station as one lifter can use it: its law and its load ladder, ascending and never empty.

    felt_kg: every felt load of the ladder, ascending. [kg]
    """

    station: Station
    law: FeltLaw
    ladder: tuple[Rung, ...]
    horns: Mapping[str, Horn]
    felt_kg: tuple[float, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Read the loads once; they are asked for at every set."""
        object.__setattr__(self, "felt_kg", tuple(rung.felt_kg for rung in self.ladder))

    def at_most(self, limit_kg: float) -> int:
        """Index of the heaviest rung not above the limit; the lightest if all are above it."""
        return max(0, bisect_right(self.ladder, limit_kg, key=lambda rung: rung.felt_kg) - 1)


@dataclass(frozen=True)
class Gym:
    """Machine, plates and exercises; laws, ladders and the stackings behind them are worked out once and kept."""

    machine: Machine
    inventory: Inventory
    exercises: Mapping[str, Exercise]
    _known: dict[tuple[str, bool, float | None], StationLoads] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )
    _stackings: dict[Rig, Stackings] = field(default_factory=dict, init=False, repr=False, compare=False)
    _without: dict[tuple[str, ...], Gym] = field(default_factory=dict, init=False, repr=False, compare=False)
    _laws: dict[LawKey, FeltLaw] = field(default_factory=dict, init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Raises: OutOfRange if a station names an exercise that the exercise list lacks."""
        for station in self.machine.stations.values():
            for exercise in station.exercises:
                if exercise not in self.exercises:
                    name = f"exercise of station {station.name}"
                    raise OutOfRange(name, f"'{exercise}'", "an id of the exercise list")

    def stations_for(self, exercise: str) -> tuple[Station, ...]:
        """The stations where an exercise can be done, in the order of the machine file."""
        return tuple(station for station in self.machine.stations.values() if exercise in station.exercises)

    def law(self, station: Station, *, one_arm: bool = False, body_mass_kg: float | None = None) -> FeltLaw:
        """What a station makes of its plates. Raises: OutOfRange if it needs a body mass and none is given."""
        if station.arm is None:
            return felt_law(self.machine, station, body_mass_kg=body_mass_kg)
        key = (station.name, one_arm)
        if key not in self._laws:
            self._laws[key] = felt_law(self.machine, station, one_arm=one_arm)
        return self._laws[key]

    def take_over(self, laws: Mapping[LawKey, FeltLaw]) -> None:
        """Reckon with laws of this machine that were worked out elsewhere; before any load is asked for."""
        self._laws.update(laws)

    def loads(self, station: Station, *, one_arm: bool = False, body_mass_kg: float | None = None) -> StationLoads:
        """The loads of a station.

        Raises: OutOfRange if the station needs a body mass and none is given; LimitExceeded if even the empty
        station is more than it is rated for.
        """
        key = (station.name, one_arm, body_mass_kg if station.arm is None else None)
        if key not in self._known:
            law = self.law(station, one_arm=one_arm, body_mass_kg=body_mass_kg)
            rungs = self._ladder(law)
            rungs = tuple(rung for rung in rungs if rung.felt_kg > 0) or rungs  # an empty hand trains nothing
            horns = {horn.name: horn for horn in self.machine.horns_of(station)}
            self._known[key] = StationLoads(station, law, rungs, horns)
        return self._known[key]

    def _ladder(self, law: FeltLaw) -> tuple[Rung, ...]:
        """The ladder of a law; the plates are stacked once for all stations of a rig."""
        rig = rig_of(self.machine, law)
        if rig not in self._stackings:
            self._stackings[rig] = stackings(rig, self.inventory)
        return ladder_of(law, self._stackings[rig])

    def without(self, plates: tuple[str, ...]) -> Gym:
        """The gym without missing plates, as `plates.missing.without` reads them; worked out once and kept.

        Raises: UnknownName for a plate that is not here; OutOfRange for a count that is none or too large.
        """
        if not plates:
            return self
        known = self._without.get(plates)
        if known is None:
            known = Gym(self.machine, without(self.inventory, plates), self.exercises)
            known.take_over(self._laws)
            for oldest in list(self._without)[: len(self._without) + 1 - MOST_WITHOUT]:
                self._without.pop(oldest, None)
            self._without[plates] = known
        return known

    def misread(self, plates: tuple[str, ...]) -> tuple[str, ...]:
        """Those of the missing plates that can't be missing here: not known, or more of them than there are."""
        left, found = self.inventory, []
        for name in plates:
            try:
                left = without(left, (name,))
            except (UnknownName, OutOfRange):
                found.append(name)
        return tuple(found)

    def loading(self, names: Mapping[str, tuple[str, ...]]) -> Loading:
        """Stacks from plate names by horn, innermost first. Raises: UnknownName for a horn or plate not here."""
        for horn in names:
            if horn not in self.machine.horns:
                raise UnknownName("horn", horn, self.machine.horns)
        return {horn: tuple(map(self.inventory.plate, stack)) for horn, stack in names.items()}

    def allowed(self, loads: StationLoads, names: Mapping[str, tuple[str, ...]]) -> Loading:
        """Stacks from plate names, as a loading that a station may be given.

        Raises: UnknownName for a horn or plate not here; LimitExceeded if it breaks a rated limit.
        """
        loading = self.loading(names)
        check_loading(self.machine, loads.law, loading, self.inventory)
        return loading

    def known_loading(self, names: Mapping[str, tuple[str, ...]]) -> Loading | None:
        """As `loading`; None if the plates or horns have been renamed or given away since."""
        try:
            return self.loading(names)
        except UnknownName:
            return None
