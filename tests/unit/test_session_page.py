"""The page of a session and its server, as a program sees them: what was done is delivered once, and checked."""

from __future__ import annotations

import json
import warnings
from collections.abc import Iterator
from html import unescape
from typing import Any
from xml.etree import ElementTree

import pytest

from steelyard.live.receiving import MOST_EVENTS
from steelyard.service import Steelyard
from steelyard.units import Unit
from steelyard.web.app import make_app
from steelyard.web.guard import LARGEST_DELIVERY
from unit.conftest import EVENING

with warnings.catch_warnings():  # Starlette would rather see another HTTP client under its test client
    warnings.simplefilter("ignore")
    from starlette.testclient import TestClient

Plain = dict[str, Any]
ID, OTHER_ID = "c" * 32, "d" * 32
AT = "2026-03-05T18:30:00Z"
NOBODY = "f" * 32


@pytest.fixture
def client(steelyard: Steelyard) -> Iterator[TestClient]:
    with TestClient(make_app(steelyard, demo=True), raise_server_exceptions=False) as opened:
        yield opened


@pytest.fixture
def session(steelyard: Steelyard) -> str:
    return steelyard.start_session("tove", "pull")


@pytest.fixture
def foreign(steelyard: Steelyard) -> str:
    """Somebody else's session at the same time."""
    return steelyard.start_session("marek", "legs")


def state(client: TestClient, session: str) -> Plain:
    found: Plain = client.get(f"/session/{session}/state").json()
    return found


def card(client: TestClient, session: str) -> Plain:
    found: Plain = state(client, session)["screen"]["cards"][0]
    return found


def an_event(kind: str, body: Plain, *, version: int = 1, id_: str = ID) -> Plain:
    return {"kind": kind, "version": version, "id": id_, "origin": "page-1", "at": AT, "body": body}


def tapped(card: Plain, *, id_: str = ID, **changed: Any) -> Plain:
    """The event of a set, as the page makes it of a card."""
    said = {"reps": card["low"], "rir": None, "ended": "unsaid", "rest_s": None, "note": "", "helped": 0}
    of_card = {name: card[name] for name in ("session", "lifter", "exercise", "slot", "role")}
    return an_event("set-done", {**said, **of_card, **card["body"], **changed}, version=2, id_=id_)


def deliver(client: TestClient, session: str, *events: Any) -> Any:
    return client.post(f"/session/{session}/events", json={"events": list(events)})


def refusal(answer: Any) -> str:
    """Why the only event of a delivery was refused; the delivery itself was answered."""
    assert answer.status_code == 200
    told = answer.json()
    assert told["have"] == []
    why: str = told["refused"][0]["why"]
    assert "\n" not in why
    return why


def test_a_set_that_was_tapped_is_on_disk_once_it_is_answered(
    client: TestClient, steelyard: Steelyard, session: str
) -> None:
    told = deliver(client, session, tapped(card(client, session))).json()
    assert (told["have"], told["refused"]) == ([ID], [])
    assert told["screen"]["last"]["id"] == ID
    assert [event["id"] for event in told["events"]] == [session, ID]
    assert [logged.id for logged in steelyard.session(session).session.sets] == [ID]


def test_the_same_delivery_again_is_one_set(client: TestClient, steelyard: Steelyard, session: str) -> None:
    tap = tapped(card(client, session))
    answers = [deliver(client, session, tap).json() for _ in range(3)]
    assert [answer["have"] for answer in answers] == [[ID]] * 3
    assert len({answer["screen"]["seen"] for answer in answers}) == 1
    assert len(steelyard.session(session).session.sets) == 1


def test_the_same_slot_from_two_devices_is_one_set(client: TestClient, steelyard: Steelyard, session: str) -> None:
    shown = card(client, session)
    deliver(client, session, tapped(shown))
    told = deliver(client, session, tapped(shown, id_=OTHER_ID) | {"at": "2026-03-05T18:29:00Z"}).json()
    assert told["have"] == [OTHER_ID]
    known = steelyard.session(session).session
    assert [logged.id for logged in known.sets] == [OTHER_ID]  # the first by time counts
    assert [logged.id for logged in known.repeats] == [ID]


def test_nothing_new_is_answered_with_nothing(client: TestClient, session: str) -> None:
    known = known_of(client, session)
    again = client.get(f"/session/{session}/state", params=known)
    assert (again.status_code, again.content) == (204, b"")
    assert float(again.headers["Steelyard-Now"]) == EVENING.timestamp()
    deliver(client, session, tapped(card(client, session)))
    assert client.get(f"/session/{session}/state", params=known).status_code == 200


def test_plates_that_another_lifter_hung_are_news(client: TestClient, session: str, foreign: str) -> None:
    known = known_of(client, session)
    deliver(client, foreign, tapped(card(client, foreign)))
    told = client.get(f"/session/{session}/state", params=known)
    assert told.status_code == 200
    assert told.json()["screen"]["seen"] == known["seen"]
    assert client.get(f"/session/{session}/state", params=known_of(client, session)).status_code == 204


def known_of(client: TestClient, session: str) -> dict[str, str]:
    """What a page knows that has just been told all."""
    told = state(client, session)
    return {"seen": told["screen"]["seen"], "around": told["around"]}


def test_every_set_is_shown_until_none_is_left(client: TestClient, steelyard: Steelyard, session: str) -> None:
    slots: list[str] = []
    while cards := state(client, session)["screen"]["cards"]:
        page = client.get(f"/session/{session}").text
        assert f'<span id="name">{cards[0]["name"]}</span>' in unescape(page)
        assert cards[0]["slot"] not in slots
        slots.append(cards[0]["slot"])
        done = tapped(cards[0], id_=f"{len(slots):032x}", rir=2, ended="reported")
        assert deliver(client, session, done).json()["refused"] == []
    found = state(client, session)["screen"]
    assert found["total"] == len(slots)
    assert found["summary"][0]["work_sets"] > 0
    assert not found["ended"]


def test_the_page_holds_the_screen_that_it_shows_first(client: TestClient, session: str) -> None:
    text = client.get(f"/session/{session}").text
    start = json.loads(text.partition('id="start">')[2].partition("</script>")[0])
    known = state(client, session)
    assert start["screen"]["seen"] == known["screen"]["seen"]
    assert start["events"] == known["events"]
    assert start["address"] == f"/session/{session}"
    assert {**start["screen"], "now": 0} == {**known["screen"], "now": 0}


def test_the_first_drawings_are_in_the_page_itself(client: TestClient, session: str) -> None:
    """A phone shows them before any script has run."""
    text, shown = client.get(f"/session/{session}").text, state(client, session)["screen"]
    beam = "".join(shown["pieces"][place] for place in shown["cards"][0]["beam"])
    assert f'<div id="beam">{beam}</div>' in text
    assert ElementTree.fromstring(beam).get("class") == "drawing beam"


def test_everything_is_said_once(client: TestClient, session: str) -> None:
    shown = state(client, session)["screen"]
    pieces, stops = shown["pieces"], [json.dumps(each) for each in shown["stops"]]
    assert len(pieces) == len(set(pieces))
    assert len(stops) == len(set(stops)) < len(shown["cards"])
    assert {place for card in shown["cards"] for place in card["beam"] + card["stack"]} == set(range(len(pieces)))


def test_no_name_ends_the_data_in_the_page(client: TestClient, steelyard: Steelyard) -> None:
    steelyard.add_lifter("odd", "</script><script>alert(1)</script>", Unit.KG, 20)
    session = steelyard.start_session("odd", "pull")
    text = client.get(f"/session/{session}").text
    assert "<script>alert" not in text
    assert "\\u003c/script>" in text


def test_what_was_said_of_a_set_follows_it_in_one_delivery(
    client: TestClient, steelyard: Steelyard, session: str
) -> None:
    said = {"target": ID, "reps": None, "rir": 3, "failed": False, "note": None, "helped": None, "form": None}
    correction = an_event("set-corrected", said, version=2, id_=OTHER_ID)
    told = deliver(client, session, tapped(card(client, session)), correction).json()
    assert told["have"] == [ID, OTHER_ID]
    last = steelyard.session(session).last
    assert last is not None
    assert (last.done.rir, last.done.ended) == (3, "reported")


@pytest.mark.parametrize("wrong", [{"reps": -3}, {"rir": -1}, {"helped": -1}, {"reps": 1001}], ids=str)
def test_a_correction_that_can_not_be_is_refused(client: TestClient, session: str, wrong: Plain) -> None:
    deliver(client, session, tapped(card(client, session)))
    said = {"reps": None, "rir": None, "failed": None, "note": None, "helped": None, "form": None}
    body = {"target": ID} | said | wrong
    assert refusal(deliver(client, session, an_event("set-corrected", body, version=2, id_=OTHER_ID)))


def test_undo_brings_the_screen_back(client: TestClient, session: str) -> None:
    before = state(client, session)["screen"]
    deliver(client, session, tapped(card(client, session)))
    told = deliver(client, session, an_event("event-deleted", {"target": ID}, id_=OTHER_ID)).json()
    assert told["screen"]["cards"] == before["cards"]
    assert told["screen"]["undo"] is None


def test_a_session_is_ended_by_its_event(client: TestClient, steelyard: Steelyard, session: str) -> None:
    told = deliver(client, session, an_event("session-ended", {"session": session})).json()
    assert told["screen"]["ended"]
    assert steelyard.open_session("tove") is None


def test_an_event_of_no_session_known_is_refused(client: TestClient, steelyard: Steelyard, session: str) -> None:
    before = steelyard.revision
    why = refusal(deliver(client, session, tapped(card(client, session), session=NOBODY)))
    assert why == f"the event is of session '{NOBODY}'; it must be one of a session that is known here"
    assert steelyard.revision == before


def test_a_set_of_another_lifter_is_refused(client: TestClient, session: str) -> None:
    why = refusal(deliver(client, session, tapped(card(client, session), lifter="marek")))
    assert why == "lifter of the set is 'marek'; it must be tove, whose session it is"


def test_what_is_not_known_is_neither_corrected_nor_undone(client: TestClient, session: str) -> None:
    why = refusal(deliver(client, session, an_event("event-deleted", {"target": NOBODY}, id_=OTHER_ID)))
    assert "one of a session that is known here, delivered before it" in why


def test_the_start_of_a_session_is_not_undone(client: TestClient, steelyard: Steelyard, session: str) -> None:
    refusal(deliver(client, session, an_event("event-deleted", {"target": session})))
    assert session in steelyard.state.sessions


def test_no_session_is_started_by_a_delivery(client: TestClient, steelyard: Steelyard, session: str) -> None:
    body = {"session": session, "lifter": "marek", "outline": "legs", "machine": "m", "order": []}
    refusal(deliver(client, session, an_event("session-started", body, version=2)))
    assert steelyard.state.sessions[session].lifter == "tove"


BODIES: dict[str, Plain] = {
    "body-mass-measured": {"lifter": "tove", "body_mass_kg": 70.0},
    "lifter-joined": {"lifter": "x", "name": "X", "unit": "kg", "training_months": 3, "invented": False},
    "screening-answered": {
        "lifter": "tove", "active_last_3_months": True, "known_disease": False, "symptoms": False,
    },
}  # fmt: skip


@pytest.mark.parametrize("kind", BODIES)
def test_what_is_no_business_of_a_session_is_refused(
    client: TestClient, steelyard: Steelyard, session: str, kind: str
) -> None:
    before = steelyard.revision
    refusal(deliver(client, session, an_event(kind, BODIES[kind])))
    assert steelyard.revision == before


ALL_THERE_ARE = ["20 kg"] * 2 + ["45 lb old", "15 kg", "25 lb old"] + ["10 kg"] * 2 + ["5 kg"] * 2
HEAVY = {"more than the plates there are": ["20 kg"] * 40, "more than the horn takes": ALL_THERE_ARE}


@pytest.mark.parametrize("plates", HEAVY.values(), ids=HEAVY)
def test_a_loading_past_a_limit_is_refused(
    client: TestClient, steelyard: Steelyard, session: str, plates: list[str]
) -> None:
    why = refusal(deliver(client, session, tapped(card(client, session), loading={"tip": plates})))
    assert "it must not exceed" in why
    assert steelyard.session(session).session.sets == ()


@pytest.mark.parametrize(
    "changed",
    [
        {"reps": 8.5},
        {"reps": "ten"},
        {"reps": -1},
        {"reps": 100000},
        {"role": "stunt"},
        {"side": "top"},
        {"ended": "?"},
        {"felt_kg": None},
        {"loading": {"tip": [7]}},
        {"note": 3},
        {"kilos": 3},
        {"station": "no such station"},
        {"loading": {"no such horn": ["20 kg"]}},
        {"loading": {"tip": ["77 kg"]}},
    ],
    ids=str,
)
def test_a_set_that_can_not_be_is_refused_in_one_line(
    client: TestClient, steelyard: Steelyard, session: str, changed: Plain
) -> None:
    assert refusal(deliver(client, session, tapped(card(client, session), **changed)))
    assert steelyard.session(session).session.sets == ()


@pytest.mark.parametrize(
    "changed",
    [
        {"kind": "set-lifted"},
        {"version": 99},
        {"id": "x"},
        {"id": None},
        {"at": "2026-03-05T18:30:00"},
        {"at": "2026-02-31T18:30:00Z"},
        {"origin": ""},
        {"body": []},
        {"extra": 1},
    ],
    ids=str,
)
def test_an_event_that_is_damaged_is_refused(
    client: TestClient, steelyard: Steelyard, session: str, changed: Plain
) -> None:
    before = steelyard.revision
    assert refusal(deliver(client, session, tapped(card(client, session)) | changed))
    assert steelyard.revision == before


@pytest.mark.parametrize("event", [7, None, "x", [], {}], ids=str)
def test_what_is_no_event_keeps_nobody_back(client: TestClient, session: str, event: Any) -> None:
    told = deliver(client, session, event, tapped(card(client, session))).json()
    assert told["have"] == [ID]
    assert len(told["refused"]) == 1


DELIVERIES: dict[str, tuple[bytes, int]] = {
    "not JSON": (b"{", 400),
    "nested without end": (b'{"events": ' + 5000 * b"[", 400),
    "no text": (b"\xff\xfe", 400),
    "no object": (b"[]", 422),
    "no events": (b"{}", 422),
    "events that are none": (b'{"events": 7}', 422),
    "an empty list": (b'{"events": []}', 422),
    "too many": (json.dumps({"events": [{}] * (MOST_EVENTS + 1)}).encode(), 422),
    "too large": (json.dumps({"events": ["x" * LARGEST_DELIVERY]}).encode(), 413),
}


@pytest.mark.parametrize(("body", "status"), DELIVERIES.values(), ids=DELIVERIES)
def test_a_delivery_that_can_not_be_read_is_told_in_one_line(
    client: TestClient, steelyard: Steelyard, session: str, body: bytes, status: int
) -> None:
    before = steelyard.revision
    headers = {"content-type": "application/json"}
    answer = client.post(f"/session/{session}/events", content=body, headers=headers)
    assert answer.status_code == status
    assert "\n" not in answer.json()["error"]["message"]
    assert steelyard.revision == before


@pytest.mark.parametrize("place", ["", "/state", "/engine"])
def test_a_session_that_is_not_known_is_said_so(client: TestClient, place: str) -> None:
    answer = client.get(f"/session/{NOBODY}{place}", headers={"accept": "application/json"})
    assert answer.status_code == 404
    way_out = "begin one, or go on with one, from the first page"
    assert answer.json()["error"]["message"] == f"session '{NOBODY}' is not known; {way_out}"


def test_events_of_a_session_that_is_not_known_are_not_kept(client: TestClient, steelyard: Steelyard) -> None:
    before = steelyard.revision
    answer = deliver(client, NOBODY, an_event("session-ended", {"session": NOBODY}))
    assert answer.status_code == 404
    assert steelyard.revision == before
