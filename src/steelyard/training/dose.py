"""How much of an exercise is worth doing: fewer sets where its muscles have worked, none once it gives no more."""

from __future__ import annotations

from collections.abc import Sequence

from steelyard.training.exercises import MUSCLES
from steelyard.training.laying import Item, Laying
from steelyard.training.model import Exercise, Role
from steelyard.training.rules import SESSION_SETS, STOP_AFTER_SETS, STOP_FALL, fractional_sets, sets_left
from steelyard.training.slots import read_slot
from steelyard.units import show_share


def efforts(laying: Laying, of: Item) -> tuple[int, ...]:
    """The efforts of the work sets: fewer after a break, and fewer where the muscles have worked enough today."""
    rirs = of.allowed.rirs(of.item.rir)
    kept = sets_left(of.exercise, len(rirs), laying.worked)
    if kept < len(rirs):
        muscle = max(of.exercise.primary, key=lambda each: laying.worked.get(each, 0.0))
        laying.notes.append(
            f"{of.exercise.name}: {kept} rather than {len(rirs)} sets. {MUSCLES[muscle]}: "
            f"{laying.worked[muscle]:g} sets already; beyond about {SESSION_SETS:g} another day serves better."
        )
    for muscle, share in fractional_sets(of.exercise).items():
        laying.worked[muscle] = laying.worked.get(muscle, 0.0) + share * kept
    return rirs[:kept]


def count_done(laying: Laying, place: int, exercise: Exercise) -> None:
    """Count what was done of an exercise that is over, so that later ones know what their muscles have worked."""
    work = [slot for slot in map(read_slot, laying.done) if slot is not None]
    sets = {slot.whole for slot in work if (slot.place, slot.role) == (place, Role.WORK)}
    for muscle, share in fractional_sets(exercise).items():
        laying.worked[muscle] = laying.worked.get(muscle, 0.0) + share * len(sets)


def is_over(laying: Laying, of: Item, slots: Sequence[str], next_kg: float) -> bool:
    """Whether the exercise has given what it can today, with a note that says so. next_kg: the next load. [kg]

    slots: of the next set. Once the plates are chosen it stays as it was when they were asked for, although the
    loads that they give may tip it: they lead from set to set.
    """
    done = [
        logged.done
        for logged in laying.done.values()
        if (logged.done.exercise, logged.done.role) == (of.exercise.id, Role.WORK)
    ]
    heaviest_kg = max((each.felt_kg for each in done), default=0.0)
    enough = len(done) >= STOP_AFTER_SETS * len(of.sides) and next_kg <= (1 - STOP_FALL) * heaviest_kg
    if laying.changes is not None:
        enough = not any(slot in laying.changes for slot in slots)
    if not enough:
        return False
    fall = max(STOP_FALL, 1 - next_kg / heaviest_kg)
    laying.notes.append(
        f"{of.exercise.name} ends here: the next set would have to be {show_share(fall)} lighter than the "
        "heaviest of today. Log another by itself if you want it."
    )
    return True
