"""What can be typed."""

from __future__ import annotations

import argparse
from pathlib import Path

from steelyard.cli.buying import add_buying
from steelyard.cli.changing import add_changing
from steelyard.cli.listening import add_listening
from steelyard.cli.machine_parser import add_machine
from steelyard.cli.plates import add_plates
from steelyard.cli.proving import add_proving
from steelyard.cli.refusing import Parser, whole
from steelyard.cli.together import add_together

DESCRIPTION = """\
Prepare, do and log sessions on a plate-loaded lever gym: what the hands feel, which plates, how heavy next."""

EPILOG = """\
A home folder holds machine.toml, plates.toml, outlines/ and the journal. It is the one given with --home, else
$STEELYARD_HOME, else the current folder if it has a machine.toml, else steelyard in your own folder.

General information, not medical advice; the maker's manual and rated limits come first."""


def make_parser() -> argparse.ArgumentParser:
    """The parser of the whole command line; `args.command` names the command."""
    parser: argparse.ArgumentParser = Parser(
        prog="steelyard",
        description=DESCRIPTION,
        epilog=EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    parser.add_argument("--home", type=Path, metavar="FOLDER", help="the home folder")
    parser.add_argument("--version", action="store_true", help="print the version")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", title="commands")
    _add_starting(commands)
    _add_looking(commands)
    _add_training(commands)
    _add_journal(commands)
    add_proving(commands)
    return parser


def _add_starting(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    demo = commands.add_parser("demo", help="a boathouse gym with six weeks of invented history, and its page")
    demo.add_argument("--afresh", action="store_true", help="throw an earlier demo away and begin again")
    demo.add_argument("--no-page", action="store_true", help="only make the demo home, don't serve the page")
    add_listening(demo)
    setup = commands.add_parser("setup", help="make a home folder from an example machine, to edit")
    setup.add_argument(
        "--machine", default="boathouse", metavar="NAME", help="example machine (default: boathouse)"
    )
    serve = commands.add_parser("serve", help="serve the page for phones and tablets")
    add_listening(serve)
    lifter = commands.add_parser("lifter", help="who trains here: add, weigh, list")
    actions = lifter.add_subparsers(dest="action", metavar="ACTION", required=True)
    add = actions.add_parser("add", help="add a lifter, or change one")
    add.add_argument("lifter", metavar="ID", help="a short word, such as tove")
    add.add_argument("--name", required=True)
    add.add_argument("--unit", choices=["kg", "lb"], default="kg", help="unit for display")
    add.add_argument("--months", type=whole, required=True, help="months of regular training so far, such as 14")
    weigh = actions.add_parser("weigh", help="record a body mass")
    weigh.add_argument("lifter", metavar="ID")
    weigh.add_argument("mass", help='such as "72.5 kg"')
    actions.add_parser("list", help="everyone who trains here")


def _add_looking(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    add_machine(commands)
    add_plates(commands)
    add_buying(commands)


def _add_training(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    prepare = commands.add_parser("prepare", help="today's session: loads, plates, warm-up, rests, the clock")
    prepare.add_argument("lifters", nargs="*", metavar="ID", help="who trains; several take turns on the machine")
    prepare.add_argument("--outline", metavar="NAME", help="which outline; without it, the one whose turn it is")
    prepare.add_argument(
        "--without", action="append", default=[], metavar="PLATE", help='plates missing today, such as "5 kg*1"'
    )
    prepare.add_argument("--minutes", type=whole, metavar="N", help="end in so many minutes: what to leave out")
    prepare.add_argument("--orders", action="store_true", help="say whether another order saves plate work")
    prepare.add_argument("--order", metavar="2,1,3", help="the exercises in another order, by their places")
    add_together(commands)
    log = commands.add_parser("log", help="log the next set of the session, or any other set")
    log.add_argument("lifter", nargs="?", metavar="ID")
    log.add_argument("--reps", type=whole, required=True, help="whole reps completed")
    effort = log.add_mutually_exclusive_group()
    effort.add_argument("--left", type=whole, metavar="N", help="how many more there would have been")
    effort.add_argument("--failed", action="store_true", help="the next rep was tried and failed")
    effort.add_argument("--form", action="store_true", help="ended because form broke, not strength")
    log.add_argument(
        "--helped", type=whole, default=0, metavar="N", help="last reps that were helped or cut short"
    )
    log.add_argument("--outline", metavar="NAME", help="begin this outline if no session is open")
    log.add_argument("--order", metavar="2,1,3", help="begin it with the exercises in another order")
    log.add_argument("--exercise", metavar="EXERCISE", help="a set outside the session; its plates with --plates")
    log.add_argument("--station", metavar="STATION", help="where, if the exercise can be done at several")
    log.add_argument(
        "--plates",
        action="append",
        default=[],
        metavar="HORN=PLATE,...",
        help="what was on, if not what was prepared; innermost first, one side's post",
    )
    add_changing(commands)
    review = commands.add_parser("review", help="last sets, next loads, sets per muscle")
    review.add_argument("lifter", nargs="?", metavar="ID")


def _add_journal(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    journal = commands.add_parser("journal", help="take everything out, or bring it in")
    actions = journal.add_subparsers(dest="action", metavar="ACTION", required=True)
    export = actions.add_parser("export", help="every event as NDJSON, or every set as CSV, to standard output")
    export.add_argument("--csv", action="store_true", help="sets only, as CSV")
    bring = actions.add_parser("import", help="events from an NDJSON export; what is already here is not doubled")
    bring.add_argument("file", type=Path, metavar="FILE", help="the file, or - for standard input")
