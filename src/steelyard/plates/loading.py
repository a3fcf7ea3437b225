"""What a loading weighs, what it is felt as, whether it is allowed, and every load that can be built.

Felt loads are in whole grams, so that two builds of one load compare as equal everywhere.
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise

from steelyard.errors import LimitExceeded, NoLoading, OutOfRange, UnknownName
from steelyard.machine.model import FeltLaw, Machine
from steelyard.plates.grain import Carried, carried, felt_grams, grains, kilograms
from steelyard.plates.limits import breaches, limits_of, rig_of
from steelyard.plates.model import Inventory, Loading, Plate, Rung, Stack
from steelyard.plates.search import every, search_of
from steelyard.plates.stackings import ladder_of, reading_of, stackings
from steelyard.units import Unit, plain, show_mass


def plates_kg(stack: Stack) -> float:
    """What the plates on one post weigh. [kg]

    >>> from steelyard.units import parse_mass
    >>> plates_kg((Plate("20 kg", parse_mass("20 kg"), 0.03), Plate("45 lb", parse_mass("45 lb"), 0.03)))
    40.41165665
    """
    return kilograms(sum(grains(plate.mass) for plate in stack))


def felt_kg(law: FeltLaw, loading: Loading) -> float:
    """What the hand feels of a loading while raising, to the gram. [kg]

    Raises: UnknownName if the loading names a horn that the station does not feel.
    """
    return felt_grams(law, posts_of(law, loading)) / 1000


def lowering_kg(law: FeltLaw, loading: Loading) -> float:
    """What the hand feels of a loading while lowering, to the gram; as raising where there is no friction. [kg]

    Below 0 friction holds the arm up, and the hand must push it down.

    Raises: UnknownName if the loading names a horn that the station does not feel.
    """
    return felt_kg(law.lowering or law, loading)


def posts_of(law: FeltLaw, loading: Loading) -> tuple[Carried, ...]:
    """What one post of each horn carries, in the order of the law's shares. Raises: UnknownName."""
    horns = [share.horn.name for share in law.shares]
    for name in loading:
        if name not in horns:
            raise UnknownName(f"horn at station {law.station.name}", name, horns)
    return tuple(carried(loading.get(name, ())) for name in horns)


def check_loading(
    machine: Machine, law: FeltLaw, loading: Loading, inventory: Inventory, *, whole_pair: bool = True
) -> None:
    """Refuse a loading that breaks a rated limit, lacks room, or takes more plates than there are.

    Checked: plates owned, room on each horn, mass on one post and on one arm, cable tension, and that the plates
    do not lift the arm by themselves. What the maker does not state is not checked.

    whole_pair: both arms of a pair get the same; if not, there need be plates for one.

    Raises: UnknownName for a horn that the station does not feel; LimitExceeded with the first limit broken.
    """
    limits, posts = limits_of(machine, law), posts_of(law, loading)
    sides = [horn.sides for horn in limits.rig.horns] if whole_pair else limits.rig.on_arm
    check_owned(loading, dict(zip((horn.name for horn in limits.rig.horns), sides, strict=True)), inventory)
    for breach in breaches(limits, posts):
        raise breach


def check_owned(loading: Loading, sides: Mapping[str, int], inventory: Inventory) -> None:
    """Refuse a loading with more plates of a kind than are in the house.

    sides: of every horn it names, how many posts carry the same.

    Raises: LimitExceeded.
    """
    used: Counter[Plate] = Counter()
    for name, stack in loading.items():
        for plate in stack:
            used[plate] += sides[name]
    for plate, count in used.items():
        owned = inventory.counts.get(plate, 0)
        if count > owned:
            way_out = "use other plates, or add these to the plates file if they are there"
            raise LimitExceeded(
                f"plates named {plate.name} in use", f"{count}", f"{owned}, all there are", way_out
            )


def loadings(machine: Machine, law: FeltLaw, inventory: Inventory) -> Iterator[Loading]:
    """Every allowed loading of a station, each stack with the heaviest plate innermost, equal masses by name.

    There can be very many: `ladder` finds the loads they make without going through them all.
    """
    rig = rig_of(machine, law)
    search, reading = search_of(rig, inventory), reading_of(law, rig)
    for state in every(search):
        if reading.grams(search.figures(state >> search.layout.carried)) is not None:
            yield search.loading(search.layout.order(state))


def ladder(machine: Machine, law: FeltLaw, inventory: Inventory) -> tuple[Rung, ...]:
    """Every felt load that a station can be given, ascending, different by a gram or more; never empty.

    Each comes with its best builds, at most `BUILDS_KEPT`: fewest plates first, both sides counted; then fewest
    kinds of plate; then heavier plates first, on the horn that the machine names first.

    In a house so well stocked that its loadings can't all be gone through, of loads that differ by about a tenth
    of a percent only some are known, each with a build or two; see `plates.thinning`. All are true loadings.

    For several stations on the same horns, `ladder_of` makes each ladder from `stackings` that are found once.

    Raises: LimitExceeded if no loading at all is allowed, so that even the empty station breaks a limit.
    """
    return ladder_of(law, stackings(rig_of(machine, law), inventory))


@dataclass(frozen=True, slots=True)
class Gap:
    """The step between two neighbours of a ladder. [kg]"""

    below_kg: float
    above_kg: float

    @property
    def step_kg(self) -> float:
        """How much heavier the upper one is, to the gram. [kg]"""
        return round(self.above_kg - self.below_kg, 3)

    @property
    def percent(self) -> float:
        """The step as a share of the lower load; infinite above an empty hand. [%]"""
        return 100 * self.step_kg / self.below_kg if self.below_kg else math.inf


def gaps(ladder: Sequence[Rung]) -> tuple[Gap, ...]:
    """The steps between neighbours, ascending; none on a ladder of one rung."""
    return tuple(Gap(below.felt_kg, above.felt_kg) for below, above in pairwise(ladder))


def largest_gap(ladder: Sequence[Rung]) -> Gap | None:
    """The largest step in kg, the lowest of equals; None on a ladder of one rung."""
    return max(gaps(ladder), key=lambda gap: (gap.step_kg, -gap.below_kg), default=None)


def nearest(ladder: Sequence[Rung], wanted_kg: float, *, count: int = 2) -> tuple[Rung, ...]:
    """The rungs nearest to a felt load, nearest first, the lighter of two as near; fewer if there are fewer.

    Raises: OutOfRange if the felt load is no number.
    """
    wanted = wanted_grams(wanted_kg)
    place = rungs_below(ladder, wanted)
    around = ladder[max(0, place - count) : place + count]
    by_distance = sorted(around, key=lambda rung: (abs(grams_of(rung) - wanted), rung.felt_kg))
    return tuple(by_distance[:count])


def heaviest_at_most(ladder: Sequence[Rung], limit_kg: float) -> Rung:
    """The heaviest rung that is not above a felt load. [kg]

    Raises: NoLoading if every rung is above it; OutOfRange if the felt load is no number.
    """
    place = bisect_right(ladder, wanted_grams(limit_kg), key=grams_of)
    if place == 0:
        limit, *lightest = told_apart([limit_kg, *(rung.felt_kg for rung in ladder[:1])], Unit.KG)
        raise NoLoading(f"at most {limit}", lightest)
    return ladder[place - 1]


def build_exactly(ladder: Sequence[Rung], wanted_kg: float, tolerance_kg: float, *, unit: Unit = Unit.KG) -> Rung:
    """The rung nearest to a felt load, if it lies within a tolerance. [kg]

    unit: the lifter's, for the message.

    Raises: NoLoading, with the rungs below and above; OutOfRange if a figure is no number or a negative tolerance.
    """
    if not tolerance_kg >= 0:
        raise OutOfRange("tolerance", f"{tolerance_kg:g} kg", "0 kg or more")
    found = nearest(ladder, wanted_kg, count=1)
    if found and abs(grams_of(found[0]) - wanted_grams(wanted_kg)) <= round(min(tolerance_kg, 1e6) * 1000):
        return found[0]
    wanted, *offered = told_apart([wanted_kg, *(rung.felt_kg for rung in around(ladder, wanted_kg))], unit)
    raise NoLoading(wanted, offered)


def around(ladder: Sequence[Rung], wanted_kg: float) -> Sequence[Rung]:
    """The rungs just below and just above a felt load; one where there is nothing further. [kg]

    Raises: OutOfRange if the felt load is no number.
    """
    place = rungs_below(ladder, wanted_grams(wanted_kg))
    return ladder[max(0, place - 1) : place + 1]


def grams_of(rung: Rung) -> int:
    """A rung's felt load. [g]"""
    return round(rung.felt_kg * 1000)


def wanted_grams(wanted_kg: float) -> int:
    """A felt load asked for. [g]"""
    if not math.isfinite(wanted_kg):
        raise OutOfRange("felt load", f"{wanted_kg:g} kg", "a number of kilograms")
    return round(wanted_kg * 1000)


def rungs_below(ladder: Sequence[Rung], grams: int) -> int:
    """How many rungs lie below a felt load. [g]"""
    return bisect_left(ladder, grams, key=grams_of)


def told_apart(felt_kg: Sequence[float], unit: Unit) -> list[str]:
    """Felt loads [kg] in a lifter's unit: to the tenth, or finer where a tenth would make two of them equal.

    >>> told_apart([61.0, 60.204, 62.44], Unit.KG), told_apart([61.0, 61.0124], Unit.KG)
    (['61 kg', '60.2 kg', '62.4 kg'], ['61 kg', '61.01 kg'])
    """
    for places in (1, 2, 3):
        texts = [show_mass(kg, unit, places=places) for kg in felt_kg]
        if len(set(texts)) == len(texts):
            break
    return [f"{plain(Decimal(number))} {word}" for number, word in map(str.split, texts)]
