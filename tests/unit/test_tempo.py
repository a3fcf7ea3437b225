"""Tempo: four figures, common practice, and what is none."""

from __future__ import annotations

import pytest

from steelyard.errors import OutOfRange
from steelyard.machine.tempo import AS_FAST_M_S, LEAST_STROKE_S, Tempo, parse_tempo


def test_the_figures_are_lowering_bottom_raising_top() -> None:
    assert parse_tempo("3-1-2-0.5") == Tempo(lowering_s=3.0, bottom_s=1.0, raising_s=2.0, top_s=0.5)


@pytest.mark.parametrize("text", ["3/1/2/0,5", " 3 - 1 - 2 - 0.5 ", "3.0-1-02-0.50"])
def test_the_ways_people_write_it_are_one(text: str) -> None:
    assert parse_tempo(text) == parse_tempo("3-1-2-0.5")


@pytest.mark.parametrize("text", ["2-0-2-0", "3-1-X-0", "1.2-0-0.8-0.5"])
def test_what_is_read_is_written_again(text: str) -> None:
    assert str(parse_tempo(text)) == text


def test_as_fast_as_possible_takes_the_travel_s_time_at_the_assumed_speed() -> None:
    fast = parse_tempo("2-0-x-0")
    assert fast.raising_s is None
    assert fast.over(0.42).raising_s == pytest.approx(0.42 / AS_FAST_M_S)


def test_as_fast_as_possible_is_never_faster_than_a_stroke_may_be() -> None:
    assert parse_tempo("2-0-X-0").over(0.01).raising_s == LEAST_STROKE_S


def test_a_stated_time_does_not_depend_on_the_travel() -> None:
    assert parse_tempo("2-0-2-0").over(0.42) == parse_tempo("2-0-2-0")


FIGURES = "it must be four figures in seconds, lowering-bottom-raising-top, such as 2-0-2-0 or 3-1-X-0"


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", f"tempo is ''; {FIGURES}"),
        ("2-0-2", f"tempo is '2-0-2'; {FIGURES}"),
        ("2-0-2-0-1", f"tempo is '2-0-2-0-1'; {FIGURES}"),
        ("2-0-fast-0", f"tempo is '2-0-fast-0'; {FIGURES}"),
        ("2--2-0", f"tempo is '2--2-0'; {FIGURES}"),
        ("-2-0-2-0", f"tempo is '-2-0-2-0'; {FIGURES}"),
        ("1e3-0-2-0", f"tempo is '1e3-0-2-0'; {FIGURES}"),
        ("X-0-2-0", "tempo is 'X-0-2-0'; it must be with X in the third place only"),
        ("2-X-2-0", "tempo is '2-X-2-0'; it must be with X in the third place only"),
        ("0-0-2-0", "lowering is 0 s; it must be from 0.2 to 60 s"),
        ("2-0-0-0", "raising is 0 s; it must be from 0.2 to 60 s, or X"),
        ("2-0-61-0", "raising is 61 s; it must be from 0.2 to 60 s, or X"),
        ("2-61-2-0", "the pause at the bottom is 61 s; it must be from 0 to 60 s"),
        ("2-0-2-100", "the pause at the top is 100 s; it must be from 0 to 60 s"),
    ],
)
def test_what_is_no_tempo_is_told_in_one_line(text: str, told: str) -> None:
    with pytest.raises(OutOfRange) as refused:
        parse_tempo(text)
    assert told in str(refused.value)
    assert "\n" not in str(refused.value)


def test_a_time_that_is_no_number_is_refused() -> None:
    with pytest.raises(OutOfRange, match="lowering is nan s"):
        Tempo(float("nan"), 0.0, 2.0, 0.0)
