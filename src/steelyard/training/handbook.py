"""What the handbooks' rules would do with the same sets, beside what belief does, and why they differ."""

from __future__ import annotations

from collections.abc import Sequence

from steelyard.journal.events import SetDone
from steelyard.training.decide import TELLABLE
from steelyard.training.model import OutlineItem
from steelyard.training.rules import ACSM_RISE, rise_due, two_for_two
from steelyard.units import show_share


def beside_handbooks(
    latest: Sequence[SetDone], before: Sequence[SetDone], item: OutlineItem, next_kg: float, step_kg: float | None
) -> str:
    """The handbooks' rules for raising the load in a sentence or two, where they speak or belief does otherwise.

    latest, before: work sets of the last two days of an exercise, in order; before is empty after the first.
    next_kg: first load of next time. step_kg: the next load above that; None if there is none. [kg]

    Sources: as `rules.rise_due` and `rules.two_for_two`.
    """
    first, last = latest[0], latest[-1]
    change = next_kg / first.felt_kg - 1 if first.felt_kg else 0.0
    due = rise_due(first.reps, item.reps_high)
    twice = bool(before) and two_for_two(
        item.reps_high, (before[-1].felt_kg, before[-1].reps), (last.felt_kg, last.reps)
    )
    said = []
    if due:
        least, most = due
        said.append(
            f"By the handbook {first.reps} reps where {item.reps_high} were wanted call for "
            f"{show_share(least)} to {show_share(most)} more{_same(least <= change <= most)}."
        )
    if twice:
        said.append("Two over in the last set, twice running: the two-for-two rule raises it too.")
    if (due or twice) and change < TELLABLE:
        said.append(_why_not(first, next_kg, step_kg))
    elif not (due or twice) and change >= ACSM_RISE[0]:
        said.append(
            f"The handbook would wait for more than {item.reps_high} reps; reps left and earlier days tell too."
        )
    return " ".join(said)


def _same(agrees: bool) -> str:
    return ", as here" if agrees else ""


def _why_not(first: SetDone, next_kg: float, step_kg: float | None) -> str:
    """Why the load stays although a handbook would raise it."""
    if step_kg is not None and step_kg > 1.05 * max(next_kg, 0.001):
        step = show_share(step_kg / next_kg - 1)
        return f"The smallest step up is {step}, too big for now: gain reps at this load first."
    if first.rir == 0:
        return "Nothing was left in that set, so more load would fall below the range."
    return "One good set can be a good day; the days before say to wait."
