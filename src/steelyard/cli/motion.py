"""`steelyard machine motion`: what a loaded station comes to at a tempo."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from typing import TYPE_CHECKING

from steelyard.cli.opening import home_folder, loading_of, open_steelyard, unit_of

if TYPE_CHECKING:
    from steelyard.units import Unit
    from steelyard.workshop.motion import StationMotion

Actions = argparse._SubParsersAction


def add_motion(actions: Actions[argparse.ArgumentParser]) -> None:
    """The action and what it takes."""
    motion = actions.add_parser("motion", help="a station in motion: peak force, work, power, and where it floats")
    motion.add_argument("station", metavar="STATION")
    motion.add_argument(
        "--plates", action="append", default=[], metavar="HORN=PLATE,...", help="innermost first, one side's post"
    )
    motion.add_argument(
        "--tempo",
        default="",
        metavar="L-B-R-T",
        help="seconds lowering, at the bottom, raising, at the top; X raises as fast as possible (2-0-2-0)",
    )
    motion.add_argument("--attachment", metavar="NAME", help="what is clipped on, if not the first one")
    motion.add_argument("--lifter", metavar="ID", help="whose unit")
    motion.add_argument("--one-arm", action="store_true", help="as felt by one arm")


def run_motion(args: argparse.Namespace) -> None:
    """Print the figures of both strokes, and a warning where the load floats."""
    from steelyard.machine.tempo import USUAL_TEMPO, parse_tempo  # noqa: PLC0415
    from steelyard.plates.instructions import stack_words  # noqa: PLC0415  --help must not wait for it
    from steelyard.workshop.motion import station_motion  # noqa: PLC0415

    tempo, plates = parse_tempo(args.tempo or USUAL_TEMPO), loading_of(args.plates)
    steelyard = open_steelyard(home_folder(args))
    unit = unit_of(steelyard, args.lifter)
    moved = station_motion(
        steelyard.gym, args.station, plates, tempo, one_arm=args.one_arm, attachment=args.attachment
    )
    horns = {horn.name: horn for horn in steelyard.gym.machine.horns_of(moved.station)}
    print(f"{moved.station.title}, {stack_words(moved.loading, horns)}, tempo {tempo}")
    print("\n".join(motion_lines(moved, unit)))


def motion_lines(moved: StationMotion, unit: Unit) -> Iterator[str]:
    """Everything below the head line."""
    from steelyard.workshop import motion_words as told  # noqa: PLC0415

    for name, figures in (("raising", moved.raising), ("lowering", moved.lowering)):
        first, *further = told.stroke_lines(name, figures, unit)
        yield f"  {first}"
        yield from (f"    {line}" for line in further)
    for line in (*told.remarks(moved, unit), *told.warnings(moved, unit), told.CAUTION):
        yield f"  {line}"
