"""What can be typed after `steelyard machine`."""

from __future__ import annotations

import argparse
from pathlib import Path

from steelyard.cli.calibrate import add_calibrate
from steelyard.cli.describing import add_take
from steelyard.cli.draw import add_draw
from steelyard.cli.joints import add_joints
from steelyard.cli.limits import add_limits
from steelyard.cli.motion import add_motion
from steelyard.cli.recount import add_recount

Actions = argparse._SubParsersAction


def add_machine(commands: Actions[argparse.ArgumentParser]) -> None:
    """The command and its actions; without one it shows all stations."""
    machine = commands.add_parser("machine", help="what the machine puts in the hands: show, check and more")
    actions = machine.add_subparsers(dest="action", metavar="ACTION", title="actions")
    machine.set_defaults(station=None, lifter=None, one_arm=False)
    _add_show(actions)
    check = actions.add_parser("check", help="check a machine file")
    check.add_argument("file", type=Path, metavar="FILE")
    actions.add_parser("exercises", help="the ids of all exercises, for the machine file")
    add_draw(actions)
    add_limits(actions)
    add_joints(actions)
    add_motion(actions)
    add_recount(actions)
    add_calibrate(actions)
    add_take(actions)


def _add_show(actions: Actions[argparse.ArgumentParser]) -> None:
    show = actions.add_parser("show", help="every station and its loads, or one in full")
    show.add_argument("station", nargs="?", help="one station in full, with its resistance over the range")
    add_who(show)


def add_who(parser: argparse.ArgumentParser) -> None:
    """Whose body, and how many arms."""
    parser.add_argument("--lifter", metavar="ID", help="include the stations that need a body mass")
    parser.add_argument("--one-arm", action="store_true", help="as felt by one arm")
