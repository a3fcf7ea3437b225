"""Tables: every key is checked at the door, and what nobody asked for is refused."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from steelyard.errors import DamagedFile
from steelyard.tables import Table, read_toml, shown, without_none, write_toml
from steelyard.units import Mass, parse_mass

Read = Callable[[Table], Any]

GOOD: list[tuple[Any, Read, Any]] = [
    (5, lambda t: t.number("key", 0, 10), 5.0),
    (None, lambda t: t.number("key", 0, 10, 3.0), 3.0),
    (5, lambda t: t.whole("key", 0, 10), 5),
    (None, lambda t: t.whole("key", 0, 10, 3), 3),
    (" a text ", lambda t: t.text("key"), "a text"),
    (None, lambda t: t.text("key", "else"), "else"),
    ("one", lambda t: t.choice("key", ("one", "two")), "one"),
    (None, lambda t: t.choice("key", ("one", "two"), "two"), "two"),
    (True, lambda t: t.flag("key", False), True),
    (None, lambda t: t.flag("key", False), False),
    ("45 lb", lambda t: t.mass("key", 1, 60), parse_mass("45 lb")),
    ("20 kg", lambda t: t.mass_kg("key", 1, 60), 20.0),
    (None, lambda t: t.mass_kg("key", 1, 60), None),
    ([1, 2.5], lambda t: t.numbers("key", (2, 2), 0, 10), (1.0, 2.5)),
    ([100, -50], lambda t: t.point_m("key"), (0.1, -0.05)),
    (["a", "b"], lambda t: t.texts("key"), ("a", "b")),
    (None, lambda t: t.texts("key", ("c",)), ("c",)),
]
BAD: list[tuple[Any, Read, str]] = [
    (None, lambda t: t.number("key", 0, 10), "missing; it must be a number from 0 to 10"),
    (11, lambda t: t.number("key", 0, 10), "11; it must be a number from 0 to 10"),
    (True, lambda t: t.number("key", 0, 10), "true; it must be a number from 0 to 10"),
    ("5", lambda t: t.number("key", 0, 10), "'5'; it must be a number from 0 to 10"),
    (math.nan, lambda t: t.number("key", 0, 10), "nan; it must be a number from 0 to 10"),
    (math.inf, lambda t: t.number("key", 0, math.inf), "inf; it must be a number from 0 to inf"),
    (2.0, lambda t: t.whole("key", 0, 10), "2.0; it must be a whole number from 0 to 10"),
    (True, lambda t: t.whole("key", 0, 10), "true; it must be a whole number from 0 to 10"),
    ("  ", lambda t: t.text("key"), "' '; it must be a text of 1 to 200 characters on one line"),
    ("a\nb", lambda t: t.text("key"), "'a b'; it must be a text of 1 to 200 characters on one line"),
    ("x" * 201, lambda t: t.text("key"), f"'{'x' * 59}…; it must be a text of 1 to 200 characters on one line"),
    ("three", lambda t: t.choice("key", ("one", "two")), "'three'; it must be one of one, two"),
    ([], lambda t: t.choice("key", ("one", "two")), "[]; it must be one of one, two"),
    (1, lambda t: t.flag("key", False), "1; it must be true or false"),
    ("20", lambda t: t.mass("key", 1, 60), "'20'; it must be a mass from 1 to 60 kg"),
    ("61 kg", lambda t: t.mass("key", 1, 60), "'61 kg'; it must be a mass from 1 to 60 kg"),
    (20, lambda t: t.mass_kg("key", 1, 60), "20; it must be a mass from 1 to 60 kg"),
    ([1], lambda t: t.numbers("key", (2, 3), 0, 10), "[1]; it must be a list of 2 to 3 numbers from 0 to 10"),
    ([1, math.nan], lambda t: t.numbers("key", (2, 2), 0, 10), "[1, nan]; it must be a list of 2 numbers from 0"),
    ([1, True], lambda t: t.numbers("key", (2, 2), 0, 10), "[1, True]; it must be a list of 2 numbers from 0"),
    ([1, 6000], lambda t: t.point_m("key"), "[1, 6000]; it must be a list of 2 numbers from -5000 to 5000"),
    (["a", "a"], lambda t: t.texts("key"), "['a', 'a']; it must be a list of different texts"),
    (["a", 1], lambda t: t.texts("key"), "['a', 1]; it must be a list of texts"),
    (5, lambda t: t.table("key"), "5; it must be a table, written [top.key]"),
    ({}, lambda t: t.named_tables("key"), "{}; it must be one or more tables, written [top.key.NAME]"),
    ([], lambda t: t.listed_tables("key"), "[]; it must be one or more tables, written [[top.key]]"),
]


def table_of(value: Any) -> Table:
    return Table({} if value is None else {"key": value}, "file.toml", "top")


@pytest.mark.parametrize(("value", "read", "expected"), GOOD)
def test_a_fitting_value_or_its_default_is_read(value: Any, read: Read, expected: Any) -> None:
    table = table_of(value)
    assert read(table) == expected
    table.close()


@pytest.mark.parametrize(("value", "read", "said"), BAD)
def test_a_wrong_value_is_told_with_its_place(value: Any, read: Read, said: str) -> None:
    with pytest.raises(DamagedFile) as met:
        read(table_of(value))
    assert str(met.value).startswith(f"file.toml: top.key is {said}")
    assert "\n" not in str(met.value)


def test_tables_within_tables_know_their_place() -> None:
    top = read_toml(
        "[horn.tip]\nrated = 1\n[[plate]]\nmass = 2\n[[plate]]\nmass = 3\n[note]\ntext = 4", "file.toml"
    )
    assert top.named_tables("horn")["tip"].path("rated") == "horn.tip.rated"
    assert [plate.path("mass") for plate in top.listed_tables("plate")] == ["plate[1].mass", "plate[2].mass"]
    assert top.table("note").path("text") == "note.text"
    assert top.named_tables("station", required=False) == {}
    top.close()


def test_a_named_table_that_is_a_value_is_told_by_its_name() -> None:
    with pytest.raises(DamagedFile, match=r"file.toml: horn.tip is 5; it must be one or more tables"):
        read_toml("[horn]\ntip = 5", "file.toml").named_tables("horn")


def test_a_key_nobody_asked_for_is_refused_with_the_nearest() -> None:
    table = Table({"lenght_mm": 5}, "file.toml", "horn.tip")
    table.number("length_mm", 0, 10, 1.0)
    with pytest.raises(DamagedFile) as met:
        table.close()
    assert str(met.value) == (
        "file.toml: horn.tip.lenght_mm is not a key here; it must be one of length_mm (did you mean length_mm?)"
    )


@pytest.mark.parametrize("text", ["a = ", "= 5", "[a\nb]", "a = 1\na = 2", "x = " + "[" * 3000])
def test_what_is_not_toml_is_refused_in_one_line(text: str) -> None:
    with pytest.raises(DamagedFile) as met:
        read_toml(text, "file.toml")
    assert str(met.value).startswith("file.toml: the file is not TOML (")
    assert "\n" not in str(met.value)


def test_nothing_is_written_for_what_is_not_there() -> None:
    assert without_none({"a": None, "b": {"c": None, "d": 1}, "e": [1]}) == {"b": {"d": 1}, "e": [1]}
    assert tomllib.loads(write_toml({"a": None, "b": {"c": None}, "d": "x"})) == {"b": {}, "d": "x"}


def test_a_value_is_shown_in_one_short_line() -> None:
    assert [shown(True), shown(5), shown("a\tb"), shown([1])] == ["true", "5", "'a b'", "[1]"]
    assert shown("x" * 100) == "'" + "x" * 59 + "…"


@given(st.decimals(0, 10_000, places=6))
def test_a_mass_is_read_exactly_as_written(amount: Any) -> None:
    mass = Mass(amount, parse_mass("1 lb").unit)
    assert Table({"key": str(mass)}, "file.toml").mass("key", 0, 1e5) == mass
