"""A session that goes otherwise, on a terminal: another exercise, a busy or broken station, less time, pain."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from steelyard.cli.opening import home_folder, one_lifter, open_steelyard
from steelyard.cli.refusing import whole
from steelyard.cli.together import next_lines
from steelyard.errors import OutOfRange

if TYPE_CHECKING:
    from steelyard.cli.listening import Serve
    from steelyard.journal.events import Body
    from steelyard.service import Steelyard
    from steelyard.training.model import PreparedSet


def add_changing(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """The command that changes what is left of a session."""
    change = commands.add_parser("change", help="the session goes otherwise: say how, and what is left follows")
    change.add_argument("lifter", nargs="?", metavar="ID")
    ways = change.add_mutually_exclusive_group(required=True)
    ways.add_argument(
        "--swap",
        nargs="?",
        const="",
        metavar="EXERCISE",
        help="another exercise instead of this one; without a name, which ones there are",
    )
    ways.add_argument("--busy", action="store_true", help="somebody is at the station: do this exercise later")
    ways.add_argument("--broken", action="store_true", help="the station is out of order")
    ways.add_argument("--missing", action="append", metavar="PLATE", help='plates missing, such as "5 kg*1"')
    ways.add_argument("--heavier", action="store_true", help="the next load up for the set to come")
    ways.add_argument("--lighter", action="store_true", help="the next load down")
    ways.add_argument("--pain", action="store_true", help="it hurts: end this exercise")
    ways.add_argument("--stop-sign", action="store_true", help="a sign to stop at once: no more today")
    ways.add_argument("--enough", action="store_true", help="no more of this exercise today")
    ways.add_argument(
        "--minutes", type=whole, metavar="N", help="so many minutes are left: leave out what must go"
    )
    ways.add_argument("--undo", action="store_true", help="take the latest change back")


def run_changing(args: argparse.Namespace, _: Serve) -> None:
    """Record one change of mind, and say what is next."""
    from steelyard.workshop.turns_live import joined_view  # noqa: PLC0415

    steelyard = open_steelyard(home_folder(args))
    who = one_lifter(steelyard, args.lifter)
    session = steelyard.open_session(who)
    if session is None:
        raise OutOfRange(f"the session of {who}", "not begun", "open; begin it with: steelyard log")
    if args.swap == "":
        print("\n".join(_swap_lines(steelyard, session, _current(steelyard, session))))
        return
    before = set(steelyard.session(session).prepared.notes)
    print(_undone(steelyard, session) if args.undo else _recorded(steelyard, session, args))
    sheet, views = joined_view(steelyard, session)
    for note in views[session].prepared.notes:
        if note not in before:
            print(f"  {note}")
    for line in next_lines(steelyard.gym, sheet, views):
        print(line)


def _current(steelyard: Steelyard, session: str) -> PreparedSet:
    current = steelyard.session(session).current
    if current is None:
        raise OutOfRange("the session", "done to its end", "one with sets left; take something back with --undo")
    return current


def _swap_lines(steelyard: Steelyard, session: str, now: PreparedSet) -> list[str]:
    """What could be done instead."""
    from steelyard.workshop.changing import swaps_for  # noqa: PLC0415

    found = swaps_for(steelyard, session, _place(now))
    name = steelyard.gym.exercises[now.exercise].name
    if not found:
        return [f"Nothing of the same kind as {name} has an open station."]
    return [f"Instead of {name}, most alike first:", *(f"  {each.id}: {each.name}" for each in found)]


def _place(one: PreparedSet) -> int:
    return int(one.slot.partition(".")[0])


def _recorded(steelyard: Steelyard, session: str, args: argparse.Namespace) -> str:
    """Record what was said; returns it in words."""
    if args.minutes is not None:
        from steelyard.workshop.changing import in_minutes  # noqa: PLC0415

        steelyard.record(in_minutes(steelyard, session, args.minutes))
        return f"Saved: {args.minutes} min are left."
    if args.missing:
        from steelyard.workshop.changing import missing_too  # noqa: PLC0415

        steelyard.record(missing_too(steelyard, session, args.missing))
        return f"Saved: {', '.join(args.missing)} missing for this session."
    now = _current(steelyard, session)
    body, words = _of_the_set(steelyard, session, now, args)
    steelyard.record(body)
    return f"Saved: {words}."


def _of_the_set(
    steelyard: Steelyard, session: str, now: PreparedSet, args: argparse.Namespace
) -> tuple[Body, str]:
    """The change of the set or the exercise to come, and what it is called."""
    from steelyard.journal.events import ExerciseEnded, StationClosed  # noqa: PLC0415
    from steelyard.workshop.changing import swap  # noqa: PLC0415

    exercises, name = steelyard.gym.exercises, steelyard.gym.exercises[now.exercise].name
    if args.swap:
        body = swap(steelyard, session, _place(now), args.swap)
        return body, f"{exercises[args.swap].name} instead of {name}"
    if args.broken:
        title = steelyard.gym.machine.stations[now.station].title
        return StationClosed(session, now.station), f"{title} is out of order for this session"
    why = "pain" if args.pain else "sign" if args.stop_sign else "enough" if args.enough else ""
    if why:
        over = "all training" if why == "sign" else name
        return ExerciseEnded(session, _place(now), why), f"{over} is over for today"
    return _later(steelyard, session, now, name) if args.busy else _load(steelyard, session, now, args.heavier)


def _later(steelyard: Steelyard, session: str, now: PreparedSet, name: str) -> tuple[Body, str]:
    from steelyard.workshop.changing import put_off  # noqa: PLC0415

    task = steelyard.session_task(session)
    body = put_off(steelyard, session, _place(now), steelyard.session(session).prepared.sets)
    if body is None:
        raise OutOfRange(
            f"what comes after {name}", "nothing at another station", "something: wait, or change it with --swap"
        )
    after = task.gym.exercises[task.outline_today.items[body.after - 1].exercise].name
    return body, f"{name} comes after {after}"


def _load(steelyard: Steelyard, session: str, now: PreparedSet, up: bool) -> tuple[Body, str]:
    from steelyard.units import Unit, show_mass  # noqa: PLC0415
    from steelyard.workshop.changing import heavier, lighter  # noqa: PLC0415

    unit = Unit(steelyard.session_lifter(session).unit)
    body = (heavier if up else lighter)(steelyard, session, now)
    if body is None:
        asked = "heavier" if up else "lighter"
        accepted = (
            f"one that can be made {asked}: change the exercise with --swap, or log what you do with --plates"
        )
        raise OutOfRange("the load of this set", f"{now.role} at {show_mass(now.felt_kg, unit)}", accepted)
    return body, f"{show_mass(body.load_kg, unit)} rather than {show_mass(now.felt_kg, unit)}"


def _undone(steelyard: Steelyard, session: str) -> str:
    from steelyard.workshop.changing import last_change  # noqa: PLC0415

    latest = last_change(steelyard, session)
    if latest is None:
        raise OutOfRange(
            "what was changed in this session", "nothing, or taken back already", "one change or more"
        )
    steelyard.delete(latest.id)
    return "Saved: the latest change is taken back."
