"""Scale readings and calibrations in the journal: checked at the door, kept by machine, undone by a deletion."""

from __future__ import annotations

import json
import math
from typing import Any

import pytest

from journal_events import calibrated, event, id_of, scale_read, session
from steelyard.errors import DamagedJournal
from steelyard.journal.codec import decode_line, encode_line, plain_event
from steelyard.journal.events import Body, EventDeleted
from steelyard.journal.exchange import export_csv
from steelyard.journal.fold import fold
from steelyard.journal.sqlite import SqliteJournal


def line(body: Body, **changes: Any) -> str:
    """The line of an event with fields of its body changed."""
    data = plain_event(event(1, body))
    data["body"] |= changes
    return json.dumps(data)


def test_they_come_back_from_disk_as_they_were() -> None:
    events = [event(1, scale_read()), event(2, calibrated())]
    journal = SqliteJournal.memory()
    journal.append(events)
    assert journal.events() == events
    journal.close()


def test_they_are_kept_by_machine_in_order_of_time() -> None:
    events = [
        event(1, scale_read(), minute=5),
        event(2, scale_read(machine="attic"), minute=4),
        event(3, scale_read(), minute=3),
        event(4, calibrated(), minute=2),
        event(5, calibrated(), minute=1),
    ]
    state = fold(events)
    assert {name: [each.id for each in many] for name, many in state.readings.items()} == {
        "attic": [id_of(2)],
        "boathouse": [id_of(3), id_of(1)],
    }
    assert [each.id for each in state.calibrations["boathouse"]] == [id_of(5), id_of(4)]


def test_a_deleted_reading_does_not_count_and_comes_back_with_its_deletion() -> None:
    events = [event(1, scale_read()), event(2, calibrated()), event(3, EventDeleted(id_of(1)))]
    state = fold(events)
    assert dict(state.readings) == {}
    assert state.calibrations["boathouse"][0].made.readings == (id_of(1),)
    assert len(fold([*events, event(4, EventDeleted(id_of(3)))]).readings["boathouse"]) == 1


def test_a_deleted_calibration_leaves_the_one_before() -> None:
    state = fold([event(1, calibrated()), event(2, calibrated()), event(3, EventDeleted(id_of(2)))])
    assert [each.id for each in state.calibrations["boathouse"]] == [id_of(1)]


def test_sets_are_folded_and_exported_as_before() -> None:
    sets = session(3)
    state, with_readings = fold(sets), fold([*sets, event(9001, scale_read()), event(9002, calibrated())])
    assert list(export_csv(with_readings)) == list(export_csv(state))
    assert with_readings.sessions == state.sessions


@pytest.mark.parametrize(
    ("field", "value", "accepted"),
    [
        ("machine", "", "a text of 1 to 200 characters"),
        ("angle_rad", 7, "a number from -6.3 to 6.3"),
        ("creep", "sideways", "one of up, down, held"),
        ("loads", {"tip": 20.0}, "mass and moment by horn"),
        ("loads", {"tip": [20.0]}, "mass and moment by horn"),
        ("loads", {"tip": [-1.0, 0.0]}, "mass and moment by horn"),
        ("loads", {"": [1.0, 0.0]}, "mass and moment by horn"),
        ("loads", {str(n): [1.0, 0.0] for n in range(51)}, "mass and moment by horn"),
        ("plates", {"tip": "20 kg"}, "plate names by horn"),
        ("plates_sd", 1.5, "a number from 0 to 1"),
        ("hung_kg", -1, "a number from 0 to 2000"),
        ("scale_kg", "31 kg", "a number from 0 to 2000"),
        ("unit", "stone", "one of kg, lb, N"),
    ],
)
def test_a_reading_that_does_not_fit_is_refused(field: str, value: object, accepted: str) -> None:
    with pytest.raises(DamagedJournal, match=f"here: {field} is .*; it must be {accepted}"):
        decode_line(line(scale_read(), **{field: value}), "here")


@pytest.mark.parametrize(
    ("field", "value", "accepted"),
    [
        ("names", ["one"], "as long as names, 1"),
        ("values", [1.0], "values is 1 long; it must be as long as names, 2"),
        ("values", [1.0, "2"], "a list of up to 300, each a number"),
        ("values", 8.4, "a list of up to 300"),
        ("covariance", [[1.0]], "covariance is 1 long; it must be as long as names, 2"),
        ("covariance", [[1.0, 0.0]], "a symmetric square of numbers"),
        ("covariance", [[1.0, 0.0], [0.5, 1.0]], "a symmetric square of numbers"),
        ("covariance", [[-1.0, 0.0], [0.0, 1.0]], "none below 0 on its diagonal"),
        ("noise", -1.0, "a number from 0 to"),
        ("readings", ["short"], "each 32 hexadecimal digits"),
        ("suspects", "none", "a list of up to 10000"),
    ],
)
def test_a_calibration_that_does_not_fit_is_refused(field: str, value: object, accepted: str) -> None:
    with pytest.raises(DamagedJournal, match=accepted):
        decode_line(line(calibrated(), **{field: value}), "here")


@pytest.mark.parametrize("figure", [math.nan, math.inf, 1e13])
def test_figures_must_be_finite_on_the_way_out_too(figure: float) -> None:
    with pytest.raises(DamagedJournal, match="values is "):
        encode_line(event(1, calibrated(values=(figure, 0.0))))


def test_lists_must_agree_on_the_way_out_too() -> None:
    with pytest.raises(DamagedJournal, match="it must be as long as names"):
        encode_line(event(1, calibrated(values=(1.0,))))
