"""A machine's label decides who may use it."""

from __future__ import annotations

import pytest

from steelyard.errors import LimitExceeded, OutOfRange
from steelyard.machine.model import Machine
from steelyard.machine.rating import check_user

LABEL = Machine("Beam", {}, {}, {}, rated_user_kg=136.077711)


def test_a_lifter_of_just_the_rated_mass_may_train() -> None:
    check_user(LABEL, 136.0777)


def test_a_heavier_lifter_is_refused_with_both_figures() -> None:
    with pytest.raises(
        LimitExceeded, match=r"user mass would be 140.0 kg; it must not exceed 136.1 kg: Beam is not"
    ):
        check_user(LABEL, 140.0)


def test_a_label_that_says_nothing_refuses_nobody() -> None:
    check_user(Machine("Bench", {}, {}, {}), 400.0)


@pytest.mark.parametrize("mass", [0.0, -80.0, float("nan"), float("inf")])
def test_what_is_no_body_mass_is_refused(mass: float) -> None:
    with pytest.raises(OutOfRange, match="body mass is"):
        check_user(LABEL, mass)
