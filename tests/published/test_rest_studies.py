"""What sets give after rests, against the printed figures of authorities/rest_studies.csv.

All were read in abstracts or open pages; its source column names each. Fitted:
knee extension 2007 (scielo S1517-86922007000500002), Faigenbaum 2008 (doi 10.1123/pes.20.4.457),
Ratamess 2010 (doi 10.1097/01.JSC.0000367200.49548.b1), Senna 2009 (J Sports Sci Med 8:197),
Eches 2013 (scielo S1980-65742013000700007), Richmond 2004 (doi 10.1519/14833.1),
Jambassi 2013 (J Sports Sci Med 12:138).
Withheld: Ratamess 2012 (J Strength Cond Res 26(7)), Jambassi 2012 (scielo S1517-86922012000400001),
UNIPAM health journal 5032.
"""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from steelyard.proving.rests import Kind, RestScore, RestScores, score_rests
from steelyard.strength.recovery import (
    ADOLESCENTS,
    BOYS,
    FAST_S,
    MEN,
    SLOW_S,
    WOMEN,
    StraightSets,
    mean_reps,
    recovered,
)

TABLE = Path(__file__).parents[2] / "authorities" / "rest_studies.csv"


@pytest.fixture(scope="module")
def scores() -> RestScores:
    return score_rests(TABLE.read_text(encoding="utf-8"), TABLE.name)


def of_study(scores: RestScores, study: str) -> list[RestScore]:
    return [score for score in scores.scores if score.row.study == study]


@pytest.mark.parametrize(("kind", "most"), [(Kind.TOTAL, 0.8), (Kind.FRACTION, 0.05), (Kind.RATIO, 0.065)])
def test_the_fitted_figures_are_met(scores: RestScores, kind: Kind, most: float) -> None:
    error = scores.rmse(kind, role="fit")
    assert error is not None
    assert error <= most


def test_no_fitted_total_is_far_off(scores: RestScores) -> None:
    """Sampling alone makes 0.8 to 1.1 reps: a standard deviation of 3.8 to 5.3 in 16 to 21 people."""
    totals = [one for one in scores.scores if one.row.role == "fit" and one.row.kind is Kind.TOTAL]
    assert max(abs(one.residual) for one in totals) < 2.0


def test_men_of_81_and_141_kg_are_foretold_by_strength(scores: RestScores) -> None:
    """Ratamess 2012, withheld: the exponent comes from women and men of another study. Taken as average men they
    would be off by 1.9 reps."""
    off = [one.residual for one in of_study(scores, "Ratamess_2012")]
    assert math.sqrt(sum(one * one for one in off) / len(off)) < 1.2


def test_stronger_men_do_fewer_reps_as_seen(scores: RestScores) -> None:
    """Ratamess 2012: 3.5 and 2.9 reps between the groups after 60 and 120 s."""
    low60, low120, high60, high120 = (one.predicted for one in of_study(scores, "Ratamess_2012"))
    assert 1.5 < low60 - high60 < 4.5
    assert 1.5 < low120 - high120 < 4.5


def test_untrained_older_women_are_foretold(scores: RestScores) -> None:
    """Jambassi 2012, withheld: 20.4 % more volume after 3 min than after 1 min."""
    (score,) = of_study(scores, "Jambassi_2012")
    assert score.residual == pytest.approx(0.0, abs=0.02)


@pytest.mark.parametrize("rest_s", [60, 180])
def test_a_study_that_the_model_fails_is_known(scores: RestScores, rest_s: int) -> None:
    """UNIPAM 5032, withheld: ten men kept 2.4 to 4.5 reps more of 30 than the model has it."""
    totals = [one for one in of_study(scores, "UNIPAM_5032") if one.row.kind is Kind.TOTAL]
    off = [one.residual for one in totals if one.row.sets.rest_s == rest_s]
    assert len(off) == 2
    assert all(-5.0 < one < -2.0 for one in off)


def test_constants_lie_where_recovery_was_measured() -> None:
    """Time constants of W' are 11 and 256 s (Caen 2021), and 22.0 +- 11.8 and 377 +- 100 s between people (Chorley
    2022, doi 10.1007/s00421-021-04874-3): the same two sizes, the slow one within a factor of 2."""
    assert 11.0 < FAST_S < 22.0
    assert 256.0 / 2.0 < SLOW_S < 388.0


@pytest.mark.parametrize(("seconds", "restored"), [(90, 0.56), (360, 0.82)])
def test_reps_come_back_about_as_phosphocreatine(seconds: float, restored: float) -> None:
    """Of what a 30 s sprint took from it, 80.3 points, 45.3 are back at 90 s and 65.8 at 360 s: Bogdanis 1995,
    J Physiol 482:467. Another effort of other muscles, so within 0.1 only."""
    assert recovered(seconds, MEN) == pytest.approx(restored, abs=0.1)


def test_who_recovers_faster_is_in_the_order_seen() -> None:
    """Boys over adolescents over men (Faigenbaum 2008), women over men (Ratamess 2010)."""
    shares = [recovered(60, one) for one in (BOYS, ADOLESCENTS, WOMEN, MEN)]
    assert shares == sorted(shares, reverse=True)


@pytest.mark.parametrize("rest_s", [20.0, 40.0, 60.0])
def test_a_known_failure_near_the_maximum_is_still_one(rest_s: float) -> None:
    """83 to 89 % made a second maximal single after 20 to 60 s (Scudese 2016, S1888754616300594, read); the model
    has 64 to 76 of 100 singles made again."""
    first, second = mean_reps(StraightSets(1.0, 2, rest_s, cap=1), MEN)
    assert 0.6 < second / first < 0.8
