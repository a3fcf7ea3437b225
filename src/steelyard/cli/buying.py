"""`steelyard buy`: which plates make finer steps, and which add range."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from typing import TYPE_CHECKING

from steelyard.cli.opening import home_folder, open_steelyard, unit_of

if TYPE_CHECKING:
    from steelyard.workshop.buying import Shopping


def add_buying(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """What can be typed."""
    buy = commands.add_parser("buy", help="which pair of plates makes finer steps, and which adds range")
    buy.add_argument("--lifter", metavar="ID", help="whose stations and loads matter; all of them without one")
    buy.add_argument("--station", metavar="STATION", action="append", default=[], help="only this; again for more")
    buy.add_argument("--cast-in", choices=["kg", "lb"], help="only plates of this unit")


def run_buying(args: argparse.Namespace, _: object) -> None:
    """Print the advice."""
    from steelyard.units import Unit  # noqa: PLC0415
    from steelyard.workshop.buying import shopping  # noqa: PLC0415

    steelyard = open_steelyard(home_folder(args))
    units = (Unit(args.cast_in),) if args.cast_in else tuple(Unit)
    shown = unit_of(steelyard, args.lifter)
    found = shopping(steelyard, lifter=args.lifter, stations=args.station, units=units, shown=shown)
    print("\n".join(shopping_lines(found)))


def shopping_lines(found: Shopping) -> Iterator[str]:
    """The advice, best first."""
    yield f"Looked at: {', '.join(found.stations)}."
    for told in (found.finer, found.further):
        yield ""
        yield told.answer
        yield from (f"  next best: {other}" for other in told.next_best)
    if found.moved:
        yield ""
        yield from found.moved
