"""Ways in which an exported journal can be damaged: each gets one line with file, line, value and rule.

Beside each file in journal/ stands what its message must say, one part a line.
"""

from __future__ import annotations

from contextlib import closing
from pathlib import Path

import pytest

from steelyard.errors import DamagedJournal, JournalConflict
from steelyard.journal.exchange import import_ndjson
from steelyard.journal.sqlite import SqliteJournal

FILES = sorted(Path(__file__).with_name("journal").glob("*.ndjson"))


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_damaged_journal_is_refused_in_one_line(path: Path) -> None:
    with path.open("rb") as lines, pytest.raises((DamagedJournal, JournalConflict)) as met:
        import_ndjson(lines, path.name)
    message = str(met.value)
    assert message.startswith(f"{path.name} line")
    assert [part for part in path.with_suffix(".expect").read_text().splitlines() if part not in message] == []
    assert len(message.splitlines()) == 1


def test_there_are_enough_kinds_of_damage() -> None:
    assert len(FILES) >= 24


def test_a_damaged_journal_stores_nothing() -> None:
    path = next(path for path in FILES if path.stem == "cut-off")
    with closing(SqliteJournal.memory()) as journal, path.open("rb") as lines:
        with pytest.raises(DamagedJournal):
            journal.append(import_ndjson(lines, path.name))
        assert journal.revision() == 0
