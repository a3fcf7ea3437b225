"""A change of plates shows the horns before and after, and says what hands do in between."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import product
from xml.etree import ElementTree

import pytest

from boxes_drawn import boxes
from racks import plate_of, post
from steelyard.drawing.change import draw_change
from steelyard.drawing.stack import horn_change
from steelyard.machine.model import Horn
from steelyard.plates.model import Loading, Plate
from steelyard.plates.moves import moves
from steelyard.units import Unit

SVG = "{http://www.w3.org/2000/svg}"
TWENTY, TEN, FIVE, SMALL, POUNDS = (plate_of(name) for name in ("20 kg", "10 kg", "5 kg", "1.25 kg", "45 lb"))
TIP = {"tip": post()}
TWO = {"tip": post(), "pin": post("pin", sides=1)}


def change(before: Loading, after: Loading, horns: Mapping[str, Horn] = TIP, unit: Unit = Unit.KG) -> str:
    hands = moves(before, after, horns)
    changes = [
        horn_change(name, horn.length_m, horn.sides, after.get(name, ()), [m for m in hands if m.horn == name])
        for name, horn in horns.items()
    ]
    return draw_change(changes, hands, unit=unit)


def written(svg: str) -> list[str]:
    return [text.text or "" for text in ElementTree.fromstring(svg).iter(f"{SVG}text")]


def desc(svg: str) -> str:
    return ElementTree.fromstring(svg).findtext(f"{SVG}desc") or ""


def test_what_stays_is_drawn_twice_and_what_changes_once() -> None:
    svg = change({"tip": (TWENTY, FIVE)}, {"tip": (TWENTY, TEN)})
    assert [len(boxes(svg, look)) for look in ("f-metal", "s-ink f-paper", "f-accent")] == [2, 1, 1]


def test_both_pictures_have_one_scale_and_change_at_one_place() -> None:
    svg = change({"tip": (TWENTY, FIVE)}, {"tip": (TWENTY, TEN)})
    before, after = boxes(svg, "f-metal")
    assert before == after
    left, there = boxes(svg, "s-ink f-paper")[0][0], boxes(svg, "f-accent")[0][0]
    assert left == pytest.approx(there, abs=0.1)  # a tenth is the grain of a drawing


def test_before_shows_the_plates_where_they_hang() -> None:
    outlines = boxes(change({"tip": (TEN, FIVE, SMALL)}, {}), "s-ink f-paper")
    assert [round(width) for _, width, _ in outlines] == sorted((round(w) for _, w, _ in outlines), reverse=True)
    assert [x for x, _, _ in outlines] == sorted(x for x, _, _ in outlines)


def test_the_words_stand_between() -> None:
    said = written(change({"tip": (TWENTY, FIVE)}, {"tip": (TWENTY, TEN)}))
    places = [said.index(text) for text in ("before", "outermost 5 off, 10 on, both sides", "after")]
    assert places == sorted(places)


def test_words_too_long_for_a_line_are_broken_between_words() -> None:
    svg = change({"tip": (TWENTY, TEN, FIVE), "pin": (TEN,)}, {"tip": (POUNDS, SMALL), "pin": (FIVE, SMALL)}, TWO)
    lines = [text for text in written(svg) if " o" in text or "then" in text or "sides" in text]
    assert len(lines) > 2
    assert max(map(len, lines)) <= 36


def test_nothing_to_change_says_so() -> None:
    assert "plates stay" in written(change({"tip": (TEN,)}, {"tip": (TEN,)}))


def test_a_horn_that_is_bare_says_so_then_only() -> None:
    assert written(change({}, {"tip": (TEN,)})).count("empty") == 1
    assert written(change({}, {})).count("empty") == 2


def test_the_description_tells_before_moves_and_after() -> None:
    assert desc(change({"tip": (TWENTY, FIVE)}, {"tip": (TWENTY, TEN)})) == (
        "Before: tip, each side: 20 kg, 5 kg. Then outermost 5 off, 10 on, both sides. "
        "After: tip, each side: 20 kg, 10 kg."
    )


def test_plates_of_the_other_unit_carry_theirs() -> None:
    said = written(change({}, {"tip": (POUNDS,)}, unit=Unit.KG))
    assert "45 lb" in said
    assert "45" in written(change({}, {"tip": (POUNDS,)}, unit=Unit.LB))


def stacks() -> Iterator[tuple[Plate, ...]]:
    yield from ((), (TWENTY,) * 8, (SMALL,) * 6, (TWENTY, TEN, FIVE, SMALL))


@pytest.mark.parametrize("horns", [TIP, TWO], ids=["one horn", "two"])
@pytest.mark.parametrize(("before", "after"), list(product(stacks(), repeat=2)))
def test_everything_stays_inside_the_picture(
    horns: Mapping[str, Horn], before: tuple[Plate, ...], after: tuple[Plate, ...]
) -> None:
    svg = change({"tip": before}, {"tip": after}, horns)
    edge = 186 if len(horns) > 1 else 360
    drawn = [box for look in ("f-metal", "f-accent", "s-ink f-paper") for box in boxes(svg, look)]
    assert all(x + width <= edge for x, width, _ in drawn)
    assert len(drawn) >= len(before) + len(after)


def test_no_horn_at_all_is_still_sound() -> None:
    ElementTree.fromstring(draw_change([], []))
