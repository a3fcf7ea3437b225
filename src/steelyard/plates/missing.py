"""The house without plates that are lent, lost or under somebody else's bar today."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from steelyard.errors import OutOfRange, UnknownName
from steelyard.plates.model import Inventory, Plate
from steelyard.units import parse_mass

ACCEPTED = "a plate, or a plate, * and how many of it, such as 5 kg*1"


def without(inventory: Inventory, names: Iterable[str]) -> Inventory:
    """The inventory without these plates. Their kinds stay, with none of them, so that they can still be named.

    names: each a plate, for all of its kind, or a plate, ``*`` and how many; spaces and capitals do not matter.

    Raises: UnknownName for a plate that is not here; OutOfRange for a count that is none, or more than there are.

    >>> five = Plate("5 kg", parse_mass("5 kg"), 0.02)
    >>> list(without(Inventory({five: 4}), ["5 kg*1"]).counts.values())
    [3]
    """
    left = dict(inventory.counts)
    for name in names:
        plate, count = read_missing(inventory, name)
        if count is not None and count > left[plate]:
            raise OutOfRange(
                f"missing plates named {plate.name}", f"{name}", f"{left[plate]} or fewer, all there are"
            )
        left[plate] -= left[plate] if count is None else count
    return replace(inventory, counts=left)


def read_missing(inventory: Inventory, text: str) -> tuple[Plate, int | None]:
    """Which plate a text names, and how many of it are missing; None for all. Raises: UnknownName, OutOfRange."""
    known = {named(plate.name): plate for plate in inventory.counts}
    if named(text) in known:
        return known[named(text)], None
    name, star, count = text.rpartition("*")
    name = name if star else text
    if named(name) not in known:
        raise UnknownName("plate", name.strip(), (plate.name for plate in inventory.counts))
    if not count.strip().isdecimal() or int(count) == 0:
        raise OutOfRange("missing plates", f"'{text}'", ACCEPTED)
    return known[named(name)], int(count)


def named(name: str) -> str:
    """A name as it is compared: a mass as it is usually written, anything else without regard to capitals.

    >>> named("5kg"), named(" 5.0 KG "), named("45 LB old")
    ('5 kg', '5 kg', '45 lb old')
    """
    try:
        return str(parse_mass(name)) if name.strip()[-1:].isalpha() else name.strip().casefold()
    except OutOfRange:
        return name.strip().casefold()
