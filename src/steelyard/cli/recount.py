"""`steelyard machine recount`: what each set weighed as believed then, and as believed now."""

from __future__ import annotations

import argparse
import csv
import sys
from typing import TYPE_CHECKING

from steelyard.cli.opening import home_folder, open_steelyard
from steelyard.units import show_share

if TYPE_CHECKING:
    from collections.abc import Iterator

    from steelyard.journal.fold import LoggedSet
    from steelyard.service import Steelyard

COLUMNS = (
    "set",
    "at_utc",
    "lifter",
    "machine",
    "station",
    "exercise",
    "reps",
    "plates",
    "then_felt_kg",
    "now_felt_kg",
    "change_percent",
)


def add_recount(actions: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """The action and its options."""
    recount = actions.add_parser("recount", help="every set: felt load as believed then, and as believed now")
    recount.add_argument("who", nargs="?", metavar="LIFTER", help="only the sets of this lifter")
    recount.add_argument("--csv", action="store_true", help="as comma-separated values, masses in kg")


def run_recount(args: argparse.Namespace) -> None:
    """Print every set, oldest first."""
    steelyard = open_steelyard(home_folder(args))
    everyone = [steelyard.lifter(args.who)] if args.who else list(steelyard.lifters())
    sets = [(logged, one.unit) for one in everyone for logged in steelyard.state.sets_of(one.lifter)]
    sets.sort(key=lambda pair: (pair[0].at, pair[0].id))
    if args.csv:
        writer = csv.writer(sys.stdout, lineterminator="\n")
        writer.writerow(COLUMNS)
        writer.writerows(_row(steelyard, logged) for logged, _ in sets)
        return
    print("\n".join(_heading(steelyard)))
    for logged, unit in sets:
        print(_line(steelyard, logged, unit))


def _heading(steelyard: Steelyard) -> Iterator[str]:
    known = steelyard.believed
    if known.used:
        yield f"{known.gym.machine.name}, as calibrated on {known.used.at:%d %B %Y}"
    else:
        yield f"{known.gym.machine.name}, as described in its file"
    if known.note:
        yield f"note: {known.note}"


def _row(steelyard: Steelyard, logged: LoggedSet) -> list[object]:
    from datetime import UTC  # noqa: PLC0415

    done, known = logged.done, steelyard.believed
    now_kg, change = known.felt_now_kg(done), known.change(done)
    at = logged.at.astimezone(UTC).replace(tzinfo=None).isoformat(" ", "seconds")
    return [
        logged.id,
        at,
        done.lifter,
        done.machine,
        done.station,
        done.exercise,
        done.reps,
        _plates(logged),
        f"{done.felt_kg:.3f}",
        "" if now_kg is None else f"{now_kg:.3f}",
        "" if change is None else f"{100 * change:.2f}",
    ]


def _line(steelyard: Steelyard, logged: LoggedSet, unit: str) -> str:
    from steelyard.units import Unit, show_mass  # noqa: PLC0415

    done, known = logged.done, steelyard.believed
    now_kg, change = known.felt_now_kg(done), known.change(done)
    then = show_mass(done.felt_kg, Unit(unit))
    now = "as then" if now_kg is None else show_mass(now_kg, Unit(unit))
    share = "" if change is None else f" ({show_share(change, places=1, signed=True)})"
    what = f"{done.lifter}, {done.exercise} at {done.station}, {done.reps} reps, {_plates(logged)}"
    return f"{logged.at:%Y-%m-%d %H:%M}  {then} then, {now} now{share}: {what}"


def _plates(logged: LoggedSet) -> str:
    """The plates of a set as one text, horn by horn, innermost first."""
    return "; ".join(f"{horn}={'+'.join(stack)}" for horn, stack in logged.done.loading.items()) or "no plates"
