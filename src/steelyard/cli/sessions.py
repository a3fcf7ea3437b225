"""Sessions weighed as a whole on a terminal: other orders, and several lifters in turn."""

from __future__ import annotations

import argparse
from collections.abc import Iterator

from steelyard.cli.text import clock, hands_words, reps_words, role_words
from steelyard.errors import OutOfRange
from steelyard.plates.instructions import stack_words
from steelyard.service import Steelyard
from steelyard.training.model import Side
from steelyard.training.together import RunSheet, Turn
from steelyard.units import Unit, show_mass
from steelyard.workshop.sessions import in_turn, other_orders


def order_lines(steelyard: Steelyard, lifter: str, outline: str) -> Iterator[str]:
    """Other orders of a session that save plate work, or that there is none."""
    found = other_orders(steelyard, lifter, outline)
    yield ""
    if not found:
        yield "  No other order within the rules of order saves half a minute."
    for offer in found:
        yield f"  Another order: {', '.join(offer.names)}."
        yield (
            f"    Saves {offer.handling_saved_s:.0f} s of plate work and {offer.saved_s:.0f} s of the session. "
            f"Take it with --order {','.join(map(str, offer.places))}"
        )


def run_in_turn(steelyard: Steelyard, args: argparse.Namespace) -> None:
    """Print the run sheet of several lifters in turn."""
    if args.order is not None or args.orders or args.without:
        raise OutOfRange("--order or --without with several lifters", "given", "left out")
    sheet = in_turn(steelyard, args.lifters, args.outline)
    print("\n".join(run_sheet_lines(sheet, steelyard)))


def run_sheet_lines(sheet: RunSheet, steelyard: Steelyard) -> Iterator[str]:
    """A run sheet from top to bottom: at which minute whose set begins, and what to do to the plates before it."""
    people = {session.lifter: steelyard.lifter(session.lifter) for session in sheet.sessions}
    names = " and ".join(who.name for who in people.values())
    yield f"{names} in turn on {sheet.sessions[0].machine}: about {sheet.lasts_s / 60:.0f} minutes"
    yield from (f"  note: {note}" for note in sheet.notes)
    for session in sheet.sessions:
        yield from (f"  note for {people[session.lifter].name}: {note}" for note in session.notes)
    exercise = ""
    for turn in sheet.turns:
        if turn.one.exercise != exercise:
            exercise = turn.one.exercise
            station = steelyard.gym.machine.stations[turn.one.station]
            yield ""
            yield f"{clock(turn.one.starts_s):>6}  {steelyard.gym.exercises[exercise].name}, at {station.title}"
        yield from _turn_lines(turn, people[turn.lifter].name, Unit(people[turn.lifter].unit), steelyard)
    yield ""
    yield from (f"  {caution}" for caution in sheet.sessions[0].cautions)


def _turn_lines(turn: Turn, name: str, unit: Unit, steelyard: Steelyard) -> Iterator[str]:
    one = turn.one
    machine = steelyard.gym.machine
    horns = {horn.name: horn for horn in machine.horns_of(machine.stations[one.station])}
    side = "" if one.side is Side.BOTH else f", {one.side} arm"
    yield (
        f"{clock(one.starts_s):>6}    {name}, {role_words(one)}{side}: {reps_words(one)}, "
        f"{show_mass(one.felt_kg, unit)} felt"
    )
    yield f"          {stack_words(one.loading, horns)} ({hands_words(one, unit, named=len(horns) > 1)})"
