"""`steelyard machine limits`: what is rated, and how near plates come to it."""

from __future__ import annotations

import argparse
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from steelyard.cli.opening import home_folder, loading_of, open_steelyard

if TYPE_CHECKING:
    from steelyard.plates.closeness import Closeness
    from steelyard.plates.model import Loading
    from steelyard.training.gym import Gym, StationLoads


def add_limits(actions: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """What can be typed."""
    limits = actions.add_parser("limits", help="what is rated, and how near plates come to it")
    limits.add_argument("station", nargs="?", help="only this station")
    limits.add_argument("--lifter", metavar="ID", help="include the user's rating, and stations that need a body")
    limits.add_argument(
        "--plates", action="append", default=[], metavar="HORN=PLATE,...", help="innermost first, one side's post"
    )


def run_limits(args: argparse.Namespace) -> None:
    """Print every limit of the stations with what is used of it.

    Raises: LimitExceeded if the plates named break a limit.
    """
    from steelyard.plates.closeness import user_closeness  # noqa: PLC0415

    steelyard = open_steelyard(home_folder(args))
    gym = steelyard.gym
    lines: list[str] = []
    loading = gym.loading(loading_of(args.plates))
    body_mass_kg = steelyard.lifter(args.lifter).body_mass_kg if args.lifter else None
    user = user_closeness(gym.machine, body_mass_kg) if body_mass_kg is not None else None
    if user is not None:
        lines.extend(limit_lines([user]))
    for loads in steelyard.stations(args.lifter, only=args.station):
        lines.append(f"{loads.station.name}: {loads.station.title}")
        lines.extend(limit_lines(_at_station(gym, loads, loading, strict=args.station is not None)))
    print("\n".join(lines))


def _at_station(gym: Gym, loads: StationLoads, loading: Loading, *, strict: bool) -> Iterable[Closeness]:
    """The limits of one station; strict: plates on horns that it does not feel are a mistake."""
    from steelyard.plates.closeness import closeness  # noqa: PLC0415
    from steelyard.plates.loading import check_loading  # noqa: PLC0415

    mine = {name: stack for name, stack in loading.items() if strict or name in loads.horns}
    check_loading(gym.machine, loads.law, mine, gym.inventory)
    return closeness(gym.machine, loads.law, mine)


def limit_lines(found: Iterable[Closeness]) -> Iterator[str]:
    """Each limit, what is used of it, what is rated, and the share."""
    for each in found:
        used, rated = each.shown
        yield f"  {each.name}: {used} of {rated}, {each.percent} %"
