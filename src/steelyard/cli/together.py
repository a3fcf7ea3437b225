"""Several lifters in turn on a terminal: begin together, and whose set is next."""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from steelyard.cli.opening import home_folder, open_steelyard

if TYPE_CHECKING:
    from steelyard.cli.listening import Serve
    from steelyard.recording import SessionView
    from steelyard.training.gym import Gym
    from steelyard.training.together import RunSheet


def add_together(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """The command that begins sessions of several lifters in turn."""
    together = commands.add_parser("together", help="begin sessions of several lifters, in turn on one machine")
    together.add_argument("lifters", nargs="+", metavar="ID", help="two to four lifters; the first named begins")
    together.add_argument(
        "--outline", metavar="NAME", help="which outline; without it, of each the one that is next"
    )


def run_together(args: argparse.Namespace, _: Serve) -> None:
    """Begin together, or go on, and say whose set is next."""
    from steelyard.workshop.turns_live import joined_view, start_together  # noqa: PLC0415

    steelyard = open_steelyard(home_folder(args))
    sessions = start_together(steelyard, args.lifters, args.outline)
    names = [steelyard.lifter(lifter).name for lifter in args.lifters]
    print(f"{', '.join(names[:-1])} and {names[-1]} are in turn. Log each set with: steelyard log ID --reps N")
    print("\n".join(next_lines(steelyard.gym, *joined_view(steelyard, sessions[0]))))


def next_lines(gym: Gym, sheet: RunSheet, views: Mapping[str, SessionView]) -> Iterator[str]:
    """The set to do now, of a session or of those in turn with it; nothing if all are done."""
    from steelyard.cli.text import set_lines  # noqa: PLC0415
    from steelyard.units import Unit  # noqa: PLC0415

    for turn in sheet.turns[:1]:
        lifter = views[turn.session].lifter
        whose = f"{lifter.name}, " if len(views) > 1 else ""
        yield f"Next, {whose}{gym.exercises[turn.one.exercise].name}:"
        yield from set_lines(turn.one, gym, Unit(lifter.unit))
