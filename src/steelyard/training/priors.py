"""What is believed of an exercise before any set of it: a share of body mass, far from sure.

Shares are of felt load and between the means of men and women, who differ by half; so the error is wide, and
related exercises narrow it as soon as one of them is known.
"""

from __future__ import annotations

import math

from steelyard.strength.curve import REPS_SCALE
from steelyard.strength.lifts import Lift
from steelyard.training.model import Exercise
from steelyard.training.rules import fractional_sets

MAX_SHARES = {
    "vertical_pull": 0.72,
    "horizontal_pull": 0.75,
    "horizontal_push": 0.60,
    "vertical_push": 0.42,
    "vertical_push_down": 0.60,
    "elbow_flexion": 0.31,
    "elbow_extension": 0.31,
    "squat": 1.40,
    "hinge": 1.20,
    "lunge": 0.70,
    "ankle_plantarflexion": 1.20,
    "scapular_elevation": 1.00,
}
"""Fresh maximum as a share of body mass, by pattern. Pulldown 0.93 and 0.55 (Johnson 2009, doi
10.1519/JSC.0b013e3181a2d7f5), here their geometric mean; curls 0.43 of pulldowns (college women, doi
10.1080/02701367.1994.10607605); presses 1 / 0.517 of curls (Hutchins and Gearhart 2010). The rest is judged."""
OTHER_SHARE = 0.25
ONE_ARM = 0.5
"""One arm moves about half of what two move (common practice)."""
KNOWN_SD = 0.40
"""Of patterns with a source: men and women together, 0.33, and what one station hides, 0.2."""
JUDGED_SD = 0.55
NO_BODY_MASS_KG, NO_BODY_MASS_SD = 72.0, 0.2
SOURCED = frozenset({"vertical_pull", "horizontal_pull", "horizontal_push", "elbow_flexion"})
REPS_SCALES = {"vertical_pull": 36.6, "squat": 44.0}
"""Where a load allows more reps than the chart says: 9.9 at 80 % in the pulldown (Johnson 2009), 11.8 in the leg
press of weightlifters (Richens and Cleather 2014, doi 10.5604/20831862.1099047)."""


def lift_of(exercise: Exercise, station: str, machine: str, body_mass_kg: float | None) -> Lift:
    """An exercise on a station of a machine, as strength knows it before any set of it.

    body_mass_kg: None if not known. [kg]
    """
    share = MAX_SHARES.get(exercise.pattern, OTHER_SHARE) * (ONE_ARM if exercise.one_arm else 1.0)
    sd = KNOWN_SD if exercise.pattern in SOURCED else JUDGED_SD
    if body_mass_kg is None:
        body_mass_kg, sd = NO_BODY_MASS_KG, math.hypot(sd, NO_BODY_MASS_SD)
    return Lift(
        name=lift_name(exercise.id, station, machine),
        log_max=math.log(share * body_mass_kg),
        sd_log=sd,
        reps_scale=REPS_SCALES.get(exercise.pattern, REPS_SCALE),
        muscles=fractional_sets(exercise),
    )


def lift_name(exercise: str, station: str, machine: str) -> str:
    """The name under which strength knows an exercise on a station of a machine.

    >>> lift_name("curl_lever", "curl-pad", "boathouse")
    'curl_lever at curl-pad of boathouse'
    """
    return f"{exercise} at {station} of {machine}"
