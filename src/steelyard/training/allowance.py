"""What a lifter may be given today: less for a novice, and less after a break, each with its reason."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from steelyard.journal.fold import LifterState, LoggedSet, local_day
from steelyard.training.rules import BREAKDOWN, after_break, techniques_allowed
from steelyard.units import show_share

DAYS_PER_MONTH = 30.44
FIRST_WEEK_DAYS = 7.0
FIRST_MONTH_DAYS = 28.0
"""A returning lifter gets lighter loads for a week, and no techniques past failure for four (a choice)."""


@dataclass(frozen=True, slots=True)
class Allowance:
    """techniques: drop sets and rest-pause may be given; load, sets: shares of the usual; notes: why."""

    techniques: bool = True
    load: float = 1.0
    sets: float = 1.0
    notes: tuple[str, ...] = ()

    def rirs(self, planned: tuple[int, ...]) -> tuple[int, ...]:
        """The efforts of the work sets that remain of those planned: at least one, the easier first ones."""
        return planned[: max(1, round(self.sets * len(planned)))]


def allowance(lifter: LifterState, past: Sequence[LoggedSet], now: datetime) -> Allowance:
    """What the lifter's training age and latest break allow.

    past: all the lifter's sets, in order of time.
    """
    months = lifter.training_months + (now - lifter.joined_at).days / DAYS_PER_MONTH
    off = days_off(past, now, within=FIRST_WEEK_DAYS)
    load, sets = after_break(off)
    techniques = techniques_allowed(months, days_off(past, now, within=FIRST_MONTH_DAYS))
    notes = []
    if load < 1:
        notes.append(
            f"{off:.0f} days without training: {show_share(load)} of the load and fewer sets in the first week."
        )
    if not techniques:
        notes.append(
            f"Drop sets and rest-pause are left out while you are new or returning to training. {BREAKDOWN}"
        )
    return Allowance(techniques, load, sets, tuple(notes))


def days_off(past: Sequence[LoggedSet], now: datetime, *, within: float) -> float:
    """The longest break that ended today or within the last days; 0 before the first set. [days]

    past: in order of time.
    """
    longest, later, latest = timedelta(), now, now - timedelta(days=within)
    for logged in reversed(past):
        if later <= latest:
            break
        longest = max(longest, later - logged.at)
        later = logged.at
    return longest.total_seconds() / 86400


def is_first_day(past: Sequence[LoggedSet], now: datetime) -> bool:
    """Whether nothing was done before today."""
    return not past or local_day(past[0].at, now) == now.date()
