"""What `steelyard machine` does, action by action."""

from __future__ import annotations

import argparse
from collections.abc import Callable

from steelyard.cli.calibrate import run_calibrate
from steelyard.cli.describing import run_take
from steelyard.cli.draw import run_compare, run_curves, run_draw
from steelyard.cli.joints import run_joints
from steelyard.cli.limits import run_limits
from steelyard.cli.motion import run_motion
from steelyard.cli.opening import home_folder, open_steelyard, unit_of
from steelyard.cli.recount import run_recount


def run_machine(args: argparse.Namespace, _: object) -> None:
    """Do the action asked for; without one, show all stations."""
    ACTIONS[args.action or "show"](args)


def _show(args: argparse.Namespace) -> None:
    from steelyard.cli.text import resistance_lines, station_lines  # noqa: PLC0415

    steelyard = open_steelyard(home_folder(args))
    unit = unit_of(steelyard, args.lifter)
    views = steelyard.stations(args.lifter, one_arm=args.one_arm, only=args.station)
    machine = steelyard.gym.machine
    print(machine.name)
    if steelyard.believed.used:
        print(f"as calibrated on {steelyard.believed.used.at:%d %B %Y}")
    if steelyard.believed.note:
        print(f"note: {steelyard.believed.note}")
    for loads in views:
        print()
        print("\n".join(station_lines(loads, unit)))
        if args.station:
            print("\n".join(resistance_lines(machine, loads, unit, one_arm=args.one_arm)))


def _check(args: argparse.Namespace) -> None:
    from steelyard.home import read_text  # noqa: PLC0415
    from steelyard.machine.file import read_machine  # noqa: PLC0415

    machine = read_machine(read_text(args.file), args.file.name)
    print(f"{args.file.name} is sound: {machine.name}, {len(machine.stations)} stations.")


def _exercises(args: argparse.Namespace) -> None:
    for exercise in open_steelyard(home_folder(args)).gym.exercises.values():
        print(f"{exercise.id}: {exercise.name}")


ACTIONS: dict[str, Callable[[argparse.Namespace], None]] = {
    "show": _show,
    "check": _check,
    "exercises": _exercises,
    "draw": run_draw,
    "curves": run_curves,
    "compare": run_compare,
    "limits": run_limits,
    "joints": run_joints,
    "motion": run_motion,
    "recount": run_recount,
    "calibrate": run_calibrate,
    "take": run_take,
}
