"""What a correction makes of a set."""

from __future__ import annotations

from dataclasses import replace

from steelyard.journal.events import SetCorrected, SetDone


def corrected(done: SetDone, correction: SetCorrected) -> SetDone:
    """The set as one correction reads it.

    A failure leaves no reps in reserve, and form that broke says nothing of them. "Not a failure after all", with
    no reps in reserve named, leaves nobody's word on how it ended; so does "form did not break". No more reps are
    helped than were done.
    """
    rir, ended = _corrected_ending(done, correction)
    reps = done.reps if correction.reps is None else correction.reps
    helped = done.helped if correction.helped is None else correction.helped
    note = done.note if correction.note is None else correction.note
    return replace(done, reps=reps, rir=rir, ended=ended, note=note, helped=min(helped, reps))


def _corrected_ending(done: SetDone, correction: SetCorrected) -> tuple[int | None, str]:
    """Reps in reserve and how the set ended; of a correction that says several, the hardest ending counts."""
    if correction.failed:
        return 0, "failure"
    if correction.form:
        return None, "form"
    if correction.rir is not None:
        return correction.rir, "reported"
    denied = {"failure": correction.failed, "form": correction.form}
    return (None, "unsaid") if denied.get(done.ended) is False else (done.rir, done.ended)
