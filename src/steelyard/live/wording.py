"""Prepared and done sets in words, as the page says them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import groupby

from steelyard.journal.events import SetDone
from steelyard.training.decide import left_words
from steelyard.training.model import Exercise, PreparedSet, Role, Side
from steelyard.units import Unit, show_mass


def exercise_names(exercises: Mapping[str, Exercise]) -> dict[str, str]:
    """What exercises are called, by id."""
    return {id_: exercise.name for id_, exercise in exercises.items()}


_ENDINGS = {"failure": "ended in failure", "form": "form broke"}


def reps_wanted(one: PreparedSet) -> str:
    """The rep range in figures: ``8 to 10``, or ``8``."""
    return str(one.reps_low) if one.reps_low == one.reps_high else f"{one.reps_low} to {one.reps_high}"


def effort_wanted(one: PreparedSet) -> str:
    """Where to stop."""
    if one.role is Role.WARM_UP:
        return "easy, to get warm"
    if one.role is Role.TEST:
        return f"light: stop with {one.rir} or more left"
    if one.role in (Role.DROP, Role.REST_PAUSE):
        return "as many as stay clean"
    return "all you have in good form" if one.rir == 0 else f"stop with {one.rir} left"


def place_in_exercise(one: PreparedSet) -> str:
    """Which set of its exercise this is: ``warm-up 1 of 3``, ``set 2 of 3``."""
    if one.role is Role.TEST:
        return f"test set {one.number}"
    named = {Role.WARM_UP: "warm-up", Role.WORK: "set", Role.DROP: "drop", Role.REST_PAUSE: "go-again"}[one.role]
    return f"{named} {one.number} of {one.of}"


def side_wanted(one: PreparedSet) -> str:
    """Which arm or leg, for one-sided work; else empty."""
    return "" if one.side is Side.BOTH else f"{one.side} side"


def done_words(done: SetDone, unit: Unit) -> str:
    """A set done: ``10 reps at 66.8 kg``, with the side where there is one."""
    side = "" if done.side == Side.BOTH else f", {done.side} side"
    return f"{done.reps} {'rep' if done.reps == 1 else 'reps'} at {show_mass(done.felt_kg, unit)}{side}"


def effort_words(done: SetDone) -> str:
    """How a set ended, if it was said; else empty."""
    if done.ended in _ENDINGS:
        return _ENDINGS[done.ended]
    if done.rir is None:
        return ""
    return f"{left_words(done.rir)} left"


def listed(words: Sequence[str]) -> str:
    """A list as it is said.

    >>> listed(["8", "8", "7"])
    '8, 8 and 7'
    """
    return " and ".join(part for part in (", ".join(words[:-1]), *words[-1:]) if part)


def keys_for(one: PreparedSet) -> tuple[int, ...]:
    """The nine rep counts on the pad, with the range wanted in the middle; of a wide range, with its low end.

    A set that falls short is more usual than one that runs far over, so the pad reaches further down than up.
    """
    first = max(1, min((one.reps_low + one.reps_high) // 2 - 4, one.reps_low - 2))
    return tuple(range(first, first + 9))


def summary(sets: Sequence[SetDone], names: dict[str, str], unit: Unit) -> tuple[str, ...]:
    """What was done, a sentence for each exercise in the order of doing; warm-ups are left out."""
    worked = [done for done in sets if done.role != Role.WARM_UP]
    said = []
    for exercise in dict.fromkeys(done.exercise for done in worked):
        mine = [done for done in worked if done.exercise == exercise]
        said.append(f"{names.get(exercise, exercise)}: {_reps_by_load(mine, unit)}.")
    return tuple(said)


def _reps_by_load(sets: Sequence[SetDone], unit: Unit) -> str:
    """``10, 9 and 8 at 66.8 kg; left side 12 and 12, right side 12 at 44.0 kg``: as it was done, but that
    where sides alternate all of one load is said together.
    """
    loads = [show_mass(done.felt_kg, unit) for done in sets]
    worked = list(zip(loads, sets, strict=True))
    if any(done.side != Side.BOTH for done in sets):
        worked.sort(key=lambda each: loads.index(each[0]))
    groups = groupby(worked, key=lambda each: each[0])
    return "; ".join(f"{_reps_by_side([done for _, done in group])} at {felt}" for felt, group in groups)


def _reps_by_side(sets: Sequence[SetDone]) -> str:
    said = []
    for side in dict.fromkeys(done.side for done in sets):
        where = "" if side == Side.BOTH else f"{side} side "
        said.append(where + listed([str(done.reps) for done in sets if done.side == side]))
    return ", ".join(said)
