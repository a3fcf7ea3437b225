"""The demo home: invented people, six weeks, the same again every time, and nobody's folder thrown away."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import closing
from datetime import datetime, timedelta
from itertools import pairwise
from pathlib import Path

import pytest

from gyms import NOW, Clock, boathouse, home
from steelyard.demo import DEMO_FOLDER, WEEKS, ensure_demo, invented_history, invented_lifters
from steelyard.errors import DamagedFile
from steelyard.home import read_home
from steelyard.journal.events import Event
from steelyard.journal.fold import State, fold
from steelyard.journal.sqlite import SqliteJournal
from steelyard.training.believed import believed
from steelyard.training.model import Role


@pytest.fixture(scope="module")
def told() -> list[Event]:
    return list(invented_history(home(), NOW))


@pytest.fixture(scope="module")
def state(told: list[Event]) -> State:
    return fold(told)


def test_both_lifters_are_marked_invented(state: State) -> None:
    assert sorted(state.lifters) == ["marek", "tove"]
    for lifter in state.lifters.values():
        assert lifter.invented
        assert lifter.name.endswith("(invented)")
        assert lifter.body_mass_kg
        assert lifter.screening


def test_six_weeks_three_sessions_a_week_each_done_to_its_end(state: State) -> None:
    for lifter in state.lifters:
        sessions = [each for each in state.sessions.values() if each.lifter == lifter]
        assert len(sessions) == 3 * WEEKS
        assert all(each.sets and each.ended_at and not each.repeats for each in sessions)
        assert {each.outline for each in sessions} == {"legs", "press", "pull"}


def test_it_ends_the_day_before(told: list[Event]) -> None:
    times = [event.at for event in told]
    midnight = NOW.replace(hour=0, minute=0)
    assert midnight - timedelta(weeks=WEEKS) == min(times)
    assert midnight - timedelta(days=3) < max(times) < midnight


def test_the_two_never_train_at_once(state: State) -> None:
    spans = sorted((each.started_at, each.ended_at or each.started_at) for each in state.sessions.values())
    overlaps = [(one, two) for one, two in pairwise(spans) if two[0] < one[1]]
    assert overlaps == []


def test_first_loads_are_found_by_test_sets_and_never_too_heavy(state: State) -> None:
    maxima = {lifter.id: lifter.maxima_kg for lifter in invented_lifters()}
    for session in list(state.sessions.values())[:6]:
        assert session.sets[0].done.role == Role.TEST
        for logged in session.sets:
            assert logged.done.felt_kg < maxima[logged.done.lifter][logged.done.exercise]


def test_the_invented_get_stronger(state: State) -> None:
    for lifter in state.lifters:
        rows = [each.done for each in state.sets_of(lifter) if each.done.exercise == "lever_row_chest"]
        work = [done.felt_kg for done in rows if done.role == Role.WORK]
        assert max(work[-3:]) > max(work[:3])


def test_every_plate_used_is_in_the_house(state: State) -> None:
    assert all(boathouse().known_loading(logged.done.loading) is not None for logged in state.sets())


def test_the_same_time_tells_the_same_history(told: list[Event]) -> None:
    assert list(invented_history(home(), NOW)) == told


def lines(folder: Path) -> list[Event]:
    with closing(SqliteJournal(folder / "journal.db")) as journal:
        return journal.events()


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("demo") / DEMO_FOLDER
    assert ensure_demo(folder, NOW)
    return folder


def test_the_home_holds_that_history(made: Path, told: list[Event]) -> None:
    assert read_home(made).gym.machine == boathouse().machine
    assert {event.id for event in lines(made)} == {event.id for event in told}


def test_an_earlier_demo_is_kept(made: Path) -> None:
    (made / "plates.toml").write_text((made / "plates.toml").read_text() + "# mine\n")
    assert not ensure_demo(made, Clock()())
    assert (made / "plates.toml").read_text().endswith("# mine\n")


def test_afresh_throws_it_away_and_begins_again(made: Path) -> None:
    (made / "mine.txt").write_text("")
    later = datetime(2026, 4, 1, 9, 0, tzinfo=NOW.tzinfo)
    assert ensure_demo(made, later, afresh=True)
    assert not (made / "mine.txt").exists()
    assert lines(made)[-1].at > NOW


def test_one_that_was_interrupted_is_made_anew(
    tmp_path: Path, told: list[Event], monkeypatch: pytest.MonkeyPatch
) -> None:
    def interrupted(*_: object) -> Iterator[Event]:
        yield told[0]
        raise KeyboardInterrupt

    monkeypatch.setattr("steelyard.demo.invented_history", interrupted)
    with pytest.raises(KeyboardInterrupt):
        ensure_demo(tmp_path / "demo", NOW)
    monkeypatch.setattr("steelyard.demo.invented_history", lambda *_: told[:2])
    assert ensure_demo(tmp_path / "demo", NOW)
    assert lines(tmp_path / "demo") == told[:2]


def test_a_place_that_cannot_be_written_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(DamagedFile, match=r"is not writable .*; it must be a folder that can be made"):
        ensure_demo(tmp_path / "file" / "demo", NOW)


@pytest.mark.parametrize("afresh", [False, True])
def test_any_other_folder_is_refused_and_left_alone(tmp_path: Path, afresh: bool) -> None:
    (tmp_path / "thesis.txt").write_text("mine")
    with pytest.raises(DamagedFile, match="is something else than a demo home; it must be an empty or new folder"):
        ensure_demo(tmp_path, NOW, afresh=afresh)
    with pytest.raises(DamagedFile, match=r"thesis.txt is something else than a demo home"):
        ensure_demo(tmp_path / "thesis.txt", NOW, afresh=afresh)
    assert (tmp_path / "thesis.txt").read_text() == "mine"


def test_a_scale_was_read_before_anybody_trained(state: State) -> None:
    (made,) = state.calibrations[boathouse().machine.name]
    readings = state.readings[boathouse().machine.name]
    assert {logged.id for logged in readings} == {*made.made.readings, *made.made.suspects}
    assert (
        max(logged.at for logged in readings) < made.at < min(each.started_at for each in state.sessions.values())
    )


def test_the_sets_weigh_what_the_calibrated_machine_says(state: State) -> None:
    known = believed(boathouse(), state.calibrations[boathouse().machine.name])
    assert known.used is not None
    changes = [known.change(logged.done) for logged in state.sets()]
    assert [change for change in changes if change is not None and abs(change) > 1e-6] == []
