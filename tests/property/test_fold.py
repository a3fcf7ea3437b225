"""However events arrive, they fold to the same state; however they are written, they come back the same."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal_events import any_events, event_streams
from steelyard.errors import DamagedJournal
from steelyard.journal.codec import decode_line, encode_line
from steelyard.journal.events import Event, EventDeleted
from steelyard.journal.exchange import export_ndjson, import_ndjson
from steelyard.journal.fold import State, fold
from steelyard.journal.sqlite import SqliteJournal


def _with_order(state: State) -> tuple[State, list[str], list[str]]:
    return state, [*state.lifters, *state.readings, *state.calibrations], list(state.sessions)


@settings(max_examples=120)
@given(event_streams(), st.data())
def test_any_order_folds_to_the_same_state(stream: list[Event], data: st.DataObject) -> None:
    shuffled = data.draw(st.permutations(stream))
    assert _with_order(fold(shuffled)) == _with_order(fold(stream))


@settings(max_examples=120)
@given(event_streams(), st.data())
def test_any_repetition_folds_to_the_same_state(stream: list[Event], data: st.DataObject) -> None:
    again = data.draw(st.lists(st.sampled_from(stream), max_size=30)) if stream else []
    assert _with_order(fold([*again, *stream, *again])) == _with_order(fold(stream))


@given(event_streams(), st.data())
def test_a_stream_cut_and_sent_again_is_stored_and_folds_the_same(
    stream: list[Event], data: st.DataObject
) -> None:
    cut = data.draw(st.integers(0, len(stream)))
    back = data.draw(st.integers(0, cut))
    journal = SqliteJournal.memory()
    journal.append(stream[:cut])
    journal.append(stream[back:])
    assert _with_order(fold(journal.events())) == _with_order(fold(stream))
    journal.close()


@settings(max_examples=120)
@given(event_streams())
def test_a_deletion_counts_just_when_none_that_counts_deletes_it(stream: list[Event]) -> None:
    """The rule itself, checked on the outcome: a set is gone if and only if some deletion of it counts."""
    state = fold(stream)
    shown = {s.id for part in state.sessions.values() for s in (*part.sets, *part.repeats)}
    shown |= {s.id for s in state.loose}
    deletions = {e.id: e.body.target for e in stream if isinstance(e.body, EventDeleted)}
    counting = _counting(deletions)
    for done in stream:
        if type(done.body).__name__ == "SetDone":
            assert (done.id in shown) == all(deletions[id_] != done.id for id_ in counting)


def _counting(deletions: dict[str, str]) -> set[str]:
    """Deletions that count, by the plain rule repeated until nothing changes; circles never start to count."""
    counting: set[str] = set()
    for _ in range(len(deletions) + 1):
        undone = {deletions[id_] for id_ in counting}
        counting = {
            id_
            for id_ in deletions
            if all(other in undone for other, target in deletions.items() if target == id_)
        }
    return counting


@settings(max_examples=250)
@given(any_events())
def test_an_event_comes_back_from_its_line_the_same(event: Event) -> None:
    line = encode_line(event)
    assert decode_line(line, "here") == event
    assert len(line.splitlines()) == 1
    assert line.isascii()


@settings(max_examples=120)
@given(any_events(), st.data())
def test_a_line_cut_anywhere_is_refused(event: Event, data: st.DataObject) -> None:
    line = encode_line(event)
    with pytest.raises(DamagedJournal, match="here: the line is not JSON"):
        decode_line(line[: data.draw(st.integers(0, len(line) - 1))], "here")


@given(event_streams())
def test_what_is_exported_is_imported_whole(stream: list[Event]) -> None:
    assert import_ndjson(export_ndjson(stream), "export") == stream
