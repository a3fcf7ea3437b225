"""The page of plates answers how to build a load, and with what if plates are missing."""

from __future__ import annotations

import re
import warnings
from collections.abc import Iterator
from html import unescape

import pytest

from gyms import steelyard
from steelyard.web.app import make_app

with warnings.catch_warnings():  # Starlette would rather see another HTTP client under its test client
    warnings.simplefilter("ignore")
    from starlette.testclient import TestClient

ROW = {"station": "row"}


@pytest.fixture
def client() -> Iterator[TestClient]:
    with TestClient(make_app(steelyard()), raise_server_exceptions=False) as opened:
        yield opened


def answer(client: TestClient, status: int = 200, **query: str | list[str]) -> str:
    page = client.get("/plates", params=ROW | query)
    assert page.status_code == status
    return unescape(page.text)


def told(page: str) -> list[tuple[str, str]]:
    """Every way with its felt load, as the page has them."""
    return re.findall(r"<h3>([^<]*)</h3>.*?<p class=\"todo\">([^<]*)</p>", page, re.DOTALL)


def test_nothing_is_built_until_a_load_is_asked_for(client: TestClient) -> None:
    page = answer(client)
    assert told(page) == []
    assert 'role="alert"' not in page


def test_a_load_is_built_in_the_unit_it_was_asked_in(client: TestClient) -> None:
    ((kilograms, stack),) = told(answer(client, felt="61 kg"))
    ((pounds, same),) = told(answer(client, felt="134.5 lb"))
    assert (kilograms.split()[1].rstrip(","), pounds.split()[1].rstrip(",")) == ("kg", "lb")
    assert stack == same


def test_missing_plates_are_not_used_and_stay_ticked(client: TestClient) -> None:
    page = answer(client, felt="61 kg", without=["20 kg", "15 kg"])
    assert not any("20 kg" in stack or "15 kg" in stack for _, stack in told(page))
    assert page.count(" checked>") == 2


def test_a_load_out_of_reach_is_answered_with_the_nearest(client: TestClient) -> None:
    page = answer(client, felt="900 kg")
    assert "No loading makes 900 kg; nearest is 160.4 kg" in page
    assert [felt for felt, _ in told(page)] == ["160.4 kg, 82.2 % less"]


@pytest.mark.parametrize(
    ("query", "status", "said"),
    [
        ({"felt": "much"}, 422, "Mass is 'much'; it must be a mass such as"),
        ({"felt": "61", "station": "rwo"}, 404, "Station 'rwo' is not known; did you mean row?"),
        ({"felt": "61", "without": "21 kg"}, 404, "Plate '21 kg' is not known; did you mean"),
        ({"felt": "<b>61"}, 422, "it must be a mass such as"),
    ],
)
def test_what_is_wrong_is_told_on_the_page(
    client: TestClient, query: dict[str, str], status: int, said: str
) -> None:
    assert said in answer(client, status, **query)
