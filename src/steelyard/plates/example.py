"""An invented rack of plates, as a file a person reads and copies from."""

from __future__ import annotations

from importlib.resources import files

from steelyard import plates


def example_text() -> str:
    """The plates file of the boathouse: kilograms, a few pounds of an older set, one pair that was weighed."""
    return files(plates).joinpath("example.toml").read_text(encoding="utf-8")
