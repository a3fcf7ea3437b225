"""The engine that the tests here compare with."""

from __future__ import annotations

import os
from importlib import import_module
from importlib.util import find_spec
from typing import Any

import pytest

collect_ignore = [] if find_spec("numpyro") else ["belief_nuts.py"]
"""Doctests would import it, and it can't be without NumPyro."""


@pytest.fixture(scope="session")
def mujoco() -> Any:
    """The engine; without it the tests are skipped, or fail where it is required."""
    try:
        return import_module("mujoco")
    except ImportError as fault:
        reason = f"no MuJoCo ({fault}): pip install -e '.[reference]'"
        pytest.fail(reason) if os.environ.get("STEELYARD_REFERENCE") == "require" else pytest.skip(reason)


@pytest.fixture(scope="session")
def nuts() -> Any:
    """The belief's model for a general sampler; without NumPyro its tests are skipped, or fail where required."""
    try:
        return import_module("reference.belief_nuts")
    except ImportError as fault:
        reason = f"no NumPyro ({fault}): pip install -e '.[reference]'"
        pytest.fail(reason) if os.environ.get("STEELYARD_REFERENCE") == "require" else pytest.skip(reason)
