"""`steelyard proving rests FILE`: published rest studies beside what the population model says of them."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from steelyard.proving.rests import Kind, RestScores

Actions = argparse._SubParsersAction

NAMES = {
    "total": ("totals", " reps"),
    "set": ("single sets", " reps"),
    "frac": ("fractions", ""),
    "ratio": ("ratios", ""),
}
"""What figures of a kind are called, and their unit."""


def add_rests(actions: Actions[argparse.ArgumentParser]) -> None:
    """The action and its file."""
    rests = actions.add_parser("rests", help="rest studies beside what the model of fatigue says of them")
    rests.add_argument("file", type=Path, metavar="FILE", help="CSV; docs/model-fatigue.md describes it")


def run_rests(args: argparse.Namespace) -> None:
    """Print a line a figure, then the errors by kind, and by role where roles are written."""
    from steelyard.home import read_text  # noqa: PLC0415  --help must not wait for it
    from steelyard.proving.rests import score_rests  # noqa: PLC0415

    found = score_rests(read_text(args.file), args.file.name)
    print("\n".join(figure_lines(found)))
    print()
    print("\n".join(error_lines(found)))
    for note in found.notes:
        print(f"note: {note}")


def figure_lines(found: RestScores) -> Iterator[str]:
    """Every figure, observed and predicted, in the order of the file."""
    study = max(5, *(len(score.row.study) for score in found.scores))
    group = max(5, *(len(score.row.group) for score in found.scores))
    numbers = f"{'observed':>8}  {'predicted':>9}  {'off by':>7}"
    yield f"{'study':{study}}  {'group':{group}}  {'rest':>6}  {'figure':10}  {numbers}"
    for score in found.scores:
        row = score.row
        figure = f"{row.kind}_{row.of}" if row.of else str(row.kind)
        yield (
            f"{row.study:{study}}  {row.group:{group}}  {row.sets.rest_s:4.0f} s  {figure:10}  "
            f"{row.observed:8.3f}  {score.predicted:9.3f}  {score.residual:+7.3f}"
        )


def error_lines(found: RestScores) -> Iterator[str]:
    """Root mean square errors: of each role, then of everything."""
    from steelyard.proving.rests import Kind  # noqa: PLC0415

    roles = found.roles
    for role in roles if len(roles) > 1 else ():
        if said := ", ".join(
            error_words(found, kind, role) for kind in Kind if found.rmse(kind, role=role) is not None
        ):
            yield f"root mean square error, role {role or 'not said'}: {said}"
    said = ", ".join(error_words(found, kind, None) for kind in Kind if found.rmse(kind) is not None)
    yield f"root mean square error, {'all rows' if len(roles) > 1 else f'{len(found.scores)} rows'}: {said}"


def error_words(found: RestScores, kind: Kind, role: str | None) -> str:
    """One error with its name and unit."""
    name, unit = NAMES[kind]
    return f"{name} {found.rmse(kind, role=role):.3f}{unit}"
