"""The plates of a whole session, chosen at once for all that its sets ask."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from steelyard.plates.changeover import Change, Plan, changeover, within_work
from steelyard.plates.house import after_set
from steelyard.plates.model import Loading
from steelyard.plates.wishes import BEYOND_S_PER_G, Way
from steelyard.training.gym import Gym
from steelyard.training.laying import Asked


@dataclass(frozen=True, slots=True)
class Chosen:
    """The plates of a session: a change for every slot, and what a person should know of the choice.

    handling_s: plate work of the whole session, every side counted. [s]
    gap_s:      how much less another choice could cost at most. [s]
    """

    changes: Mapping[str, Change]
    notes: tuple[str, ...]
    handling_s: float
    gap_s: float


def choose_plates(
    gym: Gym, asked: Sequence[Asked], on_horns: Loading, *, may_go_on: Callable[[int], bool] = within_work
) -> Chosen:
    """The cheapest plates for all these sets. A ramp only adds, unless that costs more than it saves.

    on_horns: what hangs there now; plates that are missing since are taken to be off, with all outside of them.
    may_go_on: as for `changeover`; what a shorter search may have missed is not made a note of.
    """
    on_horns = after_set(on_horns, {}, (), gym.machine.horns, gym.inventory)
    plan = _plan(gym, asked, on_horns, may_go_on, adding=False)
    notes: list[str] = []
    stripped = [one for one, change in zip(asked, plan.changes, strict=True) if one.ramped and takes_off(change)]
    if stripped:
        adding = _plan(gym, asked, on_horns, may_go_on, adding=True)
        if adding.cost_s <= plan.cost_s:
            plan = adding
        else:
            names = dict.fromkeys(one.exercise for one in stripped)
            notes.append(_off_in_a_ramp("; ".join(names), adding.cost_s - plan.cost_s))
    proven_in_part = 0 < plan.gap_s < plan.cost_s
    if proven_in_part and may_go_on is within_work:
        notes.append(f"Plates: at most {plan.gap_s:.0f} s of plate work could still be saved.")
    changes = {one.slot: change for one, change in zip(asked, plan.changes, strict=True)}
    return Chosen(changes, tuple(notes), plan.handling_s, plan.gap_s)


def _plan(
    gym: Gym, asked: Sequence[Asked], on_horns: Loading, may_go_on: Callable[[int], bool], *, adding: bool
) -> Plan:
    wishes = [replace(one.wish, way=Way.ADD) if adding and one.ramped else one.wish for one in asked]
    return changeover(gym.machine, gym.inventory, wishes, on_horns=on_horns, may_go_on=may_go_on)


def takes_off(change: Change) -> bool:
    """Whether a plate comes off the station's own horns."""
    own = {share.horn.name for share in change.wish.law.shares}
    return any(not move.on and move.horn in own for move in change.moves)


def _off_in_a_ramp(exercises: str, dearer_s: float) -> str:
    """Why plates come off in a warm-up, and what it would cost if they did not. [s]"""
    if dearer_s > BEYOND_S_PER_G / 2:
        return f"{exercises}: plates come off in the warm-up; only adding would make no load near what is wanted."
    return (
        f"{exercises}: plates come off in the warm-up; only adding would cost the session {dearer_s:.0f} s more, "
        "in plate work and loads that are off."
    )
