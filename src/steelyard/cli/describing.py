"""`steelyard machine take`: another machine file in place of the one in use, once it was looked at."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from steelyard.cli.opening import home_folder

if TYPE_CHECKING:
    from steelyard.machine.model import Machine

Actions = argparse._SubParsersAction


def add_take(actions: Actions[argparse.ArgumentParser]) -> None:
    """The action and what it takes."""
    take = actions.add_parser("take", help="look at another machine file and, with --yes, use it from now on")
    take.add_argument("file", type=Path, metavar="FILE")
    take.add_argument("--yes", action="store_true", help="replace machine.toml; the former one is kept beside it")


def run_take(args: argparse.Namespace) -> None:
    """Show what the file comes to and what it would change; with --yes, take it.

    Raises: DamagedFile.
    """
    from steelyard.home import known_exercises, read_text  # noqa: PLC0415  --help must not wait for it
    from steelyard.workshop.describing import CAUTIONS, checked, present_machine, take  # noqa: PLC0415

    folder, text = home_folder(args), read_text(args.file)
    machine = checked(text, args.file.name, known_exercises(folder))
    print("\n".join(machine_lines(machine)))
    print("\n".join(change_lines(folder, present_machine(folder), machine)))
    print("\n".join(f"caution: {caution}" for caution in CAUTIONS))
    if not args.yes:
        print(f"Nothing was changed. To use it: steelyard machine take {args.file} --yes")
        return
    kept = take(folder, text, datetime.now().astimezone())
    former = f" The former file is kept as {kept.former.name}." if kept.former else ""
    print(f"{machine.name} is in use in {folder}.{former}")
    print("A page that is being served goes on with the former one until it is started again.")


def machine_lines(machine: Machine) -> Iterator[str]:
    """Every station with its felt loads, then every rated limit."""
    from steelyard.workshop.describing import felt_words, limits, station_felts  # noqa: PLC0415

    yield machine.name
    yield from (
        f"  {felt.station.title} ({felt.station.name}): {felt_words(felt)}" for felt in station_felts(machine)
    )
    yield from (f"  limit, {name}: {limit}" for name, limit in limits(machine).items())


def change_lines(folder: Path, present: Machine | None, machine: Machine) -> Iterator[str]:
    """What differs from the machine in use, and which outlines would miss a station."""
    from steelyard.home import known_outlines  # noqa: PLC0415
    from steelyard.workshop.describing import differences, outlines_left_out  # noqa: PLC0415

    if present is None:
        yield f"There is no machine in {folder} that it could be compared with."
    elif changes := differences(present, machine):
        yield "Against the machine in use:"
        yield from (f"  {change}" for change in changes)
    else:
        yield "It comes to the same as the machine in use."
    yield from (f"warning: {line}" for line in outlines_left_out(present, machine, known_outlines(folder)))
