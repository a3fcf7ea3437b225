"""The board's addresses: which session they show, and that they tell nothing that is the lifter's own."""

from __future__ import annotations

import warnings
from collections.abc import Iterator

import pytest

from second_thoughts import correct_set
from steelyard.service import Steelyard
from steelyard.units import Unit
from steelyard.web.app import make_app
from steelyard.web.board import going_on
from steelyard.workshop.sets import log_set

with warnings.catch_warnings():  # Starlette would rather see another HTTP client under its test client
    warnings.simplefilter("ignore")
    from starlette.testclient import TestClient


@pytest.fixture
def client(steelyard: Steelyard) -> Iterator[TestClient]:
    with TestClient(make_app(steelyard, demo=True), raise_server_exceptions=False) as opened:
        yield opened


def begin(steelyard: Steelyard, place: int = 0) -> str:
    lifter = steelyard.lifters()[place].lifter
    return steelyard.start_session(lifter, steelyard.next_outline(lifter))


def test_while_nobody_trains_the_board_waits(client: TestClient) -> None:
    assert client.get("/board/latest").json() == {"session": ""}
    assert 'data-state="waiting"' in client.get("/board").text


def test_the_session_going_on_is_on_the_board_without_being_named(
    client: TestClient, steelyard: Steelyard
) -> None:
    session = begin(steelyard)
    assert client.get("/board/latest").json() == {"session": session}
    shown = client.get("/board").text
    assert f'data-session="{session}" data-follows data-state="going"' in shown
    assert "<svg" in shown


def test_a_board_of_one_session_follows_no_other(client: TestClient, steelyard: Steelyard) -> None:
    session = begin(steelyard)
    assert f'data-session="{session}" data-state="going"' in client.get(f"/board/{session}").text


def test_several_sessions_are_offered(client: TestClient, steelyard: Steelyard) -> None:
    begun = [begin(steelyard, place) for place in (0, 1)]
    shown = client.get("/board").text
    assert all(f'href="/board/{session}"' in shown for session in begun)
    assert {group[0].session for group in going_on(steelyard)} == set(begun)


def test_an_ended_session_is_shown_as_over_and_is_not_latest(client: TestClient, steelyard: Steelyard) -> None:
    session = begin(steelyard)
    steelyard.end_session(session)
    assert 'data-state="over"' in client.get(f"/board/{session}").text
    assert client.get("/board/latest").json() == {"session": ""}


@pytest.mark.parametrize("named", ["f" * 32, "nobody", "%3Cscript%3E"])
def test_a_session_that_is_not_known_is_told_plainly(client: TestClient, named: str) -> None:
    answer = client.get(f"/board/{named}")
    assert answer.status_code == 404
    assert "Traceback" not in answer.text
    assert "<script>" not in answer.text


def test_remarks_reasons_and_screening_are_not_for_the_room(client: TestClient, steelyard: Steelyard) -> None:
    session = begin(steelyard)
    lifter = steelyard.lifters()[0].lifter
    steelyard.answer_screening(lifter, True, True, True)
    one = steelyard.session(session).current
    assert one is not None
    correct_set(steelyard, log_set(steelyard, session, one.slot, one.reps_low), note="the left elbow hurts")
    shown, now = client.get(f"/board/{session}").text, steelyard.session(session).current
    assert now is not None
    assert not any(words in shown for words in ("elbow hurts", now.reason, "disease", "symptoms"))


def test_a_name_can_do_no_harm(client: TestClient, steelyard: Steelyard) -> None:
    steelyard.add_lifter("x", "<img src=x onerror=alert(1)>", Unit.KG, 1)
    session = steelyard.start_session("x", steelyard.next_outline("x"))
    assert "<img" not in client.get(f"/board/{session}").text
