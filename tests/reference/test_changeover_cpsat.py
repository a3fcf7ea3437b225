"""Plans of realistic sessions against the optimum that OR-tools CP-SAT (package ortools) proves."""

from __future__ import annotations

import os
from importlib import import_module
from typing import Any

import pytest

from reference.realistic_sessions import realistic
from steelyard.plates.changeover import changeover

SEED = int(os.environ.get("STEELYARD_SEED", "0"))
SESSIONS = int(os.environ.get("STEELYARD_SESSIONS", "100"))
EFFORT = float(os.environ.get("STEELYARD_EFFORT", "1"))
"""Of a session that the solver has not proven by then its bound and its best plan are compared. It is the solver's
own count of its work, so that a busy machine proves as many: a quarter, and two thirds in 5 s of two threads. How
much longer it takes stands in benchmarks/changeover.py."""


@pytest.fixture(scope="session")
def cpsat() -> Any:
    """The reference model; without the solver the test is skipped, or fails where it is required."""
    try:
        return import_module("reference.changeover_cpsat")
    except ImportError as fault:
        reason = f"no OR-tools ({fault}): pip install -e '.[reference]'"
        pytest.fail(reason) if os.environ.get("STEELYARD_REFERENCE") == "require" else pytest.skip(reason)


def test_plans_cost_what_the_solver_proves_least(cpsat: Any) -> None:
    proven = 0
    for seed in range(SEED, SEED + SESSIONS):
        session = realistic(seed)
        plan = changeover(session.machine, session.inventory, session.wishes)
        solved = cpsat.solve(session.machine, session.inventory, session.wishes, effort=EFFORT)
        cost_ms = round(1000 * plan.cost_s)
        assert plan.gap_s == 0, session.name
        assert solved.least_ms <= cost_ms <= (solved.found_ms or cost_ms), session.name
        proven += solved.proven
    assert proven >= SESSIONS / 10, f"only {proven} of {SESSIONS} were proven; STEELYARD_SEED={SEED}"
