"""Fit the constants of strength/recovery.py to authorities/rest_studies.csv: the figures of docs/model-fatigue.md.

Run from the root of the repository (half a minute):

    python builders/fit_recovery.py

Least squares on means of reps (error 1 rep), of fractions (0.04) and of ratios (0.06), these being how far studies
of the same thing differ rather than their sampling errors, and on standard deviations between people of the totals
(0.6 of their logarithm). Priors, mean and standard deviation: logit fast share -0.3, 1; ln fast_s ln 20, 0.4 (31P
spectroscopy and W' recovery have 11 to 22 s); ln slow_s ln 250, 1 (W' has 256 and 377 s); offsets of women 0, 0.7
and adolescents 0, 1; ln of the two spreads ln 0.75 and ln 0.5, 0.5.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Sequence
from pathlib import Path

import numpy as np
from scipy.optimize import least_squares

from steelyard.proving.rests import score_rests
from steelyard.strength.recovery import PEOPLE, Recovery, Spread, StraightSets, mean_reps, total_sd

TABLE = Path(__file__).parents[1] / "authorities" / "rest_studies.csv"
ERROR = {"total": 1.0, "frac": 0.04, "ratio": 0.06}
SD_ERROR = 0.6
NAMES = (
    "logit fast share",
    "ln fast_s",
    "ln slow_s",
    "women",
    "adolescents",
    "ln sd logit share",
    "ln sd ln slow_s",
)
PRIOR = np.array([-0.3, math.log(20.0), math.log(250.0), 0.0, 0.0, math.log(0.75), math.log(0.5)])
PRIOR_SD = np.array([1.0, 0.4, 1.0, 0.7, 1.0, 0.5, 0.5])
START = np.array([-0.7, 3.0, 5.3, -1.0, -1.6, math.log(0.8), math.log(0.5)])
Row = dict[str, str]


def table_rows() -> list[Row]:
    """The studies, one figure a row."""
    lines = TABLE.read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def kind_of(row: Row) -> str:
    """total, frac or ratio."""
    return row["quantity"].partition("_")[0]


def sets_of(row: Row, rest_s: float) -> StraightSets:
    """What was done."""
    return StraightSets(float(row["nrm"]), int(row["n_sets"]), rest_s, int(row["cap"]) if row["cap"] else None)


def typical_of(row: Row, at: np.ndarray) -> tuple[Recovery, Spread]:
    """Whom the parameters take these people to be."""
    offset = at[3] if "women" in row["group"] else at[4] if row["group"] == "teens" else 0.0
    person = Recovery(1.0 / (1.0 + math.exp(-at[0])), math.exp(at[1]), math.exp(at[2] + offset))
    return person, Spread(math.exp(at[5]), math.exp(at[6]), PEOPLE.form_reps, PEOPLE.set_reps)


def predicted(row: Row, at: np.ndarray) -> float:
    """The figure as the parameters have it."""
    person, people = typical_of(row, at)
    kind, _, of = row["quantity"].partition("_")
    reps = mean_reps(sets_of(row, float(row["rest_s"])), person, people=people)
    if kind == "ratio":
        return sum(reps) / sum(mean_reps(sets_of(row, float(of)), person, people=people))
    return sum(reps) if kind == "total" else reps[int(of) - 1] / reps[0]


def sd_predicted(row: Row, at: np.ndarray) -> float:
    """The standard deviation of a total between people."""
    person, people = typical_of(row, at)
    return total_sd(sets_of(row, float(row["rest_s"])), person, people=people)


def has_sd(row: Row) -> bool:
    """Whether its standard deviation is that of one exercise's total."""
    return kind_of(row) == "total" and row["study"] != "Senna_2009" and float(row["sd"] or 0.0) > 0.0


def misfits(at: np.ndarray, rows: Sequence[Row]) -> np.ndarray:
    """Everything that should be small, each in its own error."""
    means = [(predicted(row, at) - float(row["mean"])) / ERROR[kind_of(row)] for row in rows]
    sds = [math.log(sd_predicted(row, at) / float(row["sd"])) / SD_ERROR for row in rows if has_sd(row)]
    return np.array([*means, *sds, *((at - PRIOR) / PRIOR_SD)])


def fit(rows: Sequence[Row], start: np.ndarray = START) -> tuple[np.ndarray, np.ndarray]:
    """Parameters and their standard errors."""
    best = least_squares(misfits, start, args=(rows,), xtol=1e-5, ftol=1e-5, diff_step=1e-3)
    return best.x, np.sqrt(np.diag(np.linalg.inv(best.jac.T @ best.jac)))


def errors_line(rows: Sequence[Row], at: np.ndarray) -> str:
    """Root mean square errors by kind."""
    parts = []
    for kind in ERROR:
        off = [predicted(row, at) - float(row["mean"]) for row in rows if kind_of(row) == kind]
        if off:
            parts.append(f"{kind} {math.sqrt(np.mean(np.square(off))):.3f} ({len(off)})")
    return ", ".join(parts)


def print_residuals(rows: Sequence[Row], at: np.ndarray) -> None:
    """A line a figure."""
    for row in rows:
        off = predicted(row, at) - float(row["mean"])
        sd = f"   sd {row['sd']}, predicted {sd_predicted(row, at):.1f}" if has_sd(row) else ""
        what = f"{row['study']:22} {row['group']:12} {row['rest_s']:>4} s  {row['quantity']:9}"
        print(f"{what} {float(row['mean']):7.3f} {off:+7.3f}{sd}")


def boys_offset(rows: Sequence[Row], at: np.ndarray) -> float:
    """The offset of the boys, everything else held; beforehand as the adolescents', give or take 1."""

    def off(offset: np.ndarray) -> np.ndarray:
        moved = at.copy()
        moved[4] = offset[0]
        teens = [row | {"group": "teens"} for row in rows if row["group"] == "boys"]
        return np.array([*(predicted(row, moved) - float(row["mean"]) for row in teens), offset[0] - at[4]])

    return float(least_squares(off, [at[4] - 0.5], diff_step=1e-3).x[0])


def study_shift(rows: Sequence[Row], at: np.ndarray) -> tuple[float, float]:
    """What a study alone adds to ln slow_s of men, with its standard error, everything else held."""

    def off(shift: np.ndarray) -> np.ndarray:
        moved = at.copy()
        moved[2] += shift[0]
        return np.array([(predicted(row, moved) - float(row["mean"])) / ERROR[kind_of(row)] for row in rows])

    best = least_squares(off, [0.1], diff_step=1e-3)
    return float(best.x[0]), 1.0 / float(np.linalg.norm(best.jac))


def print_shifts(rows: Sequence[Row], at: np.ndarray) -> None:
    """A line a study that tells of ln slow_s of men, and their standard deviation."""
    men = [row for row in rows if row["group"] in ("men", "mixed")]
    found = {
        study: study_shift([row for row in men if row["study"] == study], at)
        for study in dict.fromkeys(row["study"] for row in men)
    }
    told = {study: shift for study, (shift, error) in found.items() if error < 0.5}
    print(f"ln slow_s of a study: {told}; sd {np.std(list(told.values()), ddof=1):.2f}")


def print_withheld() -> None:
    """What the constants in the package say of the rows that were not fitted."""
    for score in score_rests(TABLE.read_text(encoding="utf-8"), TABLE.name).scores:
        row = score.row
        if row.role != "fit":
            what = f"{row.study:22} {row.group:12} {row.sets.rest_s:4.0f} s  {row.kind} {row.of or '':<4}"
            print(f"{what} {row.observed:7.3f} {score.residual:+7.3f}   withheld")


def main() -> None:
    """Fit, print, and leave each study out in turn."""
    rows = table_rows()
    used = [row for row in rows if row["role"] == "fit"]
    at, errors = fit(used)
    for name, value, error in zip(NAMES, at, errors, strict=True):
        print(f"{name:20} {value:7.3f} +- {error:.3f}")
    print(
        f"fast share {1 / (1 + math.exp(-at[0])):.3f}, fast_s {math.exp(at[1]):.1f}, slow_s {math.exp(at[2]):.0f}"
    )
    print_residuals(used, at)
    print("fitted:  ", errors_line(used, at))
    print("boys", round(boys_offset(rows, at), 2))
    print_withheld()
    print_shifts(rows, at)
    for study in dict.fromkeys(row["study"] for row in used):
        without, _ = fit([row for row in used if row["study"] != study], at)
        print(f"without {study}: {np.array2string(without, precision=2, suppress_small=True)}")
        for who in ("men", "others"):
            left = [
                row
                for row in used
                if row["study"] == study and (row["group"] in ("men", "mixed")) == (who == "men")
            ]
            if left:
                print(f"    its {who}: {errors_line(left, without)}", flush=True)


if __name__ == "__main__":
    main()
