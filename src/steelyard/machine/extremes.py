"""Where a smooth curve is highest, between its samples too."""

from __future__ import annotations

from collections.abc import Callable, Sequence

Curve = Callable[[Sequence[float]], Sequence[float]]
"""From many places at once to the height at each."""

SAMPLES, NARROWER, ROUNDS, MOST_TOPS = 129, 16, 7, 3


def highest(curve: Curve, start: float = 0.0, end: float = 1.0) -> tuple[float, float]:
    """The place between start and end where a curve is highest, and its height there.

    The curve is taken to be smooth, with no two tops within a 128th of the way. Each top is narrowed down
    eightfold seven times, so that the place is sure to 1e-8 of the way and the height to the last digits.

    >>> place, height = highest(lambda xs: [x * (1.0 - x) ** 2 for x in xs])
    >>> round(place, 6), round(height, 12)
    (0.333333, 0.148148148148)
    """
    places = evenly(start, end, SAMPLES)
    heights = curve(places)
    last = SAMPLES - 1
    tops = [
        number
        for number, height in enumerate(heights)
        if height >= heights[max(number - 1, 0)] and height >= heights[min(number + 1, last)]
    ]
    likely = sorted(tops, key=lambda number: -heights[number])[:MOST_TOPS]
    found = [narrowed(curve, places[max(top - 1, 0)], places[min(top + 1, last)]) for top in likely]
    return max(found, key=lambda top: top[1])


def narrowed(curve: Curve, low: float, high: float) -> tuple[float, float]:
    """The one top between two places."""
    best = (low, float("-inf"))
    for _ in range(ROUNDS):
        places = evenly(low, high, NARROWER + 1)
        heights = curve(places)
        top = max(range(NARROWER + 1), key=heights.__getitem__)
        best = (places[top], heights[top])
        low, high = places[max(top - 1, 0)], places[min(top + 1, NARROWER)]
    return best


def evenly(start: float, end: float, count: int) -> list[float]:
    """Evenly spaced places, both ends included exactly."""
    step = (end - start) / (count - 1)
    return [*(start + step * number for number in range(count - 1)), end]
