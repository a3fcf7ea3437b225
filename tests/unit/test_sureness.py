"""How sure the felt loads of a prepared session are, in one sentence."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import closing
from dataclasses import replace

import pytest

from gyms import NOW, boathouse, home, join, steelyard
from steelyard.demo import invented_history
from steelyard.journal.sqlite import SqliteJournal
from steelyard.plates.discs import post_loads
from steelyard.service import Steelyard
from steelyard.workshop.bands import bands
from steelyard.workshop.sureness import AS_DESCRIBED, sureness


@pytest.fixture(scope="module")
def calibrated() -> Iterator[Steelyard]:
    """The demo's gym, whose scale was read."""
    with closing(SqliteJournal.memory()) as journal:
        journal.append(invented_history(home(), NOW))
        yield steelyard(journal)


def test_a_machine_as_described_says_that_nobody_measured_it() -> None:
    use = steelyard()
    join(use)
    assert sureness(use, use.prepare("ida", "pull")) == AS_DESCRIBED


def test_a_calibrated_machine_says_how_far_off_its_worst_work_set_may_be(calibrated: Steelyard) -> None:
    session = calibrated.prepare("tove", "pull")
    told = sureness(calibrated, session)
    (percent,) = re.findall(r"right to (\d+\.\d) % or better", told)
    stations = boathouse().machine.stations
    works = [one for one in session.sets if one.role == "work" and stations[one.station].arm]
    for one in works:
        band = bands(calibrated, stations[one.station])
        assert band is not None
        low, felt, high = band.interval(post_loads(one.loading))
        assert (high - low) / 2 <= (float(percent) + 0.05) / 100 * felt


def test_a_session_without_an_arm_has_nothing_to_be_sure_of(calibrated: Steelyard) -> None:
    session = calibrated.prepare("tove", "pull")
    bodily = replace(session, sets=tuple(one for one in session.sets if one.exercise == "inverted_row"))
    assert bodily.sets
    assert sureness(calibrated, bodily) == ""
