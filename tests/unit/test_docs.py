"""Every code block in the README and in docs/ runs, or is read by the reader of its file format."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from steelyard.machine.file import read_machine
from steelyard.plates.file import read_inventory
from steelyard.training.exercises import exercises, read_exercises
from steelyard.training.outline import read_outline

ROOT = Path(__file__).parents[2]
PAGES = [ROOT / "README.md", ROOT / "ARCHITECTURE.md", *sorted((ROOT / "docs").glob("*.md"))]
BLOCK = re.compile(r"^```(\w+)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
READERS: dict[str, Callable[[str], object]] = {
    "# machine": lambda text: read_machine(text, "docs"),
    "# plates": lambda text: read_inventory(text, "docs"),
    "# outline": lambda text: read_outline(text, "docs", exercises()),
    "# exercises": lambda text: read_exercises(text, "docs"),
}
BLOCKS = [
    pytest.param(language, text, id=f"{page.name}-{number}")
    for page in PAGES
    for number, (language, text) in enumerate(BLOCK.findall(page.read_text(encoding="utf-8")), start=1)
    if language in ("python", "toml")
]


@pytest.mark.parametrize(("language", "text"), BLOCKS)
def test_a_code_block_in_the_docs_works(language: str, text: str) -> None:
    if language == "python":
        exec(compile(text, "docs", "exec"), {"__name__": "docs"})
    else:
        first = text.splitlines()[0]
        assert READERS[first](text) is not None


def test_every_link_between_pages_leads_somewhere() -> None:
    for page in PAGES:
        for target in re.findall(r"\]\(([^)#:]+)(?:#[^)]*)?\)", page.read_text(encoding="utf-8")):
            assert (page.parent / target).exists(), f"{page.name} links to {target}"
