"""Checked reading and plain writing of the TOML files a person keeps.

A `Table` hands out one key at a time and checks it at the door, so that a wrong value is reported with its file,
its key, the value and what is accepted, in one line. `close` then refuses keys nobody asked for: a misspelt key
must never be a silent default.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from difflib import get_close_matches
from sys import float_info
from typing import Any

from steelyard.errors import DamagedFile, OutOfRange
from steelyard.units import Mass, parse_mass

Point = tuple[float, float]


class Table:
    """One table of a TOML file, with the file's name and its own place in it."""

    def __init__(self, data: Mapping[str, Any], source: str, place: str = "") -> None:
        self._data = data
        self.source = source
        self.place = place
        self._asked: set[str] = set()

    def __contains__(self, key: str) -> bool:
        return key in self._data

    def path(self, key: str) -> str:
        """The key with its place in the file, such as ``horn.tip.length_mm``."""
        return f"{self.place}.{key}" if self.place else key

    def wrong(self, key: str, accepted: str) -> DamagedFile:
        """The error for the value met at this key."""
        value = shown(self._data[key]) if key in self._data else "missing"
        return DamagedFile(self.source, self.path(key), value, accepted)

    def _take(self, key: str) -> Any:
        self._asked.add(key)
        return self._data.get(key)

    def number(self, key: str, least: float, most: float, default: float | None = None) -> float:
        """A finite number from least to most; required if there is no default."""
        value = self._take(key)
        if value is None and key not in self._data and default is not None:
            return default
        accepted = f"a number from {least:g} to {most:g}"
        if not _lies_within(value, least, min(most, float_info.max)):
            raise self.wrong(key, accepted)
        return float(value)

    def whole(self, key: str, least: int, most: int, default: int | None = None) -> int:
        """A whole number from least to most; required if there is no default."""
        value = self._take(key)
        if key not in self._data and default is not None:
            return default
        if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
            raise self.wrong(key, f"a whole number from {least} to {most}")
        return value

    def text(self, key: str, default: str | None = None) -> str:
        """A text of 1 to 200 characters on one line; required if there is no default."""
        value = self._take(key)
        if key not in self._data and default is not None:
            return default
        if not isinstance(value, str) or not value.strip() or len(value) > 200 or not value.isprintable():
            raise self.wrong(key, "a text of 1 to 200 characters on one line")
        return value.strip()

    def choice(self, key: str, options: Sequence[str], default: str | None = None) -> str:
        """One of the options; required if there is no default."""
        value = self._take(key)
        if key not in self._data and default is not None:
            return default
        if not isinstance(value, str) or value not in options:
            raise self.wrong(key, f"one of {', '.join(options)}")
        return value

    def flag(self, key: str, default: bool) -> bool:
        """true or false."""
        value = self._take(key)
        if key not in self._data:
            return default
        if not isinstance(value, bool):
            raise self.wrong(key, "true or false")
        return value

    def mass(self, key: str, least_kg: float, most_kg: float) -> Mass:
        """A mass with its unit, written as a text such as ``"20 kg"``; required."""
        value = self._take(key)
        accepted = f'a mass from {least_kg:g} to {most_kg:g} kg, such as "20 kg" or "45 lb"'
        if not isinstance(value, str):
            raise self.wrong(key, accepted)
        try:
            mass = parse_mass(value)
        except OutOfRange:
            raise self.wrong(key, accepted) from None
        if not value.strip()[-1].isalpha() or not least_kg <= mass.kg <= most_kg:
            raise self.wrong(key, accepted)
        return mass

    def optional_mass(self, key: str, least_kg: float, most_kg: float) -> Mass | None:
        """A mass as `mass`, or None if the key is missing."""
        self._asked.add(key)
        return self.mass(key, least_kg, most_kg) if key in self else None

    def mass_kg(self, key: str, least_kg: float, most_kg: float) -> float | None:
        """An optional mass. [kg]"""
        mass = self.optional_mass(key, least_kg, most_kg)
        return None if mass is None else mass.kg

    def numbers(self, key: str, count: tuple[int, int], least: float, most: float) -> tuple[float, ...]:
        """A list of count[0] to count[1] finite numbers from least to most; required."""
        value = self._take(key)
        size = f"{count[0]}" if count[0] == count[1] else f"{count[0]} to {count[1]}"
        accepted = f"a list of {size} numbers from {least:g} to {most:g}"
        if not isinstance(value, list) or not count[0] <= len(value) <= count[1]:
            raise self.wrong(key, accepted)
        for part in value:
            if not _lies_within(part, least, most):
                raise self.wrong(key, accepted)
        return tuple(float(part) for part in value)

    def point_m(self, key: str, reach_mm: float = 5000.0) -> Point:
        """A point [along, up], written in millimetres under a key that ends in ``_mm``; required. [m]"""
        along, up = self.numbers(key, (2, 2), -reach_mm, reach_mm)
        return along / 1000.0, up / 1000.0

    def points_m(self, key: str, count: int, reach_mm: float = 5000.0) -> tuple[Point, ...]:
        """Exactly so many points [along, up], or none at all if the key is left out. [m]"""
        value = self._take(key)
        if key not in self._data:
            return ()
        accepted = f"a list of {count} points such as [1200, 1900], each from {-reach_mm:g} to {reach_mm:g}"
        if not isinstance(value, list) or len(value) != count:
            raise self.wrong(key, accepted)
        for point in value:
            if (
                not isinstance(point, list)
                or len(point) != 2
                or not all(_lies_within(part, -reach_mm, reach_mm) for part in point)
            ):
                raise self.wrong(key, accepted)
        return tuple((float(along) / 1000.0, float(up) / 1000.0) for along, up in value)

    def texts(self, key: str, default: tuple[str, ...] | None = None) -> tuple[str, ...]:
        """A list of different texts; required if there is no default."""
        value = self._take(key)
        if key not in self._data and default is not None:
            return default
        if not isinstance(value, list) or not all(isinstance(part, str) and part.strip() for part in value):
            raise self.wrong(key, "a list of texts")
        if len(set(value)) != len(value):
            raise self.wrong(key, "a list of different texts")
        return tuple(value)

    def table(self, key: str) -> Table:
        """The table of this name; required."""
        value = self._take(key)
        if not isinstance(value, dict):
            raise self.wrong(key, f"a table, written [{self.path(key)}]")
        return Table(value, self.source, self.path(key))

    def optional_table(self, key: str) -> Table | None:
        """The table of this name, or None if it is missing."""
        self._asked.add(key)
        return self.table(key) if key in self else None

    def named_tables(self, key: str, required: bool = True) -> dict[str, Table]:
        """Tables written ``[key.name]``, by name, in the order of the file."""
        value = self._take(key)
        if key not in self._data and not required:
            return {}
        accepted = f"one or more tables, written [{self.path(key)}.NAME]"
        if not isinstance(value, dict) or not value:
            raise self.wrong(key, accepted)
        for name, part in value.items():
            if not isinstance(part, dict):
                raise DamagedFile(self.source, self.path(f"{key}.{name}"), shown(part), accepted)
        return {name: Table(part, self.source, self.path(f"{key}.{name}")) for name, part in value.items()}

    def listed_tables(self, key: str) -> list[Table]:
        """Tables written ``[[key]]``, in the order of the file; at least one."""
        value = self._take(key)
        accepted = f"one or more tables, written [[{self.path(key)}]]"
        if not isinstance(value, list) or not value or not all(isinstance(part, dict) for part in value):
            raise self.wrong(key, accepted)
        return [Table(part, self.source, self.path(f"{key}[{n}]")) for n, part in enumerate(value, start=1)]

    def close(self) -> None:
        """Refuse keys that nobody asked for."""
        for key in self._data:
            if key not in self._asked:
                near = get_close_matches(key, self._asked, n=1)
                hint = f" (did you mean {near[0]}?)" if near else ""
                accepted = f"one of {', '.join(sorted(self._asked))}{hint}"
                raise DamagedFile(self.source, self.path(key), "not a key here", accepted)


def _lies_within(value: Any, least: float, most: float) -> bool:
    """Whether it is a number, and one in this range; nan compares with nothing and so is none."""
    return isinstance(value, int | float) and not isinstance(value, bool) and least <= value <= most


def read_toml(text: str, source: str) -> Table:
    """The top table of a TOML text.

    source: the file's name, for messages.

    Raises: DamagedFile if the text is not TOML.
    """
    try:
        return Table(tomllib.loads(text), source)
    except (ValueError, RecursionError) as problem:  # the parser's own, and a number of thousands of digits
        raise DamagedFile(source, "the file", f"not TOML ({problem})", "TOML, one key = value a line") from None


def write_toml(data: Mapping[str, Any]) -> str:
    """TOML for plain data; keys whose value is None are left out."""
    import tomli_w  # noqa: PLC0415  only writing needs it, and reading must start fast

    return tomli_w.dumps(without_none(data))


def without_none(data: Mapping[str, Any]) -> dict[str, Any]:
    """The same mapping without the keys whose value is None, at every depth."""
    return {
        key: without_none(value) if isinstance(value, Mapping) else value
        for key, value in data.items()
        if value is not None
    }


def shown(value: object) -> str:
    """A value for a message: as the file writes it, cut to a line's room."""
    if isinstance(value, bool):
        return str(value).lower()
    try:
        text = f"'{value}'" if isinstance(value, str) else str(value)
    except ValueError:  # Python writes no number of more than 4300 digits
        text = "a number of thousands of digits"
    return " ".join(text[:60].split()) + ("…" if len(text) > 60 else "")
