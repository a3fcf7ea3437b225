"""Sums of figures: Python 3.12 and later add otherwise than 3.11 does; the server and the page decide alike.

The exact sum, rounded once, is the same in every Python (the standard library's documentation of `math.fsum` and,
of 3.12, of `sum`). Ten times 0.1 added one after another is 0.9999999999999999.
"""

from __future__ import annotations

from steelyard.plates.limits import pull
from steelyard.strength.gaussian import variance_of

TENTHS = (0.1,) * 10


def test_what_plates_pull_is_the_same_in_every_python() -> None:
    assert pull(TENTHS, (1.0,) * 10) == 1.0


def test_a_variance_is_the_same_in_every_python() -> None:
    assert variance_of([(place, 0.1) for place in range(10)], [1.0] * 10) == 1.0
