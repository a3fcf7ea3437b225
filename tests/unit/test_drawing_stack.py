"""The stack shows plates to scale, says what moves, and stays inside its picture."""

from __future__ import annotations

from decimal import Decimal
from itertools import pairwise
from xml.etree import ElementTree

import pytest

from boxes_drawn import boxes
from steelyard.drawing.rack import draw_rack
from steelyard.drawing.spans import Bar, draw_spans
from steelyard.drawing.stack import (
    HornChange,
    draw_stack,
    horn_change,
    mass_written,
    plate_height,
    stack_pieces,
    told,
)
from steelyard.drawing.svg import text_width
from steelyard.plates.model import Inventory, Move, Plate
from steelyard.units import Mass, Unit


def plate(amount: str, thickness_m: float, diameter_m: float, unit: Unit = Unit.KG) -> Plate:
    return Plate(f"{amount} {unit}", Mass(Decimal(amount), unit), thickness_m, diameter_m=diameter_m)


TWENTY, TEN, FIVE = plate("20", 0.032, 0.45), plate("10", 0.024, 0.325), plate("5", 0.02, 0.23)
SMALL = plate("1.25", 0.012, 0.16)


def test_a_change_keeps_what_is_under_the_plates_put_on() -> None:
    moves = [Move(False, FIVE, "arm", 2), Move(True, TEN, "arm", 2)]
    change = horn_change("arm", 0.3, 2, (TWENTY, TEN), moves)
    assert (change.kept, change.off, change.on) == ((TWENTY,), (FIVE,), (TEN,))


def test_plates_put_on_lie_outside_those_that_stay() -> None:
    svg = draw_stack([HornChange("arm", 0.3, 2, (TWENTY,), (), (TEN,))])
    assert boxes(svg, "f-metal")[0][0] < boxes(svg, "f-accent")[0][0]


def test_thickness_and_diameter_are_to_scale() -> None:
    svg = draw_stack([HornChange("arm", 0.3, 2, (TWENTY, TEN))])
    (_, wide, tall), (_, thin, short) = boxes(svg, "f-metal")
    assert short / tall == pytest.approx(0.325 / 0.45, abs=0.01)
    assert (thin + 1.6) / (wide + 1.6) == pytest.approx(0.024 / 0.032, abs=0.01)


def test_what_comes_off_first_is_outermost() -> None:
    svg = draw_stack([HornChange("arm", 0.3, 1, (TWENTY,), (SMALL, FIVE))])
    (_, inner, _), (_, outer, _) = boxes(svg, "s-ink f-paper")
    assert inner > outer


@pytest.mark.parametrize("small", [False, True])
def test_many_plates_stay_inside_the_picture(small: bool) -> None:
    full = HornChange("arm", 0.3, 2, (TWENTY,) * 8, (SMALL, FIVE), (FIVE, SMALL, SMALL))
    svg = draw_stack([full], small=small)
    edge = 150 if small else 360
    assert all(
        x + width <= edge for look in ("f-metal", "f-accent", "s-ink f-paper") for x, width, _ in boxes(svg, look)
    )


def test_an_empty_horn_says_so() -> None:
    assert ">empty</text>" in draw_stack([HornChange("arm", 0.3, 1, ())])


def test_two_sided_horns_say_each_side() -> None:
    assert "arm, each side" in draw_stack([HornChange("arm", 0.3, 2, (TWENTY,))])
    assert "each side" not in draw_stack([HornChange("arm", 0.3, 1, (TWENTY,))])


def test_every_horn_has_its_row() -> None:
    horns = [HornChange("near", 0.2, 2, (TEN,)), HornChange("far", 0.2, 2, ())]
    svg = draw_stack(horns)
    assert "near, each side" in svg
    assert "far, each side" in svg


def test_no_horn_at_all_is_still_sound() -> None:
    ElementTree.fromstring(draw_stack([]))


def test_a_horns_name_with_markup_is_shown_as_text() -> None:
    assert "<b>" not in draw_stack([HornChange("<b>arm</b>", 0.3, 2, ())])


def test_a_plate_of_the_other_unit_carries_its_unit() -> None:
    pound = plate("45", 0.03, 0.45, Unit.LB)
    assert (mass_written(pound, Unit.KG), mass_written(pound, Unit.LB)) == ("45 lb", "45")


def test_the_words_name_plates_and_moves_in_order() -> None:
    words = told([HornChange("arm", 0.3, 2, (TWENTY,), (FIVE,), (TEN, SMALL))])
    assert words == "arm, each side: 20 kg; take off 5 kg; put on 10 kg, 1.25 kg."


def test_the_rack_draws_every_plate_in_the_house() -> None:
    svg = draw_rack(Inventory({TWENTY: 8, TEN: 4, SMALL: 2}))
    assert len(boxes(svg, "f-metal")) == 14
    assert "8 × 20 kg" in svg


def test_an_empty_rack_is_sound() -> None:
    ElementTree.fromstring(draw_rack(Inventory({})))


def test_a_plate_is_as_tall_as_its_diameter_says() -> None:
    assert plate_height(TWENTY, 100.0) == pytest.approx(100.0)


def test_bars_are_as_long_as_their_sets() -> None:
    svg = draw_spans([Bar("lats", 10.0), Bar("biceps", 5.0)], (10.0, 20.0))
    (_, lats, _), (_, biceps, _) = boxes(svg, "f-metal")
    assert biceps == pytest.approx(lats / 2, abs=0.1)


def test_the_usual_span_lies_where_a_bar_of_that_length_ends() -> None:
    svg = draw_spans([Bar("lats", 10.0)], (10.0, 20.0))
    (start, length, _), span = boxes(svg, "f-metal")[0], boxes(svg, "f-soft")[0]
    assert start + length == pytest.approx(span[0], abs=0.1)


def test_plates_that_stay_are_the_same_pieces_in_the_next_drawing() -> None:
    on = stack_pieces([HornChange("arm", 0.3, 2, (TWENTY,), (), (TEN,))])
    off = stack_pieces([HornChange("arm", 0.3, 2, (TWENTY,), (TEN,))])
    box = next(piece for piece in on if 'class="f-metal"' in piece)
    assert box in off
    assert off[off.index(box) - 1] == on[on.index(box) - 1]  # at the same place


def test_a_mass_stays_inside_its_plate_or_beside_it() -> None:
    svg = draw_stack([HornChange("arm", 0.3, 1, (TWENTY, SMALL, SMALL))])
    assert svg.count(">1.25</text>") == 2
    assert svg.count("rotate(-90)") == 2


THIN = plate("2.5", 0.004, 0.19)
THINNER = plate("1.25", 0.004, 0.16)


def beside(svg: str) -> list[tuple[float, float, str]]:
    """What is written beside plates: where it begins, at which height, and the words."""
    texts = [one for one in ElementTree.fromstring(svg).iter() if one.tag.endswith("text") and one.get("x")]
    return [(float(one.attrib["x"]), float(one.attrib["y"]), one.text or "") for one in texts]


def test_thin_plates_alike_are_named_once_with_how_many_they_are() -> None:
    svg = draw_stack([HornChange("arm", 0.3, 2, (), (THIN,) * 3)])
    assert [words for *_, words in beside(svg) if "2.5" in words] == ["3 × 2.5"]


def test_masses_beside_thin_plates_never_lie_over_one_another() -> None:
    svg = draw_stack([HornChange("arm", 0.3, 2, (TWENTY,), (THIN, THINNER) * 8)])
    written = sorted((y, x, words) for x, y, words in beside(svg) if words in ("1.25", "2.5"))
    assert len(written) >= 2
    for (y, x, words), (other_y, other_x, _) in pairwise(written):
        assert abs(y - other_y) > 20 or other_x >= x + text_width(words, 12)
