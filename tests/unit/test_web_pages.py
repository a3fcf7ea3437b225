"""The page as a program sees it: every address answers, wrong input is told plainly, nothing is recorded twice."""

from __future__ import annotations

import re
import warnings
from collections.abc import Iterator
from html import unescape
from typing import Any

import pytest

from steelyard.service import Steelyard
from steelyard.units import Unit
from steelyard.web.app import make_app
from steelyard.web.guard import LARGEST_BODY

with warnings.catch_warnings():  # Starlette would rather see another HTTP client under its test client
    warnings.simplefilter("ignore")
    from starlette.testclient import TestClient

NAME = "<img src=x onerror=alert(1)>"
JSON = {"accept": "application/json"}
EVENT = "0123456789abcdef0123456789abcdef"


@pytest.fixture
def client(steelyard: Steelyard) -> Iterator[TestClient]:
    with TestClient(make_app(steelyard, demo=True), raise_server_exceptions=False) as opened:
        yield opened


@pytest.fixture
def lifter(steelyard: Steelyard) -> str:
    return steelyard.lifters()[0].lifter


@pytest.fixture
def session(steelyard: Steelyard, lifter: str) -> str:
    return steelyard.start_session(lifter, steelyard.next_outline(lifter))


@pytest.fixture
def slot(steelyard: Steelyard, session: str) -> str:
    current = steelyard.session(session).current
    assert current is not None
    return current.slot


def message(answer: Any) -> str:
    """The one shape of every JSON error."""
    body = answer.json()
    assert list(body) == ["error"]
    assert list(body["error"]) == ["message"]
    told: str = body["error"]["message"]
    return told


PAGES = ("/", "/machine", "/machine?unit=lb", "/plates", "/cautions", "/static/steelyard.css", "/static/taps.js")


@pytest.mark.parametrize("address", PAGES)
def test_every_page_answers(client: TestClient, address: str) -> None:
    assert client.get(address).status_code == 200


def test_every_page_of_every_lifter_answers(client: TestClient, steelyard: Steelyard) -> None:
    for known in steelyard.lifters():
        for outline in steelyard.home.outlines:
            assert client.get(f"/lifter/{known.lifter}", params={"outline": outline}).status_code == 200
        assert client.get(f"/review/{known.lifter}").status_code == 200
        assert client.get(f"/lifter/{known.lifter}/screening").status_code == 200


def test_the_demo_says_that_its_people_are_invented(client: TestClient) -> None:
    assert "invented" in client.get("/").text


def test_a_session_is_started_logged_and_ended_by_plain_forms(
    client: TestClient, steelyard: Steelyard, lifter: str
) -> None:
    outline = steelyard.next_outline(lifter)
    page = client.post(f"/lifter/{lifter}/start", data={"outline": outline, "event": EVENT})
    assert page.url.path == f"/session/{EVENT}"
    done = steelyard.session(EVENT).current
    assert done is not None
    page = client.post(f"/session/{EVENT}/set", data={"slot": done.slot, "reps": "8"})
    assert "Saved" in page.text
    page = client.post(f"/session/{EVENT}/end", data={})
    assert "Session ended" in page.text


def test_every_set_of_a_session_is_shown_until_none_is_left(
    client: TestClient, steelyard: Steelyard, session: str
) -> None:
    while (current := steelyard.session(session).current) is not None:
        page = client.get(f"/session/{session}")
        assert page.status_code == 200
        assert f'data-slot="{current.slot}"' in page.text
        steelyard.log_set(session, current.slot, current.reps_low, rir=max(current.rir, 2))
    assert "All sets done" in client.get(f"/session/{session}").text


def test_a_program_gets_the_id_of_what_was_saved(
    client: TestClient, steelyard: Steelyard, session: str, slot: str
) -> None:
    answer = client.post(f"/session/{session}/set", json={"slot": slot, "reps": 9, "event": EVENT})
    assert answer.json() == {"saved": EVENT, "page": f"/session/{session}"}
    assert [logged.id for logged in steelyard.session(session).session.sets] == [EVENT]


def test_the_same_tap_twice_is_one_set(client: TestClient, steelyard: Steelyard, session: str, slot: str) -> None:
    tap = {"slot": slot, "reps": 9, "event": EVENT}
    answers = [client.post(f"/session/{session}/set", json=tap) for _ in range(2)]
    assert [answer.status_code for answer in answers] == [200, 200]
    assert len(steelyard.session(session).session.sets) == 1


def test_the_same_start_twice_is_one_session(client: TestClient, steelyard: Steelyard, lifter: str) -> None:
    tap = {"outline": steelyard.next_outline(lifter), "event": EVENT}
    before = len(steelyard.state.sessions)
    answers = [client.post(f"/lifter/{lifter}/start", json=tap).json()["saved"] for _ in range(2)]
    assert answers == [EVENT, EVENT]
    assert len(steelyard.state.sessions) == before + 1


def test_a_set_is_done_once(client: TestClient, session: str, slot: str) -> None:
    client.post(f"/session/{session}/set", json={"slot": slot, "reps": 9})
    answer = client.post(f"/session/{session}/set", json={"slot": slot, "reps": 9})
    assert answer.status_code == 409
    assert message(answer) == f"set '{slot}' is already done or skipped; undo it first, or go on with the next set"


def test_how_many_more_corrects_the_set(client: TestClient, steelyard: Steelyard, session: str, slot: str) -> None:
    client.post(f"/session/{session}/set", json={"slot": slot, "reps": 9, "event": EVENT})
    client.post(f"/session/{session}/effort", data={"target": EVENT, "left": "3"})
    last = steelyard.session(session).last
    assert last is not None
    assert (last.done.rir, last.done.ended) == (3, "reported")
    client.post(f"/session/{session}/effort", data={"target": EVENT, "left": "failed"})
    last = steelyard.session(session).last
    assert last is not None
    assert (last.done.rir, last.done.ended) == (0, "failure")


def test_undo_takes_a_set_and_a_skip_back(
    client: TestClient, steelyard: Steelyard, session: str, slot: str
) -> None:
    client.post(f"/session/{session}/skip", data={"slot": slot, "event": EVENT})
    assert slot in steelyard.session(session).session.skipped
    client.post(f"/session/{session}/undo", data={"target": EVENT})
    current = steelyard.session(session).current
    assert current is not None
    assert current.slot == slot


REPS = "a whole number from 0 to 200"
WRONG_SETS: dict[str, tuple[dict[str, Any], str]] = {
    "reps in letters": ({"reps": "ten"}, f"reps is 'ten'; it must be {REPS}"),
    "reps below nothing": ({"reps": -1}, f"reps is '-1'; it must be {REPS}"),
    "reps past belief": ({"reps": 201}, f"reps is '201'; it must be {REPS}"),
    "half a rep": ({"reps": 8.5}, f"reps is '8.5'; it must be {REPS}"),
    "reps missing": ({}, f"reps is missing; it must be {REPS}"),
    "left past belief": ({"reps": 8, "rir": 21}, "rir is '21'; it must be a whole number from 0 to 20"),
    "an id that is none": ({"reps": 8, "event": "x"}, "event is 'x'; it must be 32 hexadecimal digits"),
    "a time without zone": (
        {"reps": 8, "at": "2026-03-05T18:00:00"},
        "at is '2026-03-05T18:00:00'; it must be a time with its zone, such as 2026-03-01T18:30:00Z",
    ),
    "a field that is none": (
        {"reps": 8, "kilos": 3},
        "the form's field is 'kilos'; it must be one that this form has",
    ),
}


@pytest.mark.parametrize(("tap", "told"), WRONG_SETS.values(), ids=WRONG_SETS)
def test_a_wrong_set_is_refused_in_one_line(
    client: TestClient, session: str, slot: str, tap: dict[str, Any], told: str
) -> None:
    answer = client.post(f"/session/{session}/set", json={"slot": slot} | tap)
    assert answer.status_code == 422
    assert message(answer) == told


def test_a_form_refused_is_a_page_with_a_way_back(client: TestClient, session: str, slot: str) -> None:
    answer = client.post(f"/session/{session}/set", data={"slot": slot, "reps": "ten"})
    assert answer.status_code == 422
    assert f"Reps is 'ten'; it must be {REPS}." in unescape(answer.text)
    assert f'href="/session/{session}"' in answer.text


NOTHING = "f" * 32
UNKNOWN = (
    "/session/xyz",
    "/lifter/nobody",
    "/review/nobody",
    "/lifter/nobody/screening",
    "/no/such/page",
    "/static/x",
)


@pytest.mark.parametrize("address", UNKNOWN)
def test_what_is_not_there_is_said_so(client: TestClient, address: str) -> None:
    answer = client.get(address, headers=JSON)
    assert answer.status_code == 404
    assert message(answer)
    page = client.get(address)
    assert (page.status_code, "That did not work" in page.text) == (404, True)


@pytest.mark.parametrize("kind", ["set", "skip", "undo", "effort", "end"])
def test_every_tap_for_an_unknown_session_or_event_is_refused(client: TestClient, kind: str) -> None:
    taps: dict[str, dict[str, Any]] = {
        "set": {"slot": "1", "reps": 8},
        "skip": {"slot": "1"},
        "undo": {"target": NOTHING},
        "effort": {"target": NOTHING, "left": "2"},
        "end": {},
    }
    answer = client.post(f"/session/{NOTHING}/{kind}", json=taps[kind])
    assert answer.status_code == 404
    assert message(answer)


def test_an_unknown_outline_is_refused(client: TestClient, lifter: str) -> None:
    assert client.get(f"/lifter/{lifter}", params={"outline": "zzz"}).status_code == 404


@pytest.mark.parametrize("body", [b"{", b"[1]", b'"x"', b"\xff\xfe"])
def test_a_body_that_is_no_object_is_unreadable(client: TestClient, session: str, body: bytes) -> None:
    headers = {"content-type": "application/json"}
    answer = client.post(f"/session/{session}/set", content=body, headers=headers)
    assert answer.status_code == 400
    assert "JSON object" in message(answer)


def test_a_form_that_is_none_is_unreadable(client: TestClient, session: str) -> None:
    headers = {"content-type": "application/x-www-form-urlencoded", **JSON}
    assert client.post(f"/session/{session}/set", content=b"\xff", headers=headers).status_code == 400


def test_a_large_body_is_refused(client: TestClient, session: str, slot: str) -> None:
    tap = {"slot": slot, "reps": 8, "note": "x" * LARGEST_BODY}
    answer = client.post(f"/session/{session}/set", json=tap)
    assert answer.status_code == 413
    assert "16384" in message(answer)


def test_a_large_body_of_unsaid_length_is_refused(client: TestClient, session: str) -> None:
    parts = iter([b"x" * 10_000] * 3)
    answer = client.post(f"/session/{session}/set", content=parts, headers=JSON)
    assert answer.status_code == 422


OTHER_SITES: tuple[dict[str, str], ...] = (
    {"sec-fetch-site": "cross-site"},
    {"sec-fetch-site": "same-site"},
    {"origin": "http://elsewhere.example"},
    {"origin": "null"},
)


@pytest.mark.parametrize("headers", OTHER_SITES, ids=str)
def test_another_site_can_not_record(
    client: TestClient, steelyard: Steelyard, session: str, slot: str, headers: dict[str, str]
) -> None:
    answer = client.post(f"/session/{session}/set", json={"slot": slot, "reps": 8}, headers=headers)
    assert answer.status_code == 403
    assert message(answer)
    assert steelyard.session(session).session.sets == ()


OWN_PAGES: tuple[dict[str, str], ...] = (
    {"sec-fetch-site": "same-origin"},
    {"origin": "http://192.168.1.20:8417", "host": "192.168.1.20:8417"},
    {},
)


@pytest.mark.parametrize("headers", OWN_PAGES, ids=str)
def test_our_own_page_records_under_any_address(
    client: TestClient, session: str, slot: str, headers: dict[str, str]
) -> None:
    answer = client.post(f"/session/{session}/set", json={"slot": slot, "reps": 8}, headers=headers)
    assert answer.status_code == 200


@pytest.mark.parametrize("address", ["/", "/no/such/page", "/static/taps.js"])
def test_every_answer_forbids_foreign_script(client: TestClient, address: str) -> None:
    policy = client.get(address).headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "unsafe-inline" not in policy


def test_no_page_has_inline_script_or_style(client: TestClient, session: str, lifter: str) -> None:
    for address in (*PAGES[:5], f"/session/{session}", f"/lifter/{lifter}", f"/review/{lifter}"):
        text = client.get(address).text
        assert not re.search(r"<script(?![^>]*src=)|<style|\sstyle=|\son\w+=|javascript:", text), address


def test_a_name_with_markup_is_shown_as_text(client: TestClient, steelyard: Steelyard) -> None:
    steelyard.add_lifter("odd", NAME, Unit.LB, 20)
    steelyard.answer_screening("odd", True, False, False)
    session = steelyard.start_session("odd", steelyard.next_outline("odd"))
    for address in ("/", "/lifter/odd", "/review/odd", "/lifter/odd/screening", f"/session/{session}"):
        text = client.get(address).text
        assert NAME not in text
        assert "<img src=x" not in unescape(text).replace(NAME, "")
        assert "&lt;img" in text, address


def test_a_newcomer_is_asked_three_questions_before_the_first_session(
    client: TestClient, steelyard: Steelyard
) -> None:
    steelyard.add_lifter("new", "Newcomer", Unit.KG, 0)
    start = {"outline": steelyard.next_outline("new")}
    assert "screening is not answered" in message(client.post("/lifter/new/start", json=start))
    assert "Three questions" in client.get("/lifter/new").text
    client.post("/lifter/new/screening", data={"active": "true", "disease": "false", "symptoms": "false"})
    assert client.post("/lifter/new/start", json=start).status_code == 200


def test_answers_that_call_for_advice_show_it(client: TestClient, steelyard: Steelyard) -> None:
    steelyard.add_lifter("new", "Newcomer", Unit.KG, 0)
    page = client.post("/lifter/new/screening", data={"active": "false", "disease": "true", "symptoms": "true"})
    advice = steelyard.screening_advice("new")
    assert advice is not None
    assert advice in unescape(page.text)


def test_an_answer_left_open_is_refused(client: TestClient, lifter: str) -> None:
    answer = client.post(f"/lifter/{lifter}/screening", data={"active": "true"}, headers=JSON)
    assert message(answer) == "disease is missing; it must be true or false"


def test_loads_are_shown_in_the_lifters_unit(client: TestClient, steelyard: Steelyard, lifter: str) -> None:
    known = steelyard.lifter(lifter)
    steelyard.add_lifter(lifter, known.name, Unit.LB, known.training_months)
    assert re.search(r"[\d.]+ lb</text>", client.get(f"/lifter/{lifter}").text)


def test_a_fault_of_ours_shows_no_traceback(
    client: TestClient, steelyard: Steelyard, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(_: Steelyard) -> None:
        raise RuntimeError("secret detail")

    monkeypatch.setattr(Steelyard, "lifters", fail)
    answer = client.get("/")
    assert answer.status_code == 500
    assert "Traceback" not in answer.text
    assert "secret detail" not in answer.text


def test_reading_changes_nothing(client: TestClient, steelyard: Steelyard, session: str, lifter: str) -> None:
    before = list(steelyard.export_events())
    for address in ("/", f"/session/{session}", f"/lifter/{lifter}", f"/review/{lifter}", "/machine", "/plates"):
        client.get(address)
    assert list(steelyard.export_events()) == before
    assert client.get(f"/session/{session}/set").status_code == 405
