"""A set of a session being recorded: as it was prepared, or with other plates, help with the last reps, form that
broke.

A page that stands at the machine makes the same event from what its screen offers; see `live.card`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from steelyard.errors import OutOfRange
from steelyard.journal.events import SetDone
from steelyard.plates.loading import felt_kg
from steelyard.recording import SessionView, left_to_do, planned_set
from steelyard.service import Steelyard
from steelyard.workshop.turns_live import session_in_turn


@dataclass(frozen=True, slots=True)
class Otherwise:
    """What was different from what was prepared; nothing, unless it is said.

    loading: plate names by horn on one post of each side, innermost first; None if the plates were as advised.
    form_broke: the set was ended because form broke, not strength.
    helped:  how many of the reps, the last ones, were helped or cut short.
    """

    loading: Mapping[str, tuple[str, ...]] | None = None
    form_broke: bool = False
    helped: int = 0


AS_PREPARED = Otherwise()


def log_set(
    steelyard: Steelyard,
    session: str,
    slot: str,
    reps: int,
    *,
    how: Otherwise = AS_PREPARED,
    rir: int | None = None,
    failed: bool = False,
    at: datetime | None = None,
) -> str:
    """Record a set of the prepared session; returns the id of the event, which is on disk.

    Its plates are those chosen for all who train in turn with this session. at: when it ended, if not now.

    Raises: UnknownName if there is no such slot; OutOfRange if it was done already, for impossible reps, for more
    helped reps than reps, and for a set that ended in two ways; UnknownName or LimitExceeded for other plates.
    """
    view = session_in_turn(steelyard, session)
    when = at or view.now
    done = planned_set(view, slot, reps, rir=rir, failed=failed, at=when)
    return steelyard.record(_changed(steelyard, view, done, how), None, when)


def _changed(steelyard: Steelyard, view: SessionView, done: SetDone, how: Otherwise) -> SetDone:
    if not 0 <= how.helped <= done.reps:
        raise OutOfRange("helped reps", how.helped, f"from 0 to the {done.reps} reps done")
    if how.form_broke and done.ended != "unsaid":
        raise OutOfRange("how the set ended", f"form and {done.ended}", "one of them: leave the other out")
    if how.form_broke:
        done = replace(done, ended="form", rir=None)
    if how.loading is not None:
        done = replace(done, loading=dict(how.loading), felt_kg=_felt_kg(steelyard, view, done, how.loading))
    return replace(done, helped=how.helped)


def _felt_kg(
    steelyard: Steelyard, view: SessionView, done: SetDone, names: Mapping[str, tuple[str, ...]]
) -> float:
    """What these plates are felt as at the station of a set. [kg]"""
    gym = steelyard.gym
    station = gym.machine.stations[left_to_do(view, done.slot).station]
    one_arm = gym.exercises[done.exercise].one_arm
    loads = gym.loads(station, one_arm=one_arm, body_mass_kg=view.lifter.body_mass_kg)
    return felt_kg(loads.law, gym.allowed(loads, names))
