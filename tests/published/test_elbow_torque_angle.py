"""What an elbow can give over its flexion, against the musculoskeletal model it comes from.

Source: BMClab/BMC, data/r_elbowflexors.mot and data/f_elbowflexors.mot, rows as printed in elbow_flexors.json:
moment arms and fully active forces of both heads of the biceps and of the brachialis. Torque is the sum of force
times arm; peak 66 N m. Murray, Buchanan and Delp 2000, J Biomech 33:943: biceps moment arm 4.7 cm at its peak.
"""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest

from steelyard.machine.joints import CAPACITY, PEAK_PER_KG_N_M, capacity_share

ROWS = json.loads(Path(__file__).with_name("elbow_flexors.json").read_text(encoding="utf-8"))["rows"]
FLEXIONS_DEG = [row[0] for row in ROWS]
TORQUES_N_M = [biceps * (long + short) + brachialis * force for _, biceps, brachialis, long, short, force in ROWS]
PEAK_N_M = max(TORQUES_N_M)
SHARES = dict(zip(FLEXIONS_DEG, (torque / PEAK_N_M for torque in TORQUES_N_M), strict=True))


def nearest_row(flexion_deg: float) -> float:
    return min(FLEXIONS_DEG, key=lambda printed: abs(printed - flexion_deg))


@pytest.mark.parametrize(("flexion_deg", "share"), CAPACITY)
def test_every_row_is_the_tables(flexion_deg: float, share: float) -> None:
    printed_deg = nearest_row(flexion_deg)
    assert flexion_deg == pytest.approx(printed_deg, abs=0.0006)
    assert share == pytest.approx(SHARES[printed_deg], abs=0.00006)


@pytest.mark.parametrize("flexion_deg", FLEXIONS_DEG)
def test_straight_lines_between_rows_stay_near_the_table(flexion_deg: float) -> None:
    found = capacity_share(math.radians(min(flexion_deg, 130.0)))
    assert found == pytest.approx(SHARES[flexion_deg], abs=0.005)


# Shares as worked out beforehand by another hand from the same table, to two digits, at rounded flexions.
@pytest.mark.parametrize(
    ("flexion_deg", "share"),
    [(0, 0.37), (16, 0.50), (32, 0.63), (60, 0.88), (75, 0.98), (91, 0.99), (105, 0.92), (120, 0.76), (130, 0.63)],
)
def test_an_independent_reckoning_agrees(flexion_deg: int, share: float) -> None:
    # Half the last digit, and what half a degree can change at the steepest place (1.4 % a degree).
    assert capacity_share(math.radians(flexion_deg)) == pytest.approx(share, abs=0.005 + 0.007)


def test_the_table_peaks_at_66_newton_metres() -> None:
    assert round(PEAK_N_M) in (66, 67)
    assert max(row[1] for row in ROWS) == pytest.approx(0.049, abs=0.0005)


def test_the_tables_biceps_arm_is_that_measured_on_cadavers() -> None:
    # Murray 2000 prints 4.7 cm; the model is another set of people.
    assert max(row[1] for row in ROWS) == pytest.approx(0.047, rel=0.06)


def test_the_models_peak_is_one_that_people_reach() -> None:
    # Lategan and Kruger 2003: 0.78 ± 0.12 N m per kg of body mass, so 66 N m is usual from 73 to 100 kg.
    mean, spread = PEAK_PER_KG_N_M
    assert (mean, spread) == (0.78, 0.12)
    assert (mean - spread) * 100 <= PEAK_N_M <= (mean + spread) * 75
