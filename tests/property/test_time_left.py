"""However many minutes are left: what stays of a session fits them, uses them, and grows with them."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from hypothesis import given, settings
from hypothesis import strategies as st

from gyms import NOW, as_done, boathouse, lifter, outlines, strong
from steelyard.journal.fold import SessionState
from steelyard.training.cutting import Cut, cut_to
from steelyard.training.model import Outline, PreparedSession, Role
from steelyard.training.prepare import Task, prepare_task
from steelyard.training.slots import Slot, read_slot

GYM, PAST, PULL = boathouse(), strong(), outlines()["pull"]
PAIRED = replace(PULL, items=tuple(replace(item, superset=at == 2) for at, item in enumerate(PULL.items)))
BACKWARDS = replace(PULL, items=PULL.items[::-1])


@cache
def task(which: int, done: int) -> Task:
    """An outline of which so many sets are done as they were asked for."""
    outline: Outline = (PULL, PAIRED, BACKWARDS)[which]
    whole = Task(GYM, outline, lifter(), PAST, NOW)
    sets = prepare_task(whole, {}).sets[:done]
    logged = [as_done(one, n, one.reps_high, one.rir) for n, one in enumerate(sets, start=1)]
    today = SessionState("today", "ida", outline.name, "", NOW, None, tuple(logged), frozenset(), ())
    return replace(whole, past=[*PAST, *logged], today=today if done else None)


@cache
def cut(which: int, done: int, minutes: int) -> Cut:
    return cut_to(task(which, done), {}, 60.0 * minutes)


def slot_of(text: str) -> Slot:
    slot = read_slot(text)
    assert slot is not None
    return slot


def work_sets(session: PreparedSession) -> int:
    return len({slot_of(one.slot).whole for one in session.sets if one.role is Role.WORK})


def next_parts(slots: frozenset[str], begun: set[int]) -> list[frozenset[str]]:
    """What could come back by itself: of each place its warm-up and next work set, and what follows its last."""
    read: dict[Slot, list[str]] = {}
    for slot in slots:
        read.setdefault(slot_of(slot), []).append(slot)
    found = []
    for place in {slot.place for slot in read}:
        own = [slot for slot in read if slot.place == place]
        least = min((slot.number for slot in own if slot.role == Role.WORK), default=0)
        parts = [
            [slot for slot in own if slot.role == Role.WARM_UP or (slot.role, slot.number) == (Role.WORK, least)]
        ]
        if place in begun:
            parts.append([slot for slot in own if slot.role in (Role.DROP, Role.REST_PAUSE)])
        found += [frozenset(name for slot in part for name in read[slot]) for part in parts if part]
    return found


sessions = st.tuples(st.integers(0, 2), st.sampled_from([0, 0, 4]))


@settings(max_examples=12)
@given(sessions, st.integers(6, 36))
def test_what_stays_fits_the_minutes(which: tuple[int, int], minutes: int) -> None:
    found = cut(*which, minutes).session
    assert round(found.lasts_s, 9) <= 60 * minutes
    assert work_sets(found) >= 1


@settings(max_examples=12)
@given(sessions, st.integers(6, 36))
def test_nothing_left_out_would_still_fit_by_itself(which: tuple[int, int], minutes: int) -> None:
    found = cut(*which, minutes)
    begun = {slot_of(one.slot).place for one in found.session.sets if one.role is Role.WORK}
    for part in next_parts(found.slots, begun):
        more = prepare_task(replace(task(*which), left_out=found.slots - part), {})
        assert round(more.lasts_s, 9) > 60 * minutes


@settings(max_examples=12)
@given(sessions, st.integers(1, 35), st.integers(1, 20))
def test_more_minutes_never_leave_fewer_work_sets(which: tuple[int, int], minutes: int, more: int) -> None:
    assert work_sets(cut(*which, minutes).session) <= work_sets(cut(*which, minutes + more).session)
