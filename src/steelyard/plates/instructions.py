"""What hangs on the horns and what hands do there, in words short enough to be called out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby

from steelyard.machine.model import Horn
from steelyard.plates.model import Loading, Move, Plate
from steelyard.units import Unit, plain


def instructions(moves: Sequence[Move], unit: Unit, *, named: bool = False) -> str:
    """What comes off and goes on, in order; empty if nothing does.

    unit:  the lifter's: plates of that unit are called by their number, others by their name.
    named: name the horn even where all moves are on one; several are always named.

    >>> from steelyard.units import parse_mass
    >>> five, ten = (Plate(name, parse_mass(name), 0.02) for name in ("5 kg", "10 kg"))
    >>> instructions([Move(False, five, "tip", 2), Move(True, ten, "tip", 2)], Unit.KG)
    'outermost 5 off, 10 on, both sides'
    >>> instructions([Move(False, ten, "pin", 1), Move(True, ten, "tip", 2), Move(True, five, "tip", 2)], Unit.KG)
    'pin: outermost 10 off; tip: 10, then 5 on, both sides'
    """
    several = len({move.horn for move in moves}) > 1
    alike = several and all(move.sides > 1 for move in moves)
    said = [
        f"{f'{horn}: ' if named or several else ''}{_at_horn(tuple(group), unit, alike=alike)}"
        for horn, group in groupby(moves, key=lambda move: move.horn)
    ]
    return "; ".join([*said, "all on both sides"] if alike else said)


def stack_words(loading: Loading, horns: Mapping[str, Horn]) -> str:
    """What hangs on the horns, innermost first; the horn is named where the station has several.

    >>> stack_words({}, {})
    'no plates'
    """
    parts = []
    for name, stack in loading.items():
        if stack:
            side = " each side" if horns[name].sides == 2 else ""
            place = f"{name}: " if len(horns) > 1 else ""
            parts.append(f"{place}{' + '.join(plate.name for plate in stack)}{side}")
    return "; ".join(parts) or "no plates"


def _at_horn(moves: Sequence[Move], unit: Unit, *, alike: bool) -> str:
    """What is done at one horn before hands go on to another; alike: its sides are told for all horns at once."""
    said = []
    for on, group in groupby(moves, key=lambda move: move.on):
        plates = ", then ".join(_counted([move.plate for move in group], unit))
        said.append(f"{plates} on" if on else f"outermost {plates} off")
    pause = "; " if len(said) > 1 and any(", then " in words for words in said) else ", "
    return pause.join([*said, "both sides"] if moves[0].sides > 1 and not alike else said)


def _counted(plates: Sequence[Plate], unit: Unit) -> Iterator[str]:
    """Plates in order, neighbours of one kind together."""
    for plate, run in groupby(plates):
        count = sum(1 for _ in run)
        yield called(plate, unit) if count == 1 else f"{count} × {called(plate, unit)}"


def called(plate: Plate, unit: Unit) -> str:
    """What a lifter calls a plate.

    >>> from steelyard.units import parse_mass
    >>> old = Plate("45 lb old", parse_mass("45 lb"), 0.04)
    >>> five = Plate("5 kg", parse_mass("5 kg"), 0.02)
    >>> called(five, Unit.KG), called(five, Unit.LB), called(old, Unit.LB)
    ('5', '5 kg', '45 lb old')
    """
    own_name = plate.name != str(plate.nominal)
    return plate.name if own_name or plate.nominal.unit is not unit else plain(plate.nominal.amount)
