"""Adding up only what is new comes to the same as adding up everything."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from journal_events import event_streams, session
from steelyard.journal.events import Event
from steelyard.journal.fold import State, fold
from steelyard.journal.folding import folded_on
from steelyard.journal.happened import Happened, target_of
from steelyard.live.seen import session_events

LIFTERS = ("ida", "ole", "tove", "")


def in_full(state: State) -> tuple[State, list[str], list[str], list[object]]:
    """The state, with the order of what it holds and what is kept in it."""
    latest = min((logged.at for logged in state.sets()), default=None)
    since = [] if latest is None else [logged.id for logged in state.sets_since(latest)]
    sets = {lifter: sets for lifter, sets in state.sorted_sets().items() if sets}
    return state, list(state.sessions), [*state.lifters, *state.joins, *since], sorted(sets.items())


def piece_by_piece(stream: list[Event], cuts: list[int]) -> State:
    happened, state = Happened(), fold(())
    for begin, end in zip([0, *cuts], [*cuts, len(stream)], strict=True):
        state.sorted_sets()
        state = folded_on(state, happened, happened.take(stream[begin:end]))
    return state


@settings(max_examples=200)
@given(event_streams(), st.data())
def test_events_that_come_in_pieces_and_any_order_add_up_to_the_same(
    stream: list[Event], data: st.DataObject
) -> None:
    shuffled = data.draw(st.permutations([*session(3, number=7), *session(2, number=8), *stream]))
    cuts = sorted(data.draw(st.lists(st.integers(0, len(shuffled)), max_size=12)))
    assert in_full(piece_by_piece(shuffled, cuts)) == in_full(fold(shuffled))


@settings(max_examples=100)
@given(event_streams(), st.data())
def test_what_is_supposed_beyond_what_happened_adds_up_to_the_same(
    stream: list[Event], data: st.DataObject
) -> None:
    cut = data.draw(st.integers(0, len(stream)))
    before = Happened()
    known = folded_on(fold(()), before, before.take(stream[:cut]))
    happened = Happened(before)
    state = folded_on(known, happened, happened.take(stream))
    assert in_full(state) == in_full(fold(stream))
    assert {each.id for each in happened} == {each.id for each in stream}
    assert len(happened) == len(list(happened))


@settings(max_examples=100)
@given(event_streams(), st.data())
def test_the_events_of_a_session_are_its_own_and_what_is_said_of_them(
    stream: list[Event], data: st.DataObject
) -> None:
    names = sorted({getattr(each.body, "session", "") for each in stream} - {""})
    wanted = data.draw(st.lists(st.sampled_from(names), unique=True)) if names else []
    found = {each.id for each in session_events(stream, wanted)}
    for each in stream:
        own = getattr(each.body, "session", "") in wanted
        joined = not set(getattr(each.body, "sessions", ())).isdisjoint(wanted)
        said = bool(target_of(each)) and target_of(each) in found
        assert (each.id in found) == (own or joined or said)


def test_a_set_that_stays_as_it_was_stays_the_same_object() -> None:
    stream = session(4)
    before = Happened()
    known = folded_on(fold(()), before, before.take(stream[:4]))
    after = folded_on(known, before, before.take(stream[4:]))
    assert all(mine is its for mine, its in zip(known.sets_of("ida"), after.sets_of("ida"), strict=False))
