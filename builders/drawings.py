"""Write the drawings that docs/machine-pictures.md shows: the example machines from the side, their
curves, and a change of plates.

Run from the root of the repository:

    python builders/drawings.py [FOLDER]

The same code gives the same files; a test holds the folder to it.
"""

from __future__ import annotations

import sys
from functools import cache
from pathlib import Path

from steelyard.drawing.change import draw_change
from steelyard.drawing.curves import draw_comparison, draw_curves
from steelyard.drawing.force_curve import curve_of
from steelyard.drawing.side_view import draw_side_view
from steelyard.drawing.stack import horn_change
from steelyard.drawing.svg import alone
from steelyard.machine.examples import example_names, example_text
from steelyard.machine.file import read_machine
from steelyard.plates.example import example_text as plates_text
from steelyard.plates.file import read_inventory
from steelyard.plates.moves import moves
from steelyard.training.gym import Gym, StationLoads
from steelyard.units import Unit
from steelyard.workshop.pictures import USUAL_FELT_KG, beside, compared, curves_near, rung_near

BODY_MASS_KG = 75.0
"""Of the lifter whose body is the load at some stations. Invented."""
SIDES = {
    "boathouse": ("row", "low-pulley"),
    "counterbeam": ("press", "low-row", "pulldown"),
    "twin-arms": ("press-shoulder", "crossover"),
}
CHANGED = {
    "boathouse": ({"tip": ("20 kg", "10 kg", "5 kg")}, {"tip": ("20 kg", "15 kg", "2.5 kg")}),
    "twin-arms": (
        {"outer": ("20 kg", "5 kg"), "inner": ("2.5 kg",)},
        {"outer": ("20 kg", "10 kg"), "inner": ("5 kg", "1.25 kg")},
    ),
}
"""Plates before and after, by machine."""
COMPARED = (("boathouse", "row", "boathouse", "press"), ("boathouse", "press", "twin-arms", "press"))


@cache
def gym(name: str) -> Gym:
    """An example machine with the example plates."""
    inventory = read_inventory(plates_text(), "plates.toml")
    return beside(read_machine(example_text(name), f"{name}.toml"), inventory)


def loads(name: str, station: str) -> StationLoads:
    """A station's loads."""
    known = gym(name)
    return known.loads(known.machine.stations[station], body_mass_kg=BODY_MASS_KG)


def side_views(name: str) -> dict[str, str]:
    """The whole machine, and some of its stations near the usual felt load."""
    machine = gym(name).machine
    unit = Unit.LB if name == "counterbeam" else Unit.KG
    found = {f"side-{name}": draw_side_view(machine, unit=unit)}
    for station in SIDES[name]:
        loading = rung_near(loads(name, station), USUAL_FELT_KG).loading
        view = draw_side_view(machine, station=machine.stations[station], loading=loading, unit=unit)
        found[f"side-{name}-{station}"] = view
    return found


def curves(name: str) -> dict[str, str]:
    """All stations on common scales."""
    known = gym(name)
    views = [loads(name, station) for station in known.machine.stations]
    unit = Unit.LB if name == "counterbeam" else Unit.KG
    found = curves_near(known.machine, views, USUAL_FELT_KG)
    return {f"curves-{name}": draw_curves(found, unit=unit, title=f"Resistance of {known.machine.name}")}


def single() -> dict[str, str]:
    """One curve large: a cable over two wheels, where friction shows."""
    view = loads("boathouse", "high-pulley")
    curve = curve_of(gym("boathouse").machine, view.law, rung_near(view, USUAL_FELT_KG).loading)
    return {"curve-boathouse-high-pulley": draw_curves([curve], title="Resistance at the high pulley")}


def comparisons() -> dict[str, str]:
    """Two stations of one machine, and the same station of two."""
    found = {}
    for first, station, second, other in COMPARED:
        pair = compared(
            (gym(first).machine, loads(first, station)), (gym(second).machine, loads(second, other)), USUAL_FELT_KG
        )
        found[f"beside-{first}-{station}-{second}-{other}"] = draw_comparison(*pair)
    return found


def changes(name: str) -> dict[str, str]:
    """Plates before and after on one machine."""
    known = gym(name)
    before, after = map(known.loading, CHANGED[name])
    hands = moves(before, after, known.machine.horns)
    horns = [
        horn_change(
            f"{horn} horn",
            known.machine.horns[horn].length_m,
            known.machine.horns[horn].sides,
            stack,
            [move for move in hands if move.horn == horn],
        )
        for horn, stack in after.items()
    ]
    return {f"change-{name}": draw_change(horns, hands)}


def pictures() -> dict[str, str]:
    """Every file's text by its name."""
    drawn = single() | comparisons()
    for name in CHANGED:
        drawn |= changes(name)
    for name in example_names():
        drawn |= side_views(name) | curves(name)
    return {f"{name}.svg": alone(svg) for name, svg in drawn.items()}


def main() -> None:
    """Write them all."""
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else Path("docs/pictures")
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in pictures().items():
        (folder / name).write_text(text, encoding="utf-8")
        print(f"{name}: {len(text) / 1000:.0f} kB")


if __name__ == "__main__":
    main()
