"""The drawing of torque against what an elbow can give: valid, told in words, the same every time."""

from __future__ import annotations

import math
import re
from xml.etree import ElementTree

import pytest

from steelyard.drawing.joint_curve import Frame, draw_joint_curves, graduation, peak_of, told
from steelyard.drawing.svg import COLOURS
from steelyard.machine.joints import CAPACITY, JointPoint, JointView, capacity_share
from steelyard.machine.model import Joint

SVG = "{http://www.w3.org/2000/svg}"


def curl(title: str, torques_n_m: tuple[float, ...], *, first_deg: float = 10.0) -> JointView:
    """A curl with these torques, every 20 degrees."""
    points = []
    for step, torque in enumerate(torques_n_m):
        flexion = math.radians(first_deg + 20.0 * step)
        points.append(JointPoint(flexion, 0.1 * step, 100.0, torque, 2.0, capacity_share(flexion)))
    return JointView("curl", title, Joint.ELBOW, tuple(points), False, ())


def press(torques_n_m: tuple[float, ...]) -> JointView:
    points = tuple(JointPoint(None, 0.1 * n, 100.0, torque, 2.0, None) for n, torque in enumerate(torques_n_m))
    return JointView("press", "Flat press", Joint.SHOULDER, points, True, ())


PAD, PULLEY = curl("Curl pad", (50.0, 55.0, 40.0)), curl("Low pulley", (5.0, 30.0, 45.0, 50.0))


def dashed(svg: str) -> list[str]:
    return [
        path.get("d", "")
        for path in ElementTree.fromstring(svg).iter(f"{SVG}path")
        if path.get("stroke-dasharray")
    ]


def test_the_drawing_is_well_formed_and_named() -> None:
    root = ElementTree.fromstring(draw_joint_curves([PAD, PULLEY], title="Two curls"))
    assert root.findtext(f"{SVG}title") == "Two curls"
    assert root.findtext(f"{SVG}desc") == told([PAD, PULLEY])


def test_the_same_views_give_the_same_text() -> None:
    assert draw_joint_curves([PAD, PULLEY]) == draw_joint_curves([PAD, PULLEY])


def test_words_tell_what_the_drawing_shows() -> None:
    assert told([PAD]) == "Curl pad: torque from 40 to 55 N m, hardest at 10 degrees of flexion."
    assert told([press((-10.0, 20.0))]) == "Flat press: torque from -10 to 20 N m, hardest at 10 cm of travel."


def test_a_view_without_a_known_place_is_told_without_one() -> None:
    assert told([curl("Far", (5.0, 6.0), first_deg=140.0)]) == "Far: torque from 5 to 6 N m."


def test_each_curl_has_its_own_shape_that_touches_it() -> None:
    assert len(dashed(draw_joint_curves([PAD, PULLEY]))) == 2
    assert peak_of(PAD) * (PAD.ranked[0].capacity or 0.0) == pytest.approx(PAD.ranked[0].torque_n_m)


@pytest.mark.parametrize("view", [PAD, PULLEY])
def test_the_shape_lies_nowhere_below_the_torque(view: JointView) -> None:
    peak = peak_of(view)
    assert all(point.torque_n_m <= peak * (point.capacity or 0.0) + 1e-9 for point in view.points)


def test_a_press_has_no_shape() -> None:
    svg = draw_joint_curves([press((-10.0, 20.0))])
    assert dashed(svg) == []
    assert "cm of handle travel" in svg
    assert "degrees of elbow flexion" not in svg


def test_a_load_that_asks_nothing_has_no_shape() -> None:
    assert dashed(draw_joint_curves([curl("Idle", (-1.0, 0.0))])) == []


def test_everything_stays_within_the_picture() -> None:
    svg = draw_joint_curves([curl("Deep", (5.0, 900.0, 30.0), first_deg=120.0), PULLEY])
    numbers = [float(n) for d in re.findall(r' d="([^"]*)"', svg) for n in re.findall(r"-?\d+\.\d", d)]
    assert all(0.0 <= n <= 480.0 for n in numbers)


def test_the_first_is_in_the_accent_and_the_other_in_metal() -> None:
    svg = draw_joint_curves([PAD, PULLEY])
    drawn = [path.get("stroke") for path in ElementTree.fromstring(svg).iter(f"{SVG}path")]
    assert drawn.count(COLOURS["accent"]) == drawn.count(COLOURS["metal"]) == 3


def test_markup_in_a_title_is_shown_as_text() -> None:
    assert "<b>" not in draw_joint_curves([curl("<b>Pad", (5.0, 6.0))])


def test_a_long_title_is_cut_to_its_room() -> None:
    svg = draw_joint_curves([curl("A very long name of a station at which curls are done", (5.0, 6.0)), PULLEY])
    assert "A very long name" in svg
    assert "…</text>" in svg


def test_torque_lies_higher_where_it_is_larger() -> None:
    frame = Frame([PAD])
    assert frame.y(50.0) < frame.y(10.0) < frame.y(0.0)
    assert frame.x(0.0) < frame.x(60.0) < frame.x(140.0) == frame.x(200.0)


@pytest.mark.parametrize(("low", "high"), [(0.0, 3.0), (-12.0, 61.0), (0.0, 480.0), (0.0, 2000.0)])
def test_graduation_is_few_round_amounts(low: float, high: float) -> None:
    amounts = graduation(low, high)
    assert 1 <= len(amounts) <= 7
    assert all(low <= amount <= high for amount in amounts)


def test_the_shape_has_a_corner_for_every_row_of_the_table() -> None:
    (shape,) = dashed(draw_joint_curves([PAD]))
    assert shape.count("L") + 1 == len(CAPACITY)
