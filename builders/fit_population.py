"""Fit the noise and the drift of `strength/population.py` on an open trial, and say how well they foretell it.

The trial is not kept here: its licence (CC BY-NC-SA 4.0) does not fit this project's. Give its CSV, with the
columns subject, day, load_kg, reps and exercise (or type) and, if there is one, machine:

    python builders/fit_population.py machine_sets_12wk.csv            print the scores of the constants
    python builders/fit_population.py machine_sets_12wk.csv --fit      fit them anew, on all people
    python builders/fit_population.py machine_sets_12wk.csv --halves   fit on half of them, score the others

What is made as large as can be is the mean logarithm of the probability that belief gave to every set before it
was done, from the second set of a lift on. Constants that this trial cannot tell are left alone: ODD_SD, DAY_SD
and REPS_SCALE_SD, and everything about rest and reps left.
"""

from __future__ import annotations

import argparse
import math
from pathlib import Path

from scipy.optimize import minimize

from steelyard.proving.replay import Replayed, read_sets, replay, summary
from steelyard.strength import population

FITTED = (
    "SET_SD",
    "ODD_SHARE",
    "DRIFT_SD",
    "OWN_DRIFT_SD",
    "LEARNING",
    "LEARNING_SD",
    "CHOICE_SD",
    "JUMP",
    "USUAL_REPS",
    "USUAL_PULL",
    "RECENT",
)
ROUNDS = 220


def main() -> None:
    """Do what was asked on the command line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("file", type=Path)
    parser.add_argument("--fit", action="store_true")
    parser.add_argument("--halves", action="store_true")
    args = parser.parse_args()
    people = read_sets(args.file.read_text(encoding="utf-8"), args.file.name)
    names = sorted(people)
    if args.fit:
        fit(people, names)
    if args.halves:
        fit(people, names[::2])
        names = names[1::2]
    print_scores(people, names)


def fit(people: dict[str, list[Replayed]], names: list[str]) -> None:
    """Set the constants to those under which these people's sets are most probable, and print them."""

    def misfit(logs: list[float]) -> float:
        for name, value in zip(FITTED, logs, strict=True):
            setattr(population, name, math.exp(value))
        if population.USUAL_PULL > 1 or population.RECENT > 1 or population.ODD_SHARE > 0.5:
            return math.inf
        chances = [step.chance for name in names for step in replay(people[name]) if step.sessions]
        return -math.fsum(math.log(max(chance, 1e-12)) for chance in chances) / len(chances)

    start = [math.log(getattr(population, name)) for name in FITTED]
    found = minimize(misfit, start, method="Nelder-Mead", options={"maxfev": ROUNDS, "adaptive": True})
    misfit(list(found.x))
    print(f"{len(names)} people, misfit {found.fun:.4f} after {found.nfev} tries")
    for name in FITTED:
        print(f"  {name} = {getattr(population, name):.4f}")


def print_scores(people: dict[str, list[Replayed]], names: list[str]) -> None:
    """One-step-ahead scores of these people."""
    print(f"{len(names)} people: {summary([step for name in names for step in replay(people[name])])}")


if __name__ == "__main__":
    main()
