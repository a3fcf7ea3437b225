"""What a bent-over row asks of the lower back: a moment and a compression, as context and never as a verdict.

Static and in one plane: the trunk is a straight beam from the hip, the back muscles pull at one lever behind the
spine, and the load pulls straight down at the shoulders. See docs/model-body.md for what that leaves out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from steelyard.errors import OutOfRange
from steelyard.machine.body import Body
from steelyard.units import STANDARD_GRAVITY

PARTS = ((0.355, 0.37), (0.081, 1.15), (0.10, 0.90))
"""Thorax with abdomen, head with neck, both arms: share of body mass, and centre from the lowest disc in lengths
of the trunk.

Source: Dempster 1955 as given in Winter (read in BMClab/BMC, data/BSP_DempsterWinter.txt): .355 with its centre
.63 from the neck's end, .081, twice .050. The places of head and arms are from memory."""
SHOULDER_AT = 0.95
"""Where the arms pull, in lengths of the trunk from the lowest disc (from memory)."""
MUSCLE_ARMS_M = (0.05, 0.06)
"""Lever of the back muscles behind the spine: 5 to 6 cm (5 read in a student laboratory's sheet; the range from
memory). [m]"""
REFERENCE_N = 3400.0
"""The usual reference value for compression, used since 1981: NIOSH design value. [N]

Source: read in Arjmand 2015, Int J Ind Ergon 47:1, which questions a fixed limit."""


@dataclass(frozen=True, slots=True)
class TrunkLoad:
    """At the lowest disc of the spine: moment of the body's own weight and of both, and compression as a range."""

    own_n_m: float
    moment_n_m: float
    compression_n: tuple[float, float]


def trunk_load(body: Body, force_n: float, trunk_rad: float) -> TrunkLoad:
    """Moment and compression at the lowest disc in a bent-over row, held still.

    force_n:   what both hands together pull, straight down on the shoulders. [N]
    trunk_rad: the trunk above the horizontal. [rad]

    Raises: OutOfRange if the trunk is not between level and upright, or the force pushes up.
    Source: sums of moments; shares from Dempster and Winter; see docs/model-body.md.

    >>> from math import radians
    >>> load = trunk_load(Body(1.80, 85.0), 400.0, radians(30))
    >>> round(load.own_n_m), round(load.moment_n_m)
    (118, 288)
    """
    if not 0.0 <= trunk_rad <= math.pi / 2:
        raise OutOfRange(
            "trunk", f"{math.degrees(trunk_rad):g} degrees over the horizontal", "from 0 to 90 degrees"
        )
    if not 0.0 <= force_n < math.inf:
        raise OutOfRange("handle force", f"{force_n:g} N", "0 N or more")
    level_m = body.trunk_m * math.cos(trunk_rad)
    own_n_m = STANDARD_GRAVITY * body.mass_kg * level_m * sum(share * at for share, at in PARTS)
    moment_n_m = own_n_m + force_n * SHOULDER_AT * level_m
    above_n = STANDARD_GRAVITY * body.mass_kg * sum(share for share, _ in PARTS)
    along_n = (above_n + force_n) * math.sin(trunk_rad)
    low_n, high_n = (moment_n_m / lever_m + along_n for lever_m in reversed(MUSCLE_ARMS_M))
    return TrunkLoad(own_n_m, moment_n_m, (low_n, high_n))
