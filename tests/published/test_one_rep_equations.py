"""Each published one-rep-maximum equation at worked values, its identities, and where it must be refused.

Source of each equation in one_rep_equations.toml beside this file. The values are arithmetic on the printed
constants, so the tolerance is half of their last digit.
"""

from __future__ import annotations

import math
import statistics
import tomllib
from itertools import combinations
from pathlib import Path

import pytest

from steelyard.errors import OutOfRange, UnknownName
from steelyard.strength import population as people
from steelyard.strength.curve import HALF_REP, REPS_SCALE
from steelyard.strength.equations import EQUATIONS, brzycki, epley, lander, one_rep_max, one_rep_maxes

TABLE = tomllib.loads(Path(__file__).with_name("one_rep_equations.toml").read_text(encoding="utf-8"))
WORKED = [
    pytest.param(name, reps, maximum, id=f"{name}-{reps}")
    for name, row in TABLE.items()
    for reps, maximum in zip(row["reps"], row["maxima"], strict=True)
]


@pytest.mark.parametrize(("name", "reps", "maximum"), WORKED)
def test_an_equation_gives_its_worked_value(name: str, reps: int, maximum: float) -> None:
    assert EQUATIONS[name].function(100.0, reps) == pytest.approx(maximum, abs=0.0005)


def test_every_equation_has_worked_values() -> None:
    assert set(TABLE) == set(EQUATIONS)


def test_epley_and_brzycki_in_fractions_meet_at_ten_reps() -> None:
    assert epley(100.0, 10) == pytest.approx(100.0 * 36 / (37 - 10), rel=1e-12)


@pytest.mark.parametrize("name", EQUATIONS)
def test_a_single_is_the_maximum_whatever_the_formula_prints(name: str) -> None:
    assert one_rep_max(140.0, 1, equation=name) == 140.0


@pytest.mark.parametrize(("function", "beyond"), [(brzycki, 37), (lander, 38), (brzycki, 36.98), (lander, 37.93)])
def test_a_pole_is_refused(function: object, beyond: float) -> None:
    with pytest.raises(OutOfRange, match=f"reps is {beyond}; it must be below 3"):
        function(100.0, beyond)  # type: ignore[operator]


def test_just_below_its_pole_a_formula_still_answers() -> None:
    assert brzycki(1.0, 36.97) > 1000
    assert lander(1.0, 37.92) > 1000


@pytest.mark.parametrize("name", [name for name in EQUATIONS if name != "kemmler"])
def test_more_than_ten_reps_are_refused_with_a_way_out(name: str) -> None:
    """No more than 10 reps in these equations (Reynolds and others 2006, doi 10.1519/R-15304.1)."""
    with pytest.raises(
        OutOfRange, match=r"reps is 11; it must be 1 or from 2 to 10 .*heavier set, or use kemmler"
    ):
        one_rep_max(60.0, 11, equation=name)


def test_kemmler_holds_from_three_to_twenty_reps() -> None:
    assert one_rep_max(60.0, 20, equation="kemmler") == EQUATIONS["kemmler"].function(60.0, 20)
    with pytest.raises(OutOfRange, match="no equation goes that far"):
        one_rep_max(60.0, 21, equation="kemmler")
    with pytest.raises(OutOfRange, match="use epley, brzycki"):
        one_rep_max(60.0, 2, equation="kemmler")


@pytest.mark.parametrize(("load_kg", "reps"), [(0.0, 5), (-20.0, 5), (math.nan, 5), (60.0, 0), (60.0, 4.5)])
def test_what_is_no_set_is_refused(load_kg: float, reps: int) -> None:
    with pytest.raises(OutOfRange):
        one_rep_maxes(load_kg, reps)


def test_an_unknown_equation_is_answered_with_the_known_ones() -> None:
    with pytest.raises(UnknownName, match="did you mean epley"):
        one_rep_max(60.0, 5, equation="eply")


def test_the_equations_offered_are_those_that_hold() -> None:
    assert set(one_rep_maxes(60.0, 2)) == set(EQUATIONS) - {"kemmler"}
    assert set(one_rep_maxes(60.0, 15)) == {"kemmler"}
    assert one_rep_maxes(60.0, 25) == {}
    assert set(one_rep_maxes(60.0, 1).values()) == {60.0}


def test_one_person_is_taken_to_differ_from_the_curve_by_less_than_equations_do_from_each_other() -> None:
    """The equations' disagreement about the load at other reps, as one about the scale of the curve.

    Each was fitted to other people on other lifts, so together they bound what is between people from above.
    """
    spreads = []
    for few, many in combinations(range(3, 11), 2):
        gains = [math.log(each.function(1.0, many) / each.function(1.0, few)) for each in EQUATIONS.values()]
        spreads.append(statistics.stdev(gains) / (_weight(many) - _weight(few)))
    assert 0.25 * statistics.median(spreads) < people.REPS_SCALE_SD < min(spreads)


def _weight(reps: int) -> float:
    """By how much the logarithm of the load for so many reps follows that of the curve's scale."""
    able = reps + HALF_REP
    return able / (REPS_SCALE + able)
