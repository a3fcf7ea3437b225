"""Events that no careful page makes, or that come once the company has changed: nothing is lost or stumbles."""

from __future__ import annotations

from datetime import datetime, timedelta
from random import Random
from typing import Any

import pytest

from steelyard.journal.codec import event_from_plain, plain_body
from steelyard.journal.events import (
    Body,
    EventDeleted,
    LifterJoined,
    SessionsJoined,
    SessionStarted,
    SetCorrected,
    new_id,
)
from steelyard.live.receiving import receive
from steelyard.live.screen import Screen, screen
from steelyard.service import Steelyard
from steelyard.workshop.turns_live import in_company, parted, start_together

RANDOM = Random(12)
LIV = LifterJoined("liv", "Liv (invented)", "kg", 12, invented=True)


def happened(said: dict[str, Any], at: datetime | str) -> dict[str, Any]:
    stamp = at if isinstance(at, str) else at.isoformat(timespec="milliseconds").replace("+00:00", "Z")
    told = {key: said[key] for key in ("kind", "version", "body")}
    return {**told, "id": new_id(RANDOM), "origin": "page", "at": stamp}


def made(body: Body, at: datetime) -> dict[str, Any]:
    return happened(plain_body(body), at)


def done(shown: Screen, at: datetime | str, *, card: int = 0, **otherwise: Any) -> dict[str, Any]:
    unsaid = {"rir": None, "ended": "unsaid", "rest_s": None, "note": "", "helped": 0}
    of_card = {name: shown["cards"][card][name] for name in ("session", "lifter", "exercise", "slot", "role")}
    body = {**of_card, **shown["cards"][card]["body"], "reps": 8, **unsaid, **otherwise}
    return happened({"kind": "set-done", "version": 2, "body": body}, at)


def shown_with(steelyard: Steelyard, session: str, plain: dict[str, Any]) -> Screen:
    """The screen once this is in the journal, from wherever; what else follows from it can be told too."""
    steelyard.keep(event_from_plain(plain, "here"))
    steelyard.review("tove")
    return screen(steelyard, (session,))


def refusals(steelyard: Steelyard, *delivered: dict[str, Any]) -> list[str]:
    return list(receive(steelyard, delivered).refused.values())


@pytest.fixture
def session(steelyard: Steelyard) -> str:
    return steelyard.start_session("tove", "pull")


@pytest.mark.parametrize("stamp", ["0001-01-01T00:00:00Z", "1000-01-01T00:00:00Z", "9999-12-31T23:59:59Z"])
def test_a_clock_that_is_off_by_centuries_spoils_no_page(steelyard: Steelyard, session: str, stamp: str) -> None:
    cards = screen(steelyard, (session,))["cards"]
    number = next(place for place, card in enumerate(cards) if card["role"] == "work")
    after = shown_with(steelyard, session, done(screen(steelyard, (session,)), stamp, card=number, rir=2))
    assert cards[number]["slot"] not in [card["slot"] for card in after["cards"]]


@pytest.mark.parametrize("slot", ["1", "1.work", "1.work.x", "x", "0.work.1", "1.work.0", "99.work.1", ""])
def test_a_slot_that_never_was_is_shown_as_done(steelyard: Steelyard, session: str, slot: str) -> None:
    odd = done(screen(steelyard, (session,)), steelyard.now(), slot=slot, role="work")
    last = shown_with(steelyard, session, odd)["last"]
    assert (last["id"], last["slot"]) == (odd["id"], slot)


def test_a_set_that_was_felt_as_nothing_is_no_trouble(steelyard: Steelyard, session: str) -> None:
    odd = done(screen(steelyard, (session,)), steelyard.now(), machine="", felt_kg=0.0, role="work", rir=2)
    assert shown_with(steelyard, session, odd)["last"]["id"] == odd["id"]


def test_sets_of_both_arrive_after_they_parted(steelyard: Steelyard) -> None:
    first, second = start_together(steelyard, ["tove", "marek"], "pull")
    before = screen(steelyard, (first, second))
    theirs = [done(before, steelyard.now(), card=place) for place in (0, 1)]
    assert {each["body"]["session"] for each in theirs} == {first, second}
    for body in parted(steelyard, first):
        steelyard.record(body)
    assert refusals(steelyard, *theirs) == []
    assert [len(steelyard.session(each).session.sets) for each in (first, second)] == [1, 1]


def test_a_set_of_one_who_left_is_corrected_and_taken_back(steelyard: Steelyard) -> None:
    other = steelyard.start_session("marek", "legs")
    tap = done(screen(steelyard, (other,)), steelyard.now())
    said = made(SetCorrected(tap["id"], rir=3), steelyard.now())
    assert refusals(steelyard, tap, said, made(EventDeleted(said["id"]), steelyard.now())) == []
    assert refusals(steelyard, made(EventDeleted(tap["id"]), steelyard.now())) == []
    assert steelyard.session(other).session.sets == ()


@pytest.fixture
def three(steelyard: Steelyard) -> tuple[str, ...]:
    steelyard.record(LIV)
    steelyard.answer_screening("liv", active=True, disease=False, symptoms=False)
    return start_together(steelyard, ["tove", "marek", "liv"], "pull")


def test_whom_one_leaves_stay_together_also_when_it_is_said_twice(
    steelyard: Steelyard, three: tuple[str, ...]
) -> None:
    first, *others = three
    gone, stay = [made(body, steelyard.now()) for body in parted(steelyard, first)]
    for delivered in ([gone], [gone, stay]):  # the connection broke in between
        assert refusals(steelyard, *delivered) == []
    assert in_company(steelyard, others[0]) == tuple(others)
    assert in_company(steelyard, first) == (first,)


def test_only_sessions_that_are_known_are_joined_and_only_as_many_as_take_turns(
    steelyard: Steelyard, session: str
) -> None:
    unknown, many = (session, "f" * 32), (session, *[steelyard.start_session("marek", "legs") for _ in range(4)])
    why = refusals(steelyard, *(made(SessionsJoined(each), steelyard.now()) for each in (unknown, many)))
    assert [told.split(";")[0] for told in why] == [
        f"the event is of session '{'f' * 32}'",
        "the number of sessions in turn is 5",
    ]


def test_the_start_of_a_session_is_nothing_that_a_page_did(steelyard: Steelyard) -> None:
    (why,) = refusals(steelyard, made(SessionStarted("e" * 32, "tove", "pull", "counterbeam"), steelyard.now()))
    assert why == "the event is the start of a session; it must be something done in one that was begun here"


def test_what_is_of_no_session_is_not_taken_back(steelyard: Steelyard) -> None:
    weighed = steelyard.record_body_mass("tove", 70.0)
    (why,) = refusals(steelyard, made(EventDeleted(weighed), steelyard.now()))
    assert why.startswith(f"the event spoken of is '{weighed}'; it must be one of a session that is known here")


def test_a_clock_months_ahead_is_borne_with_and_one_years_off_is_told(steelyard: Steelyard, session: str) -> None:
    shown = screen(steelyard, (session,))
    assert refusals(steelyard, done(shown, steelyard.now() + timedelta(days=200))) == []
    (why,) = refusals(steelyard, done(shown, steelyard.now() + timedelta(days=800)))
    assert why.startswith(
        "the day of the event is 2028-05-13; it must be 2027-03-06 at the latest: set the clocks"
    )


def test_no_more_reps_are_helped_than_were_done(steelyard: Steelyard, session: str) -> None:
    (why,) = refusals(steelyard, done(screen(steelyard, (session,)), steelyard.now(), helped=9))
    assert why == "helped reps of the set is 9; it must be at most its 8 reps"


@pytest.mark.parametrize("slot", ["1", "1.work.x", "0.work.1", "1.work.0", "99.work.1", "1.rest.1"])
def test_a_slot_that_the_outline_cannot_have_is_refused(steelyard: Steelyard, session: str, slot: str) -> None:
    (why,) = refusals(steelyard, done(screen(steelyard, (session,)), steelyard.now(), slot=slot))
    assert why.startswith(f"slot of the set is '{slot}'; it must be such as")
