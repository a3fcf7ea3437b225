"""The journal in one SQLite file.

"Saved" means on disk: the write-ahead log is forced out at every commit (``synchronous=FULL``), and `append`
returns only after it. One lock makes an open journal safe for several threads; ``BEGIN IMMEDIATE`` and a busy
timeout make the file safe for several programs. Each event is stored as the line that an export would write, so
that what was stored once is never rewritten, and older versions of it are read through the codec's upcasters.
"""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from threading import Lock

from steelyard.errors import DamagedJournal, JournalConflict, JournalUnavailable, SteelyardError
from steelyard.journal.codec import decode_line, encode_line
from steelyard.journal.events import Event

APPLICATION_ID = 0x53544C59
"""Marks the file as a Steelyard journal, so that another program's database is never taken for one."""

BUSY_S = 10.0
"""How long to wait for another program that is writing. [s]"""

MIGRATIONS: tuple[tuple[str, ...], ...] = (
    (
        f"PRAGMA application_id = {APPLICATION_ID}",
        # arrival is a column of its own because VACUUM may renumber the implicit one
        "CREATE TABLE event"
        " (id TEXT NOT NULL PRIMARY KEY, arrival INTEGER NOT NULL UNIQUE, line TEXT NOT NULL) STRICT",
    ),
)
"""Steps of the schema, in order; `user_version` in the file counts those applied."""


class SqliteJournal:
    """A journal kept in a SQLite file, made on first use.

    path: the file.

    Raises: JournalUnavailable if the file can't be opened or written; DamagedJournal if it is not a Steelyard
    journal or was written by a newer Steelyard. The file is then left as it was.
    """

    def __init__(self, path: str | Path) -> None:
        # made absolute so that no name, such as ":memory:" or an empty one, means anything special to SQLite
        self._open(str(Path(path).absolute()))

    @classmethod
    def memory(cls) -> SqliteJournal:
        """A journal that is lost on `close`; for trials and tests."""
        journal = cls.__new__(cls)
        journal._open(":memory:")
        return journal

    def _open(self, name: str) -> None:
        self._name = name
        self._lock = Lock()
        try:
            self._connection = sqlite3.connect(name, timeout=BUSY_S, isolation_level=None, check_same_thread=False)
            try:
                prepare(self._connection, MIGRATIONS, name)
            except BaseException:
                self._connection.close()
                raise
        except sqlite3.Error as problem:
            raise own_error(problem, name) from problem

    @contextmanager
    def _driver(self) -> Iterator[sqlite3.Connection]:
        """The connection, for one thread at a time; the one point where driver errors become ours."""
        with self._lock:
            try:
                yield self._connection
            except sqlite3.Error as problem:
                raise own_error(problem, self._name) from problem

    def append(self, events: Iterable[Event]) -> int:
        """Store events; returns how many were new. On return they are on disk.

        An event already there is not stored again.

        Raises: JournalConflict if an id is already there with other contents; DamagedJournal if an event could not
        be read back; JournalUnavailable if the file can't be written. Nothing is stored then.
        """
        lines = [(event.id, encode_line(event)) for event in events]
        if not lines:
            return 0
        with self._driver() as connection, _transaction(connection):
            first = _newest_arrival(connection)
            newest = first
            for event_id, line in lines:
                newest += self._insert(connection, event_id, newest + 1, line)
        return newest - first

    def _insert(self, connection: sqlite3.Connection, event_id: str, arrival: int, line: str) -> int:
        inserted = connection.execute(
            "INSERT INTO event (id, arrival, line) VALUES (?, ?, ?) ON CONFLICT (id) DO NOTHING",
            (event_id, arrival, line),
        ).rowcount
        if inserted:
            return 1
        (stored,) = connection.execute("SELECT line FROM event WHERE id = ?", (event_id,)).fetchone()
        if stored != line and encode_line(decode_line(stored, f"{self._name} event {event_id}")) != line:
            raise JournalConflict(
                f"event {event_id} is already in {self._name} with other contents; an id must belong to one "
                "event: nothing was stored, log it again so that it gets an id of its own"
            )
        return 0

    def events(self) -> list[Event]:
        """All events, in the order (at, id).

        Raises: DamagedJournal if a stored line can't be read; JournalUnavailable if the file can't.
        """
        return sorted(self.events_since(0)[1], key=lambda event: (event.at, event.id))

    def events_since(self, revision: int) -> tuple[int, list[Event]]:
        """The revision now, and the events stored after the one given, in the order they were stored.

        Raises: as `events`.
        """
        with self._driver() as connection:
            rows = connection.execute(
                "SELECT arrival, line FROM event WHERE arrival > ? ORDER BY arrival", (revision,)
            ).fetchall()
        found = [decode_line(line, f"{self._name} event {arrival}") for arrival, line in rows]
        return (rows[-1][0] if rows else revision), found

    def revision(self) -> int:
        """How many events are stored: grows with each one, by whatever program; one look at an index."""
        with self._driver() as connection:
            return _newest_arrival(connection)

    def close(self) -> None:
        """Release the file."""
        with self._driver() as connection:
            connection.close()


def _newest_arrival(connection: sqlite3.Connection) -> int:
    return int(connection.execute("SELECT max(arrival) FROM event").fetchone()[0] or 0)


@contextmanager
def _transaction(connection: sqlite3.Connection) -> Iterator[None]:
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:  # a full disk may already have ended it
            connection.execute("ROLLBACK")
        raise


def prepare(connection: sqlite3.Connection, migrations: Sequence[Sequence[str]], name: str) -> None:
    """Bring a file to the schema of this Steelyard, and make its commits durable.

    migrations: the steps, in order, as `MIGRATIONS`. name: the file, for messages.

    Raises: DamagedJournal if the file is not ours, or newer than the steps; it is then left as it was.
    """
    _refuse_foreign(connection, len(migrations), name)
    _use_write_ahead_log(connection)
    connection.execute("PRAGMA synchronous = FULL")
    if _pragma(connection, "user_version") == len(migrations):
        return
    with _transaction(connection):  # read again inside: another program may have got here first
        for number in range(_pragma(connection, "user_version"), len(migrations)):
            for statement in migrations[number]:
                connection.execute(statement)
            connection.execute(f"PRAGMA user_version = {number + 1}")


def _pragma(connection: sqlite3.Connection, name: str) -> int:
    return int(connection.execute(f"PRAGMA {name}").fetchone()[0])


def _refuse_foreign(connection: sqlite3.Connection, newest: int, name: str) -> None:
    version = _pragma(connection, "user_version")
    tables = connection.execute("SELECT count(*) FROM sqlite_schema").fetchone()[0]
    if (version or tables) and _pragma(connection, "application_id") != APPLICATION_ID:
        raise DamagedJournal(f"{name} is a database of another program; {_ANOTHER_FILE}")
    if version > newest:
        raise DamagedJournal(
            f"{name} has schema {version}; this Steelyard reads schemas up to {newest}: "
            "it was written by a newer Steelyard; update Steelyard"
        )


def _use_write_ahead_log(connection: sqlite3.Connection) -> None:
    """Switch the file to a write-ahead log; where the file system can't, it stays durable, only slower.

    Two programs that open a new file at the same moment may both be refused the switch at once, without the busy
    timeout, so it is tried again.
    """
    until = time.monotonic() + BUSY_S
    while True:
        try:
            connection.execute("PRAGMA journal_mode = WAL")
            return
        except sqlite3.OperationalError as problem:
            if problem.sqlite_errorcode & 0xFF != sqlite3.SQLITE_BUSY or time.monotonic() > until:
                raise
            time.sleep(0.02)


_ANOTHER_FILE = "a journal must be a file made by Steelyard: name another file, or one that does not exist yet"

_UNAVAILABLE = {
    sqlite3.SQLITE_FULL: ("the disk is full", "free some room and log again"),
    sqlite3.SQLITE_READONLY: ("it is read-only", "make the file and its folder writable, or name another file"),
    sqlite3.SQLITE_PERM: ("it may not be written", "make the file and its folder writable, or name another file"),
    sqlite3.SQLITE_BUSY: ("another program is writing to it", "wait or close that program, then log again"),
    sqlite3.SQLITE_LOCKED: ("another program is writing to it", "wait or close that program, then log again"),
    sqlite3.SQLITE_CANTOPEN: ("it can't be opened", "name a file in a folder that exists and is writable"),
    sqlite3.SQLITE_IOERR: ("the disk does not answer as it should", "check the disk, then log again"),
}


def own_error(problem: sqlite3.Error, name: str) -> SteelyardError:
    """What went wrong in the driver, as our own error in one line with the way out. name: the file."""
    code = getattr(problem, "sqlite_errorcode", 0) & 0xFF
    if code == sqlite3.SQLITE_NOTADB:
        return DamagedJournal(f"{name} is not a journal ({problem}); {_ANOTHER_FILE}")
    if code == sqlite3.SQLITE_CORRUPT:
        return DamagedJournal(f"{name} is damaged ({problem}); a journal must be whole: use an undamaged copy")
    if code in _UNAVAILABLE:
        what, way_out = _UNAVAILABLE[code]
        return JournalUnavailable(f"{name} can't be used: {what} ({problem}); nothing was stored: {way_out}")
    return JournalUnavailable(f"{name} can't be used ({problem}); a journal must be open and whole: open it again")
