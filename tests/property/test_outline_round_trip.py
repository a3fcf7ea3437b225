"""What was read from an outline is written and read again as the very same outline."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from steelyard.training.exercises import exercises
from steelyard.training.model import Outline, OutlineItem, Technique
from steelyard.training.outline import read_outline, write_outline
from steelyard.training.outlines import outline_names, outline_text

TEXTS = st.text(min_size=1, max_size=40).filter(lambda text: text.isprintable() and text.strip() == text)


@st.composite
def items(draw: st.DrawFn, *, superset: bool = False) -> OutlineItem:
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
        superset=superset,
    )


@st.composite
def item_lists(draw: st.DrawFn) -> tuple[OutlineItem, ...]:
    """Up to six exercises, some of which alternate with a different one before."""
    found = [draw(items())]
    for _ in range(draw(st.integers(0, 5))):
        found.append(draw(items(superset=draw(st.booleans()))))
        before = [item.exercise for item in found[:-1]]
        if found[-1].exercise in before:
            found[-1] = replace(found[-1], superset=False)
    return tuple(found)


OUTLINES = st.builds(
    Outline,
    st.from_regex(r"[a-z][a-z0-9_-]{0,39}", fullmatch=True),
    TEXTS,
    item_lists(),
    st.just("") | TEXTS,
)


@given(OUTLINES)
def test_an_outline_survives_writing(outline: Outline) -> None:
    assert read_outline(write_outline(outline), "again.toml", exercises()) == outline


@pytest.mark.parametrize("name", outline_names())
def test_a_shipped_outline_survives_writing(name: str) -> None:
    outline = read_outline(outline_text(name), name, exercises())
    assert read_outline(write_outline(outline), "again.toml", exercises()) == outline
