"""Shared by all tests: a steady hypothesis profile, which fails no test for being slow or for what it draws."""

from __future__ import annotations

from hypothesis import HealthCheck, settings

DRAWING = [HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large]
"""Told by the clock, or by which examples a version of hypothesis happens to draw."""

settings.register_profile(
    "steelyard", deadline=None, max_examples=60, derandomize=True, suppress_health_check=DRAWING
)
settings.load_profile("steelyard")
