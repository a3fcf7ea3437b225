"""What the page records besides sets, said in one line: for tests whose lifters leave sets out and think again."""

from __future__ import annotations

from steelyard.journal.events import SetCorrected, SetSkipped
from steelyard.service import Steelyard


def skip_set(use: Steelyard, session: str, slot: str) -> str:
    """Leave a set of the session out."""
    return use.record(SetSkipped(session, slot))


def correct_set(
    use: Steelyard,
    target: str,
    *,
    reps: int | None = None,
    rir: int | None = None,
    failed: bool | None = None,
    note: str | None = None,
    helped: int | None = None,
    form: bool | None = None,
) -> str:
    """Say that a set is to be read differently."""
    return use.record(SetCorrected(target, reps, rir, failed, note, helped, form))
