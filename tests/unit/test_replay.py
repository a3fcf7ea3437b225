"""Records of real sets: how they are read, foretold and scored."""

from __future__ import annotations

import pytest

from steelyard.errors import DamagedFile
from steelyard.proving.replay import read_sets, replay, summary
from steelyard.strength.model import Ended

HEAD = "subject,exercise,day,load_kg,reps"


def rows(*lines: str, head: str = HEAD) -> str:
    return "\n".join([head, *lines]) + "\n"


def weekly(*reps: int, load_kg: float = 60.0) -> str:
    return rows(*(f"A,row,{7 * week},{load_kg},{done}" for week, done in enumerate(reps)))


def test_sets_come_in_order_of_day_and_set() -> None:
    text = rows("A,row,7,52,8,1", "A,row,0,50,9,2", "A,row,0,50,10,1", head=HEAD + ",set")
    assert [row.reps for row in read_sets(text, "x")["A"]] == [10, 9, 8]


def test_type_and_machine_are_understood_too() -> None:
    text = rows("A,pd,m1,0,50,10", "A,pd,m2,0,50,10", head="subject,type,machine,day,load_kg,reps")
    assert [row.seen.lift for row in read_sets(text, "x")["A"]] == ["pd at m1", "pd at m2"]


@pytest.mark.parametrize(
    ("ended", "rir", "told"),
    [
        ("", "", Ended.FAILURE),
        ("", "2", Ended.REPORTED),
        ("failed", "", Ended.FAILURE),
        ("plan", "", Ended.UNSAID),
        ("reported", "", Ended.UNSAID),
    ],
)
def test_how_a_set_ended(ended: str, rir: str, told: Ended) -> None:
    text = rows(f"A,row,0,50,10,{ended},{rir}", head=HEAD + ",ended,rir")
    assert read_sets(text, "x")["A"][0].seen.ended is told


def test_a_second_set_of_a_day_has_had_a_usual_rest() -> None:
    text = rows("A,row,0,50,10", "A,row,0,50,8")
    assert [row.seen.rest_s for row in read_sets(text, "x")["A"]] == [None, 120.0]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("subject,day,load_kg,reps\nA,0,50,10\n", "a column exercise"),
        (rows("A,row,0,-5,10"), "line 2, load_kg is '-5'; it must be a number from 0.001 to 5000"),
        (rows("A,row,0,50,many"), "line 2, reps is 'many'"),
        (rows(), "at least one set"),
        (rows("A,row,0,50,10,tired", head=HEAD + ",ended"), "one of failure"),
    ],
)
def test_a_bad_file_is_refused_with_its_line(text: str, says: str) -> None:
    with pytest.raises(DamagedFile, match=says):
        read_sets(text, "sets.csv")


def test_somebody_steady_is_foretold_well() -> None:
    scores = summary(replay(read_sets(weekly(*[10] * 12), "x")["A"]))
    assert scores is not None
    assert scores.sets == 9
    assert scores.off < 0.5
    assert scores.held == 1.0


def test_a_set_that_is_foretold_knows_nothing_of_its_own_reps() -> None:
    low, high = (list(replay(read_sets(weekly(10, 10, 10, last), "x")["A"]))[-1] for last in (4, 16))
    assert (low.expected, low.low, low.high) == (high.expected, high.low, high.high)


def test_plain_ways_are_scored_beside_it() -> None:
    scores = summary(replay(read_sets(weekly(10, 12, 10, 12, 10, 12), "x")["A"]))
    assert scores is not None
    assert scores.plain["last reps"][0] == pytest.approx(2.0)
    assert scores.off < 2.0


def test_sets_stopped_without_a_word_are_not_scored() -> None:
    text = rows(*(f"A,row,{7 * week},60,10,plan" for week in range(8)), head=HEAD + ",ended")
    assert summary(replay(read_sets(text, "x")["A"])) is None
