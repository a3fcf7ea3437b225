"""Compare forms of the recovery model on authorities/rest_studies.csv: "Forms tried" of docs/model-fatigue.md.

Run from the root of the repository (half a minute):

    python builders/recovery_forms.py

Every form is fitted as in fit_recovery.py, the spreads held at what that fit found. The recursion is told a second
time here, with arrays, so the first line also checks the package's own.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from fit_recovery import ERROR, Row, kind_of, table_rows
from scipy.optimize import least_squares
from scipy.special import ndtr

from steelyard.strength.curve import REPS_SCALE
from steelyard.strength.recovery import NODES, PEOPLE

NODE, WEIGHT = (np.array(part) for part in zip(*NODES, strict=True))
FAST, SLOW, FORM = (part.ravel() for part in np.meshgrid(NODE, NODE, NODE, indexing="ij"))
WEIGHTS = np.einsum("i,j,k->ijk", WEIGHT, WEIGHT, WEIGHT).ravel()
CHORLEY = 549.0 / 377.0
"""Slow time constant of the second recovery over that of the first, individual means: Chorley 2022, read."""
BREAK_REPS = 40


@dataclass(frozen=True)
class Form:
    """One form: what it adds to two pools."""

    name: str
    one_pool: bool = False
    later: float = 1.0
    later_free: bool = False
    stays: bool = False


FORMS = (
    Form("two pools"),
    Form("one pool", one_pool=True),
    Form("two pools, slow one slower after set 2 on as Chorley", later=CHORLEY),
    Form("two pools, slower after set 2 on, by a fitted factor", later_free=True),
    Form("two pools, a share stays for the session", stays=True),
)


def set_means(row: Row, at: np.ndarray, form: Form, rest_s: float) -> np.ndarray:
    """Mean reps of each set over people."""
    offset = at[3] if "women" in row["group"] else at[4] if row["group"] == "teens" else 0.0
    share = np.zeros_like(FAST) if form.one_pool else 1 / (1 + np.exp(-at[0] - PEOPLE.logit_fast_share * FAST))
    fast_s, slow_s = math.exp(at[1]), np.exp(at[2] + offset + PEOPLE.ln_slow_s * SLOW)
    later = math.exp(at[5]) if form.later_free else form.later
    stays = 1 / (1 + math.exp(-at[6])) if form.stays else 0.0
    cap = int(row["cap"]) if row["cap"] else BREAK_REPS
    load = REPS_SCALE / (REPS_SCALE + float(row["nrm"]) + 0.5)
    fast, slow, rest = np.zeros_like(FAST), np.zeros_like(FAST), np.zeros_like(FAST)
    means = []
    for number in range(int(row["n_sets"])):
        able = REPS_SCALE * ((1 - fast - slow - rest) / load - 1) + PEOPLE.form_reps * FORM
        means.append(WEIGHTS @ ndtr((able[:, None] - np.arange(1, cap + 1)) / PEOPLE.set_reps).sum(axis=1))
        cost = (over(able) - over(able - cap)) * load / REPS_SCALE
        slowed = slow_s * (later if number else 1.0)
        fast = (fast + share * (1 - stays) * cost) * math.exp(-rest_s / fast_s)
        slow = (slow + (1 - share) * (1 - stays) * cost) * np.exp(-rest_s / slowed)
        rest = rest + stays * cost
    return np.array(means)


def over(mean: np.ndarray) -> np.ndarray:
    """Mean of the part above 0, one set's scatter about this."""
    z = mean / PEOPLE.set_reps
    return PEOPLE.set_reps * (z * ndtr(z) + np.exp(-0.5 * z * z) / math.sqrt(2 * math.pi))


def figure(row: Row, at: np.ndarray, form: Form) -> float:
    """What a row gives."""
    kind, _, of = row["quantity"].partition("_")
    reps = set_means(row, at, form, float(row["rest_s"]))
    if kind == "ratio":
        return float(reps.sum() / set_means(row, at, form, float(of)).sum())
    return float(reps.sum() if kind == "total" else reps[int(of) - 1] / reps[0])


def misfits(at: np.ndarray, rows: list[Row], form: Form) -> np.ndarray:
    """Everything that should be small; parameters a form does not have are held by their priors."""
    prior = np.array([-0.3, math.log(20.0), math.log(250.0), 0.0, 0.0, 0.0, -3.0])
    sd = np.array([1.0, 0.4, 1.0, 0.7, 1.0, 0.3, 1.0])
    off = [(figure(row, at, form) - float(row["mean"])) / ERROR[kind_of(row)] for row in rows]
    return np.array([*off, *((at - prior) / sd)])


def main() -> None:
    """A line a form."""
    rows = [row for row in table_rows() if row["role"] == "fit"]
    start = np.array([-0.7, 3.0, 5.3, -1.0, -1.6, 0.0, -3.0])
    for form in FORMS:
        best = least_squares(misfits, start, args=(rows, form))
        off = {kind: [] for kind in ERROR}
        for row in rows:
            off[kind_of(row)].append(figure(row, best.x, form) - float(row["mean"]))
        errors = ", ".join(f"{kind} {math.sqrt(np.mean(np.square(found))):.3f}" for kind, found in off.items())
        print(f"{form.name:54} misfit {2 * best.cost:5.1f}: {errors}; {np.array2string(best.x, precision=2)}")


if __name__ == "__main__":
    main()
