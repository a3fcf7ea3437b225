"""The engine that the tests here compare with."""

from __future__ import annotations

import os
from importlib import import_module
from typing import Any

import pytest


@pytest.fixture(scope="session")
def mujoco() -> Any:
    """The engine; without it the tests are skipped, or fail where it is required."""
    try:
        return import_module("mujoco")
    except ImportError as fault:
        reason = f"no MuJoCo ({fault}): pip install -e '.[reference]'"
        pytest.fail(reason) if os.environ.get("STEELYARD_REFERENCE") == "require" else pytest.skip(reason)
