"""Finding a first load without a guess that could hurt: light test sets that climb.

Each test set is a few easy reps; the lifter says how many more there would have been. "Five or more" means the
load was light, and the next one is heavier by a step that even then leaves reps to spare. As soon as fewer than
five are left, the set tells enough, and work sets follow from it.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from steelyard.journal.events import SetDone
from steelyard.journal.fold import LoggedSet, local_day
from steelyard.plates.model import Rung
from steelyard.strength.curve import REPS_SCALE
from steelyard.training.gym import StationLoads
from steelyard.training.model import Exercise, Role
from steelyard.training.rules import LIGHT_RIR

TRIAL_REPS = 8
TRIAL_RIR = 4
TRIAL_STEP = 1.3
"""Eight reps with five or more left mean at least 13 could be done, so by Epley's equation a load 1.3 times as
heavy can still be moved at least ((1 + 13/30) / 1.3 - 1) * 30 = 3 times."""
SPARED_REPS = 3
"""Whatever the reps done, the next test load can still be moved so many times."""
TRIAL_REST_S = 60.0
MOST_TRIALS = 10
SURE = 0.95
"""A first test load by other exercises leaves four reps after eight with this chance (a choice)."""
FIRST_SHARE = 0.20
FIRST_SHARE_SMALL = 0.07
"""First test load as a share of body mass; the small one for single-joint work of the upper body.

Far under what nearly everyone can lift once: the pulldown maximum of college women is 0.55 ± 0.11 of body mass
(Johnson 2009, doi 10.1519/JSC.0b013e3181a2d7f5), so two standard deviations below are 0.33; curls run at about
0.43 of pulldowns (college women, doi 10.1080/02701367.1994.10607605), so 0.14."""

FIRST_WITHIN = 0.10
"""A first test set may be lighter than could be tried by this share: it is far from failure anyway (a choice)."""

OLDEST_DAYS = 60.0
"""Without a set of an exercise for so long, it begins with a light test set again (a choice). [days]"""

LEG_MUSCLES = frozenset({"glutes", "quads", "hamstrings", "calves"})


@dataclass(frozen=True, slots=True)
class TrialSet:
    """The next test set of a lifter at a station.

    rung: the heaviest load to try. least_kg: the lightest that tells as much. [kg]
    climbs: it follows a lighter one, so that plates should only be added.
    """

    number: int
    rung: Rung
    reason: str
    least_kg: float
    climbs: bool = False


def next_trial(
    past: Sequence[LoggedSet],
    loads: StationLoads,
    exercise: Exercise,
    body_mass_kg: float | None,
    *,
    now: datetime,
    sure_kg: float | None = None,
) -> TrialSet | None:
    """The next light test set; None once a set has told enough, the ladder has ended, or ten today told nothing.

    past: the lifter's recent sets of this exercise at this station, in order of time.
    sure_kg: a load that is light by what other exercises tell; None if none tells anything. [kg]
    """
    trials = [logged for logged in past if logged.done.role == Role.TEST]
    today = sum(1 for logged in trials if local_day(logged.at, now) == now.date())
    if known_here(past) or today >= MOST_TRIALS:
        return None
    if not trials:
        start_kg = first_share(exercise) * (body_mass_kg or 0.0)
        told = sure_kg is not None and sure_kg > start_kg
        light_kg = max(start_kg, sure_kg or 0.0)
        rung = loads.ladder[loads.at_most(light_kg)]
        if rung.felt_kg > light_kg:
            return _about(today + 1, rung, _NO_LIGHTER)
        return _about(today + 1, rung, _TOLD if told else _UNKNOWN)
    return _after(trials[-1].done, today + 1, loads)


_TOLD = "Light by what your other exercises tell: a few easy reps, to see."
_UNKNOWN = "Nothing is known of you here yet: a few light, easy reps, to see."
_NO_LIGHTER = (
    "Nothing is known of you here yet, and it can be no lighter, which may be heavy for you: only the reps that "
    "are easy, be they few, and stop early."
)


def _about(number: int, rung: Rung, reason: str) -> TrialSet:
    """A light test set with about this load."""
    return TrialSet(number, rung, reason, (1 - FIRST_WITHIN) * rung.felt_kg)


def _after(last: SetDone, number: int, loads: StationLoads) -> TrialSet | None:
    index = loads.at_most(last.felt_kg + 0.001)
    if last.reps == 0:
        rung = loads.ladder[loads.at_most(last.felt_kg / TRIAL_STEP)]
        return _about(number, rung, "That did not move. A step lighter, or the lightest there is.")
    if last.rir is None:
        same = loads.ladder[index]
        return TrialSet(number, same, "The same again; then say how many more you could have done.", same.felt_kg)
    higher = max(index + 1, loads.at_most(trial_step(last.reps) * last.felt_kg))
    if higher >= len(loads.ladder):
        return None
    reason = "That was light. A step heavier; stop while four or more are left."
    rung = loads.ladder[higher]
    return TrialSet(number, rung, reason, (last.felt_kg + rung.felt_kg) / 2, climbs=True)


def trial_step(reps: int) -> float:
    """By how much the load may rise after so many reps with five or more left.

    >>> trial_step(8), round(trial_step(1), 2)
    (1.3, 1.09)
    """
    return min(TRIAL_STEP, (REPS_SCALE + reps + LIGHT_RIR) / (REPS_SCALE + SPARED_REPS))


def first_share(exercise: Exercise) -> float:
    """First test load of an exercise as a share of body mass."""
    large = exercise.compound or not LEG_MUSCLES.isdisjoint(exercise.primary)
    return FIRST_SHARE if large else FIRST_SHARE_SMALL


def recent(sets: Sequence[LoggedSet], now: datetime) -> tuple[LoggedSet, ...]:
    """The sets that still say something of today; older ones are as good as none. sets: in order of time."""
    return tuple(sets[bisect_left(sets, now - timedelta(days=OLDEST_DAYS), key=lambda logged: logged.at) :])


def known_here(sets: Sequence[LoggedSet]) -> bool:
    """Whether some set says how strong the lifter is here."""
    return any(tells_enough(logged.done) for logged in sets)


def tells_enough(done: SetDone) -> bool:
    """Whether a set says how strong the lifter is: failed, or stopped with fewer than five left."""
    return done.role != Role.WARM_UP and done.reps > 0 and done.rir is not None and done.rir < LIGHT_RIR
