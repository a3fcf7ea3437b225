"""The plates file: TOML that lists the plates in the house, each in its own unit.

The format is described in docs/plates-file.md.
"""

from __future__ import annotations

import math
from decimal import Decimal
from typing import Any

from steelyard.errors import DamagedFile, OutOfRange
from steelyard.machine.written import in_mm
from steelyard.plates.handling import LONGEST_S, Handling, slowest_s, timed
from steelyard.plates.model import Inventory, Plate
from steelyard.tables import Table, read_toml, write_toml
from steelyard.units import Mass, plain

WEIGHED_WITHIN = Decimal("0.15")
"""How far a scale may be from the mass cast in: cheap plates are 10 % off at times, another unit is 55 % off."""
DENSEST_KG_M3 = 11400.0
"""Lead. A plate that is denser has a thickness or a diameter in the wrong unit. [kg/m³]"""
USUAL_DIAMETERS_MM = (
    (0.75, 110.0),
    (1.5, 160.0),
    (3.0, 200.0),
    (6.0, 240.0),
    (12.0, 300.0),
    (17.5, 375.0),
    (23.0, 430.0),
    (math.inf, 450.0),
)
"""Diameter of a solid iron plate by the most mass it is usual for [kg], [mm]. Common practice, from memory."""
USUAL_HOLE_MM = 51.0
"""Hole for a 50 mm sleeve, common practice; 25 mm is the other family. [mm]"""
HEAVIEST_KG = 60.0
"""No plate is heavier. [kg]"""
RATES = ("seconds_a_plate", "seconds_a_kilogram")
TIMED = ("small", "small_s", "large", "large_s")


def read_inventory(text: str, source: str) -> Inventory:
    """The plates that a TOML text lists.

    source: the file's name, for messages.

    Raises: DamagedFile, one line that names the file, the key, the value and what is accepted.

    >>> house = read_inventory('[[plate]]\\nmass = "20 kg"\\nthickness_mm = 30\\npairs = 2', "plates.toml")
    >>> house.counts[house.plate("20 kg")]
    4
    """
    top = read_toml(text, source)
    tables = top.listed_tables("plate")
    handling = top.optional_table("handling")
    top.close()
    counts: dict[Plate, int] = {}
    taken: dict[str, str] = {}
    for table in tables:
        plate, count = read_plate(table)
        first = taken.setdefault(plate.name.casefold(), table.place)
        if first != table.place:
            accepted = (
                f"different from that of {first}: give one of them another name, or add up pairs and singles"
            )
            raise DamagedFile(source, table.path("name"), f"'{plate.name}'", accepted)
        counts[plate] = count
    return Inventory(counts) if handling is None else Inventory(counts, read_handling(handling))


def read_handling(table: Table) -> Handling:
    """How long one plate takes in hand: as seconds a plate and a kilogram, or as timed with two plates."""
    rates = [key for key in RATES if key in table]
    if rates and any(key in table for key in TIMED):
        raise table.wrong(rates[0], f"left out beside {TIMED[0]} and {TIMED[2]}, or these left out")
    read = read_rates if rates or not any(key in table for key in TIMED) else read_timed
    handling = read(table)
    table.close()
    return handling


def read_rates(table: Table) -> Handling:
    """Seconds a plate, and for every kilogram more."""
    plate_s, kg_s = table.number(RATES[0], 0.0, LONGEST_S), table.number(RATES[1], 0.0, LONGEST_S / 25)
    try:
        return Handling(plate_s, kg_s)
    except OutOfRange:
        accepted = (
            f"{(LONGEST_S - plate_s) / 25:.3g} or less: a plate of 25 kg takes {LONGEST_S:g} seconds at most"
        )
        raise table.wrong(RATES[1], accepted) from None


def read_timed(table: Table) -> Handling:
    """A small and a large plate, each with the seconds it took at one side."""
    small, small_s = table.mass("small", 0.1, HEAVIEST_KG), table.number("small_s", 0.1, LONGEST_S)
    large, large_s = table.mass("large", 0.1, HEAVIEST_KG), table.number("large_s", 0.1, LONGEST_S)
    if large.kg <= small.kg:
        raise table.wrong("large", f"heavier than {small}, the small one")
    try:
        return timed(small.kg, small_s, large.kg, large_s)
    except OutOfRange:
        most_s = slowest_s(small.kg, small_s, large.kg)
        accepted = f"from {small_s:g}, as {small} took, to {most_s:.3g}; time both once more"
        raise table.wrong("large_s", accepted) from None


def read_plate(table: Table) -> tuple[Plate, int]:
    """One `[[plate]]`, and how many there are."""
    mass = table.mass("mass", 0.1, HEAVIEST_KG)
    plate = Plate(
        name=table.text("name", str(mass)),
        nominal=mass,
        thickness_m=table.number("thickness_mm", 3.0, 150.0) / 1000.0,
        weighed=read_weighed(table, mass),
        diameter_m=table.number("diameter_mm", 60.0, 600.0, usual_diameter_mm(mass)) / 1000.0,
        hole_m=table.number("hole_mm", 20.0, 60.0, USUAL_HOLE_MM) / 1000.0,
    )
    count = read_count(table)
    table.close()
    least_mm = 1000.0 * mass.kg / (DENSEST_KG_M3 * math.pi / 4.0 * plate.diameter_m**2)
    if plate.thickness_m * 1000.0 < least_mm:
        across = f"{in_mm(plate.diameter_m)} mm across"
        raise table.wrong("thickness_mm", f"{least_mm:.1f} or more for {mass}, {across}; the unit is millimetres")
    return plate, count


def read_weighed(table: Table, nominal: Mass) -> Mass | None:
    """What a scale showed, if the plate was weighed."""
    weighed = table.optional_mass("weighed", 0.05, 70.0)
    if weighed is None:
        return None
    exact, shown = nominal.amount * nominal.unit.in_kg, weighed.amount * weighed.unit.in_kg
    if abs(shown - exact) > WEIGHED_WITHIN * exact:
        low, high = (plain(round(nominal.amount * (1 + side * WEIGHED_WITHIN), 3)) for side in (-1, 1))
        accepted = f"within 15 % of the mass {nominal}, {low} to {high} {nominal.unit}; is its unit right?"
        raise table.wrong("weighed", accepted)
    return weighed


def read_count(table: Table) -> int:
    """How many plates of a kind there are: pairs and singles together."""
    pairs, singles = table.whole("pairs", 0, 50, 0), table.whole("singles", 0, 50, 0)
    if pairs + singles == 0:
        key = "pairs" if "pairs" in table or "singles" not in table else "singles"
        raise table.wrong(
            key, "1 or more, as pairs = 1 or singles = 1; take the plate out of the file if it is gone"
        )
    return 2 * pairs + singles


def usual_diameter_mm(mass: Mass) -> float:
    """The diameter to draw a plate with if nobody measured it. [mm]"""
    return next(diameter for most_kg, diameter in USUAL_DIAMETERS_MM if mass.kg <= most_kg)


def write_inventory(inventory: Inventory) -> str:
    """The inventory as TOML; what was read from a file reads back to the very same inventory.

    >>> from steelyard.plates.example import example_text
    >>> rack = read_inventory(example_text(), "example.toml")
    >>> read_inventory(write_inventory(rack), "again.toml") == rack
    True
    """
    tables = [f"[[plate]]\n{write_toml(plate_table(plate, count))}" for plate, count in inventory.counts.items()]
    if inventory.handling != Handling():
        figures = (inventory.handling.plate_s, inventory.handling.kg_s)
        tables.insert(0, f"[handling]\n{write_toml(dict(zip(RATES, figures, strict=True)))}")
    return "\n".join(tables)


def plate_table(plate: Plate, count: int) -> dict[str, Any]:
    """One `[[plate]]`."""
    return {
        "mass": str(plate.nominal),
        "name": plate.name if plate.name != str(plate.nominal) else None,
        "weighed": str(plate.weighed) if plate.weighed else None,
        "thickness_mm": in_mm(plate.thickness_m),
        "diameter_mm": in_mm(plate.diameter_m),
        "hole_mm": in_mm(plate.hole_m),
        "pairs": count // 2 or None,
        "singles": count % 2 or None,
    }
