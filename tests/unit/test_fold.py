"""How events add up: corrections, deletions, repeats, and what arrives without its beginning."""

from __future__ import annotations

import pytest

from journal_events import START, event, id_of, session, set_done
from steelyard.errors import JournalConflict
from steelyard.journal.events import (
    Body,
    BodyMassMeasured,
    Event,
    EventDeleted,
    LifterJoined,
    ScreeningAnswered,
    SessionEnded,
    SessionStarted,
    SetCorrected,
    SetSkipped,
)
from steelyard.journal.fold import LoggedSet, fold


def _numbered(*bodies: Body) -> list[Event]:
    return [event(number, body) for number, body in enumerate(bodies)]


def _only_set(*after: Body, **changes: object) -> LoggedSet:
    """The one set of a journal that holds a set, with id 0, and what came after it."""
    (logged,) = fold(_numbered(set_done(**changes), *after)).sets_of("ida")
    return logged


def _count(*after: Body) -> int:
    """How many sets count, of one set with id 0 and what came after it."""
    return len(fold(_numbered(set_done(), *after)).sets_of("ida"))


def test_the_latest_details_of_a_lifter_count() -> None:
    state = fold(_numbered(LifterJoined("ida", "Ida", "kg", 5), LifterJoined("ida", "Ida R.", "lb", 30, True)))
    ida = state.lifters["ida"]
    assert (ida.name, ida.unit, ida.training_months, ida.invented) == ("Ida R.", "lb", 30, True)
    assert ida.joined_at == event(1, set_done()).at


def test_the_latest_body_mass_and_answers_count_even_before_joining() -> None:
    answers = ScreeningAnswered("ida", True, False, False)
    masses = BodyMassMeasured("ida", 70.0), BodyMassMeasured("ida", 71.5)
    ida = fold(_numbered(*masses, answers, LifterJoined("ida", "Ida", "kg", 5))).lifters["ida"]
    assert (ida.body_mass_kg, ida.body_mass_at) == (71.5, event(1, answers).at)
    assert (ida.screening, ida.screening_at) == (answers, event(2, answers).at)


def test_a_lifter_who_never_joined_is_no_lifter() -> None:
    assert fold(_numbered(BodyMassMeasured("ida", 70.0))).lifters == {}


def test_a_session_holds_its_sets_and_its_end() -> None:
    state = fold(session(3))
    done = state.sessions["session-0"]
    assert (done.lifter, done.outline, done.machine) == ("ida", "pull", "boathouse")
    assert (done.started_at, done.ended_at) == (START, event(8, set_done()).at)
    assert [logged.id for logged in done.sets] == [id_of(1), id_of(2), id_of(3)]


def test_sessions_come_in_the_order_they_began() -> None:
    later, earlier = session(1, number=1, day=3), session(1, number=2, day=1)
    assert list(fold([*later, *earlier]).sessions) == ["session-2", "session-1"]


def test_the_earliest_start_and_the_latest_end_count() -> None:
    start = SessionStarted("monday", "ida", "pull", "boathouse")
    state = fold(_numbered(start, SessionEnded("monday"), set_done(), start, SessionEnded("monday")))
    assert state.sessions["monday"].started_at == START
    assert state.sessions["monday"].ended_at == event(4, start).at


def test_a_set_whose_session_never_started_still_appears() -> None:
    state = fold([event(4, set_done()), event(3, set_done(slot="1.work.2"))])
    monday = state.sessions["monday"]
    assert (monday.lifter, monday.outline, monday.machine) == ("ida", "", "boathouse")
    assert (monday.started_at, len(monday.sets)) == (event(3, set_done()).at, 2)


def test_a_session_whose_start_is_deleted_keeps_its_sets() -> None:
    start = SessionStarted("monday", "ida", "pull", "boathouse")
    monday = fold(_numbered(start, set_done(), EventDeleted(id_of(0)))).sessions["monday"]
    assert (monday.outline, len(monday.sets)) == ("", 1)


def test_an_end_or_a_skip_alone_makes_no_session() -> None:
    assert fold(_numbered(SessionEnded("monday"), SetSkipped("monday", "1.work.1"))).sessions == {}


def test_a_set_logged_by_itself_is_loose_and_counts_for_its_lifter() -> None:
    state = fold([event(1, set_done(session="", slot="")), event(0, set_done())])
    assert [logged.id for logged in state.loose] == [id_of(1)]
    assert [logged.id for logged in state.sets_of("ida")] == [id_of(0), id_of(1)]
    assert state.sets_of("ole") == ()


def test_a_slot_done_twice_counts_once_and_the_earliest_counts() -> None:
    monday = fold([event(2, set_done(reps=9)), event(1, set_done(reps=8))]).sessions["monday"]
    assert [logged.id for logged in monday.sets] == [id_of(1)]
    assert [logged.id for logged in monday.repeats] == [id_of(2)]


def test_a_repeat_takes_the_place_of_a_deleted_first() -> None:
    monday = fold(_numbered(set_done(), set_done(reps=9), EventDeleted(id_of(0)))).sessions["monday"]
    assert [logged.id for logged in monday.sets] == [id_of(1)]
    assert monday.repeats == ()


def test_sets_without_a_slot_never_repeat_one_another() -> None:
    monday = fold(_numbered(set_done(slot=""), set_done(slot=""))).sessions["monday"]
    assert len(monday.sets) == 2


def test_a_slot_skipped_and_then_done_was_done() -> None:
    skips = SetSkipped("monday", "1.work.1"), SetSkipped("monday", "1.work.2")
    assert fold(_numbered(*skips, set_done())).sessions["monday"].skipped == {"1.work.2"}


def test_a_correction_changes_what_it_names_and_leaves_the_rest() -> None:
    done = _only_set(SetCorrected(id_of(0), reps=9)).done
    assert (done.reps, done.rir, done.ended, done.note) == (9, 2, "reported", "")


def test_the_latest_correction_of_each_field_counts() -> None:
    first, second = SetCorrected(id_of(0), reps=9, note="left"), SetCorrected(id_of(0), reps=7)
    done = _only_set(first, second).done
    assert (done.reps, done.note) == (7, "left")


def test_a_correction_counts_even_if_its_clock_is_before_its_set() -> None:
    state = fold([event(5, set_done()), event(1, SetCorrected(id_of(5), reps=9))])
    assert state.sets_of("ida")[0].done.reps == 9


@pytest.mark.parametrize(
    ("was", "correction", "becomes"),
    [
        ((None, "unsaid"), {"rir": 3}, (3, "reported")),
        ((2, "reported"), {"failed": True}, (0, "failure")),
        ((2, "reported"), {"failed": True, "rir": 3}, (0, "failure")),
        ((0, "failure"), {"rir": 1}, (1, "reported")),
        ((0, "failure"), {"failed": False}, (None, "unsaid")),
        ((0, "failure"), {"failed": False, "rir": 1}, (1, "reported")),
        ((2, "reported"), {"failed": False}, (2, "reported")),
        ((0, "failure"), {"reps": 9}, (0, "failure")),
        ((2, "reported"), {"form": True}, (None, "form")),
        ((0, "failure"), {"form": True, "failed": False}, (None, "form")),
        ((None, "form"), {"form": False}, (None, "unsaid")),
        ((None, "form"), {"form": False, "rir": 1}, (1, "reported")),
        ((None, "form"), {"failed": False}, (None, "form")),
        ((2, "reported"), {"form": True, "failed": True}, (0, "failure")),
    ],
)
def test_a_corrected_ending_and_reserve_agree(
    was: tuple[int | None, str], correction: dict[str, object], becomes: tuple[int | None, str]
) -> None:
    done = _only_set(SetCorrected(id_of(0), **correction), rir=was[0], ended=was[1]).done  # type: ignore[arg-type]
    assert (done.rir, done.ended) == becomes


@pytest.mark.parametrize(("correction", "helped"), [({"helped": 3}, 3), ({"helped": 9}, 8), ({"reps": 1}, 1)])
def test_a_correction_helps_with_no_more_reps_than_were_done(correction: dict[str, int], helped: int) -> None:
    assert _only_set(SetCorrected(id_of(0), **correction), helped=2).done.helped == helped  # type: ignore[arg-type]


def test_a_deleted_set_is_gone() -> None:
    assert _count(EventDeleted(id_of(0))) == 0


def test_a_deletion_that_is_deleted_does_not_count() -> None:
    assert _count(EventDeleted(id_of(0)), EventDeleted(id_of(1))) == 1
    assert _count(EventDeleted(id_of(0)), EventDeleted(id_of(1)), EventDeleted(id_of(2))) == 0


def test_a_set_deleted_twice_comes_back_when_both_deletions_are_deleted() -> None:
    twice = EventDeleted(id_of(0)), EventDeleted(id_of(0))
    assert _count(*twice, EventDeleted(id_of(1))) == 0
    assert _count(*twice, EventDeleted(id_of(1)), EventDeleted(id_of(2))) == 1


def test_deletions_in_a_circle_delete_nothing() -> None:
    assert _count(EventDeleted(id_of(1))) == 1
    assert _count(EventDeleted(id_of(0)), EventDeleted(id_of(3)), EventDeleted(id_of(2))) == 0
    assert _count(EventDeleted(id_of(2)), EventDeleted(id_of(1)), EventDeleted(id_of(0))) == 0


def test_a_long_chain_of_undoing_is_followed_to_its_end() -> None:
    assert _count(*(EventDeleted(id_of(number)) for number in range(3001))) == 0
    assert _count(*(EventDeleted(id_of(number)) for number in range(3002))) == 1


def test_a_deleted_correction_does_not_count() -> None:
    assert _only_set(SetCorrected(id_of(0), reps=9), EventDeleted(id_of(1))).done.reps == 8


def test_two_events_with_one_id_are_a_conflict_in_either_order() -> None:
    one, other = event(1, set_done(reps=8)), event(1, set_done(reps=9))
    for pair in ([one, other], [other, one]):
        with pytest.raises(JournalConflict, match=f"{id_of(1)}.*log the second one again"):
            fold(pair)
