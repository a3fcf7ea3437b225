"""Ways in which a machine file can be damaged: each gets one line with file, key, value and what is accepted.

The first line of each file in machine/ says what must stand in the message.
"""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from steelyard.errors import DamagedFile
from steelyard.machine.examples import example_names, example_text
from steelyard.machine.file import read_machine
from steelyard.tables import write_toml

FILES = sorted(Path(__file__).with_name("machine").glob("*.toml"))
JUNK = st.sampled_from([True, -1, 1e9, float("nan"), "", "sausage", [], [1], {}, {"x": 1}, [[1, 2]]])


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_damaged_machine_is_refused_in_one_line(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    expected = text.splitlines()[0].removeprefix("# expect: ")
    with pytest.raises(DamagedFile) as met:
        read_machine(text, path.name)
    assert str(met.value).startswith(f"{path.name}: ")
    assert expected in str(met.value)
    assert "\n" not in str(met.value)


def test_there_are_enough_kinds_of_damage() -> None:
    assert len(FILES) >= 26
    assert len({path.read_text(encoding="utf-8").splitlines()[0] for path in FILES}) == len(FILES)


def places(data: dict[str, Any]) -> list[tuple[dict[str, Any], str]]:
    """Every key of a file at every depth, with the table it stands in."""
    found = []
    for key, value in data.items():
        found.append((data, key))
        if isinstance(value, dict):
            found.extend(places(value))
    return found


@given(st.sampled_from(example_names()), st.data())
def test_junk_at_any_key_is_refused_or_read_but_never_crashes(name: str, data: st.DataObject) -> None:
    machine = tomllib.loads(example_text(name))
    table, key = data.draw(st.sampled_from(places(machine)))
    table[key] = data.draw(JUNK)
    try:
        read_machine(write_toml(machine), "junk.toml")
    except DamagedFile as problem:
        assert str(problem).startswith("junk.toml: ")


@given(st.sampled_from(example_names()), st.data())
def test_a_key_struck_out_is_refused_or_read_but_never_crashes(name: str, data: st.DataObject) -> None:
    machine = tomllib.loads(example_text(name))
    table, key = data.draw(st.sampled_from(places(machine)))
    del table[key]
    try:
        read_machine(write_toml(machine), "struck.toml")
    except DamagedFile as problem:
        assert str(problem).startswith("struck.toml: ")
