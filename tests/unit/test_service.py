"""The use cases from end to end: what is asked, recorded, refused, corrected, and known after a restart."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest

from gyms import NOW, Clock, join, steelyard, tell_strength
from second_thoughts import correct_set, skip_set
from steelyard.errors import DamagedJournal, LimitExceeded, OutOfRange, UnknownName
from steelyard.journal.events import SetSkipped
from steelyard.journal.sqlite import SqliteJournal
from steelyard.service import PLATES_STAY, Steelyard
from steelyard.training.model import PreparedSet, Role
from steelyard.units import Unit
from steelyard.workshop.sets import log_set


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def use(clock: Clock) -> Steelyard:
    """The boathouse with Ida, whose strength is known."""
    use = steelyard(clock=clock)
    tell_strength(use, join(use))
    return use


@pytest.fixture
def session(use: Steelyard) -> str:
    return use.start_session("ida", "pull")


def current(use: Steelyard, session: str) -> PreparedSet:
    found = use.session(session).current
    assert found is not None
    return found


def next_work(use: Steelyard, session: str) -> PreparedSet:
    return next(one for one in use.session(session).prepared.sets if one.role is Role.WORK)


def do_next(use: Steelyard, session: str, clock: Clock, *, reps: int = 10, rir: int | None = 2) -> str:
    clock.wait(minutes=3)
    return log_set(use, session, current(use, session).slot, reps, rir=rir)


# ---- a session ----


def test_the_whole_job(use: Steelyard, session: str, clock: Clock) -> None:
    total = use.session(session).total_sets
    for _ in range(total):
        do_next(use, session, clock)
    view = use.session(session)
    assert view.current is None
    assert (len(view.session.sets), view.total_sets) == (total, total)
    use.end_session(session)
    assert use.open_session("ida") is None


def test_a_saved_set_says_what_was_done(use: Steelyard, session: str, clock: Clock) -> None:
    planned = current(use, session)
    event = log_set(use, session, planned.slot, 8, rir=2)
    logged = use.session(session).last
    assert logged is not None
    assert (logged.id, logged.at, logged.origin) == (event, NOW, "test")
    done = logged.done
    assert (done.slot, done.reps, done.rir, done.ended) == (planned.slot, 8, 2, "reported")
    assert done.loading == {horn: tuple(plate.name for plate in stack) for horn, stack in planned.loading.items()}


def test_rest_is_counted_from_the_set_before_less_the_reps(use: Steelyard, session: str, clock: Clock) -> None:
    do_next(use, session, clock)
    clock.wait(seconds=100)
    log_set(use, session, current(use, session).slot, 10)
    first, second = use.session(session).session.sets
    assert (first.done.rest_s, second.done.rest_s) == (None, 60.0)


def test_a_set_may_be_logged_late(use: Steelyard, session: str) -> None:
    log_set(use, session, current(use, session).slot, 8, at=NOW - timedelta(minutes=2))
    last = use.session(session).last
    assert last is not None
    assert last.at == NOW - timedelta(minutes=2)


@pytest.mark.parametrize(
    ("rir", "failed", "kept"),
    [(None, False, (None, "unsaid")), (3, False, (3, "reported")), (3, True, (0, "failure"))],
)
def test_how_a_set_ended(
    use: Steelyard, session: str, rir: int | None, failed: bool, kept: tuple[int | None, str]
) -> None:
    log_set(use, session, current(use, session).slot, 8, rir=rir, failed=failed)
    done = use.session(session).session.sets[0].done
    assert (done.rir, done.ended) == kept


def test_a_slot_done_is_not_done_again(use: Steelyard, session: str) -> None:
    log_set(use, session, "1.warm-up.1", 8)
    with pytest.raises(
        OutOfRange, match=r"set is '1.warm-up.1', done or skipped already; it must be one that is left"
    ) as told:
        log_set(use, session, "1.warm-up.1", 8)
    assert "1.warm-up.2" in str(told.value)
    assert len(use.session(session).session.sets) == 1


def test_a_slot_that_never_was_is_not_known(use: Steelyard, session: str) -> None:
    with pytest.raises(UnknownName, match=r"set '1.work.9' is not known; did you mean 1.work.1\?"):
        log_set(use, session, "1.work.9", 8)


def test_nothing_is_left_to_do_in_an_ended_session(use: Steelyard, session: str) -> None:
    log_set(use, session, "1.warm-up.1", 8)
    use.end_session(session)
    assert use.session(session).current is None
    with pytest.raises(OutOfRange, match="none is left"):
        log_set(use, session, "1.warm-up.1", 8)


@pytest.mark.parametrize("reps", [-1, 201])
def test_impossible_reps_are_refused(use: Steelyard, session: str, reps: int) -> None:
    with pytest.raises(OutOfRange, match=f"reps is {reps}; it must be a whole number from 0 to 200"):
        log_set(use, session, current(use, session).slot, reps)
    with pytest.raises(OutOfRange, match="reps left is 21; it must be"):
        log_set(use, session, current(use, session).slot, 8, rir=21)
    assert use.session(session).session.sets == ()


def test_a_skipped_set_is_counted_but_not_done(use: Steelyard, session: str) -> None:
    total, slot = use.session(session).total_sets, current(use, session).slot
    skip_set(use, session, slot)
    view = use.session(session)
    assert (view.total_sets, len(view.prepared.sets), view.session.skipped) == (
        total,
        total - 1,
        frozenset({slot}),
    )
    with pytest.raises(OutOfRange, match="skipped already"):
        log_set(use, session, slot, 8)


def test_asking_again_with_the_same_id_records_nothing_more(use: Steelyard, clock: Clock) -> None:
    ids = [f"{number:032x}" for number in range(3)]
    for _ in range(2):  # the second time because the answers were lost
        begun = use.start_session("ida", "legs", event_id=ids[0])
        use.record(SetSkipped(begun, "1.warm-up.1"), ids[1])
        use.end_session(begun, event_id=ids[2])
        clock.wait(seconds=30)
    assert use.state.sessions[ids[0]].ended_at == NOW
    assert sum(line.count('"id"') for line in use.export_events() if any(each in line for each in ids)) == 3


# ---- names that are not known ----


def test_unknown_names_are_told_with_the_known_ones(use: Steelyard) -> None:
    with pytest.raises(UnknownName, match=r"lifter 'idda' is not known; did you mean ida\? known: ida"):
        use.lifter("idda")
    with pytest.raises(
        UnknownName, match=r"outline 'pul' is not known; did you mean pull\? known: legs, press, pull"
    ):
        use.prepare("ida", "pul")
    with pytest.raises(UnknownName, match="outline 'run' is not known; known: legs, press, pull"):
        use.start_session("ida", "run")
    with pytest.raises(UnknownName, match="station 'rowing' is not known"):
        use.stations(only="rowing")


def test_unknown_sessions_and_events_are_told(use: Steelyard) -> None:
    for ask in (use.session, use.end_session):
        with pytest.raises(UnknownName, match="session 'none' is not known"):
            ask("none")
    with pytest.raises(UnknownName, match="event 'none' is not known"):
        use.delete("none")


def test_nothing_is_begun_for_someone_unknown(use: Steelyard) -> None:
    with pytest.raises(UnknownName):
        use.start_session("otto", "pull")
    assert not use.state.sessions


# ---- corrections ----


def test_a_correction_changes_what_comes_next(use: Steelyard, session: str, clock: Clock) -> None:
    for _ in range(3):
        last = do_next(use, session, clock)
    before = next_work(use, session)
    correct_set(use, last, reps=6, failed=True, note="cut short")
    after = next_work(use, session)
    assert after.slot == before.slot == "1.work.2"
    assert after.felt_kg < before.felt_kg
    assert use.session(session).session.sets[-1].done.note == "cut short"


def test_undoing_a_set_brings_it_back(use: Steelyard, session: str, clock: Clock) -> None:
    before = use.session(session).prepared
    use.delete(do_next(use, session, clock))
    after = use.session(session).prepared
    assert [one.slot for one in after.sets] == [one.slot for one in before.sets]
    assert after.sets[0].loading == before.sets[0].loading


def test_undoing_a_skip_brings_the_set_back(use: Steelyard, session: str) -> None:
    slot = current(use, session).slot
    use.delete(skip_set(use, session, slot))
    assert current(use, session).slot == slot


def test_a_correction_says_that_form_broke_and_how_many_reps_were_helped(
    use: Steelyard, session: str, clock: Clock
) -> None:
    last = do_next(use, session, clock)
    correct_set(use, last, form=True, helped=2)
    done = use.session(session).session.sets[-1].done
    assert (done.ended, done.rir, done.helped) == ("form", None, 2)


# ---- what is on the horns ----


def on_horns(use: Steelyard) -> dict[str, tuple[str, ...]]:
    return {horn: tuple(plate.name for plate in stack) for horn, stack in use.on_horns().items()}


def test_the_next_set_starts_from_what_the_other_lifter_left(use: Steelyard, session: str, clock: Clock) -> None:
    tell_strength(use, join(use, "otto", body_mass_kg=90.0))
    theirs = use.start_session("otto", "legs")
    do_next(use, theirs, clock)
    left = use.session(theirs).session.sets[-1].done.loading
    assert on_horns(use) == left != {}
    assert use.session(session).on_horns == use.on_horns()


def test_two_lifters_take_turns_to_the_end(use: Steelyard, session: str, clock: Clock) -> None:
    tell_strength(use, join(use, "otto", body_mass_kg=90.0))
    sessions = [session, use.start_session("otto", "legs")]
    while left := [each for each in sessions if use.session(each).current is not None]:
        for each in left:
            planned = current(use, each)
            before = use.on_horns()
            do_next(use, each, clock)
            assert all(move.plate in before.get(move.horn, ()) for move in planned.moves if not move.on)
    for each, who in zip(sessions, ("ida", "otto"), strict=True):
        assert {logged.done.lifter for logged in use.session(each).session.sets} == {who}


def test_plates_left_for_hours_are_taken_to_be_put_away(use: Steelyard, session: str, clock: Clock) -> None:
    do_next(use, session, clock)
    assert on_horns(use) != {}
    clock.wait(seconds=PLATES_STAY.total_seconds() + 1)
    assert use.on_horns() == {}


def test_nothing_is_on_a_machine_that_nobody_used() -> None:
    assert steelyard().on_horns() == {}


# ---- who trains here ----


def test_a_newcomer_begins_with_a_test_set() -> None:
    use = steelyard()
    session = use.start_session(join(use, months=0), "pull")
    assert current(use, session).role is Role.TEST


def test_a_lifter_may_change_name_and_unit(use: Steelyard, clock: Clock) -> None:
    clock.wait(minutes=1)
    use.add_lifter("ida", "Ida B.", Unit.LB, 30)
    assert (use.lifter("ida").name, use.lifter("ida").unit, use.lifter("ida").body_mass_kg) == (
        "Ida B.",
        "lb",
        70.0,
    )


def test_lifters_are_listed_by_name(use: Steelyard) -> None:
    join(use, "adam")
    assert [each.lifter for each in use.lifters()] == ["adam", "ida"]


def test_training_months_have_a_range(use: Steelyard) -> None:
    with pytest.raises(OutOfRange, match="months of training is -1"):
        use.add_lifter("ida", "Ida", Unit.KG, -1)


def test_someone_heavier_than_the_machine_allows_is_refused(use: Steelyard) -> None:
    with pytest.raises(LimitExceeded, match=r"user mass would be 151.0 kg; it must not exceed 150.0 kg"):
        use.record_body_mass("ida", 151.0)
    assert use.lifter("ida").body_mass_kg == 70.0


@pytest.mark.parametrize("mass_kg", [float("nan"), -3.0, 19.9, 401.0])
def test_what_is_no_body_mass_is_refused(use: Steelyard, mass_kg: float) -> None:
    with pytest.raises(OutOfRange, match=r"body mass is .* kg; it must be from 20 to 400 kg"):
        use.record_body_mass("ida", mass_kg)


def test_screening_is_asked_again_after_three_months_without_a_session(use: Steelyard, clock: Clock) -> None:
    assert use.needs_screening("ida")
    assert use.screening_advice("ida") is None
    use.answer_screening("ida", active=True, disease=False, symptoms=False)
    clock.wait(days=90)
    assert not use.needs_screening("ida")
    clock.wait(days=2)
    assert use.needs_screening("ida")


def test_training_keeps_the_answers_good(use: Steelyard, session: str, clock: Clock) -> None:
    use.answer_screening("ida", active=True, disease=False, symptoms=False)
    clock.wait(days=60)
    do_next(use, use.start_session("ida", "pull"), clock)
    clock.wait(days=60)
    assert not use.needs_screening("ida")


def test_answers_lead_to_advice(use: Steelyard) -> None:
    use.answer_screening("ida", active=True, disease=False, symptoms=True)
    assert str(use.screening_advice("ida")).startswith("Don't train now.")
    use.answer_screening("ida", active=True, disease=False, symptoms=False)
    assert use.screening_advice("ida") is None


# ---- whose turn it is ----


def test_outlines_take_turns_by_when_they_were_last_done(use: Steelyard, clock: Clock) -> None:
    seen = []
    for _ in range(4):
        seen.append(use.next_outline("ida"))
        session = use.start_session("ida", seen[-1])
        do_next(use, session, clock)
        use.end_session(session)
        clock.wait(days=2)
    assert seen == ["legs", "press", "pull", "legs"]


def test_a_session_without_a_set_takes_no_turn(use: Steelyard) -> None:
    use.end_session(use.start_session("ida", "legs"))
    assert use.next_outline("ida") == "legs"


def test_the_session_in_progress_comes_before_the_turn(use: Steelyard, session: str, clock: Clock) -> None:
    assert use.turn_of("ida") == "pull"
    do_next(use, session, clock)
    assert len(use.prepare("ida", "pull").sets) == use.session(session).total_sets - 1
    assert use.prepare("ida", "legs").outline.name == "legs"
    use.end_session(session)
    assert use.turn_of("ida") == "legs"


def test_yesterdays_session_is_not_open(use: Steelyard, session: str, clock: Clock) -> None:
    assert use.open_session("ida") == session
    clock.wait(days=1)
    assert use.open_session("ida") is None


# ---- sets by themselves ----


def test_a_loose_set_is_kept_with_its_felt_load(use: Steelyard) -> None:
    event = use.log_loose("ida", "lever_row_chest", {"tip": ("20 kg", "5 kg")}, 8, rir=1)
    (logged,) = [each for each in use.state.loose if each.id == event]
    assert (logged.done.station, logged.done.slot, logged.done.session) == ("row-chest", "", "")
    assert logged.done.felt_kg == pytest.approx(51.4, abs=5)


def test_a_loose_set_over_a_limit_is_refused(use: Steelyard) -> None:
    before = len(use.state.loose)
    with pytest.raises(LimitExceeded, match="plates named 20 kg in use would be 10; it must not exceed 4"):
        use.log_loose("ida", "lever_row_chest", {"tip": ("20 kg",) * 5}, 8)
    with pytest.raises(UnknownName, match="horn 'top' is not known"):
        use.log_loose("ida", "lever_row_chest", {"top": ("20 kg",)}, 8)
    with pytest.raises(UnknownName, match="horn at station row-chest 'pin' is not known"):
        use.log_loose("ida", "lever_row_chest", {"pin": ("20 kg",)}, 8)
    with pytest.raises(UnknownName, match="plate '21 kg' is not known; did you mean 20 kg"):
        use.log_loose("ida", "lever_row_chest", {"tip": ("21 kg",)}, 8)
    assert len(use.state.loose) == before


def test_a_loose_set_needs_a_place(use: Steelyard) -> None:
    with pytest.raises(UnknownName, match="exercise 'rowing' is not known"):
        use.log_loose("ida", "rowing", {}, 8)
    with pytest.raises(UnknownName, match="station for lever_row_chest 'press' is not known; known: row-chest"):
        use.log_loose("ida", "lever_row_chest", {}, 8, station="press")
    with pytest.raises(UnknownName, match="station for cable_row_seated 'any' is not known"):
        use.log_loose("ida", "cable_row_seated", {}, 8)


# ---- stations ----


def test_stations_that_need_a_body_mass_wait_for_a_lifter(use: Steelyard) -> None:
    nobody, ida = ({each.station.name for each in use.stations(who)} for who in (None, "ida"))
    assert ida - nobody == {"inverted-row"}
    with pytest.raises(OutOfRange, match="body mass"):
        use.stations(only="inverted-row")


def test_one_station_may_be_asked_for(use: Steelyard) -> None:
    (only,) = use.stations(only="row")
    assert only.station.name == "row"


# ---- restart, export, import ----


@pytest.fixture
def file(tmp_path: Path) -> Iterator[SqliteJournal]:
    with closing(SqliteJournal(tmp_path / "journal.db")) as journal:
        yield journal


def test_a_restart_shows_the_session_done_and_the_next_one_prepared(
    tmp_path: Path, file: SqliteJournal, clock: Clock
) -> None:
    use = steelyard(file, clock=clock)
    tell_strength(use, join(use))
    session = use.start_session("ida", "legs")
    while use.session(session).current is not None:
        do_next(use, session, clock)
    use.end_session(session)
    clock.wait(days=2)
    with closing(SqliteJournal(tmp_path / "journal.db")) as journal:
        again = steelyard(journal, clock=clock)
        assert again.state == use.state
        assert len(again.session(session).session.sets) == use.session(session).total_sets
        assert again.next_outline("ida") == "press"
        assert again.prepare("ida", "press") == use.prepare("ida", "press")
        assert "2 days ago" in next_work_of(again.prepare("ida", "legs").sets).reason


def next_work_of(sets: tuple[PreparedSet, ...]) -> PreparedSet:
    return next(one for one in sets if one.role is Role.WORK)


def test_what_another_program_records_is_seen(tmp_path: Path, file: SqliteJournal) -> None:
    page = steelyard(file)
    join(page)
    with closing(SqliteJournal(tmp_path / "journal.db")) as journal:
        steelyard(journal, seed=8).add_lifter("otto", "Otto", Unit.KG, 3)
    assert [each.lifter for each in page.lifters()] == ["ida", "otto"]


def test_an_export_brings_everything_over_and_only_once(use: Steelyard, session: str, clock: Clock) -> None:
    correct_set(use, do_next(use, session, clock), note="first\u2028second\u0085third")
    skip_set(use, session, current(use, session).slot)
    lines = list(use.export_events())
    other = steelyard(clock=clock)
    assert other.import_events(lines, "gym.ndjson") == (len(lines), len(lines))
    assert other.import_events(lines, "gym.ndjson") == (len(lines), 0)
    assert other.state == use.state
    assert other.session(session).prepared == use.session(session).prepared


def test_a_damaged_export_brings_nothing(use: Steelyard) -> None:
    lines = list(use.export_events())
    other = steelyard()
    with pytest.raises(DamagedJournal, match=r"gym\.ndjson line 2"):
        other.import_events([lines[0], "{]", *lines[1:]], "gym.ndjson")
    assert other.lifters() == ()


def test_sets_come_out_as_rows(use: Steelyard, session: str, clock: Clock) -> None:
    do_next(use, session, clock)
    rows = list(use.export_sets())
    assert rows[0].startswith("set,at_utc,")
    assert len(rows) == 1 + len(list(use.state.sets()))


def test_every_event_is_stamped_with_the_clock_and_a_new_id(use: Steelyard) -> None:
    ids = re.findall(r'"id":"([0-9a-f]{32})"', "".join(use.export_events()).replace(" ", ""))
    assert len(ids) == len(set(ids)) > 10
