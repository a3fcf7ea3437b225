"""Sets being recorded, as planned or otherwise: other plates, help, form; and what is a choice of one's own."""

from __future__ import annotations

import pytest

from gyms import Clock, join, steelyard, tell_strength
from steelyard.errors import OutOfRange, UnknownName
from steelyard.service import Steelyard
from steelyard.training.history import was_chosen
from steelyard.training.model import Role
from steelyard.workshop.sets import Otherwise, log_set


@pytest.fixture
def use() -> Steelyard:
    clock = Clock()
    found = steelyard(clock=clock)
    tell_strength(found, join(found))
    return found


@pytest.fixture
def session(use: Steelyard) -> str:
    return use.start_session("ida", "pull")


def first_work(use: Steelyard, session: str) -> str:
    return next(one.slot for one in use.session(session).prepared.sets if one.role is Role.WORK)


def test_a_planned_set_keeps_what_was_advised(use: Steelyard, session: str) -> None:
    slot = first_work(use, session)
    log_set(use, session, slot, 10, rir=2)
    done = use.session(session).session.sets[-1].done
    assert done.advised_kg == done.felt_kg
    assert not was_chosen(done)


def test_other_plates_are_weighed_and_count_as_a_choice(use: Steelyard, session: str) -> None:
    slot = first_work(use, session)
    planned = next(one for one in use.session(session).prepared.sets if one.slot == slot)
    plates = {horn: tuple(plate.name for plate in stack) for horn, stack in planned.loading.items()}
    (horn, stack), *_ = plates.items()
    log_set(use, session, slot, 12, how=Otherwise(loading={horn: stack[:-1]}), rir=2)
    done = use.session(session).session.sets[-1].done
    assert done.felt_kg < planned.felt_kg == done.advised_kg
    assert done.loading == {horn: stack[:-1]}


def test_form_and_help_are_kept(use: Steelyard, session: str) -> None:
    log_set(use, session, first_work(use, session), 9, how=Otherwise(form_broke=True, helped=2))
    done = use.session(session).session.sets[-1].done
    assert (done.ended, done.rir, done.helped) == ("form", None, 2)


def test_a_set_ends_in_one_way(use: Steelyard, session: str) -> None:
    with pytest.raises(OutOfRange, match="form and failure"):
        log_set(use, session, first_work(use, session), 9, how=Otherwise(form_broke=True), failed=True)


def test_more_help_than_reps_is_refused(use: Steelyard, session: str) -> None:
    with pytest.raises(OutOfRange, match="from 0 to the 9 reps done"):
        log_set(use, session, first_work(use, session), 9, how=Otherwise(helped=10))


def test_plates_that_are_not_here_are_refused(use: Steelyard, session: str) -> None:
    with pytest.raises(UnknownName):
        log_set(use, session, first_work(use, session), 9, how=Otherwise(loading={"tip": ("3 kg",)}))
