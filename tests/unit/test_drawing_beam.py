"""The beam is drawn where the loads are, stays readable, and is the same every time."""

from __future__ import annotations

import re
from itertools import pairwise
from xml.etree import ElementTree

import pytest

from steelyard.drawing.beam import (
    LEAST_APART,
    MOST_NOTCHES,
    Beam,
    beam_pieces,
    draw_beam,
    graduation,
    scale_of,
    spread_out,
    told,
)
from steelyard.drawing.svg import text_width
from steelyard.units import Unit

LADDER = tuple(22.0 + 2.3 * step for step in range(30))
SVG = "{http://www.w3.org/2000/svg}"


def ladder(rungs: int) -> tuple[float, ...]:
    return tuple(10.0 + 0.9 * step for step in range(rungs))


def notch_places(svg: str) -> list[float]:
    path = re.search(r'd="(M[^"]*v6\.5)"', svg)
    assert path is not None
    return [float(x) for x in re.findall(r"M([\d.]+) ", path[1])]


@pytest.mark.parametrize("rungs", [1, 2, 3, 17, 44, 45, 200])
def test_a_ladder_of_any_length_is_drawn_as_sound_xml(rungs: int) -> None:
    loads = ladder(rungs)
    tree = ElementTree.fromstring(draw_beam(Beam(loads, next_kg=loads[-1], now_kg=loads[0])))
    assert tree.find(f"{SVG}title") is not None
    assert tree.find(f"{SVG}desc") is not None


def test_a_ladder_without_rungs_is_drawn_too() -> None:
    ElementTree.fromstring(draw_beam(Beam(())))


def test_each_rung_of_a_short_ladder_has_its_notch() -> None:
    assert len(notch_places(draw_beam(Beam(LADDER)))) == len(LADDER)


def test_notches_are_never_too_close_to_tell_apart() -> None:
    places = notch_places(draw_beam(Beam(ladder(200))))
    assert all(right - left >= LEAST_APART - 0.1 for left, right in pairwise(places))


def test_positions_are_linear_in_load() -> None:
    scale = scale_of(Beam(LADDER))
    first, second, third = (scale.x(load) for load in (30.0, 40.0, 60.0))
    assert third - second == pytest.approx(2 * (second - first))


def test_a_long_ladder_is_shown_round_the_loads_that_matter() -> None:
    scale = scale_of(Beam(ladder(200), now_kg=100.0, next_kg=110.8, fitting_kg=(105.0, 115.0)))
    assert len(scale.rungs_kg) <= MOST_NOTCHES + 2
    assert scale.low_kg < 100.0
    assert scale.high_kg > 115.0
    assert scale.cut_low
    assert scale.cut_high


def test_a_poise_outside_the_ladder_is_still_on_the_arm() -> None:
    scale = scale_of(Beam((20.0, 30.0), next_kg=45.0))
    assert scale.high_kg == 45.0


def test_one_rung_alone_lies_in_the_middle() -> None:
    scale = scale_of(Beam((38.5,)))
    assert scale.x(38.5) == pytest.approx((scale.x(-1e9) + scale.x(1e9)) / 2)


def test_the_next_load_is_written_in_the_lifters_unit() -> None:
    svg = draw_beam(Beam((20.41165665, 45.359237), unit=Unit.LB, next_kg=45.359237))
    assert ">100.0 lb felt</text>" in svg


def test_the_load_now_is_not_written_over_the_next_one() -> None:
    near = draw_beam(Beam(LADDER, now_kg=LADDER[14], next_kg=LADDER[15]))
    far = draw_beam(Beam(LADDER, now_kg=LADDER[0], next_kg=LADDER[29]))
    assert ">now " not in near
    assert ">now 22.0</text>" in far


def test_a_bracket_beyond_what_is_shown_is_left_out() -> None:
    assert "s-accent" in draw_beam(Beam((20.0, 30.0), fitting_kg=(25.0, 70.0)))
    assert "s-accent" not in draw_beam(Beam((20.0, 30.0), fitting_kg=(60.0, 70.0)))


def test_markup_in_a_title_is_shown_as_text() -> None:
    svg = draw_beam(Beam(LADDER), title='<script>alert("x")</script>')
    assert "<script" not in svg
    assert ElementTree.fromstring(svg).findtext(f"{SVG}title") == '<script>alert("x")</script>'


def test_the_same_beam_gives_the_same_text() -> None:
    beam = Beam(LADDER, now_kg=LADDER[3], next_kg=LADDER[9] + 1e-9, fitting_kg=(LADDER[8], LADDER[11]))
    assert draw_beam(beam) == draw_beam(
        Beam(LADDER, now_kg=LADDER[3], next_kg=LADDER[9], fitting_kg=beam.fitting_kg)
    )


def test_the_words_say_what_the_drawing_shows() -> None:
    words = told(Beam((20.0, 30.0), next_kg=30.0, fitting_kg=(28.0, 31.0)))
    assert words == "2 loads from 20.0 kg to 30.0 kg. Next 30.0 kg. Fitting the rep range: 28.0 kg to 31.0 kg."


@pytest.mark.parametrize(("low", "high"), [(0.0, 3.0), (22.0, 91.0), (50.0, 420.0), (10.0, 10.4), (0.0, 5000.0)])
def test_graduation_is_few_round_amounts_inside_the_arm(low: float, high: float) -> None:
    amounts = graduation(low, high)
    assert len(amounts) <= 7
    assert all(low <= amount <= high for amount in amounts)


def test_thinning_keeps_the_first_place() -> None:
    assert spread_out([5.0, 6.0, 7.0]) == [5.0]


def test_beams_of_one_station_share_most_pieces() -> None:
    """What two sets have in common is sent once, so what is their own must not lie in the same piece."""
    one = beam_pieces(Beam(LADDER, next_kg=LADDER[9], now_kg=LADDER[3]))
    other = beam_pieces(Beam(LADDER, next_kg=LADDER[21], now_kg=LADDER[9]))
    own = [piece for piece in other if piece not in one]
    assert sum(map(len, own)) < 0.2 * sum(map(len, other))


def test_notches_are_the_same_wherever_the_load_is() -> None:
    near, far = (draw_beam(Beam(LADDER, next_kg=LADDER[place] + 0.4)) for place in (3, 21))
    assert notch_places(near) == notch_places(far)


def test_a_load_near_the_edge_is_written_inside_the_picture() -> None:
    svg = draw_beam(Beam(LADDER, next_kg=LADDER[-1]))
    group = re.search(r'translate\(([\d.]+)\)">.*<text x="([-\d.]+)">88.7 kg felt', svg)
    assert group is not None
    assert float(group[1]) + float(group[2]) == pytest.approx(
        360 - 4 - text_width("88.7 kg felt", 21) / 2, abs=0.1
    )
