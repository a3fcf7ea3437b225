"""Curves are drawn where the forces are, on scales that can be compared, and say what they show."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

import pytest
from hypothesis import given

from gyms import boathouse
from machines_at_random import machines
from steelyard.drawing.curves import Chart, draw_comparison, draw_curves, span_of, travel_in
from steelyard.drawing.force_curve import (
    ANGLES,
    ForceCurve,
    curve_of,
    matched,
    told_comparison,
    told_curve,
    told_friction,
    told_hardest,
)
from steelyard.machine.felt import felt_law
from steelyard.machine.model import Machine
from steelyard.plates.discs import post_loads
from steelyard.plates.loading import nearest
from steelyard.plates.model import Rung
from steelyard.training.gym import StationLoads
from steelyard.units import STANDARD_GRAVITY, Unit
from steelyard.workshop.pictures import compared, curves_near, rung_near

SVG = "{http://www.w3.org/2000/svg}"
FALLING = ForceCurve(
    "Press", (0.0, 0.25, 0.5), (0.0, 0.5, 1.0), (46.0, 40.0, 34.0), (44.0, 38.0, 32.0), 40.0, 38.0
)
RISING = ForceCurve("Row", (0.0, 0.3, 0.6), (0.0, 0.5, 1.0), (35.0, 39.0, 48.0), (29.0, 32.4, 39.8), 40.0, 33.2)
LEVEL = ForceCurve("Pin", (0.0, 0.5), (0.0, 1.0), (40.0, 40.0), (40.0, 40.0), 40.0, 40.0)


@cache
def view(station: str) -> StationLoads:
    gym = boathouse()
    return gym.loads(gym.machine.stations[station], body_mass_kg=75.0)


def curve(station: str, felt_kg: float = 40.0) -> ForceCurve:
    loads = view(station)
    return curve_of(boathouse().machine, loads.law, rung_near(loads, felt_kg).loading)


def traces(svg: str, part: str) -> list[list[tuple[float, ...]]]:
    """Every line of a kind, as points of the sheet."""
    lines = [each.get("d", "") for each in ElementTree.fromstring(svg).iter() if each.get("data-part") == part]
    return [[tuple(map(float, pair)) for pair in re.findall(r"([-\d.]+) ([-\d.]+)", d)] for d in lines]


def words(svg: str) -> list[str]:
    return [text.text or "" for text in ElementTree.fromstring(svg).iter(f"{SVG}text")]


@pytest.mark.parametrize("station", list(boathouse().machine.stations))
def test_the_mean_over_the_travel_is_the_felt_load(station: str) -> None:
    found = curve(station)
    work = sum(
        (b - a) * (f + g) / 2
        for a, b, f, g in zip(found.share, found.share[1:], found.raising_kg, found.raising_kg[1:], strict=False)
    )
    assert work == pytest.approx(found.felt_kg, rel=2e-4)


def test_a_curve_begins_and_ends_with_the_travel() -> None:
    found = curve("high-pulley")
    assert (found.share[0], found.share[-1], len(found.share)) == (0.0, 1.0, ANGLES)
    assert found.travel_m[-1] == pytest.approx(view("high-pulley").law.stroke_m)


def test_plates_count_at_their_centres() -> None:
    plates = boathouse().inventory
    stack = (plates.plate("20 kg"), plates.plate("10 kg"))
    mass, moment = post_loads({"tip": stack})["tip"]
    assert (mass, moment) == pytest.approx((30.0, 20.0 * 0.018 + 10.0 * (0.036 + 0.014)))


def test_points_are_drawn_where_the_forces_are() -> None:
    (line,) = traces(draw_curves([FALLING]), "raising")
    assert [x for x, _ in line] == pytest.approx([44.0, 196.0, 348.0], abs=0.1)
    assert line[1][1] - line[0][1] == pytest.approx(line[2][1] - line[1][1], abs=0.15)
    assert line[0][1] < line[2][1]  # a larger force lies higher


def test_lowering_is_dashed_and_left_out_where_it_is_the_same() -> None:
    tree = ElementTree.fromstring(draw_curves([FALLING]))
    (lowering,) = [each for each in tree.iter() if each.get("data-part") == "lowering"]
    assert lowering.get("stroke-dasharray")
    assert traces(draw_curves([LEVEL]), "lowering") == []


def test_the_felt_load_is_level() -> None:
    ((start, end),) = traces(draw_curves([RISING]), "felt")
    assert start[1] == end[1]
    assert "40.0 kg felt" in words(draw_curves([RISING]))


def test_a_band_goes_round_its_curve() -> None:
    low, high = (tuple(each * share for each in RISING.raising_kg) for share in (0.9, 1.1))
    svg = draw_curves([replace(RISING, band_kg=(low, high))])
    (band,), (line,) = traces(svg, "band"), traces(svg, "raising")
    for (_, y), below, above in zip(line, band[:3], band[:2:-1], strict=True):
        assert above[1] < y < below[1]


def test_a_calibrations_forces_become_a_band_of_felt_loads() -> None:
    loads = view("row")
    forces = [392.266] * ANGLES
    found = curve_of(boathouse().machine, loads.law, loads.ladder[9].loading, band_n=(forces, forces))
    assert found.band_kg is not None
    assert found.band_kg[0][0] == pytest.approx(392.266 / STANDARD_GRAVITY)


def test_small_curves_share_their_scales() -> None:
    half = replace(FALLING, travel_m=(0.0, 0.125, 0.25))
    one, two = traces(draw_curves([FALLING, half]), "raising")
    assert one[-1][0] - one[0][0] == pytest.approx(2 * (two[-1][0] - two[0][0]), abs=0.2)
    assert [y for _, y in one] == [y for _, y in two]


def test_a_comparison_runs_over_the_share_of_the_way() -> None:
    one, two = traces(draw_comparison(FALLING, RISING), "raising")
    assert [x for x, _ in one] == [x for x, _ in two]


def test_the_sentence_of_a_comparison_says_where_each_is_hardest() -> None:
    assert told_comparison(RISING, FALLING, Unit.KG) == (
        "At the same 40.0 kg felt, Row is hardest at the end (48.0 kg), Press hardest at the start (46.0 kg). "
        "At Row the hands lower 83 % of what they raise; at Press the hands lower 95 % of what they raise."
    )


def test_loads_that_differ_are_not_called_the_same() -> None:
    said = told_comparison(RISING, replace(FALLING, felt_kg=41.0), Unit.KG)
    assert said.startswith("As near to each other as the plates allow, Row at 40.0 kg felt is hardest at the end")


def test_friction_is_said_once_where_it_is_the_same() -> None:
    said = told_comparison(RISING, replace(RISING, title="Other"), Unit.KG)
    assert said.endswith("At both the hands lower 83 % of what they raise.")


def test_a_level_curve_is_even_and_without_friction() -> None:
    assert told_curve(LEVEL, Unit.KG) == (
        "Pin at 40.0 kg felt is even all the way (40.0 kg). "
        "No friction is known of, so the hands lower what they raise."
    )


def test_a_load_that_friction_holds_must_be_pushed_down() -> None:
    assert "push it down" in told_friction(replace(RISING, lowered_kg=-1.0))


def test_friction_too_small_for_a_figure_is_not_called_none() -> None:
    assert told_friction(replace(RISING, lowered_kg=39.9)).startswith("friction is hardly felt")


def test_a_peak_in_between_is_placed_by_its_share() -> None:
    bowed = replace(RISING, raising_kg=(35.0, 48.0, 39.0))
    assert told_hardest(bowed, Unit.LB) == "hardest after 50 % of the way (105.8 lb)"


def test_a_scale_of_high_forces_does_not_begin_at_nothing() -> None:
    low, high = span_of([FALLING], Unit.KG)
    assert 25.0 < low < 32.0
    assert 46.0 < high < 52.0


def test_a_scale_with_small_forces_begins_at_nothing() -> None:
    low, _ = span_of([replace(RISING, lowering_kg=(3.0, 4.0, 5.0))], Unit.KG)
    assert low == 0.0


def test_a_scale_goes_below_nothing_with_the_forces() -> None:
    low, _ = span_of([replace(RISING, lowering_kg=(-3.0, 4.0, 5.0))], Unit.KG)
    assert low < -3.0


def test_a_level_curve_still_has_a_scale() -> None:
    low, high = span_of([LEVEL], Unit.KG)
    assert high - low >= 0.12 * 40.0
    low, high = span_of([replace(LEVEL, raising_kg=(0.0, 0.0), lowering_kg=(0.0, 0.0), felt_kg=0.0)], Unit.KG)
    assert high > low


def test_a_reader_of_pounds_gets_inches_and_pounds() -> None:
    svg = draw_curves([FALLING], unit=Unit.LB)
    assert "inches of handle travel" in words(svg)
    assert "88.2 lb felt" in words(svg)
    assert travel_in(0.254, Unit.LB) == pytest.approx(10.0)


def test_a_way_that_was_not_measured_is_said() -> None:
    still = replace(LEVEL, travel_m=(0.0, 0.0))
    assert "the way was not measured" in words(draw_curves([still]))
    assert "way not measured" in words(draw_curves([still, still]))


def test_a_title_with_markup_is_shown_as_text() -> None:
    svg = draw_curves([replace(FALLING, title="<b>"), LEVEL], title="<script>")
    assert ElementTree.fromstring(svg).findtext(f"{SVG}title") == "<script>"
    assert "<b>" in words(svg)


@given(machines())
def test_any_machines_curves_are_sound_and_inside_their_chart(machine: Machine) -> None:
    law = felt_law(machine, machine.stations["only"])
    svg = draw_curves([curve_of(machine, law, {})])
    (line,) = traces(svg, "raising")
    assert all(43.9 <= x <= 348.1 and 33.9 <= y <= 200.1 for x, y in line)


def test_a_chart_puts_the_lowest_load_at_its_foot() -> None:
    chart = Chart((10.0, 20.0, 110.0, 120.0), 50.0, (30.0, 50.0))
    assert (chart.x(25.0), chart.y(30.0), chart.y(50.0)) == (60.0, 120.0, 20.0)


def test_matched_rungs_are_as_near_to_each_other_as_the_plates_allow() -> None:
    ladders = [[Rung(load, ({},)) for load in loads] for loads in ((38.0, 41.5, 44.0), (36.0, 40.9, 43.9))]
    assert [rung.felt_kg for rung in matched(*ladders, 40.0)] == [41.5, 40.9]
    assert [rung.felt_kg for rung in matched(*ladders, 44.0)] == [44.0, 43.9]


def test_two_stations_near_one_load_are_compared_at_it() -> None:
    machine = boathouse().machine
    one, other = compared((machine, view("row")), (machine, view("press")), 40.0)
    assert (one.title, other.title) == ("Lever row", "Flat press")
    assert one.felt_kg == pytest.approx(other.felt_kg, rel=0.01)


def test_curves_of_two_machines_name_theirs() -> None:
    machine = boathouse().machine
    one, other = compared((machine, view("row")), (replace(machine, name="Other"), view("press")), 40.0)
    assert (one.title, other.title) == ("Lever row (Boathouse lever gym)", "Flat press (Other)")


def test_every_station_is_drawn_at_its_nearest_load() -> None:
    found = curves_near(boathouse().machine, [view("row"), view("handle")], 40.0)
    wanted = [nearest(view(name).ladder, 40.0, count=1)[0].felt_kg for name in ("row", "handle")]
    assert [each.felt_kg for each in found] == pytest.approx(wanted, abs=1e-3)


def test_every_text_of_a_sheet_stays_inside() -> None:
    found = curves_near(boathouse().machine, [view(name) for name in boathouse().machine.stations], 40.0)
    tree: Element = ElementTree.fromstring(draw_curves(found))
    _, _, width, height = map(float, tree.get("viewBox", "").split())
    for text in tree.iter(f"{SVG}text"):
        assert 0 <= float(text.get("x", "")) <= width
        assert 0 <= float(text.get("y", "")) <= height
