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
from steelyard.web.static_files import COMMENT, STATIC, static_url

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


def message(answer: Any) -> str:
    """The one shape of every JSON error."""
    body = answer.json()
    assert list(body) == ["error"]
    assert list(body["error"]) == ["message"]
    told: str = body["error"]["message"]
    return told


PAGES = ("/", "/machine", "/machine?unit=lb", "/plates", "/cautions", "/board")
FILES = ("steelyard.css", "session.css", "session.js", "poise.svg")


@pytest.mark.parametrize("address", PAGES)
def test_every_page_answers(client: TestClient, address: str) -> None:
    assert client.get(address).status_code == 200


@pytest.mark.parametrize("name", FILES)
def test_a_file_is_kept_by_browsers_under_the_name_of_what_it_holds(client: TestClient, name: str) -> None:
    answer = client.get(static_url(name))
    assert answer.status_code == 200
    assert "immutable" in answer.headers["cache-control"]
    older = client.get(f"/static/0000000000000000/{name}")
    assert (older.content, older.headers["cache-control"]) == (answer.content, "no-cache")


def test_every_page_of_every_lifter_answers(client: TestClient, steelyard: Steelyard) -> None:
    for known in steelyard.lifters():
        for outline in steelyard.home.outlines:
            assert client.get(f"/lifter/{known.lifter}", params={"outline": outline}).status_code == 200
        assert client.get(f"/review/{known.lifter}").status_code == 200
        assert client.get(f"/lifter/{known.lifter}/screening").status_code == 200


def test_the_demo_says_that_its_people_are_invented(client: TestClient) -> None:
    assert "invented" in client.get("/").text


def test_a_session_is_started_by_a_plain_form(client: TestClient, steelyard: Steelyard, lifter: str) -> None:
    outline = steelyard.next_outline(lifter)
    page = client.post(f"/lifter/{lifter}/start", data={"outline": outline, "event": EVENT})
    assert page.url.path == f"/session/{EVENT}"
    current = steelyard.session(EVENT).current
    assert current is not None
    assert current.slot in page.text


def test_the_same_start_twice_is_one_session(client: TestClient, steelyard: Steelyard, lifter: str) -> None:
    tap = {"outline": steelyard.next_outline(lifter), "event": EVENT}
    before = len(steelyard.state.sessions)
    answers = [client.post(f"/lifter/{lifter}/start", json=tap).json()["saved"] for _ in range(2)]
    assert answers == [EVENT, EVENT]
    assert len(steelyard.state.sessions) == before + 1


WRONG_STARTS: dict[str, tuple[dict[str, Any], str]] = {
    "an outline that is none": ({"outline": ""}, "outline is ''; it must be the name of an outline"),
    "an outline missing": ({}, "outline is missing; it must be the name of an outline"),
    "an id that is none": ({"event": "x"}, "event is 'x'; it must be 32 hexadecimal digits"),
    "a field that is none": ({"kilos": 3}, "the form's field is 'kilos'; it must be one that this form has"),
}


@pytest.mark.parametrize(("tap", "told"), WRONG_STARTS.values(), ids=WRONG_STARTS)
def test_a_wrong_start_is_refused_in_one_line(
    client: TestClient, lifter: str, tap: dict[str, Any], told: str
) -> None:
    known = {"outline": "pull"} if "missing" not in told else {}
    answer = client.post(f"/lifter/{lifter}/start", json=known | tap)
    assert answer.status_code == 422
    assert message(answer) == told


def test_a_form_refused_is_a_page_with_a_way_back(client: TestClient, lifter: str) -> None:
    answer = client.post(f"/lifter/{lifter}/start", data={"outline": "pull", "event": "x"})
    assert answer.status_code == 422
    assert "Event is 'x'; it must be 32 hexadecimal digits." in unescape(answer.text)
    assert f'href="/lifter/{lifter}"' in answer.text


UNKNOWN = (
    "/session/xyz",
    "/lifter/nobody",
    "/review/nobody",
    "/lifter/nobody/screening",
    "/no/such/page",
    "/static/x",
    "/static/0/x.js",
    "/board/xyz",
)


@pytest.mark.parametrize("address", UNKNOWN)
def test_what_is_not_there_is_said_so(client: TestClient, address: str) -> None:
    answer = client.get(address, headers=JSON)
    assert answer.status_code == 404
    assert message(answer)
    page = client.get(address)
    assert (page.status_code, "That did not work" in page.text) == (404, True)


def test_an_unknown_outline_is_refused(client: TestClient, lifter: str) -> None:
    assert client.get(f"/lifter/{lifter}", params={"outline": "zzz"}).status_code == 404


@pytest.mark.parametrize("body", [b"{", b"[1]", b'"x"', b"\xff\xfe"])
def test_a_body_that_is_no_object_is_unreadable(client: TestClient, lifter: str, body: bytes) -> None:
    headers = {"content-type": "application/json"}
    answer = client.post(f"/lifter/{lifter}/start", content=body, headers=headers)
    assert answer.status_code == 400
    assert "JSON object" in message(answer)


def test_a_form_that_is_none_is_unreadable(client: TestClient, lifter: str) -> None:
    headers = {"content-type": "application/x-www-form-urlencoded", **JSON}
    assert client.post(f"/lifter/{lifter}/start", content=b"\xff", headers=headers).status_code == 400


def test_a_large_body_is_refused(client: TestClient, lifter: str) -> None:
    answer = client.post(f"/lifter/{lifter}/start", json={"outline": "x" * LARGEST_BODY})
    assert answer.status_code == 413
    assert "16384" in message(answer)


def test_a_large_body_of_unsaid_length_is_refused(client: TestClient, lifter: str) -> None:
    parts = iter([b"x" * 10_000] * 3)
    answer = client.post(f"/lifter/{lifter}/start", content=parts, headers=JSON)
    assert answer.status_code == 422


OTHER_SITES: tuple[dict[str, str], ...] = (
    {"sec-fetch-site": "cross-site"},
    {"sec-fetch-site": "same-site"},
    {"origin": "http://elsewhere.example"},
    {"origin": "null"},
)


@pytest.mark.parametrize("headers", OTHER_SITES, ids=str)
def test_another_site_can_not_record(
    client: TestClient, steelyard: Steelyard, session: str, lifter: str, headers: dict[str, str]
) -> None:
    before = steelyard.revision
    for address in (f"/lifter/{lifter}/start", f"/session/{session}/events"):
        answer = client.post(address, json={"outline": "pull"}, headers=headers)
        assert answer.status_code == 403
        assert message(answer)
    assert steelyard.revision == before


OWN_PAGES: tuple[dict[str, str], ...] = (
    {"sec-fetch-site": "same-origin"},
    {"origin": "http://192.168.1.20:8417", "host": "192.168.1.20:8417"},
    {},
)


@pytest.mark.parametrize("headers", OWN_PAGES, ids=str)
def test_our_own_page_records_under_any_address(client: TestClient, lifter: str, headers: dict[str, str]) -> None:
    answer = client.post(f"/lifter/{lifter}/start", json={"outline": "pull"}, headers=headers)
    assert answer.status_code == 200


SENT = sorted(path.name for path in STATIC.iterdir() if path.suffix in (".js", ".css"))


@pytest.mark.parametrize("name", SENT)
def test_a_script_is_sent_without_its_comments_and_loses_nothing_else(client: TestClient, name: str) -> None:
    kept, inside = [], False
    for line in (STATIC / name).read_text(encoding="utf-8").splitlines():
        words = line.strip()
        begins = words.startswith("/*")
        if not (inside or begins or words.startswith("//")):
            kept.append(line)
        inside = (inside or begins) and not words.endswith("*/")
    assert client.get(static_url(name)).text.splitlines() == kept
    assert not inside


@pytest.mark.parametrize("name", SENT)
def test_no_text_of_a_script_is_taken_for_a_comment(name: str) -> None:
    texts = (STATIC / name).read_text(encoding="utf-8").split("`")[1::2]
    assert not any(COMMENT.search(text) for text in texts)


@pytest.mark.parametrize("address", ["/", "/no/such/page", static_url("session.js")])
def test_every_answer_forbids_foreign_script(client: TestClient, address: str) -> None:
    policy = client.get(address).headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "unsafe-inline" not in policy


INLINE = r"""<script(?![^>]*(src=|type="application/json"))|<style|\sstyle=|\son\w+=|javascript:"""
"""Data may stand in a page, for a browser never runs it."""


def test_no_page_has_inline_script_or_style(client: TestClient, session: str, lifter: str) -> None:
    for address in (*PAGES[:5], f"/session/{session}", f"/lifter/{lifter}", f"/review/{lifter}"):
        text = client.get(address).text
        assert not re.search(INLINE, text), address


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
    assert client.get(f"/session/{session}/events").status_code == 405
