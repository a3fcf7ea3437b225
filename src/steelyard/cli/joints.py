"""`steelyard machine joints`: where in its range a curl or a press is hard, and what a bent-over row asks."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from math import degrees
from typing import TYPE_CHECKING

from steelyard.cli.draw import add_picture, check_picture, write_picture
from steelyard.cli.opening import home_folder, loading_of, open_steelyard, unit_of
from steelyard.errors import OutOfRange
from steelyard.units import show_share

if TYPE_CHECKING:
    from steelyard.machine.body import Body
    from steelyard.machine.joints import JointPoint, JointView
    from steelyard.service import Steelyard
    from steelyard.training.gym import Gym
    from steelyard.units import Unit
    from steelyard.workshop.joints import JointLook

Actions = argparse._SubParsersAction
EVERY = 3
"""Every third point of a view makes a line of the table."""


def add_joints(actions: Actions[argparse.ArgumentParser]) -> None:
    """The action and what it takes."""
    joints = actions.add_parser("joints", help="where in its range a curl or a press is hard, from your stature")
    joints.add_argument("station", metavar="STATION")
    joints.add_argument("--stature", required=True, metavar="LENGTH", help='such as "180 cm" or "5 ft 11 in"')
    joints.add_argument("--body-mass", metavar="MASS", help='such as "80 kg"; the lifter\'s if left out')
    joints.add_argument("--lifter", metavar="ID", help="whose body mass and unit")
    joints.add_argument(
        "--segments",
        choices=["men", "women", "mean"],
        default="mean",
        help="table of forearm and hand (default: mean of both)",
    )
    load = joints.add_mutually_exclusive_group()
    load.add_argument(
        "--plates", action="append", default=[], metavar="HORN=PLATE,...", help="innermost first, one side's post"
    )
    load.add_argument("--felt", metavar="MASS", help="instead, the felt load to come near to")
    joints.add_argument("--with", dest="beside", metavar="STATION", help="another station beside it, felt alike")
    joints.add_argument("--one-arm", action="store_true", help="one arm does it")
    add_picture(joints, required=False)


def run_joints(args: argparse.Namespace) -> None:
    """Print a table over the range, the sentences and the cautions."""
    from steelyard.units import parse_mass  # noqa: PLC0415  --help must not wait for it
    from steelyard.workshop.joints import cautions, look_at, sentences  # noqa: PLC0415

    check_picture(args)
    plates = loading_of(args.plates)
    steelyard = open_steelyard(home_folder(args))
    gym, unit, body = steelyard.gym, unit_of(steelyard, args.lifter), body_of(steelyard, args)
    near_kg = parse_mass(args.felt, unit).kg if args.felt is not None else None
    look = look_at(gym, args.station, body, plates=plates, near_kg=near_kg, one_arm=args.one_arm)
    beside = None
    if args.beside is not None:
        beside = look_at(gym, args.beside, body, near_kg=look.felt_kg, one_arm=args.one_arm)
    if args.to is not None:
        write_picture(args, drawn(look, beside))
    for each in (look, beside):
        if each is not None:
            print("\n".join(look_lines(gym, each, unit)))
            print()
    print("\n".join((*sentences(gym, look, beside), "", *cautions(look))))


def body_of(steelyard: Steelyard, args: argparse.Namespace) -> Body:
    """The body from stature and body mass. Raises: OutOfRange if either is missing or can't be."""
    from steelyard.machine.body import Body, Table  # noqa: PLC0415
    from steelyard.units import Unit, parse_length, parse_mass  # noqa: PLC0415

    lifter = steelyard.lifter(args.lifter) if args.lifter else None
    mass_kg = lifter.body_mass_kg if lifter is not None else None
    if args.body_mass is not None:
        mass_kg = parse_mass(args.body_mass, Unit(lifter.unit) if lifter is not None else Unit.KG).kg
    if mass_kg is None:
        raise OutOfRange(
            "body mass", "not known", 'given: --body-mass "80 kg", or --lifter with one who was weighed'
        )
    return Body(parse_length(args.stature), mass_kg, Table(args.segments))


def drawn(look: JointLook, beside: JointLook | None) -> str:
    """The drawing. Raises: OutOfRange if there is nothing to draw."""
    from steelyard.workshop.joints import drawing  # noqa: PLC0415

    svg = drawing(look, beside)
    if svg is None:
        given = "given for a curl or a press; a row has no curve"
        raise OutOfRange("--to", f"given for {look.station.title}", given)
    return svg


def look_lines(gym: Gym, look: JointLook, unit: Unit) -> Iterator[str]:
    """A station's head line, its table, and what was taken for granted."""
    from steelyard.plates.instructions import stack_words  # noqa: PLC0415
    from steelyard.units import show_mass  # noqa: PLC0415

    horns = {horn.name: horn for horn in gym.machine.horns_of(look.station)}
    yield f"{look.station.title}, {stack_words(look.loading, horns)}, {show_mass(look.felt_kg, unit)} felt"
    if look.view is None:
        return
    first = "flexion" if look.view.points[0].flexion_rad is not None else "travel"
    yield f"  {first:>8}  {'hand force':>10}  {'torque':>9}  {'own weight':>10}  {'can give':>8}  {'how hard':>8}"
    yield from (point_line(look.view, point, unit) for point in look.view.points[::EVERY])
    yield from (f"  {note}" for note in look.view.notes)


def point_line(view: JointView, point: JointPoint, unit: Unit) -> str:
    """One moment of the lift, for one arm."""
    from steelyard.units import felt_kg, show_mass  # noqa: PLC0415

    place = f"{100 * point.travel_m:.0f} cm"
    if point.flexion_rad is not None:
        place = f"{degrees(point.flexion_rad):.0f} deg"
    force, hard = show_mass(felt_kg(point.force_n), unit), view.hardness(point)
    share = "-" if point.capacity is None else show_share(point.capacity)
    how = "-" if hard is None else show_share(hard)
    torques = f"{point.torque_n_m:>5.1f} N m  {point.own_n_m:>6.1f} N m"
    return f"  {place:>8}  {force:>10}  {torques}  {share:>8}  {how:>8}"
