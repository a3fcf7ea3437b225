"""Invented sessions of a rowing club's boathouse, as files a person reads and copies from."""

from __future__ import annotations

from importlib.resources import files
from importlib.resources.abc import Traversable

from steelyard.errors import UnknownName


def outline_names() -> tuple[str, ...]:
    """The names of the shipped outlines, in alphabetical order.

    >>> outline_names()
    ('legs', 'press', 'pull')
    """
    found = (each.name for each in _folder().iterdir())
    return tuple(sorted(name.removesuffix(".toml") for name in found if name.endswith(".toml")))


def outline_text(name: str) -> str:
    """The outline file of this name.

    Raises: UnknownName.
    """
    names = outline_names()
    if name not in names:
        raise UnknownName("outline", name, names)
    return _folder().joinpath(f"{name}.toml").read_text(encoding="utf-8")


def _folder() -> Traversable:
    return files("steelyard.training").joinpath("data", "outlines")
