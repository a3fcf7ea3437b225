"""What was read from an outline is written and read again as the very same outline."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from steelyard.training.exercises import exercises
from steelyard.training.model import Outline, OutlineItem, Technique
from steelyard.training.outline import read_outline, write_outline
from steelyard.training.outlines import outline_names, outline_text

TEXTS = st.text(min_size=1, max_size=40).filter(lambda text: text.isprintable() and text.strip() == text)


@st.composite
def items(draw: st.DrawFn) -> OutlineItem:
    low, high = sorted((draw(st.integers(1, 50)), draw(st.integers(1, 50))))
    after = draw(st.sampled_from(Technique))
    return OutlineItem(
        exercise=draw(st.sampled_from(sorted(exercises()))),
        reps_low=low,
        reps_high=high,
        rir=tuple(draw(st.lists(st.integers(0, 6), min_size=1, max_size=10))),
        rest_s=draw(st.integers(0, 600_000)) / 1000,
        after=after,
        rounds=0 if after is Technique.STRAIGHT else draw(st.integers(1, 4)),
    )


OUTLINES = st.builds(
    Outline,
    st.from_regex(r"[a-z][a-z0-9_-]{0,39}", fullmatch=True),
    TEXTS,
    st.lists(items(), min_size=1, max_size=6).map(tuple),
    st.just("") | TEXTS,
)


@given(OUTLINES)
def test_an_outline_survives_writing(outline: Outline) -> None:
    assert read_outline(write_outline(outline), "again.toml", exercises()) == outline


@pytest.mark.parametrize("name", outline_names())
def test_a_shipped_outline_survives_writing(name: str) -> None:
    outline = read_outline(outline_text(name), name, exercises())
    assert read_outline(write_outline(outline), "again.toml", exercises()) == outline
