"""Plate masses and the constants behind them, against what standards and tables print.

Sources:
- NIST Special Publication 811 (2008 edition), appendix B.8: pound (avoirdupois) to kilogram, factor 4.535 923 7
  E-01, printed in bold there since it is exact (from memory of the page; the value is the international yard and
  pound agreement of 1959).
- Standard acceleration of free fall 9.806 65 m/s²: 3rd CGPM, 1901; NIST SP 811, appendix B.8, exact.
- Conversion of common pound plates to the gram, a table worked out from that factor: 45, 35, 25, 10, 5, 2.5 lb.
- Rules of an international powerlifting federation, read in a translation: discs of 20 kg and more are no thicker
  than 6 cm. Discs up to 15 kg no thicker than 3 cm and none wider than 450 mm: the same rules, from memory.
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from steelyard.plates.example import example_text
from steelyard.plates.file import DENSEST_KG_M3, USUAL_DIAMETERS_MM, read_inventory
from steelyard.plates.loading import plates_kg
from steelyard.plates.model import Plate
from steelyard.units import KG_PER_LB, STANDARD_GRAVITY, newtons, parse_mass, show_mass

HALF_DIGIT_KG = 0.0005
POUND_PLATES = [
    ("45 lb", 20.412),
    ("35 lb", 15.876),
    ("25 lb", 11.340),
    ("10 lb", 4.536),
    ("5 lb", 2.268),
    ("2.5 lb", 1.134),
]


def test_the_pound_and_gravity_are_exact() -> None:
    assert Decimal("0.45359237") == KG_PER_LB
    assert STANDARD_GRAVITY == 9.80665
    assert newtons(1.0) == 9.80665


@pytest.mark.parametrize(("cast", "printed_kg"), POUND_PLATES)
def test_a_pound_plate_weighs_what_the_table_prints(cast: str, printed_kg: float) -> None:
    assert plates_kg((Plate(cast, parse_mass(cast), 0.03),)) == pytest.approx(printed_kg, abs=HALF_DIGIT_KG)


def test_a_45_lb_plate_is_not_a_20_kg_plate() -> None:
    # Printed beside the table: 2.06 % more.
    assert 100 * (parse_mass("45 lb").kg / 20 - 1) == pytest.approx(2.06, abs=0.005)
    assert show_mass(20.0, parse_mass("45 lb").unit, places=2) == "44.09 lb"


def test_the_usual_diameters_stay_within_the_largest_disc_of_the_rules() -> None:
    # A loose check: 450 mm is from memory.
    assert max(diameter for _, diameter in USUAL_DIAMETERS_MM) == 450.0


def test_plates_at_the_limits_of_the_rules_are_accepted() -> None:
    # 6 cm is the most the rules allow at 20 kg and above; 3 cm up to 15 kg is from memory.
    text = "".join(
        f'[[plate]]\nmass = "{mass}"\nthickness_mm = {thickness}\ndiameter_mm = 450\nhole_mm = 52\npairs = 1\n'
        for mass, thickness in (("25 kg", 60), ("20 kg", 60), ("15 kg", 30))
    )
    assert len(read_inventory(text, "rules.toml").counts) == 3


def test_a_solid_disc_of_cast_iron_is_well_above_the_least_thickness_accepted() -> None:
    # Worked out from a cast iron of 7200 kg/m³ (a handbook value, from memory): 20 kg, 450 mm, is 17.7 mm thick.
    least_mm = 17.7 * 7200.0 / DENSEST_KG_M3
    assert least_mm < 17.7 * 0.7
    text = '[[plate]]\nmass = "20 kg"\nthickness_mm = 17.7\ndiameter_mm = 450\npairs = 1\n'
    assert len(read_inventory(text, "iron.toml").counts) == 1


def test_the_example_rack_is_of_plates_as_they_are_made() -> None:
    # Loose, from memory: solid plates are 12 mm thick at 1.25 kg and 30 to 40 mm at 20 kg.
    for plate in read_inventory(example_text(), "example.toml").counts:
        assert 0.010 <= plate.thickness_m <= 0.045
        assert plate.diameter_m <= 0.45
