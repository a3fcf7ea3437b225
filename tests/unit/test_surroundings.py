"""What decides for a session beside what happens in it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from steelyard.errors import UnknownName
from steelyard.home import read_home
from steelyard.live.surroundings import Surroundings
from steelyard.service import Steelyard
from steelyard.workshop.sets import log_set


def log_next(steelyard: Steelyard, session: str) -> str:
    one = steelyard.session(session).current
    assert one is not None
    return log_set(steelyard, session, one.slot, 8)


@pytest.fixture
def session(steelyard: Steelyard) -> str:
    return steelyard.start_session("tove", "pull")


@pytest.fixture
def around(session: str) -> Surroundings:
    return Surroundings((session,))


def test_what_happens_in_the_session_is_not_around_it(
    steelyard: Steelyard, session: str, around: Surroundings
) -> None:
    before = around.name(steelyard)
    done = log_next(steelyard, session)
    steelyard.delete(done)
    assert around.name(steelyard) == before


def test_plates_that_another_lifter_hung_are(steelyard: Steelyard, around: Surroundings) -> None:
    before = around.name(steelyard)
    done = log_next(steelyard, steelyard.start_session("marek", "pull"))
    hung = around.name(steelyard)
    steelyard.delete(done)
    assert len({before, hung, around.name(steelyard)}) == 3


def test_only_the_own_lifters_weighing_is(steelyard: Steelyard, around: Surroundings) -> None:
    before = around.name(steelyard)
    steelyard.record_body_mass("marek", 80.0)
    assert around.name(steelyard) == before
    steelyard.record_body_mass("tove", 62.0)
    assert around.name(steelyard) != before


def test_the_files_of_the_home_are(steelyard: Steelyard, around: Surroundings) -> None:
    before = around.name(steelyard)
    plates = steelyard.home.folder / "plates.toml"
    plates.write_text(plates.read_text(encoding="utf-8") + "\n# one more line\n", encoding="utf-8")
    steelyard.use(replace(read_home(steelyard.home.folder)))
    assert around.name(steelyard) != before


def test_asked_late_or_again_and_again_it_is_the_same(
    steelyard: Steelyard, session: str, around: Surroundings
) -> None:
    log_next(steelyard, steelyard.start_session("marek", "pull"))
    around.name(steelyard)
    log_next(steelyard, session)
    steelyard.record_body_mass("tove", 62.0)
    assert around.name(steelyard) == around.name(steelyard) == Surroundings((session,)).name(steelyard)


def test_of_a_session_that_is_not_known_nothing_is_told(steelyard: Steelyard) -> None:
    with pytest.raises(UnknownName, match="session"):
        Surroundings(("nobodys",)).name(steelyard)
