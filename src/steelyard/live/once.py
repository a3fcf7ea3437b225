"""What several sets of a screen have in common, said once and referred to by its place."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable
from functools import partial
from typing import Any


class Once:
    """Things in the order in which they were first needed.

    >>> once = Once()
    >>> [once.place(each, each.upper) for each in ("a", "b", "a")], once.said
    ([0, 1, 0], ['A', 'B'])
    """

    def __init__(self) -> None:
        self.said: list[Any] = []
        self._places: dict[Hashable, int] = {}

    def place(self, name: Hashable, made: Callable[[], Any]) -> int:
        """Where it stands among what was said. name: tells things apart. made: makes it, where it is new."""
        place = self._places.setdefault(name, len(self.said))
        if place == len(self.said):
            self.said.append(made())
        return place

    def places(self, texts: Iterable[str]) -> list[int]:
        """Where each of these texts stands."""
        return [self.place(text, partial(str, text)) for text in texts]
