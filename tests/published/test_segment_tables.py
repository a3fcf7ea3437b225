"""Segments of the body against the tables they come from, and one table against the other.

Sources, each as printed in segment_tables.toml: Drillis and Contini 1966 and Dempster 1955 as given in Winter; de
Leva 1996. Tolerance: half the last printed digit, unless two independent tables are compared.
"""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from steelyard.machine.body import Body, Table
from steelyard.machine.trunk import PARTS

TABLES: dict[str, Any] = tomllib.loads(Path(__file__).with_name("segment_tables.toml").read_text(encoding="utf-8"))
LENGTHS, DE_LEVA, DEMPSTER = TABLES["lengths"], TABLES["de_leva"], TABLES["dempster"]
TWO_METRES = Body(2.0, 100.0)
"""Shares are read off a body of 2 m and 100 kg."""


def half_digit(table: dict[str, Any]) -> float:
    return float(0.5 * 10 ** -table["digits"])


def grip_over_wrist_m(body: Body) -> float:
    return body.grip_m - body.forearm_m


@pytest.mark.parametrize(
    ("found_m", "printed"),
    [
        (TWO_METRES.forearm_m, LENGTHS["forearm"]),
        (TWO_METRES.arm_m - TWO_METRES.grip_m, LENGTHS["upper_arm"]),
        (TWO_METRES.elbow_height_m, LENGTHS["shoulder_height"] - LENGTHS["upper_arm"]),
        (TWO_METRES.trunk_m, LENGTHS["shoulder_height"] - LENGTHS["hip_height"]),
    ],
)
def test_a_length_is_the_printed_share_of_stature(found_m: float, printed: float) -> None:
    assert found_m / 2.0 == pytest.approx(printed, abs=half_digit(LENGTHS))


@pytest.mark.parametrize("table", ["men", "women"])
def test_forearm_and_hand_weigh_the_printed_share(table: str) -> None:
    body, printed = Body(1.75, 100.0, Table(table)), DE_LEVA[table]
    assert body.forearm_kg / 100.0 == pytest.approx(printed["forearm"], abs=half_digit(DE_LEVA))
    assert body.hand_kg / 100.0 == pytest.approx(printed["hand"], abs=half_digit(DE_LEVA))


@pytest.mark.parametrize("table", ["men", "women"])
def test_the_forearms_centre_lies_where_it_is_printed(table: str) -> None:
    body, printed = Body(1.75, 100.0, Table(table)), DE_LEVA[table]
    of_forearm = body.forearm_moment_kg_m - body.hand_kg * body.grip_m
    share = of_forearm / body.forearm_kg / body.forearm_m
    assert share == pytest.approx(printed["forearm_com"], abs=half_digit(DE_LEVA))


def test_the_mean_body_lies_midway_between_the_two_tables() -> None:
    men, women, mean = (Body(1.75, 80.0, table).forearm_moment_kg_m for table in Table)
    assert mean == pytest.approx((men + women) / 2, rel=1e-3)
    assert women < mean < men


def test_the_whole_arm_is_dempsters() -> None:
    assert Body(1.75, 100.0).arm_kg / 100.0 == pytest.approx(
        DEMPSTER["whole_arm"]["mass"], abs=half_digit(DEMPSTER)
    )


def test_the_other_table_gives_nearly_the_same_moment_of_forearm_and_hand() -> None:
    # Dempster has forearm and hand as one, with its centre from the elbow as a share of elbow to wrist; the two
    # tables measured other people, so they agree to some percent only.
    body, printed = Body(1.80, 85.0, Table.MEN), DEMPSTER["forearm_hand"]
    assert body.forearm_moment_kg_m == pytest.approx(
        printed["mass"] * 85.0 * printed["com"] * body.forearm_m, rel=0.05
    )


def test_both_tables_give_the_whole_arm_about_the_same_mass() -> None:
    for table in ("men", "women"):
        parts = sum(DE_LEVA[table][part] for part in ("upper_arm", "forearm", "hand"))
        assert parts == pytest.approx(DEMPSTER["whole_arm"]["mass"], rel=0.11)


def test_the_parts_over_the_lowest_disc_are_dempsters() -> None:
    shares = [share for share, _ in PARTS]
    printed = [
        DEMPSTER["thorax_abdomen"]["mass"],
        DEMPSTER["head_neck"]["mass"],
        2 * DEMPSTER["whole_arm"]["mass"],
    ]
    assert shares == pytest.approx(printed, abs=half_digit(DEMPSTER))


def test_thorax_and_abdomen_have_their_centre_where_it_is_printed() -> None:
    # Printed from the neck's end; used from the lowest disc.
    assert 1.0 - PARTS[0][1] == pytest.approx(DEMPSTER["thorax_abdomen"]["com_from_neck"], abs=0.005)


def test_dempsters_parts_add_up_to_his_sums() -> None:
    hat = DEMPSTER["trunk_head_neck"]["mass"] + 2 * DEMPSTER["whole_arm"]["mass"]
    assert hat == pytest.approx(DEMPSTER["hat"]["mass"], abs=half_digit(DEMPSTER))
    both = DEMPSTER["forearm"]["mass"] + DEMPSTER["hand"]["mass"]
    assert both == pytest.approx(DEMPSTER["forearm_hand"]["mass"], abs=half_digit(DEMPSTER))


def test_the_grip_lies_within_what_is_remembered() -> None:
    # A loose check: 5 to 7 cm beyond the wrist is from memory.
    assert 0.05 <= grip_over_wrist_m(TWO_METRES) <= 0.07
