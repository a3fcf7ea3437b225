"""A station without horns, which the body alone loads: push-ups on the handles."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from random import Random

import pytest

from steelyard.home import make_home, read_home
from steelyard.journal.memory import MemoryJournal
from steelyard.live.screen import screen
from steelyard.service import Steelyard
from steelyard.units import Unit
from steelyard.workshop.sets import log_set

PUSH_UPS = '[[exercise]]\ndo = "chest_press_lever"\nreps = [8, 10]\nrir = [2]\n' + (
    '[[exercise]]\ndo = "push_up"\nreps = [8, 10]\nrir = [2, 1]\n'
)
BODY_KG = 70.0
HANDS_SHARE = 0.68
"""Of the body's mass: `share` of the station in the example machine twin-arms."""


@pytest.fixture
def gym(tmp_path: Path) -> Steelyard:
    make_home(tmp_path, "twin-arms")
    (tmp_path / "outlines" / "pushing.toml").write_text(f'name = "pushing"\n{PUSH_UPS}', encoding="utf-8")
    opened = Steelyard(
        read_home(tmp_path),
        MemoryJournal(),
        clock=lambda: datetime(2026, 3, 1, 18, tzinfo=UTC),
        random=Random(1),
        origin="test",
    )
    opened.add_lifter("ida", "Ida", Unit.KG, 10)
    opened.record_body_mass("ida", BODY_KG)
    return opened


def test_push_ups_are_done_to_the_end_with_the_body_alone(gym: Steelyard) -> None:
    session = gym.start_session("ida", "pushing")
    felt_kg = []
    while (one := gym.session(session).current) is not None:
        if one.exercise == "push_up":
            felt_kg.append(one.felt_kg)
            assert not any(one.loading.values())
        log_set(gym, session, one.slot, one.reps_high, rir=2)
    assert felt_kg
    assert felt_kg == pytest.approx([HANDS_SHARE * BODY_KG] * len(felt_kg))


def test_the_screen_of_a_push_up_asks_for_no_plates(gym: Steelyard) -> None:
    session = gym.start_session("ida", "pushing")
    cards = screen(gym, [session])["cards"]
    pushing = [card for card in cards if card["exercise"] == "push_up"]
    assert pushing
    assert {card["lead"] for card in pushing} == {"The plates stay as they are."}
