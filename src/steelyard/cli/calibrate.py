"""`steelyard machine calibrate`: the safe protocol in conversation, or readings from a script."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from steelyard.cli.opening import home_folder, open_steelyard
from steelyard.errors import OutOfRange

if TYPE_CHECKING:
    from steelyard.service import Steelyard
    from steelyard.units import Unit

DESCRIPTION = """\
Without options it walks you through the protocol: cautions first, then reading by reading. Each reading is saved
at once, so you can stop at any time and go on later.

A reading is one line, its parts in any order and unit; what is left out is taken from the reading asked for:
  row 10 deg up tip=20 kg 31.2 kg      station, arm angle, way, plates on one post, what the scale shows
  up 12.4 kg                           height 92 cm down 24 lb
  travel 30 cm up 190 N                check 20 kg 20.1 kg"""

NO_READING = "No reading yet; take them with: steelyard machine calibrate"


def add_calibrate(actions: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """The action and its options."""
    calibrate = actions.add_parser(
        "calibrate",
        help="find out with a hanging scale what the machine really puts in the hands",
        description=DESCRIPTION,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    calibrate.add_argument("station", nargs="?", help="whose handle is read (default: where you left off)")
    calibrate.add_argument("--read", action="append", default=[], metavar="READING", help="record this reading")
    calibrate.add_argument("--readings", type=Path, metavar="FILE", help="record one reading a line; - for input")
    calibrate.add_argument("--fit", action="store_true", help="print what the readings say")
    calibrate.add_argument("--keep", action="store_true", help="believe from now on what the readings say")
    calibrate.add_argument("--forget", metavar="ID", help="undo a reading")
    calibrate.add_argument("--scale-range", metavar="MASS", help='the most your scale shows, such as "150 kg"')
    calibrate.add_argument("--unit", choices=["kg", "lb"], default="kg", help="unit for display (default: kg)")


def run_calibrate(args: argparse.Namespace) -> None:
    """Do what the options say; without any, walk through the protocol."""
    from steelyard.cli.calibration_walk import Walk  # noqa: PLC0415
    from steelyard.units import Unit, parse_mass  # noqa: PLC0415
    from steelyard.workshop.turns import station_to_calibrate  # noqa: PLC0415

    steelyard = open_steelyard(home_folder(args))
    unit = Unit(args.unit)
    scale_range_kg = parse_mass(args.scale_range, unit).kg if args.scale_range else None
    if scale_range_kg == 0:
        raise OutOfRange("--scale-range", f"'{args.scale_range}'", 'the most your scale shows, such as "150 kg"')
    if args.read or args.readings or args.fit or args.keep or args.forget:
        _script(steelyard, args, unit, scale_range_kg)
    else:
        station = station_to_calibrate(steelyard, args.station)
        Walk(steelyard, station, unit, scale_range_kg).go()


def _script(steelyard: Steelyard, args: argparse.Namespace, unit: Unit, scale_range_kg: float | None) -> None:
    """Undo, record, report and keep, in this order."""
    from steelyard.cli.calibration_text import report_lines, saved_words  # noqa: PLC0415
    from steelyard.workshop import calibrating, fitting  # noqa: PLC0415
    from steelyard.workshop.taking import Asked  # noqa: PLC0415
    from steelyard.workshop.wording import reading_words  # noqa: PLC0415

    asked = Asked(station=args.station)
    if args.forget is not None:
        print(f"Undone: {reading_words(calibrating.forget(steelyard, args.forget).read)}")
    if args.readings is not None:
        lines, source = _lines_of(args.readings)
        count, new = calibrating.bring(steelyard, lines, source, asked, scale_range_kg=scale_range_kg)
        print(f"{count} readings read, {new} of them new.")
    for line in args.read:
        event = calibrating.take(steelyard, line, asked, unit=unit, scale_range_kg=scale_range_kg)
        print(saved_words(steelyard, event, scale_range_kg))
    if args.fit:
        report = fitting.report_of(steelyard)
        print("\n".join(report_lines(report, unit)) if report else NO_READING)
    if args.keep:
        event = fitting.keep(steelyard)
        print(f"Kept: from now on loads are reckoned with this calibration ({event[:8]}).")


def _lines_of(file: Path) -> tuple[list[str], str]:
    from steelyard.home import read_text  # noqa: PLC0415

    if str(file) == "-":
        return sys.stdin.read().split("\n"), "standard input"
    return read_text(file).split("\n"), file.name
