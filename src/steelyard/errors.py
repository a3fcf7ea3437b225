"""What can go wrong, in words a lifter can act on.

Every message is one line that shows the value met, what is accepted, and the way out. The same facts are
attributes, so that a program need not read the sentence.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from difflib import get_close_matches


class SteelyardError(Exception):
    """The root of every error Steelyard raises on purpose; its text is fit to be shown as it is."""


class OutOfRange(SteelyardError, ValueError):
    """A quantity lies outside what is accepted."""

    def __init__(self, name: str, value: object, accepted: str) -> None:
        super().__init__(f"{name} is {value}; it must be {accepted}")
        self.name = name
        self.value = value
        self.accepted = accepted


class UnknownName(SteelyardError, KeyError):
    """A name is not among those known; the nearest known ones are offered, or another way out."""

    def __init__(self, kind: str, name: str, known: Iterable[str], *, way_out: str = "") -> None:
        self.kind = kind
        self.name = name
        self.known = tuple(known)
        super().__init__(f"{kind} '{name}' is not known; {way_out or offer(name, self.known)}")

    def __str__(self) -> str:  # KeyError would print the quoted repr
        return str(self.args[0])


class DamagedFile(SteelyardError, ValueError):
    """A file that a person wrote can't be used; names the file, the key, the value and what is accepted."""

    def __init__(self, source: str, key: str, value: object, accepted: str) -> None:
        where = f"{source}: {key}" if key else source
        super().__init__(f"{where} is {value}; it must be {accepted}")
        self.source = source
        self.key = key
        self.value = value
        self.accepted = accepted


class LimitExceeded(SteelyardError, ValueError):
    """A rated limit, or the room on a horn, would be exceeded. Never a warning."""

    def __init__(self, limit: str, value: str, rated: str, way_out: str) -> None:
        super().__init__(f"{limit} would be {value}; it must not exceed {rated}: {way_out}")
        self.limit = limit
        self.value = value
        self.rated = rated


class NoLoading(SteelyardError, ValueError):
    """No loading of the plates in the house makes the load wanted."""

    def __init__(self, wanted: str, nearest: Sequence[str]) -> None:
        are = "are" if len(nearest) > 1 else "is"
        offered = f"nearest {are} {' and '.join(nearest)}" if nearest else "no load at all can be built"
        super().__init__(f"no loading makes {wanted}; {offered}")
        self.wanted = wanted
        self.nearest = tuple(nearest)


class JournalConflict(SteelyardError):
    """Two different events carry the same id; neither is thrown away."""


class DamagedJournal(SteelyardError, ValueError):
    """A journal, or a line of an exported one, can't be read."""


class JournalUnavailable(SteelyardError):
    """A journal can't be opened, read or written just now; what was being stored is not stored."""


class BrokenProtocol(SteelyardError, ValueError):
    """A simulated lifter, its factory or the advice on trial does not keep to the protocol of `proving`.

    Made of its message alone, so that it comes back whole from another process.
    """


def offer(name: str, known: Sequence[str]) -> str:
    """The known names, nearest first where one is near: ``did you mean row? known: curl, row``."""
    near = get_close_matches(name, known, n=1)
    listed = ", ".join(known) if known else "none yet"
    return (f"did you mean {near[0]}? " if near else "") + f"known: {listed}"
