"""`steelyard proving ACTION`: try advice on simulated lifters and on records, before a person does."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from steelyard.cli.proving_replay import add_replay, run_replay
from steelyard.cli.proving_rests import add_rests, run_rests
from steelyard.cli.refusing import whole
from steelyard.units import show_share

if TYPE_CHECKING:
    from steelyard.proving.scores import Scores

Actions = argparse._SubParsersAction

SHIPPED = "steelyard.proving.lifters:lifter"


def add_proving(commands: Actions[argparse.ArgumentParser]) -> None:
    """The command and its actions."""
    proving = commands.add_parser("proving", help="try the advice on simulated lifters and on records")
    actions = proving.add_subparsers(dest="action", metavar="ACTION", required=True)
    add_run(actions)
    add_replay(actions)
    add_rests(actions)


def run_proving(args: argparse.Namespace, _: object) -> None:
    """Do what was asked."""
    ACTIONS[args.action](args)


def add_run(actions: Actions[argparse.ArgumentParser]) -> None:
    """The simulated seasons and what they take."""
    run = actions.add_parser("run", help="seasons of simulated lifters under each kind of advice")
    run.add_argument(
        "--lifters",
        default=SHIPPED,
        metavar="MODULE:FACTORY",
        help="who trains; found from the current folder too; docs/proving.md says how (default: the shipped ones)",
    )
    run.add_argument("--number", type=whole, default=100, metavar="N", help="how many lifters (default: 100)")
    run.add_argument("--weeks", type=whole, default=12, metavar="N", help="two sessions each (default: 12)")
    run.add_argument("--sets", type=whole, default=3, metavar="N", help="work sets per exercise (default: 3)")
    run.add_argument("--rest", type=whole, default=120, metavar="SECONDS", help="between sets (default: 120)")
    run.add_argument("--workers", type=whole, metavar="N", help="processes (default: one for each processor)")
    run.add_argument("--json", action="store_true", help="the scores as JSON")


def run_seasons(args: argparse.Namespace) -> None:
    """Print the table and one sentence, or JSON."""
    from steelyard.proving.policies import POLICIES  # noqa: PLC0415  --help must not wait for it
    from steelyard.proving.protocol import find_factory  # noqa: PLC0415
    from steelyard.proving.season import Season, prove  # noqa: PLC0415

    here = str(Path.cwd())
    if here not in sys.path:
        sys.path.append(here)  # people keep their lifters in the folder where they type
    season = Season(weeks=args.weeks, rir=wanted_rir(args.sets), rest_s=float(args.rest))
    workers = args.workers if args.workers is not None else os.cpu_count() or 1
    factory = find_factory(args.lifters)
    found = prove(POLICIES, factory, args.number, season=season, workers=workers)
    if args.json:
        print(scores_json(found))
        return
    reps = f"{season.reps_low} to {season.reps_high} reps"
    print(f"{args.number} lifters of {args.lifters}, {args.weeks} weeks, work sets of {reps}")
    print("\n".join(score_lines(found)))
    print(f"\n{verdict(found)}")


def wanted_rir(sets: int) -> tuple[int, ...]:
    """Reps in reserve wanted: two in the first set, one in all others.

    >>> wanted_rir(3)
    (2, 1, 1)
    """
    return (2, *(1,) * (sets - 1)) if sets > 0 else ()


def score_lines(found: Mapping[str, Scores]) -> Iterator[str]:
    """The table, one line for each kind of advice."""
    width = max(len(name) for name in found)
    heads = ("inside", "below", "failed below", "load left", "gained", "80 % holds", "off by")
    yield f"  {'':{width}}  " + "  ".join(f"{head:>{max(7, len(head))}}" for head in heads)
    for name, scores in found.items():
        cells = (
            show_share(scores.inside, places=1),
            show_share(scores.below, places=1),
            show_share(scores.failed_below, places=1),
            *(
                "-" if share is None else show_share(share, places=1)
                for share in (scores.left, scores.gained, scores.held)
            ),
            "-" if scores.off is None else f"{scores.off:.2f} reps",
        )
        yield f"  {name:{width}}  " + "  ".join(
            f"{cell:>{max(7, len(head))}}" for cell, head in zip(cells, heads, strict=True)
        )


def verdict(found: Mapping[str, Scores]) -> str:
    """Who put most sets inside the range, and how clearly."""
    ranked = sorted(found, key=lambda name: -found[name].inside)
    first, rest = ranked[0], ranked[1:]
    said = (
        f"{first.capitalize()} put {show_share(found[first].inside, places=1)} of its work sets inside the range"
    )
    if not rest:
        return said + "."
    ahead = 100 * (found[first].inside - found[rest[0]].inside)
    error = 100 * (found[first].inside_error ** 2 + found[rest[0]].inside_error ** 2) ** 0.5
    clear = "" if ahead > 2 * error else ", too little to tell them apart with so few lifters"
    return f"{said}, {ahead:.1f} points more than the next best, {rest[0]}{clear}."


def scores_json(found: Mapping[str, Scores]) -> str:
    """The scores by name, as they are."""
    import json  # noqa: PLC0415
    from dataclasses import asdict  # noqa: PLC0415

    return json.dumps({name: asdict(scores) for name, scores in found.items()}, indent=2)


ACTIONS: dict[str, Callable[[argparse.Namespace], None]] = {
    "run": run_seasons,
    "replay": run_replay,
    "rests": run_rests,
}
"""By action; one that is added has its parser in `add_proving` and its work here."""
