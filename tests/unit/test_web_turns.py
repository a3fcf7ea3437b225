"""The page of several lifters in turn: the sheet, the way to it, and beginning together."""

from __future__ import annotations

import warnings
from collections.abc import Iterator

import pytest

from steelyard.service import Steelyard
from steelyard.units import Unit
from steelyard.web.app import make_app
from steelyard.workshop.turns_live import in_company

with warnings.catch_warnings():  # Starlette would rather see another HTTP client under its test client
    warnings.simplefilter("ignore")
    from starlette.testclient import TestClient

JSON = {"accept": "application/json"}


@pytest.fixture
def client(steelyard: Steelyard) -> Iterator[TestClient]:
    with TestClient(make_app(steelyard, demo=True), raise_server_exceptions=False) as opened:
        yield opened


@pytest.fixture
def who(steelyard: Steelyard) -> list[str]:
    return [known.lifter for known in steelyard.lifters()[:2]]


@pytest.fixture
def outline(steelyard: Steelyard) -> str:
    return next(iter(steelyard.home.outlines))


def test_the_sheet_offers_to_start_together(client: TestClient, who: list[str], outline: str) -> None:
    text = client.get("/turns", params={"who": who, "outline": outline}).text
    assert "Start together" in text
    assert 'action="/turns/start"' in text
    assert all(f'name="who" value="{lifter}"' in text for lifter in who)


def test_a_form_begins_joined_sessions_and_leads_to_the_first(
    client: TestClient, steelyard: Steelyard, who: list[str], outline: str
) -> None:
    answer = client.post("/turns/start", data={"who": who, "outline": outline}, follow_redirects=False)
    begun = [steelyard.open_session(lifter) for lifter in who]
    assert answer.status_code == 303
    assert answer.headers["location"] == f"/session/{begun[0]}"
    assert list(in_company(steelyard, str(begun[0]))) == begun


def test_the_same_form_twice_begins_once(client: TestClient, steelyard: Steelyard, who: list[str]) -> None:
    before = len(steelyard.state.sessions)
    answers = [client.post("/turns/start", json={"who": who}, headers=JSON).json()["page"] for _ in range(2)]
    assert answers[0] == answers[1]
    assert len(steelyard.state.sessions) == before + 2
    assert len(steelyard.state.joins) == 1


def test_once_begun_the_sheet_leads_back_to_it(client: TestClient, steelyard: Steelyard, who: list[str]) -> None:
    client.post("/turns/start", data={"who": who}, follow_redirects=False)
    text = client.get("/turns", params={"who": who}).text
    assert f'href="/session/{steelyard.open_session(who[0])}"' in text
    assert "Start together" not in text


def test_who_has_not_answered_the_screening_is_led_to_it(
    client: TestClient, steelyard: Steelyard, who: list[str]
) -> None:
    steelyard.add_lifter("newcomer", "New <comer>", Unit.KG, 0)
    steelyard.record_body_mass("newcomer", 70.0)
    text = client.get("/turns", params={"who": [who[0], "newcomer"]}).text
    assert 'href="/lifter/newcomer/screening"' in text
    assert "New &lt;comer&gt;" in text
    assert "Start together" not in text


def test_nobody_begins_before_the_screening(client: TestClient, steelyard: Steelyard, who: list[str]) -> None:
    steelyard.add_lifter("newcomer", "New", Unit.KG, 0)
    answer = client.post("/turns/start", json={"who": [who[0], "newcomer"]}, headers=JSON)
    assert answer.status_code == 422
    assert "the screening of New is not answered" in answer.json()["error"]["message"]
    assert steelyard.open_session(who[0]) is None


def test_a_third_can_be_taken_along(client: TestClient, steelyard: Steelyard, who: list[str]) -> None:
    steelyard.add_lifter("newcomer", "New", Unit.KG, 0)
    text = client.get("/turns", params={"who": who}).text
    assert f'href="/turns?who={who[0]}&amp;who={who[1]}&amp;who=newcomer"' in text


@pytest.mark.parametrize(
    ("body", "status", "told"),
    [
        ({"who": []}, 422, "2 to 4 different lifters"),
        ({"who": ["nobody", "other"]}, 404, "nobody"),
        ({"who": "tove"}, 400, "says not who begins"),
        ({"names": ["tove"]}, 400, "says not who begins"),
    ],
)
def test_what_makes_no_company_is_told(
    client: TestClient, body: dict[str, object], status: int, told: str
) -> None:
    answer = client.post("/turns/start", json=body, headers=JSON)
    assert answer.status_code == status
    assert told in answer.json()["error"]["message"]


def test_an_outline_that_is_not_known_is_told(client: TestClient, who: list[str]) -> None:
    answer = client.post("/turns/start", data={"who": who, "outline": "nothing"}, headers=JSON)
    assert answer.status_code == 404
    assert client.post("/turns/start", content=b"\xff", headers=JSON).status_code == 400
