"""Ways in which a plates file can be damaged: each gets one line with file, key, value and what is accepted.

The first line of each file in plates/ lists the parts that must stand in the message.
"""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from steelyard.errors import DamagedFile
from steelyard.plates.example import example_text
from steelyard.plates.file import read_inventory
from steelyard.tables import write_toml

FILES = sorted(Path(__file__).with_name("plates").glob("*.toml"))
KEYS = ("mass", "name", "weighed", "thickness_mm", "diameter_mm", "hole_mm", "pairs", "singles", "colour")
JUNK = st.sampled_from([True, -1, 0, 1e9, float("nan"), "", "sausage", "1e3 kg", [], [1], {}, {"x": 1}, [[1, 2]]])


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_damaged_plates_file_is_refused_in_one_line(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    parts = text.splitlines()[0].removeprefix("# expect: ").split(" | ")
    with pytest.raises(DamagedFile) as met:
        read_inventory(text, path.name)
    message = str(met.value)
    assert message.startswith(f"{path.name}: ")
    assert "\n" not in message
    assert [part for part in parts if part not in message] == [], message


def test_there_are_enough_kinds_of_damage() -> None:
    assert len(FILES) >= 14
    assert len({path.read_text(encoding="utf-8").splitlines()[0] for path in FILES}) == len(FILES)


@given(st.integers(0, 8), st.sampled_from(KEYS), JUNK)
def test_junk_at_any_key_is_refused_or_read_but_never_crashes(number: int, key: str, junk: object) -> None:
    rack = tomllib.loads(example_text())
    rack["plate"][number][key] = junk
    try:
        read_inventory(write_toml(rack), "junk.toml")
    except DamagedFile as problem:
        assert str(problem).startswith(f"junk.toml: plate[{number + 1}].")


@given(st.integers(0, 8), st.sampled_from(["mass", "thickness_mm", "pairs"]))
def test_a_plate_that_lacks_what_is_required_is_refused(number: int, key: str) -> None:
    rack = tomllib.loads(example_text())
    del rack["plate"][number][key]
    rack["plate"][number].pop("singles", None)
    with pytest.raises(DamagedFile, match=rf"short.toml: plate\[{number + 1}\].{key} is missing"):
        read_inventory(write_toml(rack), "short.toml")
