"""Several lifters in turn at the machine, from their sessions as they stand."""

from __future__ import annotations

from datetime import timedelta

import pytest

from gyms import NOW, Clock, join, steelyard, tell_strength
from second_thoughts import skip_set
from steelyard.errors import OutOfRange, UnknownName
from steelyard.journal.events import Event, SessionsJoined
from steelyard.journal.sqlite import SqliteJournal
from steelyard.plates.model import plate_names
from steelyard.recording import planned_set
from steelyard.service import Steelyard
from steelyard.training.rules import SECONDS_PER_REP
from steelyard.training.together import Turn
from steelyard.workshop.turns_live import in_company, joined_view, parted, session_in_turn, start_together


def gym_of(*names: str, clock: Clock | None = None) -> Steelyard:
    use = steelyard(clock=clock or Clock())
    for name in names:
        join(use, name)
        tell_strength(use, name)
        use.answer_screening(name, True, False, False)
    return use


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def use(clock: Clock) -> Steelyard:
    return gym_of("ida", "bo", clock=clock)


def now(use: Steelyard, session: str) -> Turn:
    return joined_view(use, session)[0].turns[0]


def do(use: Steelyard, session: str, *, reps: int | None = None) -> Turn:
    """The set whose turn it is, done as told."""
    sheet, views = joined_view(use, session)
    turn = sheet.turns[0]
    done = planned_set(
        views[turn.session], turn.one.slot, reps or turn.one.reps_low, rir=2, failed=False, at=use.now()
    )
    use.record(done)
    return turn


def test_two_take_turns_set_by_set(use: Steelyard, clock: Clock) -> None:
    ida, bo = start_together(use, ["ida", "bo"], "press")
    found = []
    for _ in range(6):
        found.append(do(use, ida))
        clock.wait(seconds=80)
    assert [turn.session for turn in found] == [ida, bo] * 3
    assert [turn.one.slot for turn in found[::2]] == [turn.one.slot for turn in found[1::2]]


def test_both_devices_show_the_same(use: Steelyard) -> None:
    ida, bo = start_together(use, ["ida", "bo"], "press")
    do(use, ida)
    assert joined_view(use, ida) == joined_view(use, bo)


def test_two_devices_that_know_the_same_events_agree_in_whatever_order_they_came(use: Steelyard) -> None:
    ida, _ = start_together(use, ["ida", "bo"], "press")
    do(use, ida)
    do(use, ida)
    journal = SqliteJournal.memory()
    journal.append(list(reversed(list(use.events))))
    assert joined_view(steelyard(journal, clock=use.now), ida) == joined_view(use, ida)


def test_the_whole_session_can_be_gone_through_and_is_over_for_both(use: Steelyard, clock: Clock) -> None:
    ida, bo = start_together(use, ["ida", "bo"], "press")
    turns = []
    while joined_view(use, ida)[0].turns:
        turns.append(do(use, ida))
        clock.wait(seconds=70)
    _, views = joined_view(use, ida)
    assert views[ida].current is None
    assert views[bo].current is None
    assert len({(turn.session, turn.one.slot) for turn in turns}) == len(turns) == 2 * views[ida].total_sets


def test_what_is_logged_has_the_plates_chosen_for_all(use: Steelyard) -> None:
    ida, _ = start_together(use, ["ida", "bo"], "press")
    turn = do(use, ida)
    assert use.state.sessions[ida].sets[0].done.loading == plate_names(turn.one.loading)
    assert all(turn.one.loading[horn] == stack for horn, stack in use.on_horns().items())


def test_rest_is_measured_from_the_lifters_own_last_set(use: Steelyard, clock: Clock) -> None:
    ida, _ = start_together(use, ["ida", "bo"], "press")
    do(use, ida)
    clock.wait(seconds=60)
    do(use, ida)
    clock.wait(seconds=90)
    do(use, ida, reps=8)
    sets = use.state.sessions[ida].sets
    assert [logged.done.rest_s for logged in sets] == [None, 150.0 - 8 * SECONDS_PER_REP]


def test_a_rest_runs_from_the_lifters_own_last_set(use: Steelyard, clock: Clock) -> None:
    ida, _ = start_together(use, ["ida", "bo"], "press")
    do(use, ida)
    clock.wait(seconds=60)
    do(use, ida)
    turn = now(use, ida)
    assert turn.session == ida
    assert turn.rested_s == pytest.approx(turn.one.rest_s - 60.0)
    assert turn.one.starts_s == max(turn.free_s, turn.rested_s)


def test_whoever_is_rested_when_the_machine_is_free_keeps_nobody_waiting(use: Steelyard, clock: Clock) -> None:
    ida, _ = start_together(use, ["ida", "bo"], "press")
    do(use, ida)
    clock.wait(minutes=5)
    do(use, ida)
    turn = now(use, ida)
    assert turn.rested
    assert turn.waits_s == 0.0
    assert turn.one.starts_s == turn.free_s


def test_a_set_skipped_passes_the_turn_on(use: Steelyard) -> None:
    ida, bo = start_together(use, ["ida", "bo"], "press")
    skip_set(use, ida, now(use, ida).one.slot)
    assert now(use, ida).session == bo


def test_who_ends_leaves_the_other_to_go_on_alone(use: Steelyard) -> None:
    ida, bo = start_together(use, ["ida", "bo"], "press")
    do(use, ida)
    use.end_session(ida)
    sheet, views = joined_view(use, bo)
    assert {turn.session for turn in sheet.turns} == {bo}
    assert views[ida].current is None
    assert joined_view(use, ida) == (sheet, views)


def test_once_all_have_ended_nothing_is_left_to_either(use: Steelyard) -> None:
    ida, bo = start_together(use, ["ida", "bo"], "press")
    use.end_session(ida)
    use.end_session(bo)
    sheet, views = joined_view(use, ida)
    assert sheet.turns == ()
    assert list(views) == [ida, bo]


def test_one_who_comes_later_begins_at_the_beginning(use: Steelyard, clock: Clock) -> None:
    alone = use.start_session("ida", "press")
    for _ in range(2):
        do(use, alone)
        clock.wait(minutes=2)
    ida, bo = start_together(use, ["ida", "bo"], "press")
    assert ida == alone
    assert (now(use, ida).session, now(use, ida).one.slot) == (bo, "1.warm-up.1")


def test_a_session_alone_is_a_turn_of_one(use: Steelyard) -> None:
    alone = use.start_session("ida", "press")
    sheet, views = joined_view(use, alone)
    prepared = use.session(alone).prepared
    assert [turn.one.loading for turn in sheet.turns] == [one.loading for one in prepared.sets]
    assert views[alone].prepared.notes == prepared.notes
    assert session_in_turn(use, alone).prepared.sets == prepared.sets


def test_an_unknown_session_is_named() -> None:
    with pytest.raises(UnknownName, match="session 'nobody' is not known; begin one, or go on"):
        joined_view(gym_of("ida"), "nobody")


def test_started_again_nothing_more_happens(use: Steelyard) -> None:
    first = start_together(use, ["ida", "bo"], "press")
    count = len(use.events)
    assert start_together(use, ["ida", "bo"], "press") == first
    assert start_together(use, ["bo", "ida"], None) == first[::-1]
    assert len(use.events) == count


def test_a_third_joins_those_who_are_at_it() -> None:
    use = gym_of("ida", "bo", "tove")
    ida, bo = start_together(use, ["ida", "bo"], "press")
    tove, _ = start_together(use, ["tove", "bo"], "press")
    assert set(in_company(use, ida)) == {ida, bo, tove}


def test_more_than_four_are_refused() -> None:
    use = gym_of("ida", "bo", "tove", "ines", "otto")
    start_together(use, ["ida", "bo", "tove", "ines"], "press")
    with pytest.raises(OutOfRange, match="with those joined before, is 5; it must be at most 4"):
        start_together(use, ["otto", "bo"], "press")


def test_one_alone_is_no_company(use: Steelyard) -> None:
    for named in (["ida"], ["ida", "ida"], []):
        with pytest.raises(OutOfRange, match="it must be 2 to 4 different lifters"):
            start_together(use, named, "press")


def test_nobody_begins_before_their_screening(use: Steelyard) -> None:
    join(use, "tove")
    with pytest.raises(OutOfRange, match=r"the screening of Tove is not answered; .* /lifter/tove/screening"):
        start_together(use, ["ida", "tove"], "press")
    assert use.open_session("ida") is None


def test_who_is_in_the_middle_of_something_else_is_told_so(use: Steelyard) -> None:
    do(use, use.start_session("bo", "pull"))
    with pytest.raises(OutOfRange, match="the outline Bo is in the middle of is pull; it must be press: end that"):
        start_together(use, ["ida", "bo"], "press")
    assert use.open_session("ida") is None


def test_a_session_with_nothing_left_ends_when_the_next_is_begun(use: Steelyard) -> None:
    old = use.start_session("ida", "press")
    while (current := use.session(old).current) is not None:
        skip_set(use, old, current.slot)
    ida, _ = start_together(use, ["ida", "bo"], "pull")
    assert ida != old
    assert use.state.sessions[old].ended_at is not None


def test_one_of_three_goes_on_alone_and_the_others_stay_together() -> None:
    use = gym_of("ida", "bo", "tove")
    ida, bo, tove = start_together(use, ["ida", "bo", "tove"], "press")
    for body in parted(use, bo):
        use.record(body)
    assert in_company(use, bo) == (bo,)
    assert in_company(use, ida) == (ida, tove)


def test_of_two_who_part_nobody_is_left_in_turn(use: Steelyard) -> None:
    ida, bo = start_together(use, ["ida", "bo"], "press")
    for body in parted(use, ida):
        use.record(body)
    assert (in_company(use, ida), in_company(use, bo)) == ((ida,), (bo,))


def test_a_set_that_was_sent_late_finds_its_place(use: Steelyard, clock: Clock) -> None:
    """Bo's phone was offline: what was done there before Ida's last set comes after it, and the turn is Bo's."""
    ida, bo = start_together(use, ["ida", "bo"], "press")
    do(use, ida)
    sheet, views = joined_view(use, bo)
    late = planned_set(views[bo], sheet.turns[0].one.slot, 8, rir=2, failed=False, at=NOW)
    clock.wait(minutes=3)
    use.record(planned_set(session_in_turn(use, ida), "1.warm-up.2", 5, rir=3, failed=False, at=use.now()))
    use.keep(Event("f" * 32, "phone", NOW + timedelta(minutes=1), late))
    assert now(use, ida).session == bo
    assert [logged.done.slot for logged in use.state.sessions[bo].sets] == ["1.warm-up.1"]


def test_a_join_sent_by_two_phones_counts_once(use: Steelyard) -> None:
    ida, bo = start_together(use, ["ida", "bo"], "press")
    before = joined_view(use, ida)
    use.record(SessionsJoined((ida, bo)))
    assert joined_view(use, ida) == before
