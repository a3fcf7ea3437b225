"""Tempo: how long a repetition takes on its way, in the trade's four figures.

`2-0-2-0` is two seconds lowering, no pause at the bottom, two seconds raising, no pause at the top. The order of
the figures, and X for a raise as fast as possible, are common practice.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from steelyard.errors import OutOfRange

AS_FAST_M_S = 0.60
"""Assumed mean speed of the hands in a raise as fast as possible. [m/s]

Source: mean of bench presses at 2/0/X, 0.60 m/s (J Sports Sci Med 18:191); 0.52 m/s for another fast press
(Sakamoto and Sinclair 2006). A free bar, and no lever: an assumption here.
"""
LEAST_STROKE_S, MOST_S = 0.2, 60.0
ACCEPTED = "four figures in seconds, lowering-bottom-raising-top, such as 2-0-2-0 or 3-1-X-0"

FIGURE = re.compile(r"\d{1,3}(?:[.,]\d{1,3})?")


USUAL_TEMPO = "2-0-2-0"
"""The medium tempo of studies that compare several (J Hum Kinet 87, 2023): two seconds down, two up, no pause."""


@dataclass(frozen=True, slots=True)
class Tempo:
    """The times of one repetition, in the order in which the trade writes them. [s]

    raising_s: None for as fast as possible.

    Raises: OutOfRange for a way under 0.2 s, a pause under 0 s, or anything over 60 s.
    """

    lowering_s: float
    bottom_s: float
    raising_s: float | None
    top_s: float

    def __post_init__(self) -> None:
        check_stroke("lowering", self.lowering_s)
        check_pause("the pause at the bottom", self.bottom_s)
        if self.raising_s is not None:
            check_stroke("raising", self.raising_s)
        check_pause("the pause at the top", self.top_s)

    def __str__(self) -> str:
        raising = "X" if self.raising_s is None else f"{self.raising_s:g}"
        return f"{self.lowering_s:g}-{self.bottom_s:g}-{raising}-{self.top_s:g}"

    def over(self, stroke_m: float) -> Tempo:
        """The same with every time a number, for a handle that travels so far. [m]

        >>> str(parse_tempo("3-1-X-0").over(0.45))
        '3-1-0.75-0'
        """
        if self.raising_s is not None:
            return self
        return replace(self, raising_s=max(LEAST_STROKE_S, stroke_m / AS_FAST_M_S))


def check_stroke(name: str, time_s: float) -> None:
    """A way takes its time."""
    if not LEAST_STROKE_S <= time_s <= MOST_S:
        fast = ", or X" if name == "raising" else ""
        raise OutOfRange(name, f"{time_s:g} s", f"from {LEAST_STROKE_S:g} to {MOST_S:g} s{fast}")


def check_pause(name: str, time_s: float) -> None:
    """A pause may take none."""
    if not 0.0 <= time_s <= MOST_S:
        raise OutOfRange(name, f"{time_s:g} s", f"from 0 to {MOST_S:g} s")


def parse_tempo(text: str) -> Tempo:
    """Read a tempo such as ``2-0-2-0`` or ``3/1/X/0``.

    Raises: OutOfRange if it is none.

    >>> parse_tempo("2-0-2-0")
    Tempo(lowering_s=2.0, bottom_s=0.0, raising_s=2.0, top_s=0.0)
    """
    figures = [figure.strip() for figure in re.split("[-/]", text)]
    if len(figures) != 4:
        raise OutOfRange("tempo", f"'{text}'", ACCEPTED)
    lowering, bottom, raising, top = figures
    as_fast = raising.upper() == "X"
    known = (lowering, bottom, top) if as_fast else (lowering, bottom, raising, top)
    for figure in known:
        if figure.upper() == "X":
            raise OutOfRange(
                "tempo", f"'{text}'", "with X in the third place only, for the raise, such as 3-1-X-0"
            )
        if FIGURE.fullmatch(figure) is None:
            raise OutOfRange("tempo", f"'{text}'", ACCEPTED)
    seconds = [float(figure.replace(",", ".")) for figure in known]
    if as_fast:
        return Tempo(seconds[0], seconds[1], None, seconds[2])
    return Tempo(*seconds)
