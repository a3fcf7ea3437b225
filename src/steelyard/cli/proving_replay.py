"""`steelyard proving replay FILE`: real sets, each foretold from those before it."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from steelyard.cli.refusing import whole
from steelyard.units import show_share

if TYPE_CHECKING:
    from steelyard.proving.replay import Summary

Actions = argparse._SubParsersAction


def add_replay(actions: Actions[argparse.ArgumentParser]) -> None:
    """The action and its file."""
    replay = actions.add_parser("replay", help="real sets, each foretold from those before it")
    replay.add_argument("file", type=Path, metavar="FILE", help="CSV of sets; docs/proving.md describes it")
    replay.add_argument(
        "--from", dest="first", type=whole, default=4, metavar="N", help="first session scored (default: 4)"
    )
    replay.add_argument("--json", action="store_true", help="the scores as JSON")


def run_replay(args: argparse.Namespace) -> None:
    """Print the scores of belief and of plain ways to foretell."""
    import json  # noqa: PLC0415  --help must not wait for these
    from dataclasses import asdict  # noqa: PLC0415

    from steelyard.errors import DamagedFile  # noqa: PLC0415
    from steelyard.home import read_text  # noqa: PLC0415
    from steelyard.proving.replay import read_sets, replay, summary  # noqa: PLC0415

    people = read_sets(read_text(args.file), args.file.name)
    found = summary((step for rows in people.values() for step in replay(rows)), from_session=max(2, args.first))
    if found is None:
        accepted = "at least one lift that somebody did so often; score earlier ones with --from 2"
        raise DamagedFile(args.file.name, "rows", f"without a session number {args.first} of any lift", accepted)
    if args.json:
        print(json.dumps(asdict(found), indent=2))
        return
    print(f"{len(people)} people, {found.sets} sets scored, {found.changed_sets} of them after a changed load")
    print("\n".join(replay_lines(found)))
    print(
        f"\nThe 80 % intervals hold {show_share(found.held, places=1)} of the sets; "
        f"the mean log probability of the reps done is {found.log_score:.3f}."
    )


def replay_lines(found: Summary) -> Iterator[str]:
    """The table of errors, one line for each way to foretell."""
    rows = {"belief": (found.off, found.off_changed), **found.plain}
    width = max(len(name) for name in rows)
    yield f"  {'mean absolute error':{width}}  {'all':>9}  {'load changed':>12}"
    for name, (off, changed) in rows.items():
        yield f"  {name:{width}}  {off:4.2f} reps  {'-' if changed is None else f'{changed:.2f} reps':>12}"
