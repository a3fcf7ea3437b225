"""The page of a station's joint: it answers, keeps what was typed, and tells what is wrong beside the form."""

from __future__ import annotations

import re
import warnings
from collections.abc import Iterator
from html import unescape
from typing import Any

import pytest

from gyms import steelyard
from steelyard.web.app import make_app
from steelyard.web.joints import EXAMPLE, asked
from steelyard.workshop.wording import opened

with warnings.catch_warnings():  # Starlette would rather see another HTTP client under its test client
    warnings.simplefilter("ignore")
    from starlette.datastructures import QueryParams
    from starlette.testclient import TestClient

MINE = {"stature": "180 cm", "mass": "80 kg", "felt": "36 kg"}


@pytest.fixture
def client() -> Iterator[TestClient]:
    with TestClient(make_app(steelyard()), raise_server_exceptions=False) as opened:
        yield opened


def shown(client: TestClient, station: str, status: int = 200, **query: str) -> str:
    answer: Any = client.get(f"/station/{station}/joints", params=query)
    assert answer.status_code == status
    return unescape(answer.text)


def test_without_figures_an_example_of_nobody_is_shown(client: TestClient) -> None:
    page = shown(client, "curl")
    assert "An example: nobody in particular" in page
    assert 'value="175 cm"' in page
    assert "Curl pad: hardest at" in page


def test_own_figures_are_shown_and_stay_in_the_form(client: TestClient) -> None:
    page = shown(client, "curl", **MINE)
    assert "nobody in particular" not in page
    assert all(f'value="{typed}"' in page for typed in MINE.values())
    assert "Curl pad at 36.0 kg felt" in page


def test_two_curls_are_drawn_and_told_together(client: TestClient) -> None:
    page = shown(client, "curl", **MINE, beside="low-pulley")
    assert page.count("<svg") == 1
    assert page.count("stroke-dasharray") == 2
    assert "Curl pad is hardest with the straighter arm, Low pulley with the more bent one." in page
    assert '<option value="low-pulley" selected>' in page


def test_only_stations_of_the_same_joint_are_offered_beside(client: TestClient) -> None:
    assert re.findall(r'<option value="([\w-]+)"', shown(client, "curl")) == ["low-pulley"]
    assert re.findall(r'<option value="([\w-]+)"', shown(client, "press")) == ["press-incline", "press-shoulder"]
    assert "<option" not in shown(client, "row")


def test_pounds_and_feet_are_understood(client: TestClient) -> None:
    page = shown(client, "curl", stature="5 ft 11 in", mass="176 lb", felt="80 lb")
    assert "lb felt" in page


def test_one_arm_is_kept_and_counts(client: TestClient) -> None:
    page = shown(client, "curl", **MINE, one_arm="yes")
    assert 'value="yes" checked' in page
    assert "99 N m in each arm at work" in page


def test_a_row_is_context_without_a_drawing(client: TestClient) -> None:
    page = shown(client, "row", **MINE)
    assert "<svg" not in page
    assert "3.4 kN" in page


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        ({"stature": "90 cm"}, "Stature is 90 cm; it must be from 120 to 230 cm"),
        ({"stature": "tall"}, "Length is 'tall'; it must be a length such as 180 cm"),
        ({"mass": "0 kg"}, "Body mass is 0 kg"),
        ({"mass": "200 kg"}, "User mass would be 200.0 kg"),
        ({"felt": "lots"}, "Mass is 'lots'"),
        ({"beside": "squat"}, "Station squat is no curl"),
        ({"stature": ""}, "Length is ''"),
    ],
)
def test_what_is_wrong_is_told_beside_the_form(client: TestClient, wrong: dict[str, str], told: str) -> None:
    page = shown(client, "curl", 422, **MINE | wrong)
    assert told in page
    assert 'name="stature"' in page
    assert "<svg" not in page


def test_an_unknown_station_beside_is_told_beside_the_form(client: TestClient) -> None:
    assert "Station 'nowhere' is not known" in shown(client, "curl", 404, **MINE, beside="nowhere")


def test_markup_that_was_typed_is_shown_as_text(client: TestClient) -> None:
    answer: Any = client.get("/station/curl/joints", params={**MINE, "stature": "<script>alert(1)</script>"})
    assert "<script>alert" not in answer.text


def test_a_station_of_no_joint_is_told_with_those_that_have_one(client: TestClient) -> None:
    assert "must be one of: row, curl" in shown(client, "squat", 422)


def test_a_station_that_is_not_there_is_not_found(client: TestClient) -> None:
    assert "'nowhere' is not known" in shown(client, "nowhere", 404)


def test_nothing_in_the_page_needs_inline_style_or_script(client: TestClient) -> None:
    page = shown(client, "curl", **MINE, beside="low-pulley")
    assert " style=" not in page
    assert re.findall(r"<script(?![^>]*src=)", page) == []


def test_what_is_left_out_is_the_example() -> None:
    form = asked(QueryParams({"stature": " 190 cm "}))
    assert (form.stature, form.mass, form.felt) == ("190 cm", EXAMPLE["mass"], EXAMPLE["felt"])


def test_a_very_long_answer_is_cut() -> None:
    assert len(asked(QueryParams({"stature": "9" * 5000})).stature) == 40


@pytest.mark.parametrize(("words", "told"), [("stature is", "Stature is"), ("", ""), ("Already", "Already")])
def test_a_sentence_begins_with_a_capital(words: str, told: str) -> None:
    assert opened(words) == told


@pytest.mark.parametrize(
    ("station", "words"),
    [("curl", "Where it is hard for the elbow"), ("row", "What it asks of the lower back"), ("squat", None)],
)
def test_a_stations_page_leads_here_where_there_is_something_to_tell(
    client: TestClient, station: str, words: str | None
) -> None:
    page = client.get(f"/station/{station}").text
    assert (f"/station/{station}/joints" in page) == (words is not None)
    assert words is None or words in page
