"""Invented machines that differ in kind, as files a person reads and copies from. None of them exists."""

from __future__ import annotations

from importlib.resources import files

from steelyard.errors import UnknownName


def example_names() -> tuple[str, ...]:
    """The names of the shipped machines, in alphabetical order.

    >>> example_names()
    ('boathouse', 'counterbeam', 'twin-arms')
    """
    found = (each.name for each in files(__name__).iterdir())
    return tuple(sorted(name.removesuffix(".toml") for name in found if name.endswith(".toml")))


def example_text(name: str) -> str:
    """The machine file of this name.

    Raises: UnknownName.
    """
    names = example_names()
    if name not in names:
        raise UnknownName("example machine", name, names)
    return files(__name__).joinpath(f"{name}.toml").read_text(encoding="utf-8")
