"""Which plates to buy: what each usual pair would make of the ladders, worked out in full and compared.

Two questions, two scores. Finer: by how much the step in which a wanted load lies exceeds what helps, on average
over the stations. Further: how much load the top gains, within every limit. Each station counts alike.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import combinations_with_replacement

from steelyard.machine.model import FeltLaw, Machine
from steelyard.plates.closeness import Closeness, closeness, nearest_limit
from steelyard.plates.denominations import usual_plates
from steelyard.plates.grain import grains
from steelyard.plates.limits import Rig, rig_of
from steelyard.plates.loading import ladder
from steelyard.plates.model import Inventory, Plate
from steelyard.plates.reach import felt_loads
from steelyard.plates.stackings import Stackings, ladder_of, stackings
from steelyard.plates.steps import (
    COARSE_PERCENT,
    FINE_PERCENT,
    Span,
    Steps,
    closed,
    steps_within,
    working_range,
)
from steelyard.units import Unit

OFFERS = 3
"""How many purchases are named for each question."""
LEFT = 0.25
"""A pair that leaves more than this share of the excess leaves enough to look at two pairs (a choice)."""
COMBINED = 5
"""How many of the best single pairs are tried two by two (a choice: all of them would take a minute)."""
WORTH_BUYING = FINE_PERCENT / 100
"""A purchase for range must add at least this share of the top somewhere: one step that is worth making."""
SCORES_TO = 1e-6
"""Scores are rounded to this before they are compared."""


@dataclass(frozen=True, slots=True)
class Use:
    """A station as it is used.

    used_kg: lightest and heaviest load lifted there; None if nobody's are known. [kg]
    """

    law: FeltLaw
    used_kg: Span | None = None


@dataclass(frozen=True, slots=True)
class Standing:
    """What a station is now.

    working_kg: the loads between which its steps matter; None on a ladder of one load. [kg]
    felt_kg:    its ladder. [kg]
    limit:      the limit that its heaviest load comes nearest to; None if none is stated.
    """

    use: Use
    felt_kg: tuple[float, ...]
    working_kg: Span | None
    steps: Steps | None
    limit: Closeness | None


@dataclass(frozen=True, slots=True)
class Effect:
    """What a purchase makes of one station.

    steps:       of the same working range as before.
    closed_wide, closed_coarse: how many of the steps above 2.5 and 5 % it divides into parts that are not.
    top_kg:      the heaviest load then. [kg]
    """

    before: Standing
    steps: Steps | None
    closed_wide: int
    closed_coarse: int
    top_kg: float

    @property
    def finer_percent(self) -> float:
        """By how much the mean excess shrinks. [%]"""
        if self.steps is None or self.before.steps is None:
            return 0.0
        return self.before.steps.excess_percent - self.steps.excess_percent

    @property
    def added_kg(self) -> float:
        """What the top gains, to the gram. [kg]"""
        return round(self.top_kg - self.before.felt_kg[-1], 3)

    @property
    def further_share(self) -> float:
        """What the top gains, as a share of it."""
        return self.added_kg / self.before.felt_kg[-1] if self.before.felt_kg[-1] > 0 else 0.0


@dataclass(frozen=True, slots=True)
class Purchase:
    """Plates to buy, each so many times, and what that makes of every station used."""

    plates: tuple[Plate, ...]
    count: int
    effects: tuple[Effect, ...]

    @property
    def finer_percent(self) -> float:
        """By how much the mean excess shrinks, over all stations. [%]"""
        return _mean(effect.finer_percent for effect in self.effects)

    @property
    def typical_percent(self) -> tuple[float, float]:
        """The typical step before and after, over the stations that have steps. [%]"""
        known = [(each.before.steps, each.steps) for each in self.effects if each.before.steps and each.steps]
        return _mean(old.typical_percent for old, _ in known), _mean(new.typical_percent for _, new in known)

    @property
    def further_share(self) -> float:
        """What the tops gain, over all stations."""
        return _mean(effect.further_share for effect in self.effects)

    @property
    def furthest(self) -> Effect:
        """The effect at the station that gains most range, the first of equals."""
        return max(self.effects, key=lambda effect: effect.further_share)

    @property
    def mass(self) -> int:
        """What one of each weighs. [grains]"""
        return sum(grains(plate.mass) for plate in self.plates)


@dataclass(frozen=True, slots=True)
class Advice:
    """What to buy.

    finer, further: the best purchases for finer steps and for more range, best first; empty if none helps.
    limits: of each of `further`, the limit that the station which gains most then comes nearest to.
    """

    now: tuple[Standing, ...]
    finer: tuple[Purchase, ...] = ()
    further: tuple[Purchase, ...] = ()
    limits: tuple[Closeness | None, ...] = ()

    @property
    def excess_percent(self) -> float:
        """The mean excess of the steps over what helps, over all stations; 0 if every step is fine. [%]"""
        return _mean(each.steps.excess_percent if each.steps else 0.0 for each in self.now)


def _mean(figures: Iterable[float]) -> float:
    found = list(figures)
    return sum(found) / len(found) if found else 0.0


def what_to_buy(
    machine: Machine, uses: Sequence[Use], inventory: Inventory, units: Sequence[Unit] = tuple(Unit)
) -> Advice:
    """The plates that make these stations finest, and those that take them furthest.

    Every ladder is worked out in full with each usual plate added: a pair of it, or one where every station has
    single posts only. Where the best pair leaves much, the best few are tried two by two.

    units: what the plates may be cast in.

    Raises: LimitExceeded if even an empty station breaks a limit.
    """
    now = standings(machine, uses, inventory)
    count = max((share.horn.sides for use in uses for share in use.law.shares), default=0)
    if not count:
        return Advice(now)

    def bought(*plates: Plate) -> Purchase:
        return purchase(machine, now, inventory, plates, count)

    singles = list(map(bought, usual_plates(inventory, units)))
    finer = ranked(singles, lambda one: one.finer_percent)
    if finer and finer[0].finer_percent < (1 - LEFT) * Advice(now).excess_percent:
        best = [one.plates[0] for one in finer[:COMBINED]]
        pairs = [bought(*plates) for plates in combinations_with_replacement(best, 2)]
        finer = ranked([*finer, *pairs], lambda one: one.finer_percent)
    worth = [one for one in singles if one.furthest.further_share >= WORTH_BUYING]
    further = ranked(worth, lambda one: one.further_share)[:OFFERS]
    return Advice(now, named(finer), further, tuple(limit_then(machine, inventory, one) for one in further))


def ranked(purchases: Iterable[Purchase], score: Callable[[Purchase], float]) -> tuple[Purchase, ...]:
    """Those that help, the best first; of equals the fewer and lighter plates."""
    rounded = [(round(score(each) / SCORES_TO), each) for each in purchases]
    rounded.sort(key=lambda one: (-one[0], len(one[1].plates), one[1].mass))
    return tuple(each for gain, each in rounded if gain > 0)


def named(finer: Sequence[Purchase]) -> tuple[Purchase, ...]:
    """The purchases to name: the best, and among them the best single pair for those who buy no more."""
    single = next((each for each in finer if len(each.plates) == 1), None)
    if single is None or single in finer[:OFFERS]:
        return tuple(finer[:OFFERS])
    return (*finer[: OFFERS - 1], single)


def standings(machine: Machine, uses: Sequence[Use], inventory: Inventory) -> tuple[Standing, ...]:
    """What each station is with these plates. Raises: LimitExceeded if even an empty one breaks a limit."""
    known: dict[Rig, Stackings] = {}
    found = []
    for use in uses:
        rig = rig_of(machine, use.law)
        if rig not in known:
            known[rig] = stackings(rig, inventory)
        rungs = ladder_of(use.law, known[rig])
        felt_kg = usable(rung.felt_kg for rung in rungs)
        working = working_range(felt_kg, use.used_kg)
        steps = steps_within(felt_kg, working) if working else None
        limit = nearest_limit(closeness(machine, use.law, rungs[-1].loading))
        found.append(Standing(use, felt_kg, working, steps, limit))
    return tuple(found)


def usable(felt_kg: Iterable[float]) -> tuple[float, ...]:
    """The loads of a ladder but for an empty hand, which trains nothing, unless there is no other. [kg]"""
    found = tuple(felt_kg)
    return tuple(kg for kg in found if kg > 0) or found


def purchase(
    machine: Machine, now: Sequence[Standing], inventory: Inventory, plates: Sequence[Plate], count: int
) -> Purchase:
    """What it makes of the stations to buy so many of each of these plates; one named twice is bought twice."""
    ladders = felt_loads(machine, [each.use.law for each in now], with_plates(inventory, plates, count))
    effects = tuple(effect(before, usable(felt_kg)) for before, felt_kg in zip(now, ladders, strict=True))
    return Purchase(tuple(plates), count, effects)


def with_plates(inventory: Inventory, plates: Sequence[Plate], count: int) -> Inventory:
    """The inventory with so many more of each of these plates."""
    counts = dict(inventory.counts)
    for plate in plates:
        counts[plate] = counts.get(plate, 0) + count
    return replace(inventory, counts=counts)


def limit_then(machine: Machine, inventory: Inventory, bought: Purchase) -> Closeness | None:
    """The limit that the station which gains most comes nearest to at its new top; None if none is stated."""
    law = bought.furthest.before.use.law
    rungs = ladder(machine, law, with_plates(inventory, bought.plates, bought.count))
    return nearest_limit(closeness(machine, law, rungs[-1].loading))


def effect(before: Standing, felt_kg: Sequence[float]) -> Effect:
    """What a new ladder makes of a station. [kg]"""
    old = before.steps
    if before.working_kg is None or old is None:
        return Effect(before, None, 0, 0, felt_kg[-1])
    return Effect(
        before,
        steps_within(felt_kg, before.working_kg),
        len(closed(felt_kg, old.wide, FINE_PERCENT)),
        len(closed(felt_kg, old.coarse, COARSE_PERCENT)),
        felt_kg[-1],
    )
