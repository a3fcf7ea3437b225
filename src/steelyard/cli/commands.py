"""What each command does: data to standard output, everything else to standard error."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Sequence
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from steelyard.cli.buying import run_buying
from steelyard.cli.changing import run_changing
from steelyard.cli.listening import Serve, tell, wish_of
from steelyard.cli.machine import run_machine
from steelyard.cli.opening import home_folder, loading_of, one_lifter, open_steelyard
from steelyard.cli.parser import make_parser
from steelyard.cli.plates import run_plates
from steelyard.cli.proving import run_proving
from steelyard.cli.together import next_lines, run_together
from steelyard.errors import OutOfRange, SteelyardError

if TYPE_CHECKING:
    from steelyard.service import Steelyard


def run(arguments: Sequence[str], *, serve_page: Serve) -> int:
    """Run one command line; returns the exit code: 0 done, 1 refused with a message, 2 not understood."""
    parser = make_parser()
    args = parser.parse_args(arguments)
    if args.version:
        from importlib.metadata import version  # noqa: PLC0415  slow to import and rarely asked

        print(f"steelyard {version('steelyard')}")
        return 0
    if args.command is None:
        parser.print_help()
        return 0
    try:
        COMMANDS[args.command](args, serve_page)
    except SteelyardError as problem:
        print(f"steelyard: {problem}", file=sys.stderr)
        return 1
    except BrokenPipeError:  # the reader of a pipe went away, as in `steelyard plates row | head`
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except KeyboardInterrupt:
        return 130
    return 0


def _demo(args: argparse.Namespace, serve_page: Serve) -> None:
    from steelyard.demo import DEMO_FOLDER, ensure_demo  # noqa: PLC0415

    folder = args.home or Path.home() / DEMO_FOLDER
    making = partial(print, f"Making the demo home in {folder}; this takes some seconds.", flush=True)
    made = ensure_demo(folder, datetime.now().astimezone(), afresh=args.afresh, making=making)
    print(f"{'Made' if made else 'Using'} the demo home in {folder}; its people and history are invented.")
    if not args.no_page:
        _serve_folder(folder, args, serve_page)


def _serve(args: argparse.Namespace, serve_page: Serve) -> None:
    _serve_folder(home_folder(args), args, serve_page)


def _serve_folder(folder: Path, args: argparse.Namespace, serve_page: Serve) -> None:
    wish = wish_of(args)
    serve_page(open_steelyard(folder), wish, partial(tell, qr=args.qr))


def _setup(args: argparse.Namespace, _: Serve) -> None:
    from steelyard.home import make_home  # noqa: PLC0415

    folder = home_folder(args)
    make_home(folder, args.machine)
    print(f"Made {folder}. Edit machine.toml and plates.toml to match your gym, then: steelyard lifter add")


def _lifter(args: argparse.Namespace, _: Serve) -> None:
    from steelyard.units import Unit, parse_mass, show_mass  # noqa: PLC0415

    steelyard = open_steelyard(home_folder(args))
    if args.action == "add":
        steelyard.add_lifter(args.lifter, args.name, Unit(args.unit), args.months)
        print(f"{args.name} is on record as {args.lifter}.")
    elif args.action == "weigh":
        unit = Unit(steelyard.lifter(args.lifter).unit)
        weighed = parse_mass(args.mass, unit)
        steelyard.record_body_mass(args.lifter, weighed.kg)
        print(f"{args.lifter} weighs {weighed}.")
    else:
        for lifter in steelyard.lifters():
            mass = show_mass(lifter.body_mass_kg, Unit(lifter.unit)) if lifter.body_mass_kg else "not weighed"
            print(f"{lifter.lifter}: {lifter.name}, {mass}, reads {lifter.unit}")


def _prepare(args: argparse.Namespace, _: Serve) -> None:
    from steelyard.cli.sessions import order_lines, run_in_turn  # noqa: PLC0415
    from steelyard.cli.text import session_lines  # noqa: PLC0415
    from steelyard.units import Unit  # noqa: PLC0415
    from steelyard.workshop.sessions import asked_order, prepared_in, prepared_without  # noqa: PLC0415
    from steelyard.workshop.sureness import sureness  # noqa: PLC0415

    steelyard = open_steelyard(home_folder(args))
    if len(args.lifters) > 1:
        run_in_turn(steelyard, args)
        return
    who = steelyard.lifter(one_lifter(steelyard, args.lifters[0] if args.lifters else None))
    outline = args.outline or steelyard.turn_of(who.lifter)
    order = asked_order(steelyard, outline, args.order)
    if args.minutes is not None:
        if args.without or args.order:
            raise OutOfRange("--minutes", args.minutes, "given without --without and --order")
        session = prepared_in(steelyard, who.lifter, outline, args.minutes)
    else:
        session = prepared_without(steelyard, who.lifter, outline, args.without, order=order)
    print("\n".join(session_lines(session, steelyard.gym, Unit(who.unit), who.name)))
    if args.orders:
        print("\n".join(order_lines(steelyard, who.lifter, outline)))
    if told := sureness(steelyard, session):
        print(f"  {told}")


def _log(args: argparse.Namespace, _: Serve) -> None:
    from steelyard.workshop.turns_live import joined_view, session_in_turn  # noqa: PLC0415

    steelyard = open_steelyard(home_folder(args))
    who = one_lifter(steelyard, args.lifter)
    if args.exercise is not None:
        loading = loading_of(args.plates)
        steelyard.log_loose(
            who, args.exercise, loading, args.reps, rir=args.left, failed=args.failed, station=args.station
        )
        print(f"Saved: {args.reps} reps of {args.exercise}.")
        return
    if args.station:
        raise OutOfRange("--exercise", "not given", "given with --station")
    begun = _session_to_log(steelyard, who, args.outline, args.order)
    current = session_in_turn(steelyard, begun).current
    if current is None:
        raise OutOfRange("the session", "done to its end", "one with sets left; begin the next one with --outline")
    _log_current(steelyard, begun, current.slot, args)
    print(f"Saved: {args.reps} reps of {steelyard.gym.exercises[current.exercise].name}.")
    sheet, views = joined_view(steelyard, begun)
    if views[begun].current is None:
        steelyard.end_session(begun)
        print("That was the last set of the session.")
    for line in next_lines(steelyard.gym, sheet, views):
        print(line)


def _log_current(steelyard: Steelyard, session: str, slot: str, args: argparse.Namespace) -> None:
    """The next set of a session, done as prepared or otherwise."""
    from steelyard.workshop.sets import Otherwise, log_set  # noqa: PLC0415

    how = Otherwise(loading_of(args.plates) if args.plates else None, args.form, args.helped)
    log_set(steelyard, session, slot, args.reps, how=how, rir=args.left, failed=args.failed)


def _session_to_log(steelyard: Steelyard, lifter: str, outline: str | None, order: str | None) -> str:
    """The session of today, or a new one; an outline named ends a session that has no sets left."""
    from steelyard.workshop.sessions import asked_order  # noqa: PLC0415

    begun = steelyard.open_session(lifter)
    if begun is not None and outline is not None and steelyard.session(begun).current is None:
        steelyard.end_session(begun)
        begun = None
    if begun is not None:
        if order is not None:
            raise OutOfRange("--order", f"'{order}'", "given when a session begins; one is open already")
        return begun
    outline = outline or steelyard.next_outline(lifter)
    return steelyard.start_session(lifter, outline, order=asked_order(steelyard, outline, order))


def _review(args: argparse.Namespace, _: Serve) -> None:
    from steelyard.cli.text import review_lines  # noqa: PLC0415
    from steelyard.units import Unit  # noqa: PLC0415

    steelyard = open_steelyard(home_folder(args))
    who = steelyard.lifter(one_lifter(steelyard, args.lifter))
    print("\n".join(review_lines(steelyard.review(who.lifter), Unit(who.unit))))


def _journal(args: argparse.Namespace, _: Serve) -> None:
    from steelyard.home import read_text  # noqa: PLC0415

    steelyard = open_steelyard(home_folder(args))
    if args.action == "export":
        for line in steelyard.export_sets() if args.csv else steelyard.export_events():
            print(line)
        return
    # Lines end at \n alone: str.splitlines would also break them at separators inside a note.
    if str(args.file) == "-":
        read, new = steelyard.import_events(sys.stdin.buffer.read().split(b"\n"), "standard input")
    else:
        read, new = steelyard.import_events(read_text(args.file, most=None).split("\n"), args.file.name)
    print(f"{read} events read, {new} of them new.")


COMMANDS: dict[str, Callable[[argparse.Namespace, Serve], None]] = {
    "demo": _demo,
    "setup": _setup,
    "serve": _serve,
    "lifter": _lifter,
    "machine": run_machine,
    "plates": run_plates,
    "buy": run_buying,
    "prepare": _prepare,
    "together": run_together,
    "log": _log,
    "change": run_changing,
    "review": _review,
    "journal": _journal,
    "proving": run_proving,
}
