"""What an event's line says, and what is refused at the door."""

from __future__ import annotations

import dataclasses
import json
import math
from datetime import UTC, datetime, timedelta, timezone
from random import Random
from typing import Any, get_args

import pytest

from journal_events import START, event, id_of, set_done
from steelyard.errors import DamagedJournal, OutOfRange
from steelyard.journal import codec
from steelyard.journal.codec import (
    decode_line,
    encode_line,
    event_from_plain,
    plain_event,
    upcast,
)
from steelyard.journal.events import Body, BodyMassMeasured, Event, SetSkipped, make_event, new_id
from steelyard.journal.kinds import KINDS, UPCASTERS


def _line(**changes: Any) -> str:
    """The line of a plain set with fields of its body changed."""
    data = plain_event(event(1, set_done()))
    data["body"] |= changes
    return json.dumps(data)


def test_a_line_is_what_the_document_says() -> None:
    assert encode_line(event(1, SetSkipped("monday", "1.work.2"), minute=0.0005)) == (
        '{"kind": "set-skipped", "version": 1, "id": "00000000000000000000000000000001", "origin": "cli", '
        '"at": "2026-03-02T18:30:00.030000Z", "body": {"session": "monday", "slot": "1.work.2"}}'
    )


def test_every_body_has_a_kind_and_every_field_a_check() -> None:
    assert {kind.body for kind in KINDS} == set(get_args(Body))
    for kind in KINDS:
        assert list(kind.fields) == [field.name for field in dataclasses.fields(kind.body)]


def test_every_older_version_has_a_way_to_the_newest() -> None:
    assert set(UPCASTERS) == {(kind.name, version) for kind in KINDS for version in range(1, kind.version)}


def test_older_versions_are_read_through_a_chain_of_steps() -> None:
    table = {
        ("set-done", 1): lambda body: body | {"b": 2},
        ("set-done", 2): lambda body: body | {"c": body["b"] + 1},
    }
    assert upcast(("set-done", 1), 3, {"a": 1}, table, "here") == {"a": 1, "b": 2, "c": 3}
    assert upcast(("set-done", 2), 3, {"b": 5}, table, "here") == {"b": 5, "c": 6}


def test_an_older_version_is_read_from_its_line(monkeypatch: pytest.MonkeyPatch) -> None:
    written = encode_line(event(1, SetSkipped("monday", "1.work.2"))).replace('"slot"', '"place"')
    skipped = next(kind for kind in KINDS if kind.body is SetSkipped)
    monkeypatch.setitem(codec._BY_NAME, "set-skipped", dataclasses.replace(skipped, version=2))
    monkeypatch.setitem(
        UPCASTERS, ("set-skipped", 1), lambda body: {"session": body["session"], "slot": body["place"]}
    )
    assert decode_line(written, "here").body == SetSkipped("monday", "1.work.2")


def test_a_missing_or_failing_step_names_the_version() -> None:
    with pytest.raises(DamagedJournal, match="here: the version of set-done is 1; it must be one that leads to"):
        upcast(("set-done", 1), 3, {}, {("set-done", 1): dict}, "here")
    with pytest.raises(DamagedJournal, match=r"here: the body is \{\}; it must be a set-done of version 1"):
        upcast(("set-done", 1), 2, {}, {("set-done", 1): lambda body: {"reps": body["lifts"]}}, "here")


def test_a_newer_version_asks_for_an_update() -> None:
    newer = encode_line(event(1, set_done())).replace('"version": 2', '"version": 3')
    with pytest.raises(
        DamagedJournal, match=r"version 3; .* up to 2: it was written by a newer Steelyard; update"
    ):
        decode_line(newer, "here")


@pytest.mark.parametrize(
    ("field", "value", "accepted"),
    [
        ("reps", 1001, "from 0 to 1000"),
        ("reps", -1, "from 0 to 1000"),
        ("reps", 8.0, "a whole number"),
        ("reps", True, "a whole number"),
        ("rir", 51, "null or a whole number from 0 to 50"),
        ("felt_kg", 2000.1, "from 0 to 2000"),
        ("felt_kg", "41.5", "a number"),
        ("felt_kg", 10**400, "a number"),
        ("rest_s", -1, "null or a number from 0"),
        ("role", "workset", "one of warm-up, test, work, drop, rest-pause"),
        ("side", "middle", "one of both, left, right"),
        ("ended", "tired", "one of failure, reported, form, unsaid"),
        ("loading", {"tip": "20 kg"}, "plate names by horn"),
        ("loading", {"tip": [20]}, "plate names by horn"),
        ("station", " ", "1 to 200 characters"),
        ("station", "a\nb", "on one line"),
        ("lifter", "", "1 to 200 characters"),
        ("note", "x" * 2001, "0 to 2000 characters"),
        ("note", "\ud800", "0 to 2000 characters"),
        ("note", None, "0 to 2000 characters"),
    ],
)
def test_a_value_outside_what_is_accepted_is_named(field: str, value: object, accepted: str) -> None:
    with pytest.raises(DamagedJournal) as caught:
        decode_line(_line(**{field: value}), "export line 3")
    message = str(caught.value)
    assert message.startswith(f"export line 3: {field} is ")
    assert accepted in message
    assert message.endswith(": correct it, or use an undamaged copy")
    assert len(message.splitlines()) == 1


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf])
def test_what_is_not_a_number_is_never_written(bad: float) -> None:
    with pytest.raises(DamagedJournal, match="felt_kg is"):
        encode_line(event(1, set_done(felt_kg=bad)))


@pytest.mark.parametrize("written", ["NaN", "Infinity", "-Infinity", "1e999"])
def test_what_is_not_a_number_is_never_read(written: str) -> None:
    with pytest.raises(DamagedJournal, match=r"here: .*(is not a number|felt_kg is Infinity)"):
        decode_line(_line().replace("41.5", written), "here")


@pytest.mark.parametrize(
    "at",
    [
        "2026-03-02 18:30:00Z",
        "2026-03-02T18:30:00",
        "2026-03-02T18:30:00+01:00",
        "2026-02-31T18:30:00Z",
        "2026-03-02T24:00:00Z",
        "2026-03-02T18:30:00.1234567Z",
        1772476200,
    ],
)
def test_a_time_must_be_in_utc_and_on_the_calendar(at: object) -> None:
    with pytest.raises(DamagedJournal, match=r"here: at is .*a time in UTC"):
        event_from_plain(plain_event(event(1, set_done())) | {"at": at}, "here")


@pytest.mark.parametrize(("written", "microsecond"), [("", 0), (".25", 250_000), (".000001", 1)])
def test_a_time_is_read_to_the_microsecond(written: str, microsecond: int) -> None:
    plain = plain_event(event(1, set_done())) | {"at": f"2026-03-02T18:30:00{written}Z"}
    assert event_from_plain(plain, "here").at == START.replace(microsecond=microsecond)


def test_a_time_in_another_zone_is_written_in_utc() -> None:
    at = datetime(2026, 3, 2, 20, 30, tzinfo=timezone(timedelta(hours=2)))
    assert plain_event(Event(id_of(1), "cli", at, set_done()))["at"] == "2026-03-02T18:30:00.000000Z"


@pytest.mark.parametrize("at", [datetime(2026, 3, 2), datetime(1, 1, 1, tzinfo=timezone(timedelta(hours=2)))])  # noqa: DTZ001
def test_a_time_that_has_no_place_in_utc_is_never_written(at: datetime) -> None:
    with pytest.raises(DamagedJournal, match=r"at is .*with its time zone"):
        encode_line(Event(id_of(1), "cli", at, set_done()))


@pytest.mark.parametrize("id_", ["", "1", "g" * 32, "A" * 32, "0" * 33])
def test_an_id_must_be_32_hexadecimal_digits(id_: str) -> None:
    with pytest.raises(DamagedJournal, match=r"id is .*32 hexadecimal digits"):
        encode_line(Event(id_, "cli", START, set_done()))


def test_a_body_of_no_kind_is_never_written() -> None:
    with pytest.raises(DamagedJournal, match=r"the body is .*one of lifter-joined"):
        encode_line(Event(id_of(1), "cli", START, "set-done"))  # type: ignore[arg-type]


def test_a_whole_number_of_kilos_is_read_as_a_mass() -> None:
    read = decode_line(encode_line(event(1, BodyMassMeasured("ida", 71.0))).replace("71.0", "71"), "here")
    assert isinstance(read.body, BodyMassMeasured)
    assert isinstance(read.body.body_mass_kg, float)


@pytest.mark.parametrize("mass_kg", [19.9, 400.1])
def test_a_body_mass_must_be_a_persons(mass_kg: float) -> None:
    with pytest.raises(DamagedJournal, match=r"body_mass_kg is .*from 20 to 400"):
        encode_line(event(1, BodyMassMeasured("ida", mass_kg)))


def test_a_made_event_has_an_id_of_its_own_and_its_time_in_utc() -> None:
    random, at = Random(1), datetime(2026, 3, 2, 20, 30, tzinfo=timezone(timedelta(hours=2)))
    first, second = (make_event(set_done(), origin="cli", at=at, random=random) for _ in range(2))
    assert first.id != second.id
    assert first.at.tzinfo is UTC
    assert decode_line(encode_line(first), "here") == first


def test_an_id_keeps_its_leading_zeros() -> None:
    class Low:
        def getrandbits(self, k: int, /) -> int:
            return 10 if k == 128 else -1

    assert new_id(Low()) == "0" * 31 + "a"


def test_an_event_can_not_be_made_without_a_time_zone() -> None:
    with pytest.raises(OutOfRange, match=r"the time of the event is 2026-03-02T00:00:00; .*time zone"):
        make_event(set_done(), origin="cli", at=datetime(2026, 3, 2), random=Random(1))  # noqa: DTZ001
