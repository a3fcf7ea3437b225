"""The ladder against plain enumeration, and what must hold for every loading, move and strip."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator
from fractions import Fraction
from itertools import product

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from racks import Gym, gym_of, gyms, plate_of, post
from steelyard.errors import LimitExceeded
from steelyard.machine.model import Cable
from steelyard.plates.handling import Handling
from steelyard.plates.loading import check_loading, felt_kg, ladder, loadings
from steelyard.plates.model import BUILDS_KEPT, Inventory, Loading, Plate, Stack
from steelyard.plates.moves import moves, replay

MICRON = Fraction(1, 10**6)


def exact_kg(plate: Plate) -> Fraction:
    return Fraction(plate.mass.amount) * Fraction(plate.mass.unit.in_kg)


def exact_m(plate: Plate) -> Fraction:
    return Fraction(round(plate.thickness_m * 10**6)) * MICRON


def exact_felt_kg(gym: Gym, loading: Loading) -> Fraction:
    """Felt load by the law as it stands in FeltLaw, in exact fractions."""
    felt = Fraction(gym.law.base_kg)
    for share in gym.law.shares:
        stack = loading.get(share.horn.name, ())
        inner = Fraction(0)
        for plate in stack:
            centre = inner + exact_m(plate) / 2
            felt += share.sides * exact_kg(plate) * (Fraction(share.per_kg) + Fraction(share.per_kg_m) * centre)
            inner += exact_m(plate)
    return felt


def stack_of(counts: tuple[int, ...], kinds: list[Plate]) -> Stack:
    return tuple(plate for plate, count in zip(kinds, counts, strict=True) for _ in range(count))


def all_loadings(gym: Gym) -> Iterator[Loading]:
    """Every loading the plates allow, limits not looked at, by trying all counts on all horns."""
    kinds = sorted(gym.inventory.counts, key=lambda plate: (-exact_kg(plate), plate.name))
    names = [share.horn.name for share in gym.law.shares]
    each = list(product(*(range(gym.inventory.counts[plate] + 1) for plate in kinds)))
    for rows in product(each, repeat=len(names)):
        used = Counter[Plate]()
        for row, share in zip(rows, gym.law.shares, strict=True):
            for plate, count in zip(kinds, row, strict=True):
                used[plate] += count * share.horn.sides
        if all(used[plate] <= gym.inventory.counts[plate] for plate in kinds):
            stacks = (stack_of(row, kinds) for row in rows)
            yield {name: stack for name, stack in zip(names, stacks, strict=True) if stack}


def within_limits(gym: Gym, loading: Loading) -> bool:
    """The limits in plain exact arithmetic, compared in whole grams, microns and millinewtons."""
    arm = gym.machine.arms["main"]
    loads, on_arm = [], Fraction(0)
    for share in gym.law.shares:
        horn, stack = share.horn, loading.get(share.horn.name, ())
        mass, room = sum(map(exact_kg, stack), Fraction(0)), sum(map(exact_m, stack), Fraction(0))
        if room > Fraction(round((horn.length_m - horn.collar_m) * 10**6)) * MICRON:
            return False
        if horn.rated_kg is not None and round(mass * 1000) > round(horn.rated_kg * 1000):
            return False
        on_arm += mass * (1 if arm.paired else horn.sides)
        loads.append(mass)
    if arm.rated_plates_kg is not None and round(on_arm * 1000) > round(arm.rated_plates_kg * 1000):
        return False
    return tension_fits(gym, loads) and exact_felt_kg(gym, loading) * 1000 >= Fraction(-1, 2)


def tension_fits(gym: Gym, loads: list[Fraction]) -> bool:
    drive = gym.law.station.drive
    if not isinstance(drive, Cable) or drive.rated_n is None:
        return True
    bases, shares = gym.law.peak_base_n + gym.law.moving_base_n, gym.law.peak_per_kg_n + gym.law.moving_per_kg_n
    pulls = (
        base + sum(share * float(load) for share, load in zip(per_kg, loads, strict=True))
        for base, per_kg in zip(bases, shares, strict=True)
    )
    return round(max(pulls) * 1000) <= round(drive.rated_n * 1000)


def written(loading: Loading) -> str:
    return "; ".join(f"{name}: {', '.join(plate.name for plate in stack)}" for name, stack in loading.items())


def by_rule(gym: Gym, loading: Loading) -> tuple[object, ...]:
    """Fewest plates, fewest kinds, then the heavier plates first, on the first horn first."""
    kinds = sorted(gym.inventory.counts, key=lambda plate: (-exact_kg(plate), plate.name))
    stacks = [loading.get(share.horn.name, ()) for share in gym.law.shares]
    plates = sum(len(stack) * share.horn.sides for stack, share in zip(stacks, gym.law.shares, strict=True))
    return (
        plates,
        len({plate for stack in stacks for plate in stack}),
        [[-stack.count(k) for k in kinds] for stack in stacks],
    )


def ladder_by_brute_force(gym: Gym) -> list[tuple[float, list[Loading]]]:
    found: defaultdict[float, list[Loading]] = defaultdict(list)
    for loading in all_loadings(gym):
        if within_limits(gym, loading):
            found[felt_kg(gym.law, loading)].append(loading)
    return [(felt, sorted(found[felt], key=lambda one: by_rule(gym, one))[:BUILDS_KEPT]) for felt in sorted(found)]


def small(gym: Gym) -> bool:
    rows = 1
    for count in gym.inventory.counts.values():
        rows *= count + 1
    return bool(rows ** len(gym.law.shares) <= 6_000)


@given(gyms())
def test_loadings_are_all_those_that_break_no_limit(gym: Gym) -> None:
    assume(small(gym))
    found = [written(loading) for loading in loadings(*gym)]
    assert sorted(found) == sorted(
        written(loading) for loading in all_loadings(gym) if within_limits(gym, loading)
    )


@given(gyms())
def test_the_ladder_is_what_brute_force_finds_with_the_same_builds(gym: Gym) -> None:
    assume(small(gym))
    expected = ladder_by_brute_force(gym)
    assume(expected)
    assert [(rung.felt_kg, list(rung.builds)) for rung in ladder(*gym)] == expected


@settings(max_examples=120)
@given(st.lists(st.integers(1, 4), min_size=8, max_size=9), st.integers(4, 14), st.data())
def test_where_many_builds_compete_for_room_the_best_are_kept(
    thick: list[int], length: int, data: st.DataObject
) -> None:
    masses = data.draw(st.sampled_from([("5 kg",), ("5 kg",), ("5 kg", "2.5 kg")]))  # the fewer, the more compete
    plates = {
        plate_of(f"no {n}", 10 * each, mass=data.draw(st.sampled_from(masses))): 1 for n, each in enumerate(thick)
    }
    along = data.draw(st.sampled_from([0.0, 0.0, 0.9]))
    crowded = gym_of([post(length_mm=10 * length, sides=1)], Inventory(plates), per_kg_m=[along])
    assert [(rung.felt_kg, list(rung.builds)) for rung in ladder(*crowded)] == ladder_by_brute_force(crowded)


@given(gyms())
def test_felt_load_is_the_law_to_the_nearest_gram(gym: Gym) -> None:
    assume(small(gym))
    for loading in all_loadings(gym):
        off = abs(Fraction(felt_kg(gym.law, loading)) - exact_felt_kg(gym, loading))
        assert off <= Fraction(1, 2000) + Fraction(1, 10**9)


@given(gyms())
def test_check_loading_refuses_just_what_breaks_a_limit(gym: Gym) -> None:
    assume(small(gym))
    for loading in list(all_loadings(gym))[:200]:
        if within_limits(gym, loading):
            check_loading(gym.machine, gym.law, loading, gym.inventory)
        else:
            with pytest.raises(LimitExceeded):
                check_loading(gym.machine, gym.law, loading, gym.inventory)


@given(gyms(), st.data())
def test_moves_lead_from_any_loading_to_any_other(gym: Gym, data: st.DataObject) -> None:
    assume(small(gym))
    every = st.sampled_from(list(all_loadings(gym)))
    before, after = data.draw(every), data.draw(every)
    change = moves(before, after, gym.machine.horns)
    assert replay(before, change) == after
    assert moves(after, after, gym.machine.horns) == ()
    offs_and_ons = [move.on for move in change]
    assert offs_and_ons == sorted(offs_and_ons)  # all off before any on
    assert Handling().seconds(change) == Handling().seconds(moves(after, before, gym.machine.horns))


@given(gyms(), st.data())
def test_while_plates_move_no_more_are_in_use_than_are_owned(gym: Gym, data: st.DataObject) -> None:
    assume(small(gym))
    every = st.sampled_from(list(all_loadings(gym)))
    before, after = data.draw(every), data.draw(every)
    change = moves(before, after, gym.machine.horns)
    for done in range(len(change) + 1):
        used: Counter[Plate] = Counter()
        for name, stack in replay(before, change[:done]).items():
            for plate in stack:
                used[plate] += gym.machine.horns[name].sides
        assert all(count <= gym.inventory.counts[plate] for plate, count in used.items())
