"""Taking readings into the journal, and the calibration in use."""

from __future__ import annotations

import math

import pytest

from gyms import steelyard
from steelyard.errors import SteelyardError, UnknownName
from steelyard.machine.calibration import felt_band
from steelyard.service import Steelyard
from steelyard.workshop.bands import bands, calibration_of
from steelyard.workshop.calibrating import bring, forget, logged_readings, take
from steelyard.workshop.taking import Asked
from unit.test_believed import changed_home, heavier

LINES = [
    "# the boathouse, a Sunday",
    "",
    "row 10 deg up empty 9.1 kg   # a first try",
    "row 10 deg up empty 9.1 kg",
    "row 0.5 deg down tip=20 kg 92 lb",
]


def test_a_reading_is_in_the_journal_as_soon_as_it_is_taken() -> None:
    use = steelyard()
    event = take(use, "row 10 deg up tip=20 kg 31.2 kg", Asked())
    (logged,) = logged_readings(use)
    assert (logged.id, logged.read.scale_kg, logged.read.machine) == (event, 31.2, "Boathouse lever gym")


def test_a_reading_sent_twice_is_one() -> None:
    use = steelyard()
    for _ in range(2):
        take(use, "row 10 deg up empty 9 kg", Asked(), event_id="a" * 32)
    assert len(logged_readings(use)) == 1


def test_a_wrong_line_records_nothing() -> None:
    use = steelyard()
    with pytest.raises(SteelyardError):
        take(use, "row 10 deg up tip=3x20 kg 31.2 kg", Asked())
    assert logged_readings(use) == ()


def test_a_reading_is_undone_by_the_beginning_of_its_id() -> None:
    use = steelyard()
    event = take(use, "row 10 deg up empty 9 kg", Asked())
    assert forget(use, event[:8].upper()).id == event
    assert logged_readings(use) == ()


@pytest.mark.parametrize("named", ["", "xyz"])
def test_an_unknown_reading_is_not_undone(named: str) -> None:
    use = steelyard()
    event = take(use, "row 10 deg up empty 9 kg", Asked())
    with pytest.raises(UnknownName, match=f"known: {event[:8]}"):
        forget(use, named)


def brought(use: Steelyard, lines: list[str]) -> tuple[int, int]:
    return bring(use, lines, "sunday.txt", Asked(), scale_range_kg=None)


def test_a_file_may_be_brought_again_and_repeats_in_it_count() -> None:
    use = steelyard()
    assert brought(use, LINES) == (3, 3)
    assert brought(use, LINES) == (3, 0)
    forget(use, logged_readings(use)[0].id)
    assert brought(use, LINES) == (3, 1)
    assert [logged.read.unit for logged in logged_readings(use)].count("lb") == 1


def test_a_file_with_a_wrong_line_is_refused_whole() -> None:
    use = steelyard()
    with pytest.raises(SteelyardError, match=r"sunday.txt line 6: the arm angle is missing; it must be given"):
        brought(use, [*LINES, "row up empty 9 kg"])
    assert logged_readings(use) == ()


def test_readings_of_another_machine_are_not_ours() -> None:
    use = steelyard()
    take(use, "row 10 deg up empty 9 kg", Asked())
    other = logged_readings(use)[0].read
    use.record(type(other)(**{name: getattr(other, name) for name in other.__slots__} | {"machine": "attic"}))
    assert len(logged_readings(use)) == 1


def test_without_a_calibration_there_is_no_band() -> None:
    use = steelyard()
    assert calibration_of(use) is None
    assert bands(use, use.gym.machine.stations["row"]) is None


def test_the_band_is_that_of_the_calibration_in_use() -> None:
    use = steelyard()
    use.record(heavier())
    known, station = calibration_of(use), use.gym.machine.stations["row"]
    band = bands(use, station)
    assert known is not None
    assert band is not None
    assert band.interval({}) == felt_band(use.home.gym.machine, known, station).interval({})
    assert band.law.base_kg == use.gym.loads(station).law.base_kg


def test_the_band_of_one_arm_or_another_attachment_is_its_own() -> None:
    use = steelyard()
    use.record(heavier())
    station = use.gym.machine.stations["high-pulley"]
    wide, rope = bands(use, station), bands(use, station, attachment="rope")
    assert wide is not None
    assert rope is not None
    assert math.isclose(rope.law.base_kg - wide.law.base_kg, 1.7, abs_tol=1e-9)


def test_a_calibration_set_aside_is_not_in_use() -> None:
    use = steelyard()
    use.record(heavier())
    use.use(changed_home())
    assert calibration_of(use) is None
