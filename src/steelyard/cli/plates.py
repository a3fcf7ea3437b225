"""`steelyard plates`: the rack, what a station makes of it, and how to build a felt load."""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from steelyard.cli.opening import home_folder, open_steelyard, unit_of
from steelyard.errors import OutOfRange

if TYPE_CHECKING:
    from steelyard.machine.model import Horn
    from steelyard.workshop.building import Answer


def add_plates(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """What can be typed."""
    plates = commands.add_parser("plates", help="the plates in the house, and what a station makes of them")
    plates.add_argument("station", nargs="?", help="print the load ladder of this station")
    plates.add_argument("--felt", metavar="MASS", help='how to build this felt load, such as "61 kg"')
    plates.add_argument("--within", metavar="MASS", default="0.5 kg", help="how near is near enough (0.5 kg)")
    add_without(plates)
    plates.add_argument("--lifter", metavar="ID", help="whose body mass, for stations that need one")
    plates.add_argument("--one-arm", action="store_true", help="as felt by one arm")


def add_without(parser: argparse.ArgumentParser) -> None:
    """The plates that are missing today."""
    told = 'plates that are missing, such as "5 kg", or "5 kg*1" for one of them; again for more'
    parser.add_argument("--without", metavar="PLATE", action="append", default=[], help=told)


def run_plates(args: argparse.Namespace, _: object) -> None:
    """Print the rack, the ladder of a station, or how to build a load there.

    Raises: NoLoading if it can't be built; the nearest are printed all the same.
    """
    from steelyard.cli.text import ladder_lines, plate_line  # noqa: PLC0415
    from steelyard.units import parse_mass  # noqa: PLC0415
    from steelyard.workshop.building import build, loads_without  # noqa: PLC0415

    steelyard = open_steelyard(home_folder(args))
    if args.station is None:
        if args.felt is not None:
            told = f"given without a station ({args.felt})"
            raise OutOfRange("--felt", told, "used with one: steelyard plates STATION")
        for plate, count in steelyard.gym.without(tuple(args.without)).inventory.counts.items():
            print(plate_line(plate, count))
        return
    unit = unit_of(steelyard, args.lifter)
    loads = loads_without(steelyard, args.station, args.without, lifter=args.lifter, one_arm=args.one_arm)
    if args.felt is None:
        print("\n".join(ladder_lines(loads.ladder, loads.horns, unit)))
        return
    answer = build(loads.ladder, parse_mass(args.felt, unit).kg, parse_mass(args.within, unit).kg, unit)
    print("\n".join(build_lines(answer, loads.horns)))
    if answer.refusal:
        raise answer.refusal


def build_lines(answer: Answer, horns: Mapping[str, Horn]) -> Iterator[str]:
    """What can be built, and how far off it is."""
    from steelyard.plates.instructions import stack_words  # noqa: PLC0415

    for one in answer.builds:
        off = f"   ({one.off})" if one.off else ""
        yield f"{one.felt:>10}   {stack_words(one.rung.loading, horns)}{off}"
