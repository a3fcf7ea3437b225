"""What was left out of a session, in words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from steelyard.training.model import Exercise, Outline, Role
from steelyard.training.slots import read_slot

NAMES = {Role.DROP: "the drop set", Role.REST_PAUSE: "the rest-pause"}
COUNTED = {Role.WORK: "set", Role.WARM_UP: "warm-up", Role.TEST: "test set"}


def left_out_words(slots: Iterable[str], outline: Outline, exercises: Mapping[str, Exercise]) -> tuple[str, ...]:
    """What these slots are, an exercise a sentence; both sides of a set are one.

    >>> from steelyard.training.exercises import exercises
    >>> from steelyard.training.model import OutlineItem
    >>> curls = Outline("curls", "Curls", (OutlineItem("curl_cable", 8, 8, (1, 1), 60.0),))
    >>> left_out_words(["1.work.1.left", "1.work.1.right", "1.drop.1"], curls, exercises())
    ('Cable curl: the drop set and 1 set left out.',)
    """
    read = {(slot.place, slot.role, slot.number) for slot in map(read_slot, slots) if slot is not None}
    found = []
    for place, item in enumerate(outline.items, start=1):
        roles = [role for at, role, _ in sorted(read) if at == place]
        if roles:
            found.append(f"{exercises[item.exercise].name}: {_listed(roles)} left out.")
    return tuple(found)


def _listed(roles: Sequence[str]) -> str:
    """What was left out of one exercise, sets counted.

    >>> _listed(["drop", "work", "work", "warm-up"])
    'the drop set, 2 sets and 1 warm-up'
    """
    said = [name for role, name in NAMES.items() if role in roles]
    for role, name in COUNTED.items():
        count = roles.count(role)
        said += [f"{count} {name}{'s' if count > 1 else ''}"] * bool(count)
    return " and ".join(part for part in (", ".join(said[:-1]), *said[-1:]) if part)
