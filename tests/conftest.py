"""Shared by all tests: a steady hypothesis profile, and what is needed to find Chromium."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("steelyard", deadline=None, max_examples=60, derandomize=True)
settings.load_profile("steelyard")
