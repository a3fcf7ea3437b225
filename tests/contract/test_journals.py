"""Each adapter keeps the contract of a journal; and what only the SQLite file promises."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
from collections.abc import Iterable, Iterator
from contextlib import closing
from pathlib import Path

import pytest

from contract.journal_contract import JournalContract, ReferenceJournal
from journal_events import event, session, set_done
from steelyard.errors import DamagedJournal, JournalConflict, JournalUnavailable
from steelyard.journal.codec import encode_line
from steelyard.journal.events import Event
from steelyard.journal.memory import MemoryJournal
from steelyard.journal.port import Journal
from steelyard.journal.sqlite import APPLICATION_ID, MIGRATIONS, SqliteJournal, prepare

WRITER = Path(__file__).with_name("journal_writer.py")


class TestReferenceJournal(JournalContract):
    @pytest.fixture
    def journal(self) -> Iterator[Journal]:
        yield ReferenceJournal()


class TestMemory(JournalContract):
    @pytest.fixture
    def journal(self) -> Iterator[Journal]:
        yield MemoryJournal()


class TestSqliteFile(JournalContract):
    @pytest.fixture
    def journal(self, tmp_path: Path) -> Iterator[Journal]:
        with closing(SqliteJournal(tmp_path / "home.journal")) as journal:
            yield journal


class TestSqliteInMemory(JournalContract):
    @pytest.fixture
    def journal(self) -> Iterator[Journal]:
        with closing(SqliteJournal.memory()) as journal:
            yield journal


class ReopenedJournal:
    """A SQLite file opened anew for every call, as short commands do."""

    def __init__(self, path: Path) -> None:
        self._path = path

    def append(self, events: Iterable[Event]) -> int:
        with closing(SqliteJournal(self._path)) as journal:
            return journal.append(events)

    def events(self) -> list[Event]:
        with closing(SqliteJournal(self._path)) as journal:
            return journal.events()

    def revision(self) -> int:
        with closing(SqliteJournal(self._path)) as journal:
            return journal.revision()

    def events_since(self, revision: int) -> tuple[int, list[Event]]:
        with closing(SqliteJournal(self._path)) as journal:
            return journal.events_since(revision)

    def close(self) -> None:
        pass


class TestSqliteReopened(JournalContract):
    @pytest.fixture
    def journal(self, tmp_path: Path) -> Iterator[Journal]:
        yield ReopenedJournal(tmp_path / "home.journal")


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "home.journal"


def _rows(path: Path, question: str) -> list[tuple[object, ...]]:
    with closing(sqlite3.connect(path)) as connection:
        return connection.execute(question).fetchall()


def test_the_file_is_durable_checked_and_marked(path: Path) -> None:
    with closing(SqliteJournal(path)) as journal:
        journal.append(session(2))
        (synchronous,) = journal._connection.execute("PRAGMA synchronous").fetchone()
    assert synchronous == 2  # FULL, per the documentation of the pragma at sqlite.org
    assert _rows(path, "PRAGMA journal_mode") == [("wal",)]
    assert _rows(path, "PRAGMA user_version") == [(len(MIGRATIONS),)]
    assert _rows(path, "PRAGMA application_id") == [(APPLICATION_ID,)]
    assert _rows(path, "SELECT strict FROM pragma_table_list WHERE name = 'event'") == [(1,)]


def test_a_stored_line_is_the_line_an_export_writes(path: Path) -> None:
    one = event(1, set_done())
    with closing(SqliteJournal(path)) as journal:
        journal.append([one])
    assert _rows(path, "SELECT line FROM event") == [(encode_line(one),)]


def test_two_open_journals_see_one_another(path: Path) -> None:
    with closing(SqliteJournal(path)) as here, closing(SqliteJournal(path)) as there:
        here.append([event(1, set_done())])
        assert there.revision() == 1
        with pytest.raises(JournalConflict):
            there.append([event(1, set_done(reps=1))])


def test_two_programs_appending_at_once_lose_nothing(path: Path) -> None:
    jobs = [("1", "150"), ("2", "150"), ("2", "150")]  # the last two send the same events
    programs = [
        subprocess.Popen([sys.executable, WRITER, path, seed, count], stdout=subprocess.PIPE)
        for seed, count in jobs
    ]
    acknowledged = [program.communicate()[0].split() for program in programs]
    assert [program.returncode for program in programs] == [0, 0, 0]
    with closing(SqliteJournal(path)) as journal:
        stored = {kept.id for kept in journal.events()}
    assert stored == {name.decode() for names in acknowledged for name in names}
    assert len(stored) == 2 * 150 * 2


def test_a_name_that_sqlite_reads_specially_is_a_plain_file(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(path.parent)
    with closing(SqliteJournal(":memory:")) as journal:
        journal.append([event(1, set_done())])
    assert (path.parent / ":memory:").exists()


@pytest.mark.parametrize("contents", [b"id,reps\n1,8\n", b"\x00" * 5000, b"reps\n" * 2000])
def test_a_file_that_is_no_database_is_refused_and_left_untouched(path: Path, contents: bytes) -> None:
    path.write_bytes(contents)
    with pytest.raises(DamagedJournal, match=r"home.journal is not a journal.*name another file"):
        SqliteJournal(path)
    assert path.read_bytes() == contents
    assert list(path.parent.iterdir()) == [path]


def test_a_database_of_another_program_is_refused_and_left_untouched(path: Path) -> None:
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("CREATE TABLE recipe (name TEXT)")
    before = path.read_bytes()
    with pytest.raises(DamagedJournal, match=r"is a database of another program.*name another file"):
        SqliteJournal(path)
    assert path.read_bytes() == before


def test_a_newer_schema_is_refused_and_left_untouched(path: Path) -> None:
    SqliteJournal(path).close()
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("PRAGMA user_version = 7")
    before = path.read_bytes()
    with pytest.raises(DamagedJournal, match=r"has schema 7.*up to 1: .*written by a newer Steelyard; update"):
        SqliteJournal(path)
    assert path.read_bytes() == before


def test_migrations_are_applied_once_and_in_order() -> None:
    steps = [*MIGRATIONS, ["ALTER TABLE event ADD COLUMN mark TEXT"], ["UPDATE event SET mark = 'seen'"]]
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as connection:
        for count in (1, 2, 3, 3):
            prepare(connection, steps[:count], "trial")
            assert connection.execute("PRAGMA user_version").fetchone() == (count,)


def test_a_migration_that_fails_changes_nothing() -> None:
    steps = [*MIGRATIONS, ["CREATE TABLE extra (a TEXT)", "CREATE nonsense"]]
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as connection:
        prepare(connection, MIGRATIONS, "trial")
        with pytest.raises(sqlite3.OperationalError):
            prepare(connection, steps, "trial")
        assert connection.execute("PRAGMA user_version").fetchone() == (1,)
        assert connection.execute("SELECT count(*) FROM sqlite_schema WHERE name = 'extra'").fetchone() == (0,)


def test_a_folder_that_is_not_there_is_named(tmp_path: Path) -> None:
    with pytest.raises(JournalUnavailable, match=r"missing/home.journal.*can't be opened.*folder that exists"):
        SqliteJournal(tmp_path / "missing" / "home.journal")


def test_a_full_disk_stores_nothing_and_says_so(path: Path) -> None:
    with closing(SqliteJournal(path)) as journal:
        journal.append([event(1, set_done())])
        journal._connection.execute("PRAGMA max_page_count = 1")  # SQLite's own way to run out of room
        with pytest.raises(JournalUnavailable, match=r"the disk is full.*nothing was stored: free some room"):
            journal.append(session(200, number=1))
        assert journal.revision() == 1


def test_a_read_only_file_stores_nothing_and_says_so(path: Path) -> None:
    with closing(SqliteJournal(path)) as journal:
        journal._connection.execute("PRAGMA query_only = ON")
        with pytest.raises(JournalUnavailable, match=r"it is read-only.*make the file and its folder writable"):
            journal.append([event(1, set_done())])
        assert journal.revision() == 0


def test_a_file_held_by_another_program_is_waited_for_then_named(path: Path) -> None:
    with closing(SqliteJournal(path)) as journal, closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        journal._connection.execute("PRAGMA busy_timeout = 50")
        with pytest.raises(JournalUnavailable, match=r"another program is writing to it.*log again"):
            journal.append([event(1, set_done())])
        other.execute("ROLLBACK")
        assert journal.append([event(1, set_done())]) == 1


def test_a_file_with_damaged_pages_is_named(path: Path) -> None:
    with closing(SqliteJournal(path)) as journal:
        journal.append(session(200))
    whole = path.read_bytes()
    path.write_bytes(whole[:4096] + b"\xff" * (len(whole) - 4096))
    with (
        closing(SqliteJournal(path)) as journal,
        pytest.raises(DamagedJournal, match=r"is damaged.*undamaged copy"),
    ):
        journal.events()


def test_a_stored_line_that_is_damaged_is_named_by_its_place(path: Path) -> None:
    with closing(SqliteJournal(path)) as journal:
        journal.append([event(1, set_done()), event(2, set_done())])
        journal._connection.execute("UPDATE event SET line = replace(line, '\"reps\": 8', '\"reps\": -8')")
        with pytest.raises(DamagedJournal, match=r"home.journal event 1: reps is -8; .* 0 to 1000"):
            journal.events()


def test_a_closed_journal_says_so(path: Path) -> None:
    journal = SqliteJournal(path)
    journal.close()
    with pytest.raises(JournalUnavailable, match=r"closed.*open it again"):
        journal.events()
