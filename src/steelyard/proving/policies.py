"""The advice on trial, by the name it has in tables."""

from __future__ import annotations

from steelyard.proving.baselines import AddWhenOver, LastSet, PercentChart, RunningAverage
from steelyard.proving.belief import Advice
from steelyard.proving.protocol import PolicyFactory

BASELINES: dict[str, PolicyFactory] = {
    "percent chart": PercentChart,
    "last-set equation": LastSet,
    "add when over": AddWhenOver,
    "running average": RunningAverage,
}
"""What needs no model of the lifter."""

POLICIES: dict[str, PolicyFactory] = {"steelyard": Advice, **BASELINES}
"""All of them, in the order of the table."""
