"""Published equations for the one-rep maximum from one set to failure, and a published load chart.

The raw functions return what each formula prints, for whatever reps. What the rest of Steelyard uses is
`one_rep_max`, which knows that a single is the maximum itself and keeps every equation inside the range for which
it was published.

Sources: constants and papers as named at each function; linear forms should not be used beyond 10 reps (Reynolds
and others 2006, J Strength Cond Res 20:584-592, doi 10.1519/R-15304.1; LeSuer and others 1997, same journal
11:211-213).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from steelyard.errors import OutOfRange, UnknownName

BRZYCKI_POLE = 1.0278 / 0.0278
LANDER_POLE = 101.3 / 2.67123


@dataclass(frozen=True, slots=True)
class Equation:
    """One published equation and the whole reps for which it holds; a single needs none.

    function: takes load [kg] and reps, returns the one-rep maximum [kg].
    """

    function: Callable[[float, float], float]
    least_reps: int
    most_reps: int
    source: str

    def holds(self, reps: int) -> bool:
        """Whether the equation was published for so many reps."""
        return self.least_reps <= reps <= self.most_reps


def epley(load_kg: float, reps: float) -> float:
    """One-rep maximum by w (1 + r/30). [kg]

    load_kg: load moved to failure. [kg]  reps: reps done with it.

    Source: Epley, Poundage chart, Boyd Epley Workout, 1985. Some reprints print 0.033 for 1/30.

    >>> round(epley(100, 5), 3)
    116.667
    """
    return load_kg * (1 + reps / 30)


def brzycki(load_kg: float, reps: float) -> float:
    """One-rep maximum by w / (1.0278 - 0.0278 r). [kg]

    load_kg: load moved to failure. [kg]  reps: reps done with it, below the pole at 36.97.

    Raises: OutOfRange at and beyond the pole.

    Source: Brzycki, J Phys Educ Recreat Dance 1993;64(1):88-90, doi 10.1080/07303084.1993.10606684.

    >>> round(brzycki(100, 5), 3)
    112.511
    """
    _refuse_pole(reps, BRZYCKI_POLE)
    return load_kg / (1.0278 - 0.0278 * reps)


def lombardi(load_kg: float, reps: float) -> float:
    """One-rep maximum by w r^0.10. [kg]

    load_kg: load moved to failure. [kg]  reps: reps done with it.

    Source: Lombardi, Beginning Weight Training, W. C. Brown 1989.

    >>> round(lombardi(100, 5), 3)
    117.462
    """
    return float(load_kg * reps**0.10)


def mayhew(load_kg: float, reps: float) -> float:
    """One-rep maximum by 100 w / (52.2 + 41.9 e^(-0.055 r)). [kg]

    load_kg: load moved to failure. [kg]  reps: reps done with it.

    Source: Mayhew and others, J Appl Sport Sci Res 1992;6(4):200-206, n = 435, bench press.

    >>> round(mayhew(100, 5), 3)
    119.011
    """
    return 100 * load_kg / (52.2 + 41.9 * math.exp(-0.055 * reps))


def oconner(load_kg: float, reps: float) -> float:
    """One-rep maximum by w (1 + 0.025 r). [kg]

    load_kg: load moved to failure. [kg]  reps: reps done with it.

    Source: O'Conner, Simmons and O'Shea, Weight Training Today, West 1989.

    >>> oconner(100, 5)
    112.5
    """
    return load_kg * (1 + 0.025 * reps)


def wathan(load_kg: float, reps: float) -> float:
    """One-rep maximum by 100 w / (48.8 + 53.8 e^(-0.075 r)). [kg]

    load_kg: load moved to failure. [kg]  reps: reps done with it.

    Source: Wathen, Load assignment, in Baechle (ed.), Essentials of Strength Training and Conditioning, 1994,
    pp. 435-446; usually quoted as Wathan.

    >>> round(wathan(100, 5), 3)
    116.583
    """
    return 100 * load_kg / (48.8 + 53.8 * math.exp(-0.075 * reps))


def lander(load_kg: float, reps: float) -> float:
    """One-rep maximum by 100 w / (101.3 - 2.67123 r). [kg]

    load_kg: load moved to failure. [kg]  reps: reps done with it, below the pole at 37.92.

    Raises: OutOfRange at and beyond the pole.

    Source: Lander, NSCA Journal 1985;6(6):60-61.

    >>> round(lander(100, 5), 3)
    113.709
    """
    _refuse_pole(reps, LANDER_POLE)
    return 100 * load_kg / (101.3 - 2.67123 * reps)


def kemmler(load_kg: float, reps: float) -> float:
    """One-rep maximum by w (0.988 + 0.0104 r + 0.00190 r² - 0.0000584 r³). [kg]

    load_kg: load moved to failure. [kg]  reps: reps done with it; the cubic turns down beyond the published 20.

    Source: Kemmler and others, J Strength Cond Res 2006;20(4):838-842: four machines, one of them a row, 3 to 20
    reps, 70 trained women of 57 years on average.

    >>> round(kemmler(100, 5), 3)
    108.02
    """
    return load_kg * (0.988 + 0.0104 * reps + 0.00190 * reps**2 - 0.0000584 * reps**3)


EQUATIONS: dict[str, Equation] = {
    "epley": Equation(epley, 2, 10, "Epley 1985"),
    "brzycki": Equation(brzycki, 2, 10, "Brzycki 1993"),
    "lombardi": Equation(lombardi, 2, 10, "Lombardi 1989"),
    "mayhew": Equation(mayhew, 2, 10, "Mayhew and others 1992"),
    "oconner": Equation(oconner, 2, 10, "O'Conner, Simmons and O'Shea 1989"),
    "wathan": Equation(wathan, 2, 10, "Wathen 1994"),
    "lander": Equation(lander, 2, 10, "Lander 1985"),
    "kemmler": Equation(kemmler, 3, 20, "Kemmler and others 2006"),
}
"""The published equations by name."""

LOAD_CHART = {1: 100, 2: 95, 3: 93, 4: 90, 5: 87, 6: 85, 7: 83, 8: 80, 9: 77, 10: 75, 12: 70}
"""Per cent of the one-rep maximum by the most reps possible with it. Source: training load chart of the National
Strength and Conditioning Association (NSCA). Editions differ at 11 reps, so that row is left out."""


def one_rep_max(load_kg: float, reps: int, *, equation: str = "epley") -> float:
    """One-rep maximum from one set to failure. [kg]

    load_kg:  load moved, above 0. [kg]
    reps:     whole reps done, at least 1. A single is the maximum itself, whatever the equation.
    equation: a name in `EQUATIONS`.

    Raises: UnknownName; OutOfRange if the equation was not published for so many reps.

    >>> one_rep_max(100, 1, equation="mayhew")
    100
    >>> round(one_rep_max(100, 10), 2)
    133.33
    """
    _check_set(load_kg, reps)
    if equation not in EQUATIONS:
        raise UnknownName("equation", equation, EQUATIONS)
    known = EQUATIONS[equation]
    if reps != 1 and not known.holds(reps):
        fitting = [name for name, other in EQUATIONS.items() if other.holds(reps)]
        other = f"use {', '.join(fitting)}" if fitting else "no equation goes that far"
        accepted = (
            f"1 or from {known.least_reps} to {known.most_reps} for {equation}: take a heavier set, or {other}"
        )
        raise OutOfRange("reps", reps, accepted)
    return load_kg if reps == 1 else known.function(load_kg, reps)


def one_rep_maxes(load_kg: float, reps: int) -> dict[str, float]:
    """One-rep maximum by every equation that holds for so many reps; their spread is their error. [kg]

    load_kg: load moved to failure, above 0. [kg]  reps: whole reps done, at least 1.

    Raises: OutOfRange if load or reps are not those of a set.

    >>> sorted(one_rep_maxes(100, 12))
    ['kemmler']
    """
    _check_set(load_kg, reps)
    return {
        name: one_rep_max(load_kg, reps, equation=name)
        for name, known in EQUATIONS.items()
        if reps == 1 or known.holds(reps)
    }


def percent_of_max(reps: int) -> int:
    """Share of the one-rep maximum that allows so many reps, by the NSCA load chart. [%]

    Raises: OutOfRange if the chart has no such row.

    >>> percent_of_max(10)
    75
    """
    if reps not in LOAD_CHART:
        raise OutOfRange(
            "reps", reps, "from 1 to 10, or 12, as on the chart (editions differ at 11): take one of these"
        )
    return LOAD_CHART[reps]


def _check_set(load_kg: float, reps: int) -> None:
    if not (math.isfinite(load_kg) and load_kg > 0):
        raise OutOfRange("load", f"{load_kg} kg", "above 0 kg")
    if not (math.isfinite(reps) and reps >= 1 and reps == int(reps)):
        raise OutOfRange("reps", reps, "whole and at least 1: count only full reps")


def _refuse_pole(reps: float, pole: float) -> None:
    if not reps < pole:
        raise OutOfRange("reps", reps, f"below {pole:.2f}, where the formula divides by zero: take a heavier set")
