"""How long and how heavy a lifter's segments are, from stature and body mass.

Lengths are shares of stature, masses shares of body mass: right for a group on average, and a few centimetres off
for one person. See docs/model-body.md.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from steelyard.errors import OutOfRange

UPPER_ARM, FOREARM = 0.186, 0.146
SHOULDER_HEIGHT, HIP_HEIGHT = 0.818, 0.530
"""Lengths as shares of stature. Source: Drillis and Contini 1966, as given in Winter, Biomechanics and Motor
Control of Human Movement (read in public code that quotes the table)."""

WRIST_TO_GRIP_M = 0.06
"""From the wrist to the middle of what the hand holds, taken as the centre of the hand too: 5 to 7 cm (from
memory). [m]"""

WHOLE_ARM_MASS, WHOLE_ARM_COM = 0.050, 0.530
"""Arm with hand: share of body mass; centre from the shoulder, as a share of the way to the wrist. Source:
Dempster 1955 as given in Winter (read in BMClab/BMC, data/BSP_DempsterWinter.txt)."""

STATURES_M = (1.20, 2.30)
MASSES_KG = (25.0, 300.0)
"""What is taken to be a stature, and a body mass: a choice. The tables were measured on adults."""


class Table(StrEnum):
    """Which table of forearm and hand: measured on men, on women, or the mean of both."""

    MEN = "men"
    WOMEN = "women"
    MEAN = "mean"


@dataclass(frozen=True, slots=True)
class ArmShares:
    """Mass of forearm and hand as shares of body mass, and the forearm's centre from the elbow, of its length."""

    forearm: float
    forearm_com: float
    hand: float


DE_LEVA = {
    Table.MEN: ArmShares(0.0162, 0.4574, 0.0061),
    Table.WOMEN: ArmShares(0.0138, 0.4559, 0.0056),
    Table.MEAN: ArmShares(0.0150, 0.45665, 0.00585),
}
"""Source: de Leva 1996, J Biomech 29:1223, doi 10.1016/0021-9290(95)00178-6 (read in BMClab/BMC,
data/BSPmale_ZdeLeva.txt and BSPfemale_ZdeLeva.txt). The mean of the two is ours."""


@dataclass(frozen=True, slots=True)
class Body:
    """A lifter as segments: stature [m], body mass [kg], and the table of forearm and hand.

    Raises: OutOfRange if the stature or the mass can't be a person's.

    >>> body = Body(1.80, 85.0, Table.MEN)
    >>> round(body.grip_m, 3), round(body.forearm_kg, 2)
    (0.323, 1.38)
    """

    stature_m: float
    mass_kg: float
    table: Table = Table.MEAN

    def __post_init__(self) -> None:
        """Refuse what can't be a person's."""
        if not STATURES_M[0] <= self.stature_m <= STATURES_M[1]:
            accepted = (
                f"from {STATURES_M[0] * 100:.0f} to {STATURES_M[1] * 100:.0f} cm, such as 178 cm or 5 ft 10 in"
            )
            raise OutOfRange("stature", f"{self.stature_m * 100:g} cm", accepted)
        if not MASSES_KG[0] <= self.mass_kg <= MASSES_KG[1]:
            raise OutOfRange("body mass", f"{self.mass_kg:g} kg", f"from {MASSES_KG[0]:g} to {MASSES_KG[1]:g} kg")

    @property
    def forearm_m(self) -> float:
        """Elbow to wrist. [m]"""
        return FOREARM * self.stature_m

    @property
    def grip_m(self) -> float:
        """Elbow to the middle of the grip. [m]"""
        return self.forearm_m + WRIST_TO_GRIP_M

    @property
    def arm_m(self) -> float:
        """Shoulder to the middle of the grip, arm straight. [m]"""
        return UPPER_ARM * self.stature_m + self.grip_m

    @property
    def elbow_height_m(self) -> float:
        """Elbow over the floor, standing with a hanging upper arm. [m]"""
        return (SHOULDER_HEIGHT - UPPER_ARM) * self.stature_m

    @property
    def trunk_m(self) -> float:
        """Hip to shoulder. [m]"""
        return (SHOULDER_HEIGHT - HIP_HEIGHT) * self.stature_m

    @property
    def forearm_kg(self) -> float:
        """Mass of one forearm. [kg]"""
        return DE_LEVA[self.table].forearm * self.mass_kg

    @property
    def hand_kg(self) -> float:
        """Mass of one hand. [kg]"""
        return DE_LEVA[self.table].hand * self.mass_kg

    @property
    def forearm_moment_kg_m(self) -> float:
        """Mass times distance from the elbow of one forearm and hand, along the forearm. [kg m]"""
        centre_m = DE_LEVA[self.table].forearm_com * self.forearm_m
        return self.forearm_kg * centre_m + self.hand_kg * self.grip_m

    @property
    def arm_kg(self) -> float:
        """Mass of one whole arm. [kg]"""
        return WHOLE_ARM_MASS * self.mass_kg
