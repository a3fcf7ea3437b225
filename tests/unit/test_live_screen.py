"""The screen of a session: one pure function of what happened, the same in whatever order it came."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import timedelta
from itertools import pairwise
from random import Random
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from second_thoughts import correct_set, skip_set
from steelyard.errors import UnknownName
from steelyard.journal.codec import plain_event
from steelyard.journal.events import (
    Event,
    EventDeleted,
    ExerciseEnded,
    SessionEnded,
    SessionsJoined,
    SessionStarted,
    SetCorrected,
    SetDone,
    SetSkipped,
)
from steelyard.live import wording
from steelyard.live.minds import ends
from steelyard.live.receiving import receive
from steelyard.live.screen import screen
from steelyard.live.seen import fingerprint, session_events
from steelyard.live.undoing import last_undoable
from steelyard.service import Steelyard
from steelyard.units import Unit
from steelyard.workshop.sets import log_set
from unit.conftest import EVENING

Screen = dict[str, Any]
OF_CARD = ("session", "lifter", "exercise", "slot", "role")
"""What a card says of itself and of its event alike."""


@pytest.fixture
def session(steelyard: Steelyard) -> str:
    return steelyard.start_session("tove", "pull")


def shown(steelyard: Steelyard, session: str) -> Screen:
    return screen(steelyard, (session,))


def do_the_first(steelyard: Steelyard, session: str, *, reps: int | None = None, **how: Any) -> str:
    """Log the set that is shown; returns its event."""
    card = shown(steelyard, session)["cards"][0]
    return log_set(steelyard, session, card["slot"], card["low"] if reps is None else reps, **how)


def test_the_screen_is_plain_data(steelyard: Steelyard, session: str) -> None:
    found = shown(steelyard, session)
    assert json.loads(json.dumps(found)) == json.loads(json.dumps(found, allow_nan=False))


def test_what_is_shown_first_is_what_the_service_prepared(steelyard: Steelyard, session: str) -> None:
    found, current = shown(steelyard, session), steelyard.session(session).current
    assert current is not None
    assert found["cards"][0]["slot"] == current.slot
    assert found["cards"][0]["body"]["felt_kg"] == current.felt_kg
    assert (found["position"], found["total"]) == (1, len(found["cards"]))


def test_the_same_events_give_the_same_screen(steelyard: Steelyard, session: str) -> None:
    do_the_first(steelyard, session)
    events = list(steelyard.events)
    Random(5).shuffle(events)
    assert shown(steelyard.supposing(events), session) == shown(steelyard, session)


def test_each_set_done_leaves_one_card_less(steelyard: Steelyard, session: str) -> None:
    before = shown(steelyard, session)
    event = do_the_first(steelyard, session)
    after = shown(steelyard, session)
    assert after["position"] == 2
    assert after["cards"][0]["slot"] == before["cards"][1]["slot"]
    assert after["last"]["id"] == event
    assert after["undo"]["ids"] == [event]
    assert after["based"][-1] == event
    assert after["seen"] != before["seen"]


def test_a_card_holds_what_its_event_says(steelyard: Steelyard, session: str) -> None:
    card = shown(steelyard, session)["cards"][0]
    body = {name: card[name] for name in OF_CARD} | card["body"]
    event = do_the_first(steelyard, session)
    logged = next(plain_event(one) for one in steelyard.events if one.id == event)["body"]
    later = {"reps", "rir", "ended", "rest_s", "note", "helped"}
    assert {name: logged[name] for name in logged.keys() - later} == {
        **body, "loading": {horn: tuple(names) for horn, names in body["loading"].items()}
    }  # fmt: skip


def test_plates_of_a_card_follow_from_those_of_the_card_before(steelyard: Steelyard, session: str) -> None:
    """What is prepared for the next sets is what follows once the ones before are done as they stand there."""
    cards = shown(steelyard, session)["cards"]
    changed = [card for card in cards[1:] if card["do"]]
    assert changed
    for before, card in pairwise(cards):
        same = before["body"]["loading"] == card["body"]["loading"] and before["station"] == card["station"]
        assert not (same and card["do"]), card["slot"]


def test_warm_ups_are_not_asked_about_and_work_sets_are(steelyard: Steelyard, session: str) -> None:
    asked = {}
    while not asked.get("work"):
        role = shown(steelyard, session)["cards"][0]["role"]
        do_the_first(steelyard, session)
        asked[role] = shown(steelyard, session)["last"]["ask"]
    assert asked == {"warm-up": False, "work": True}


@pytest.mark.parametrize(
    ("how", "said"),
    [
        ({"rir": 2}, "2 left"),
        ({"rir": 0}, "0 left"),
        ({"rir": 5}, "5 or more left"),
        ({"failed": True}, "ended in failure"),
    ],
    ids=str,
)
def test_what_was_said_of_a_set_is_told(steelyard: Steelyard, session: str, how: Any, said: str) -> None:
    event = do_the_first(steelyard, session)
    correct_set(steelyard, event, **how)
    last = shown(steelyard, session)["last"]
    assert (last["said"], last["ask"]) == (said, False)


def test_a_drop_set_and_a_rest_pause_go_on_at_once(steelyard: Steelyard, session: str) -> None:
    cards = shown(steelyard, session)["cards"]
    at_once = [card for card in cards if card["at_once"]]
    assert {card["role"] for card in at_once} == {"drop", "rest-pause"}
    strip = next(card for card in at_once if card["role"] == "drop")
    pause = next(card for card in at_once if card["role"] == "rest-pause")
    assert strip["lead"].startswith("Strip now: ")
    assert strip["do"] in strip["lead"]
    assert strip["say"].startswith("strip ")
    assert pause["lead"] == f"Rest {pause['rest_s']:.0f} s, same load, go again."


def test_sides_of_one_arm_sets_are_named(steelyard: Steelyard, session: str) -> None:
    cards = [card for card in shown(steelyard, session)["cards"] if card["exercise"] == "curl_cable_one_arm"]
    assert {card["side"] for card in cards} == {"left side", "right side"}
    assert all(card["side"].split()[0] in card["say"] for card in cards)


def test_an_ended_session_shows_its_summary(steelyard: Steelyard, session: str) -> None:
    do_the_first(steelyard, session)
    steelyard.end_session(session)
    found = shown(steelyard, session)
    assert (found["ended"], found["cards"], found["lasts_s"]) == (True, [], 0)
    assert found["summary"][0]["lifter"] == "tove"


def test_after_a_sign_to_stop_there_is_only_the_end(steelyard: Steelyard, session: str) -> None:
    before = shown(steelyard, session)
    assert [end["words"] for end in before["ends"]] == ["End the session"]
    assert not before["ends"][0]["heed"]
    steelyard.record(ExerciseEnded(session, 1, "sign"))
    after = shown(steelyard, session)
    assert after["cards"] == []
    assert "get medical help now" in after["ends"][0]["heed"]


def test_pain_offers_to_leave_out_what_works_the_same_muscles(steelyard: Steelyard, session: str) -> None:
    found = shown(steelyard, session)
    pain = found["stops"][found["cards"][0]["stops"]][0]
    places = {card["slot"].split(".")[0]: card["name"] for card in found["cards"]}
    for leave in pain["leave"]:
        assert leave["words"].startswith(f"Leave out {places[str(leave['body']['place'])]} too: it works the same")
        assert (leave["body"]["why"], leave["body"]["place"] > pain["body"]["place"]) == ("enough", True)
    assert pain["leave"]


def test_what_is_behind_is_not_offered_to_be_left_out(steelyard: Steelyard, session: str) -> None:
    found = shown(steelyard, session)
    last = found["stops"][found["cards"][-1]["stops"]][0]
    assert last["leave"] == []


def test_what_is_left_out_after_pain_is_gone(steelyard: Steelyard, session: str) -> None:
    do_the_first(steelyard, session)
    hurt = shown(steelyard, session)["last"]["hurt"]
    gone = {each["body"]["place"] for each in (hurt, hurt["leave"][0])}
    for each in (hurt, hurt["leave"][0]):
        steelyard.record(ExerciseEnded(**each["body"]))
    assert not gone & {int(card["slot"].split(".")[0]) for card in shown(steelyard, session)["cards"]}


def test_a_set_stamped_ahead_of_the_clock_rests_since_now(steelyard: Steelyard, session: str) -> None:
    """A device whose clock is hours ahead: the rest counts on, and does not stand still for hours."""
    event = do_the_first(steelyard, session)
    done = next(one.body for one in steelyard.events if one.id == event)
    steelyard.delete(event)
    steelyard.record(done, at=EVENING + timedelta(hours=3))
    found = shown(steelyard, session)
    assert found["lifters"]["tove"]["rested_from"] == found["now"]


def test_of_several_each_end_says_whose_it_is(steelyard: Steelyard, session: str) -> None:
    views = [steelyard.session(session), steelyard.session(session)]
    assert [end["words"] for end in ends(views)] == ["End the session of Tove Ambler"] * 2


def test_of_several_a_note_says_whose_it_is(steelyard: Steelyard, session: str) -> None:
    """One that is everybody's is said once, without a name."""
    other = steelyard.start_session("marek", "pull")
    steelyard.record(SessionsJoined((session, other)))
    place = int(shown(steelyard, session)["cards"][0]["slot"].split(".")[0])
    told = []
    for each in (other, session):
        steelyard.record(ExerciseEnded(each, place, "pain"))
        told.append([note for note in shown(steelyard, session)["notes"] if "is over because it hurt" in note])
    (his,), (both,) = told
    assert his == f"Marek Quillan: {both}"


def test_a_session_that_is_not_known_is_refused(steelyard: Steelyard) -> None:
    with pytest.raises(UnknownName):
        screen(steelyard, ("f" * 32,))


def test_undo_takes_back_what_was_done_last(steelyard: Steelyard, session: str) -> None:
    before = shown(steelyard, session)
    first = do_the_first(steelyard, session)
    skip_set(steelyard, session, shown(steelyard, session)["cards"][0]["slot"])
    skip = shown(steelyard, session)["undo"]
    assert skip["words"] == "a set left out"
    steelyard.delete(skip["ids"][0])
    assert shown(steelyard, session)["undo"]["ids"] == [first]
    steelyard.delete(first)
    after = shown(steelyard, session)
    assert after["undo"] is None
    assert after["cards"] == before["cards"]


def test_nothing_can_be_taken_back_before_anything_was_done() -> None:
    start = Event("a" * 32, "test", EVENING, SessionStarted("a" * 32, "l", "o", "m"))
    assert last_undoable([start], {}, {}) is None


def test_a_set_logged_twice_is_taken_back_as_one() -> None:
    done = SetDone("s", "l", "m", "bench", "row", "1", "work", "both", {}, 60.0, 10, None, "unsaid")
    first = Event("b" * 32, "one", EVENING, done)
    again = Event("a" * 32, "two", EVENING + timedelta(seconds=1), replace(done, reps=9))
    found = last_undoable([first, again], {}, {"l": Unit.KG})
    assert found == {"ids": ["b" * 32, "a" * 32], "words": "10 reps at 60.0 kg"}


def test_the_sets_in_words_are_in_the_lifters_unit() -> None:
    done = SetDone("s", "l", "m", "bench", "row", "1", "work", "both", {}, 60.0, 10, None, "unsaid")
    event = Event("b" * 32, "test", EVENING, done)
    found = last_undoable([event], {"row": "Row"}, {"l": Unit.LB})
    assert found == {"ids": ["b" * 32], "words": "10 reps at 132.3 lb"}


def test_form_that_broke_is_said() -> None:
    done = SetDone("s", "l", "m", "bench", "row", "1", "work", "both", {}, 60.0, 10, None, "form")
    assert wording.effort_words(done) == "form broke"


IDS = st.integers(1, 40).map(lambda number: f"{number:032x}")
OURS, THEIRS = f"{1:032x}", f"{2:032x}"


def an_event(id_: str, kind: str, session: str, target: str, minute: int) -> Event:
    bodies = {
        "set": SetDone(session, "l", "m", "bench", "row", "1", "work", "both", {}, 60.0, 8, None, "unsaid"),
        "skip": SetSkipped(session, "1"),
        "end": SessionEnded(session),
        "correct": SetCorrected(target, reps=9),
        "delete": EventDeleted(target),
        "join": SessionsJoined((OURS, THEIRS)),
    }
    return Event(id_, "test", EVENING + timedelta(minutes=minute), bodies[kind])


KINDS = st.sampled_from(["set", "skip", "end", "correct", "delete", "join"])
EVENTS = st.lists(
    st.builds(an_event, IDS, KINDS, st.sampled_from([OURS, THEIRS]), IDS, st.integers(0, 5)),
    max_size=25,
    unique_by=lambda event: event.id,
)


@given(EVENTS, st.randoms())
def test_a_sessions_events_are_the_same_in_any_order(events: list[Event], random: Random) -> None:
    found = session_events(events, (OURS,))
    shuffled = [*events, *events]
    random.shuffle(shuffled)
    assert session_events(shuffled, (OURS,)) == found
    assert fingerprint(session_events(shuffled, (OURS,))) == fingerprint(found)


@given(EVENTS)
def test_what_is_said_of_a_session_is_there_with_what_it_is_said_of(events: list[Event]) -> None:
    """Nothing that speaks of an event within is left without, and nothing else is within."""
    found = {event.id for event in session_events(events, (OURS,))}
    for event in events:
        match event.body:
            case SetCorrected(target) | EventDeleted(target):
                if target != event.id:
                    assert (event.id in found) == (target in found)
            case SessionsJoined():
                assert event.id in found
            case SetDone(session) | SetSkipped(session) | SessionEnded(session):
                assert (event.id in found) == (session == OURS)


@given(st.sets(IDS))
def test_other_events_have_another_fingerprint(ids: set[str]) -> None:
    events = [Event(id_, "test", EVENING, SessionEnded(OURS)) for id_ in ids]
    extra = Event("f" * 32, "test", EVENING, SessionEnded(OURS))
    assert fingerprint([*events, extra]) != fingerprint(events)


def a_tap(steelyard: Steelyard, session: str, id_: str, **changed: Any) -> dict[str, Any]:
    """The event of the set that is shown, as a page makes it."""
    card = shown(steelyard, session)["cards"][0]
    said = {"reps": card["low"], "rir": None, "ended": "unsaid", "rest_s": None, "note": "", "helped": 0}
    at = EVENING.isoformat().replace("+00:00", "Z")
    body = {name: card[name] for name in OF_CARD} | card["body"] | said | changed
    return {"kind": "set-done", "version": 2, "id": id_, "origin": "page-1", "at": at, "body": body}


def test_what_a_page_delivers_is_kept_once(steelyard: Steelyard, session: str) -> None:
    tap = a_tap(steelyard, session, "c" * 32)
    for _ in range(2):
        receipt = receive(steelyard, [tap, tap])
        assert receipt.have == ["c" * 32, "c" * 32]
        assert receipt.refused == {}
    assert [logged.id for logged in steelyard.session(session).session.sets] == ["c" * 32]


def test_one_that_is_refused_keeps_nobody_back(steelyard: Steelyard, session: str) -> None:
    good = a_tap(steelyard, session, "c" * 32)
    receipt = receive(steelyard, [good | {"id": "d" * 32, "kind": "set-lifted"}, 7, good])
    assert receipt.have == ["c" * 32]
    assert "set-lifted" in receipt.refused["d" * 32]


def test_the_same_id_with_other_contents_is_refused(steelyard: Steelyard, session: str) -> None:
    tap = a_tap(steelyard, session, "c" * 32)
    receive(steelyard, [tap])
    other = tap | {"body": tap["body"] | {"reps": 1}}
    receipt = receive(steelyard, [other])
    assert "other contents" in receipt.refused["c" * 32]
    assert steelyard.session(session).session.sets[0].done.reps == tap["body"]["reps"]


@settings(
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
    deadline=None,
    max_examples=15,
)
@given(order=st.permutations(range(4)))
def test_the_fold_is_the_same_however_deliveries_arrive(
    steelyard: Steelyard, session: str, order: list[int]
) -> None:
    """Two devices deliver in whatever order; only what speaks of another event must follow it."""
    known = steelyard.supposing(steelyard.events)
    first = a_tap(known, session, "c" * 32)
    taps = [
        first,
        first | {"id": "d" * 32, "at": "2026-03-05T18:31:00Z"},
        {**first, "id": "e" * 32, "kind": "set-skipped", "version": 1,
         "body": {"session": session, "slot": shown(known, session)["cards"][1]["slot"]}},
        {**first, "id": "9" * 32, "kind": "session-ended", "version": 1, "body": {"session": session}},
    ]  # fmt: skip
    for place in order:
        assert receive(known, [taps[place]]).refused == {}
    folded = known.state.sessions[session]
    assert [logged.id for logged in folded.sets] == ["c" * 32]
    assert [logged.id for logged in folded.repeats] == ["d" * 32]
    assert folded.ended_at is not None
