"""`steelyard machine draw, curves, compare`: pictures of the machine as SVG files, and what they say in words."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from steelyard.cli.opening import home_folder, loading_of, open_steelyard, unit_of
from steelyard.errors import OutOfRange

if TYPE_CHECKING:
    from steelyard.machine.model import Machine
    from steelyard.service import Steelyard
    from steelyard.training.gym import StationLoads
    from steelyard.units import Unit

Actions = argparse._SubParsersAction


def add_draw(actions: Actions[argparse.ArgumentParser]) -> None:
    """The three actions and what they take."""
    draw = actions.add_parser("draw", help="the machine, or one station through its range, from the side")
    draw.add_argument("station", nargs="?", metavar="STATION")
    _add_plates(draw)
    _add_unit(draw)
    add_picture(draw, required=True)
    curves = actions.add_parser("curves", help="handle force over the travel, of one station or of all")
    curves.add_argument("station", nargs="?", metavar="STATION")
    _add_plates(curves)
    _add_felt(curves)
    _add_unit(curves)
    add_picture(curves, required=True)
    compare = actions.add_parser("compare", help="two stations at the same felt load: where each is hardest")
    compare.add_argument("station", metavar="STATION")
    compare.add_argument("other", metavar="OTHER")
    compare.add_argument("--machine", type=Path, metavar="FILE", help="the machine file that OTHER is in")
    _add_felt(compare)
    _add_unit(compare)
    add_picture(compare, required=False)


def _add_plates(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--plates", action="append", default=[], metavar="HORN=PLATE,...", help="innermost first, one side's post"
    )


def _add_felt(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--felt", metavar="MASS", help='near which felt load, such as "40 kg" (the usual one)')
    parser.add_argument("--lifter", metavar="ID", help="whose unit, and whose body mass where it is the load")
    parser.add_argument("--one-arm", action="store_true", help="as felt by one arm")


def _add_unit(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--unit", choices=["kg", "lb"], help="unit of the figures")


def add_picture(parser: argparse.ArgumentParser, *, required: bool) -> None:
    """Where to write a picture, and whether over another; see `check_picture`."""
    parser.add_argument("--to", type=Path, required=required, metavar="FILE.svg", help="the picture to write")
    parser.add_argument("--over", action="store_true", help="replace the file if it is there")


def run_draw(args: argparse.Namespace) -> None:
    """Write a side view."""
    from steelyard.drawing.side_view import draw_side_view  # noqa: PLC0415  --help must not wait for it

    check_picture(args)
    steelyard = open_steelyard(home_folder(args))
    gym = steelyard.gym
    station = gym.machine.station(args.station) if args.station else None
    names = loading_of(args.plates)
    loading = gym.loading(names)
    if station is not None and station.arm is not None:
        loading = gym.allowed(gym.loads(station), names)
    write_picture(args, draw_side_view(gym.machine, station=station, loading=loading, unit=_unit(args, steelyard)))


def run_curves(args: argparse.Namespace) -> None:
    """Write the curve of one station, or of all of them on common scales."""
    from steelyard.drawing.curves import draw_curves  # noqa: PLC0415
    from steelyard.drawing.force_curve import curve_of, told_curve  # noqa: PLC0415
    from steelyard.workshop.pictures import band_of, curves_near, rung_near  # noqa: PLC0415

    check_picture(args)
    if args.plates and (args.station is None or args.felt is not None):
        raise OutOfRange("--plates", "given without one station, or beside --felt", "given with a station alone")
    steelyard = open_steelyard(home_folder(args))
    machine, unit = steelyard.gym.machine, _unit(args, steelyard)
    views = _views(steelyard, args, args.station)
    if args.station:
        (loads,) = views
        names = loading_of(args.plates)
        loading = steelyard.gym.allowed(loads, names) if names else rung_near(loads, _felt_kg(args, unit)).loading
        band = band_of(steelyard, loads, loading, one_arm=args.one_arm)
        curves = [curve_of(machine, loads.law, loading, one_arm=args.one_arm, band_n=band)]
    else:
        curves = list(curves_near(machine, views, _felt_kg(args, unit), one_arm=args.one_arm))
    title = f"Resistance at {curves[0].title}" if args.station else f"Resistance of {machine.name}"
    write_picture(args, draw_curves(curves, unit=unit, title=title))
    for curve in curves:
        print(told_curve(curve, unit))


def run_compare(args: argparse.Namespace) -> None:
    """Say where each of two stations is hardest, and draw it if a file is named."""
    from steelyard.drawing.curves import draw_comparison  # noqa: PLC0415
    from steelyard.drawing.force_curve import told_comparison  # noqa: PLC0415
    from steelyard.workshop.pictures import compared  # noqa: PLC0415

    check_picture(args)
    steelyard = open_steelyard(home_folder(args))
    unit = _unit(args, steelyard)
    (first,) = _views(steelyard, args, args.station)
    pair = compared(
        (steelyard.gym.machine, first), _other(steelyard, args), _felt_kg(args, unit), one_arm=args.one_arm
    )
    if args.to is not None:
        write_picture(args, draw_comparison(*pair, unit=unit))
    print(told_comparison(*pair, unit))


def _other(steelyard: Steelyard, args: argparse.Namespace) -> tuple[Machine, StationLoads]:
    """The other station with its machine: of this home, or of the file named."""
    if args.machine is None:
        return steelyard.gym.machine, _views(steelyard, args, args.other)[0]
    from steelyard.home import read_text  # noqa: PLC0415
    from steelyard.machine.file import read_machine  # noqa: PLC0415
    from steelyard.workshop.pictures import beside  # noqa: PLC0415

    gym = beside(read_machine(read_text(args.machine), args.machine.name), steelyard.gym.inventory)
    body_mass_kg = steelyard.lifter(args.lifter).body_mass_kg if args.lifter else None
    station = gym.machine.station(args.other)
    return gym.machine, gym.loads(station, one_arm=args.one_arm, body_mass_kg=body_mass_kg)


def _views(steelyard: Steelyard, args: argparse.Namespace, only: str | None) -> tuple[StationLoads, ...]:
    return steelyard.stations(args.lifter, one_arm=args.one_arm, only=only)


def _unit(args: argparse.Namespace, steelyard: Steelyard) -> Unit:
    """The unit asked for, else the lifter's."""
    from steelyard.units import Unit  # noqa: PLC0415

    return Unit(args.unit) if args.unit else unit_of(steelyard, args.lifter)


def _felt_kg(args: argparse.Namespace, unit: Unit) -> float:
    """The felt load asked for, else the usual one. [kg]"""
    from steelyard.units import parse_mass  # noqa: PLC0415
    from steelyard.workshop.pictures import USUAL_FELT_KG  # noqa: PLC0415

    return parse_mass(args.felt, unit).kg if args.felt else USUAL_FELT_KG


def check_picture(args: argparse.Namespace) -> None:
    """Refuse a place for the picture before any work is done. Raises: OutOfRange."""
    if args.to is None:
        return
    if args.to.suffix.lower() != ".svg":
        raise OutOfRange("--to", f"'{args.to}'", "a file whose name ends in .svg")
    if args.to.exists() and not args.over:
        raise OutOfRange("--to", f"{args.to}, which is there already", "a new file; to replace it add --over")


def write_picture(args: argparse.Namespace, svg: str) -> None:
    """Keep a picture in the file asked for. Raises: OutOfRange if it can't be written."""
    from steelyard.drawing.svg import alone  # noqa: PLC0415

    try:
        args.to.write_text(alone(svg), encoding="utf-8")
    except OSError as problem:
        raise OutOfRange("--to", f"{args.to} ({problem.strerror})", "a file that can be written") from problem
