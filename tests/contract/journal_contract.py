"""What every journal must do, whatever keeps it: one set of cases, one subclass per adapter."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from threading import Lock, Thread

import pytest

from journal_events import event, id_of, session, set_done
from steelyard.errors import JournalConflict
from steelyard.journal.events import Event, EventDeleted, SetCorrected
from steelyard.journal.port import Journal


class ReferenceJournal:
    """The plainest thing that keeps the contract: a list in memory."""

    def __init__(self) -> None:
        self._events: list[Event] = []
        self._lock = Lock()

    def append(self, events: Iterable[Event]) -> int:
        with self._lock:
            stored = {kept.id: kept for kept in self._events}
            before = len(stored)
            for one in events:
                if stored.setdefault(one.id, one) != one:
                    raise JournalConflict(f"event {one.id} is already there with other contents")
            self._events = list(stored.values())
            return len(stored) - before

    def events(self) -> list[Event]:
        return sorted(self._events, key=lambda one: (one.at, one.id))

    def revision(self) -> int:
        return len(self._events)

    def events_since(self, revision: int) -> tuple[int, list[Event]]:
        return len(self._events), self._events[revision:]

    def close(self) -> None:
        pass


class JournalContract:
    """The cases. A subclass gives the fixture `journal`."""

    @pytest.fixture
    def journal(self) -> Iterator[Journal]:
        raise NotImplementedError

    def test_a_new_journal_is_empty(self, journal: Journal) -> None:
        assert journal.events() == []
        assert journal.revision() == 0
        assert journal.events_since(0) == (0, [])

    def test_what_is_appended_is_there(self, journal: Journal) -> None:
        done = session(3)
        assert journal.append(done) == 5
        assert journal.events() == done

    def test_events_come_in_the_order_of_time_and_id(self, journal: Journal) -> None:
        late, early = event(1, set_done(), minute=9), event(2, set_done(), minute=3)
        tied = event(0, set_done(), minute=9)
        journal.append([late, early, tied])
        assert journal.events() == [early, tied, late]

    def test_the_same_event_twice_is_one_event(self, journal: Journal) -> None:
        done = session(3)
        journal.append(done)
        assert journal.append(done) == 0
        assert journal.append([*done, event(99, SetCorrected(id_of(1), reps=9))]) == 1
        assert len(journal.events()) == 6

    def test_the_same_event_twice_in_one_append_is_one_event(self, journal: Journal) -> None:
        one = event(1, set_done())
        assert journal.append([one, one]) == 1
        assert journal.events() == [one]

    def test_appending_nothing_stores_nothing(self, journal: Journal) -> None:
        assert journal.append([]) == 0
        assert journal.revision() == 0

    def test_equal_events_written_differently_are_one_event(self, journal: Journal) -> None:
        horns = {"tip": ("20 kg",), "base": ("5 kg",)}
        other_order = dict(reversed(horns.items()))
        journal.append([event(1, set_done(loading=horns, felt_kg=40.0))])
        assert journal.append([event(1, set_done(loading=other_order, felt_kg=40))]) == 0

    def test_other_contents_under_a_known_id_conflict_and_store_nothing(self, journal: Journal) -> None:
        first = event(1, set_done(reps=8))
        journal.append([first])
        with pytest.raises(JournalConflict, match=id_of(1)):
            journal.append([event(2, set_done()), event(1, set_done(reps=9)), event(3, set_done())])
        assert journal.events() == [first]

    @pytest.mark.parametrize("change", [{"origin": "page"}, {"at": event(7, set_done()).at}])
    def test_another_origin_or_time_is_other_contents(self, journal: Journal, change: dict[str, object]) -> None:
        first = event(1, set_done())
        journal.append([first])
        with pytest.raises(JournalConflict):
            journal.append([replace(first, **change)])

    def test_a_conflict_inside_one_append_stores_nothing(self, journal: Journal) -> None:
        with pytest.raises(JournalConflict):
            journal.append([event(1, set_done(reps=8)), event(1, set_done(reps=9))])
        assert journal.events() == []

    def test_a_journal_goes_on_after_a_conflict(self, journal: Journal) -> None:
        journal.append([event(1, set_done(reps=8))])
        with pytest.raises(JournalConflict):
            journal.append([event(1, set_done(reps=9))])
        assert journal.append([event(2, EventDeleted(id_of(1)))]) == 1

    def test_the_revision_grows_with_each_new_event_only(self, journal: Journal) -> None:
        journal.append(session(1))
        before = journal.revision()
        journal.append(session(1))
        assert journal.revision() == before
        journal.append([event(50, set_done())])
        assert journal.revision() > before

    def test_events_since_a_revision_are_those_stored_after_it(self, journal: Journal) -> None:
        journal.append([event(5, set_done())])
        before = journal.revision()
        later = [event(9, set_done(), minute=4), event(7, set_done(), minute=2)]
        journal.append(later)
        assert journal.events_since(before) == (journal.revision(), later)
        assert journal.events_since(journal.revision()) == (journal.revision(), [])

    def test_threads_appending_at_once_lose_nothing(self, journal: Journal) -> None:
        def job(number: int) -> Callable[[], None]:
            return lambda: [journal.append([one]) for one in session(20, number=number)] and None

        threads = [Thread(target=job(number)) for number in (1, 1, 2, 3)]  # 1 twice: both send the same events
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert len(journal.events()) == 3 * 22
