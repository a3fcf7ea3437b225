"""Every code block in the README and in docs/ runs, or is read by the reader of its file format."""

from __future__ import annotations

import ast
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
ROOMS = ("machine", "plates", "strength", "training", "journal", "review", "proving", ".")
MODULES = [module for room in ROOMS for module in sorted((ROOT / "src" / "steelyard" / room).glob("*.py"))]
UNIT = re.compile(r"_(kg|m|mm|s|n|mn|rad|n_m|kg_m|kg_m2)$")
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


def quantities_in(module: Path) -> set[str]:
    """Public parameters and fields of a module whose name ends in a unit."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(module.read_text(encoding="utf-8"))):
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            found |= {argument.arg for argument in (*node.args.args, *node.args.kwonlyargs)}
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
            fields = (part.target for part in node.body if isinstance(part, ast.AnnAssign))
            found |= {field.id for field in fields if isinstance(field, ast.Name)}
    return {name for name in found if UNIT.search(name) and not name.startswith("_")}


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.stem)
def test_every_public_quantity_is_in_the_glossary(module: Path) -> None:
    glossary = (ROOT / "docs" / "nomenclature.md").read_text(encoding="utf-8")
    assert [name for name in sorted(quantities_in(module)) if f"`{name}`" not in glossary] == []


def test_every_link_between_pages_leads_somewhere() -> None:
    for page in PAGES:
        for target in re.findall(r"\]\(([^)#:]+)(?:#[^)]*)?\)", page.read_text(encoding="utf-8")):
            assert (page.parent / target).exists(), f"{page.name} links to {target}"
