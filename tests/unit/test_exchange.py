"""A journal taken out and brought in again, and its sets as a spreadsheet reads them."""

from __future__ import annotations

import csv
import dataclasses
import io
import json
from collections.abc import Iterable

import pytest

from journal_events import event, id_of, session, set_done
from steelyard.errors import DamagedJournal, JournalConflict
from steelyard.journal.events import Event, LifterJoined, SetCorrected, SetDone
from steelyard.journal.exchange import export_csv, export_ndjson, import_ndjson
from steelyard.journal.fold import fold


def _text(events: Iterable[Event]) -> str:
    return "".join(f"{line}\n" for line in export_ndjson(events))


def _rows(events: Iterable[Event]) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO("\n".join(export_csv(fold(events))), newline="")))


def test_an_export_is_one_line_an_event() -> None:
    lines = list(export_ndjson(session(3)))
    assert len(lines) == 5
    assert all(line.startswith("{") and line.endswith("}") for line in lines)


@pytest.mark.parametrize("end", ["\n", "\r\n", "\n\n", "  \n"])
def test_an_export_is_read_whatever_its_line_ends(end: str) -> None:
    text = _text(session(3)).replace("\n", end)
    assert import_ndjson(io.StringIO(text, newline=""), "export") == session(3)
    assert import_ndjson(io.BytesIO(b"\xef\xbb\xbf" + text.encode()), "export") == session(3)
    assert import_ndjson(text.splitlines(), "export") == session(3)


def test_a_last_line_without_its_end_is_whole() -> None:
    text = _text(session(1)).rstrip("\n")
    assert import_ndjson(io.StringIO(text), "export") == session(1)


def test_an_empty_export_holds_no_event() -> None:
    assert import_ndjson([], "export") == []


def test_a_line_that_is_there_twice_is_one_event() -> None:
    assert import_ndjson([*export_ndjson(session(1)), *export_ndjson(session(1))], "export") == session(1)


def test_one_id_with_two_contents_names_both_lines() -> None:
    lines = export_ndjson([event(1, set_done()), event(2, set_done()), event(1, set_done(reps=1))])
    with pytest.raises(JournalConflict, match=r"export lines 1 and 3 both carry the id .*: take one"):
        import_ndjson(lines, "export")


@pytest.mark.parametrize("kept", [1, 40, 200, -10, -2, -1])
def test_a_last_line_that_is_cut_off_is_told_as_such(kept: int) -> None:
    first, last = export_ndjson([event(1, set_done()), event(2, set_done())])
    with pytest.raises(
        DamagedJournal, match=r"export line 2, the last one, is cut off after \d+ characters; .*copy or"
    ):
        import_ndjson([first, last[:kept]], "export")


def test_a_damaged_last_line_that_is_whole_is_not_told_as_cut_off() -> None:
    (line,) = export_ndjson([event(1, set_done())])
    with pytest.raises(DamagedJournal, match="export line 1: reps is 8000"):
        import_ndjson([line.replace('"reps": 8', '"reps": 8000')], "export")
    with pytest.raises(DamagedJournal, match="export line 1: the line is not JSON"):
        import_ndjson([line.replace('"reps": 8', '"reps": eight')], "export")


def test_a_cut_in_the_middle_names_the_first_damaged_line() -> None:
    first, second, third = export_ndjson([event(n, set_done()) for n in range(3)])
    with pytest.raises(DamagedJournal, match="export line 2: the line is not JSON"):
        import_ndjson([first, second[:50], third[:50]], "export")


def test_every_field_of_a_set_is_in_its_row() -> None:
    (row,) = _rows([event(1, set_done(note='left, then "right"\nagain'))])
    done = set_done(note='left, then "right"\nagain')
    for field in dataclasses.fields(SetDone):
        value = getattr(done, field.name)
        written = json.dumps(value) if field.name == "loading" else "" if value is None else str(value)
        assert row[field.name] == written
    assert (row["set"], row["origin"], row["counts"]) == (id_of(1), "cli", "yes")
    assert row["at_utc"] == "2026-03-02 18:31:00.000"


def test_all_sets_are_rows_by_time_with_corrections_and_names() -> None:
    loose = event(5, set_done(session="", slot=""))
    joined = event(3, LifterJoined("ida", "Ida", "lb", 5))
    rows = _rows(
        [loose, joined, event(0, set_done()), event(1, set_done()), event(4, SetCorrected(id_of(0), reps=3))]
    )
    assert [row["set"] for row in rows] == [id_of(0), id_of(1), id_of(5)]
    assert [row["counts"] for row in rows] == ["yes", "no", "yes"]
    assert [row["reps"] for row in rows] == ["3", "8", "8"]
    assert {row["lifter_name"] for row in rows} == {"Ida"}


def test_what_is_not_known_is_an_empty_cell() -> None:
    (row,) = _rows([event(1, set_done(rir=None, ended="unsaid", rest_s=None))])
    assert (row["rir"], row["rest_s"], row["lifter_name"]) == ("", "", "")


@pytest.mark.parametrize("note", ["=1+1", "+1", "-1", "@a", "\tx"])
def test_a_note_is_never_run_as_a_formula(note: str) -> None:
    (row,) = _rows([event(1, set_done(note=note))])
    assert row["note"] == f"'{note}"
