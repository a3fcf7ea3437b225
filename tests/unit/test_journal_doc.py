"""docs/journal.md names every event and every field, and no others."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from steelyard.journal.kinds import KINDS, Kind

PAGE = (Path(__file__).parents[2] / "docs" / "journal.md").read_text(encoding="utf-8")
SECTIONS = dict(re.findall(r"^### `([a-z-]+)`: (.*?)(?=^##)", PAGE, re.MULTILINE | re.DOTALL))


def test_every_kind_of_event_has_its_section() -> None:
    assert list(SECTIONS) == [kind.name for kind in KINDS]


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_every_field_of_an_event_is_in_its_table(kind: Kind) -> None:
    section = SECTIONS[kind.name]
    assert section.splitlines()[0] == kind.body.__name__
    assert re.findall(r"^\| `(\w+)` \|", section, re.MULTILINE) == list(kind.fields)
