"""The protocol: cautions, readings in their order, and the further reading that helps most."""

from __future__ import annotations

from dataclasses import replace

import pytest

from steelyard.errors import OutOfRange, UnknownName
from steelyard.machine.calibration import felt_band, uncalibrated
from steelyard.machine.examples import example_text
from steelyard.machine.file import read_machine
from steelyard.machine.fit import Fit, fit_readings
from steelyard.machine.protocol import (
    CAUTIONS,
    Suggestion,
    check_words,
    most_useful,
    plate_on,
    pulls_kg,
    step_words,
    steps,
    validation_steps,
)
from steelyard.machine.reading import Creep, Reading, check_reading

BOATHOUSE = read_machine(example_text("boathouse"), "boathouse.toml")
TWENTY = {"tip": (20.0, 0.4)}
NOTHING_READ = Fit(uncalibrated(BOATHOUSE), (), (), ())


def taken(suggestion: Suggestion, number: int) -> Reading:
    """The reading suggested, as the described machine would show it."""
    if not suggestion.station:
        kg = suggestion.hung_kg
        return Reading(str(number), "", 0.0, Creep.HELD, {}, kg, 0.002, kg)
    shown = pulls_kg(BOATHOUSE, suggestion.station, (suggestion.angle_rad,), suggestion.loads, suggestion.creep)
    return Reading(
        str(number), suggestion.station, suggestion.angle_rad, suggestion.creep, suggestion.loads, shown[0], 0.002
    )


def mean_width(fit: Fit) -> float:
    """Mean relative width of the felt-load intervals of all stations on the arm, test plates on."""
    widths = []
    for station in BOATHOUSE.stations.values():
        if station.arm is not None:
            low, felt, high = felt_band(BOATHOUSE, fit.calibration, station).interval(TWENTY)
            widths.append((high - low) / felt)
    return sum(widths) / len(widths)


@pytest.mark.parametrize(
    "word", ["manual", "Bolt", "under the arm", "block", "hands off", "50 %", "60 %", "along"]
)
def test_the_cautions_speak_of_every_danger(word: str) -> None:
    assert any(word in caution for caution in CAUTIONS)


def test_the_empty_arm_comes_first_then_plates_up_and_down_at_each_angle() -> None:
    found = steps(BOATHOUSE, "row", TWENTY)
    assert [bool(step.loads) for step in found] == [False] * 10 + [True] * 10
    assert [step.creep for step in found] == [Creep.UP, Creep.DOWN] * 10
    assert [step.angle_rad for step in found[:10:2]] == sorted({step.angle_rad for step in found})


def test_the_range_is_read_from_end_to_end() -> None:
    row, found = BOATHOUSE.stations["row"], steps(BOATHOUSE, "row", {}, angles=4)
    assert (found[0].angle_rad, found[-1].angle_rad) == (row.from_rad, row.to_rad)
    assert len(found) == 8


def test_every_step_makes_a_reading_that_can_be_taken() -> None:
    for number, step in enumerate((*steps(BOATHOUSE, "row", TWENTY), *validation_steps(BOATHOUSE, "row", TWENTY))):
        check_reading(BOATHOUSE, Reading(str(number), step.station, step.angle_rad, step.creep, step.loads, 20.0))


def test_the_protocol_needs_a_station_on_an_arm() -> None:
    with pytest.raises(OutOfRange, match="station handle is without an arm"):
        steps(BOATHOUSE, "handle", {})
    with pytest.raises(UnknownName, match="did you mean row"):
        validation_steps(BOATHOUSE, "rwo", TWENTY)


def test_validation_is_in_the_middle_up_and_down() -> None:
    found = validation_steps(BOATHOUSE, "row", {"tip": (30.0, 0.6)})
    assert [step.creep for step in found] == [Creep.UP, Creep.DOWN]
    assert found[0].angle_rad == pytest.approx(0.0)


def test_steps_are_said_in_words_a_lifter_can_follow() -> None:
    assert step_words("row", -0.1, Creep.DOWN, {}) == (
        "Station row, arm empty: bring the arm to -6 degrees; go 5 degrees past, creep down through it and read."
    )
    assert "20.0 kg straight on the scale" in check_words(20.0)


def test_no_test_plate_asks_more_of_a_post_than_a_part_of_its_label() -> None:
    post = BOATHOUSE.horns["tip"]
    assert plate_on(post, 20.0)[0] == 20.0
    assert plate_on(replace(post, rated_kg=30.0), 20.0)[0] == pytest.approx(12.0)
    assert plate_on(replace(post, rated_kg=None), 45.0)[0] == 45.0


def test_with_nothing_read_the_arm_itself_is_worth_most() -> None:
    first = most_useful(BOATHOUSE, NOTHING_READ)
    assert first is not None
    assert first.narrows > 0.4
    assert first.station in first.words


def test_what_a_suggestion_promises_is_about_what_the_reading_brings() -> None:
    readings = [taken(first, 0) for first in [most_useful(BOATHOUSE, NOTHING_READ)] if first]
    fit = fit_readings(BOATHOUSE, readings)
    second = most_useful(BOATHOUSE, fit)
    assert second is not None
    better = fit_readings(BOATHOUSE, [*readings, taken(second, 1)])
    brought = 1.0 - mean_width(better) / mean_width(fit)
    assert brought == pytest.approx(second.narrows, abs=0.04)


def test_following_suggestions_narrows_every_time_until_little_is_left() -> None:
    readings: list[Reading] = []
    fit, widths = NOTHING_READ, [mean_width(NOTHING_READ)]
    for number in range(6):
        suggestion = most_useful(BOATHOUSE, fit)
        assert suggestion is not None
        readings.append(taken(suggestion, number))
        fit = fit_readings(BOATHOUSE, readings)
        widths.append(mean_width(fit))
    assert widths == sorted(widths, reverse=True)
    assert widths[-1] < 0.3 * widths[0]


def test_a_machine_known_well_enough_needs_no_further_reading() -> None:
    names = NOTHING_READ.calibration.names
    rows = tuple(tuple(1e-10 if one == other else 0.0 for other in names) for one in names)
    sure = replace(NOTHING_READ, calibration=replace(NOTHING_READ.calibration, covariance=rows))
    assert most_useful(BOATHOUSE, sure) is None


def test_a_machine_without_an_arm_station_needs_none_either() -> None:
    free = replace(BOATHOUSE, stations={"handle": BOATHOUSE.stations["handle"]})
    assert most_useful(free, NOTHING_READ) is None
