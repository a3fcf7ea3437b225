"""Which sessions are lived through in turn, as the journal says it."""

from __future__ import annotations

from collections.abc import Sequence

from journal_events import event, id_of, set_done
from steelyard.journal.events import Body, EventDeleted, SessionEnded, SessionsJoined, SessionStarted
from steelyard.journal.fold import State, fold

STARTS = [SessionStarted(name, lifter, "pull", "m") for name, lifter in (("a", "ida"), ("b", "bo"), ("c", "tove"))]


def state(*bodies: Body, starts: Sequence[Body] = STARTS) -> State:
    return fold(event(number, body) for number, body in enumerate([*starts, *bodies]))


def joined(*bodies: Body) -> list[tuple[str, ...]]:
    return [session.joined for session in state(*bodies).sessions.values()]


def test_a_session_goes_alone_unless_it_is_joined() -> None:
    assert joined() == [(), (), ()]


def test_sessions_joined_know_one_another_in_the_order_named() -> None:
    assert joined(SessionsJoined(("b", "a"))) == [("b", "a"), ("b", "a"), ()]


def test_what_is_joined_with_one_is_joined_with_all() -> None:
    assert joined(SessionsJoined(("b", "a")), SessionsJoined(("c", "a"))) == [("c", "b", "a")] * 3


def test_a_session_that_has_ended_still_belongs_to_the_others() -> None:
    both = (SessionsJoined(("a", "b")), SessionsJoined(("b", "c")))
    assert joined(*both, SessionEnded("b")) == [("a", "b", "c")] * 3


def test_a_join_that_is_deleted_lets_them_go_on_alone_and_back_again() -> None:
    assert joined(SessionsJoined(("a", "b")), EventDeleted(id_of(3))) == [(), (), ()]
    again = (SessionsJoined(("a", "b")), EventDeleted(id_of(3)), EventDeleted(id_of(4)))
    assert joined(*again) == [("a", "b"), ("a", "b"), ()]


def test_a_session_that_is_not_known_yet_has_no_turn() -> None:
    told = state(SessionsJoined(("a", "z")))
    assert told.sessions["a"].joined == ()
    assert told.joins == {id_of(3): ("a", "z")}


def test_of_one_lifters_sessions_the_latest_begun_has_the_turns() -> None:
    again = (SessionStarted("d", "ida", "pull", "m"), SessionsJoined(("a", "b", "d")))
    assert state(*again).sessions["b"].joined == ("b", "d")


def test_a_session_known_only_by_its_sets_can_be_joined() -> None:
    told = state(
        set_done(session="x", lifter="ida"), set_done(session="y", lifter="bo"), SessionsJoined(("y", "x"))
    )
    assert told.sessions["x"].joined == ("y", "x")
