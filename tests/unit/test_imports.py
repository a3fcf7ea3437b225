"""Light commands start fast because they leave heavy modules alone."""

from __future__ import annotations

import subprocess
import sys

import pytest

HEAVY = (
    "numpy",
    "scipy",
    "starlette",
    "uvicorn",
    "jinja2",
    "msgspec",
    "tomli_w",
    "asyncio",
    "importlib.metadata",
    "cryptography",
    "segno",
)


@pytest.mark.parametrize("module", ["steelyard.cli.commands", "steelyard.service", "steelyard.cli.text"])
def test_light_modules_import_nothing_heavy(module: str) -> None:
    code = f"import sys, {module}; print(' '.join(name for name in {HEAVY!r} if name in sys.modules))"
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert found.stdout.split() == []
