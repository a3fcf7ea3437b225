"""Ways in which an outline can be damaged: each gets one line with file, key, value and what is accepted.

The first line of each file in outlines/ says what must stand in the message, in parts.
"""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from steelyard.errors import DamagedFile
from steelyard.tables import write_toml
from steelyard.training.exercises import exercises
from steelyard.training.outline import read_outline
from steelyard.training.outlines import outline_names, outline_text

FILES = sorted(Path(__file__).with_name("outlines").glob("*.toml"))
JUNK = st.sampled_from([True, -1, 1e9, float("nan"), "", "sausage", "20 kg", [], [1], [[1]], {}, {"x": 1}])


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_damaged_outline_is_refused_in_one_line(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    parts = text.splitlines()[0].removeprefix("# expect: ").split(" | ")
    with pytest.raises(DamagedFile) as met:
        read_outline(text, path.name, exercises())
    message = str(met.value)
    assert message.startswith(f"{path.name}: ")
    assert [part for part in parts if part not in message] == []
    assert "\n" not in message


def test_there_are_enough_kinds_of_damage() -> None:
    assert len(FILES) >= 30
    assert len({path.read_text(encoding="utf-8").splitlines()[0] for path in FILES}) == len(FILES)


@given(st.sampled_from(outline_names()), st.data())
def test_junk_at_any_key_is_refused_or_read_but_never_crashes(name: str, data: st.DataObject) -> None:
    outline = tomllib.loads(outline_text(name))
    table = data.draw(st.sampled_from([outline, *outline["exercise"]]))
    table[data.draw(st.sampled_from([*table, "rounds", "sets", "kg"]))] = data.draw(JUNK)
    try:
        read_outline(write_toml(outline), "junk.toml", exercises())
    except DamagedFile as problem:
        assert str(problem).startswith("junk.toml: ")
