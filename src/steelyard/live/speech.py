"""What a voice calls out: plate changes, the set to do and any sentence of the page, with numbers as words.

Speech engines read `2.5`, `1 1/4` and `lb` each in their own way, so nothing is left to them but words.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from decimal import Decimal
from itertools import groupby

from steelyard.plates.model import Move, Plate
from steelyard.units import Unit, plain

DIGITS = (
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
)
TEENS = ("thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen")
TENS = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
PARTS = {"25": "a quarter", "5": "a half", "75": "three quarters"}
MASSES = {Unit.KG: ("kilo", "kilos"), Unit.LB: ("pound", "pounds")}

_NUMBER = re.compile(r"(?<![\w.])(\d+(?:\.\d+)?)(?:[ -]?(kg|lbs?)\b)?(\+)?(?: ?(%|s\b|min\b))?(?!\w|\.\d)")
_SPANS = {"%": ("per cent", "per cent"), "s": ("second", "seconds"), "min": ("minute", "minutes")}


def change_said(moves: Sequence[Move], unit: Unit, *, strip: bool = False) -> str:
    """What comes off and goes on, in order, to be heard; empty if nothing does.

    unit:  the lifter's: plates of that unit are called by their number. Where plates of both units are handled,
           every plate is called with its unit.
    strip: the change of a drop set, where the next reps follow at once.

    >>> from steelyard.units import parse_mass
    >>> five, ten, small = (Plate(name, parse_mass(name), 0.02) for name in ("5 kg", "10 kg", "2.5 kg"))
    >>> change_said([Move(False, ten, "tip", 2), Move(True, five, "tip", 2)], Unit.KG)
    'ten off, five on, both sides'
    >>> change_said([Move(False, ten, "pin", 1), Move(True, five, "tip", 2), Move(True, small, "tip", 2)], Unit.KG)
    'pin: ten off. tip: five, then two and a half on, both sides'
    >>> change_said([Move(False, ten, "tip", 2), Move(False, ten, "tip", 2)], Unit.KG, strip=True)
    'strip two tens, both sides: go'
    """
    if not moves:
        return "plates stay: go" if strip else ""
    several = len({move.horn for move in moves}) > 1
    alike = several and all(move.sides > 1 for move in moves)
    units = {move.plate.nominal.unit for move in moves}
    called_in = unit if units == {unit} else None
    said = [
        f"{f'{horn}: ' if several else ''}{_at_horn(tuple(group), called_in, strip=strip, sided=not alike)}"
        for horn, group in groupby(moves, key=lambda move: move.horn)
    ]
    words = ". ".join([*said, "all on both sides"] if alike else said)
    return f"{words}: go" if strip else words


def set_said(name: str, place: str, reps: str, effort: str, *, side: str = "") -> str:
    """A set about to be done, to be heard; all pieces as they are written on its card.

    >>> set_said("Row", "set 2 of 3", "8 to 10", "stop with 2 left")
    'Row, set two of three. Eight to ten reps. Stop with two left.'
    >>> set_said("One-arm row", "go-again 1 of 2", "1", "as many as stay clean", side="left side")
    'One-arm row, left side, go-again one of two. One rep. As many as stay clean.'
    """
    head = ", ".join(part for part in (name, side, place) if part)
    return " ".join(f"{_opened(read_out(part))}." for part in (head, _reps(reps), effort) if part)


def pause_said(rest_s: float) -> str:
    """A rest-pause, to be heard. rest_s: until the next reps. [s]

    >>> pause_said(12)
    'rest twelve seconds, same plates, then go'
    """
    return f"rest {read_out(f'{rest_s:.0f} s')}, same plates, then go"


def read_out(text: str) -> str:
    """A sentence of the page with its figures, masses and spans as words.

    >>> read_out("12 reps at 66.8 kg, 2 left")
    'twelve reps at sixty-six point eight kilos, two left'
    >>> read_out("1.25 kg, 45 lb, 5+, 30 s")
    'one and a quarter kilos, forty-five pounds, five or more, thirty seconds'
    """
    return _NUMBER.sub(_read, text).replace("×", "times")


def number_said(amount: Decimal) -> str:
    """A number of at least 0 as a lifter says it; larger ones than thousands stay figures.

    >>> number_said(Decimal("45")), number_said(Decimal("2.5")), number_said(Decimal("66.8"))
    ('forty-five', 'two and a half', 'sixty-six point eight')
    """
    whole, _, part = plain(amount).partition(".")
    if not part:
        return _whole(int(whole))
    if part in PARTS and whole == "0":
        return PARTS[part]
    if part in PARTS:
        return f"{_whole(int(whole))} and {PARTS[part]}"
    return f"{_whole(int(whole))} point {' '.join(DIGITS[int(digit)] for digit in part)}"


def _whole(number: int) -> str:
    if number < 13:
        return DIGITS[number]
    if number < 20:
        return TEENS[number - 13]
    if number < 100:
        tens, ones = TENS[number // 10 - 2], number % 10
        return f"{tens}-{DIGITS[ones]}" if ones else tens
    if number < 10_000:
        size, name = (1000, "thousand") if number >= 1000 else (100, "hundred")
        rest = number % size
        joined = " and " if rest < 100 else " "
        return f"{_whole(number // size)} {name}{f'{joined}{_whole(rest)}' if rest else ''}"
    return str(number)


def _at_horn(moves: Sequence[Move], unit: Unit | None, *, strip: bool, sided: bool) -> str:
    """What is done at one horn. unit: None where every plate is told with its own; sided: say if on both."""
    said = []
    for on, group in groupby(moves, key=lambda move: move.on):
        plates = ", then ".join(_counted([move.plate for move in group], unit))
        said.append(f"{plates} on" if on else f"strip {plates}" if strip else f"{plates} off")
    return ", ".join([*said, "both sides"] if moves[0].sides > 1 and sided else said)


def _counted(plates: Sequence[Plate], unit: Unit | None) -> Iterator[str]:
    """Plates in order, neighbours of one kind together."""
    for plate, run in groupby(plates):
        yield _several(plate, sum(1 for _ in run), unit)


def _several(plate: Plate, count: int, unit: Unit | None) -> str:
    """So many of one plate: ``two tens``, ``two plates of two and a half``; ``two times`` its name."""
    amount, number = plate.nominal.amount, number_said(plate.nominal.amount)
    if plate.name != str(plate.nominal):
        named = read_out(plate.name)
        return named if count == 1 else f"{_whole(count)} times {named}"
    if unit is None:
        one, many = MASSES[plate.nominal.unit]
        mass = f"{number} {one if amount <= 1 else many}"
        return mass if count == 1 else f"{_whole(count)} plates of {mass}"
    if count == 1:
        return number
    if amount == amount.to_integral_value():
        return f"{_whole(count)} {_plural(number)}"
    return f"{_whole(count)} plates of {number}"


def _plural(number: str) -> str:
    """More than one plate of a whole number: ``tens``, ``sixes``, ``twenties``."""
    if number.endswith("y"):
        return f"{number[:-1]}ies"
    return f"{number}es" if number.endswith("x") else f"{number}s"


def _reps(reps: str) -> str:
    return f"{reps} {'rep' if reps == '1' else 'reps'}"


def _opened(text: str) -> str:
    return text[:1].upper() + text[1:]


def _read(found: re.Match[str]) -> str:
    amount = Decimal(found[1])
    words = [number_said(amount)]
    if found[2]:
        words.append(MASSES[Unit(found[2][:2])][amount > 1])
    if found[3]:
        words.append("or more")
    if found[4]:
        words.append(_SPANS[found[4]][amount > 1])
    return " ".join(words)
