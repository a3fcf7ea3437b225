"""A session weighed as a whole: another order of it, several lifters in turn, plates that are missing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from steelyard.errors import OutOfRange, UnknownName
from steelyard.service import Steelyard
from steelyard.training.cutting import cut_to
from steelyard.training.model import PreparedSession
from steelyard.training.order import Offer, offers
from steelyard.training.prepare import prepare_task
from steelyard.training.together import MOST_LIFTERS, RunSheet, run_sheet


def other_orders(steelyard: Steelyard, lifter: str, outline: str) -> tuple[Offer, ...]:
    """Orders of a session's exercises that save plate work within the rules. Raises: as `Steelyard.prepare`."""
    return offers(steelyard.task(lifter, outline), steelyard.on_horns())


def prepared_without(
    steelyard: Steelyard, lifter: str, outline: str, missing: Sequence[str], *, order: tuple[int, ...] = ()
) -> PreparedSession:
    """The session with plates missing today, as `plates.missing.without` reads them: the nearest that can be done.

    Raises: as `Steelyard.prepare`; UnknownName for a plate that is not here, OutOfRange for a wrong count.
    """
    if not missing:
        return steelyard.prepare(lifter, outline, order=order)
    task = steelyard.task(lifter, outline, order=order)
    gym = task.gym.without(tuple(missing))
    session = prepare_task(replace(task, gym=gym), steelyard.on_horns())
    return replace(session, notes=(f"Without {', '.join(missing)}.", *session.notes))


def prepared_in(steelyard: Steelyard, lifter: str, outline: str, minutes: int) -> PreparedSession:
    """An outline prepared to end in so many minutes, with what was left out for that among its notes.

    Raises: as `Steelyard.prepare`; OutOfRange for less than a minute.
    """
    if minutes < 1:
        raise OutOfRange("minutes left", minutes, "at least 1")
    cut = cut_to(steelyard.task(lifter, outline), steelyard.on_horns(), 60.0 * minutes)
    over_min = cut.session.lasts_s / 60.0 - minutes
    late = (f"Even so it takes {over_min:.0f} min longer.",) if over_min >= 1 else ()
    return replace(cut.session, notes=(*cut.left_out, *late, *cut.session.notes))


def in_turn(steelyard: Steelyard, lifters: Sequence[str], outline: str | None) -> RunSheet:
    """Several lifters in turn, each at the outline named, or each at the one whose turn it is.

    Raises: as `Steelyard.prepare`; OutOfRange unless there are two to four different lifters.
    """
    tasks = [steelyard.task(lifter, outline or steelyard.turn_of(lifter)) for lifter in company(lifters)]
    return run_sheet(tasks, steelyard.on_horns())


def company(lifters: Sequence[str]) -> Sequence[str]:
    """The lifters, if they can share a machine. Raises: OutOfRange unless they are two to four different ones.

    >>> company(["ida", "bo"])
    ['ida', 'bo']
    """
    if not 2 <= len(set(lifters)) == len(lifters) <= MOST_LIFTERS:
        raise OutOfRange(
            "the company in turn", ", ".join(lifters) or "nobody", f"2 to {MOST_LIFTERS} different lifters"
        )
    return lifters


def asked_order(steelyard: Steelyard, outline: str, text: str | None) -> tuple[int, ...]:
    """The order typed for an outline; none if none was. Raises: UnknownName; OutOfRange."""
    if text is None:
        return ()
    if outline not in steelyard.home.outlines:
        raise UnknownName("outline", outline, steelyard.home.outlines)
    return order_named(text, len(steelyard.home.outlines[outline].items))


def order_named(text: str, exercises: int) -> tuple[int, ...]:
    """An order as it is typed: places of the exercises, from 1, such as ``2,1,3``.

    Raises: OutOfRange unless every place is named once.

    >>> order_named("2,1,3", 3)
    (2, 1, 3)
    """
    named = [word.strip() for word in text.split(",")]
    listed = [str(place) for place in range(1, exercises + 1)]
    if sorted(named) != sorted(listed):
        raise OutOfRange(
            "order", f"'{text}'", f"every place from 1 to {exercises} once, such as {','.join(listed)}"
        )
    return tuple(map(int, named))
