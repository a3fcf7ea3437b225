"""What people are like before anything is known of one: the priors and the noise that belief starts from.

Everything is a share of load, as a natural logarithm, unless its unit is named. Fitted figures come from
builders/fit_population.py, run on an open trial of 145 trained people who did one set to failure on three
machines, twice a week for twelve weeks (Steele, Fisher, Wolf and others, preregistered; repository
jamessteeleii/lenthened_partial_trial; CC BY-NC-SA 4.0: no row of it is kept here, the constants are facts).
docs/model-strength.md says how.
"""

from __future__ import annotations

import math

from steelyard.strength.recovery import SD_LN_SLOW_S, SD_LN_SLOW_S_STUDIES, SD_LOGIT_FAST_SHARE

REPS_SCALE_SD = 0.12
"""Spread between people of the logarithm of that scale. With the noise of a set and that of a tested maximum (4.2
%, Grgic 2020, doi 10.1186/s40798-020-00260-z) it makes the 2.5 reps that men differ by at 80 % in the pulldown
(Johnson 2009, doi 10.1519/JSC.0b013e3181a2d7f5)."""
FAST_SHARE_SD = SD_LOGIT_FAST_SHARE
SLOW_S_SD = math.hypot(SD_LN_SLOW_S, SD_LN_SLOW_S_STUDIES)
"""Between people and between the studies that the typical one was fitted to."""

# ---- what one set scatters by ----

SET_SD = 0.018
"""Scatter of one set about what form and fatigue allow, where the curve is the typical one; it scatters by as
many reps where it is not. Fitted. With a day's form and the counting of whole reps a retest scatters by 0.9 reps
at 90 %
and 1.2 at 70 % of the maximum, odd sets apart; 0.7 and 1.1 were seen (Mitter 2022, doi
10.1371/journal.pone.0268074)."""
ODD_SHARE = 0.045
"""Share of sets that are odd: wrongly counted, wrongly typed, broken off, half slept. Fitted."""
ODD_SD = 0.10
"""Scatter of those. Fitted."""
DAY_SD = 0.018
"""Scatter of a day's form, which all its sets share. Fitted: 0.008 to 0.023, as other parts of the model are
varied."""

# ---- reps said to be left ----

CANDOUR = 0.2
CANDOUR_SD = 0.4
"""Who says s reps are left has s + candour (1 + s) / 2: lifters have more left than they say, 0.95 reps on average
over mixed guesses (Halperin 2022, doi 10.1007/s40279-021-01559-x), -0.17 in trained ones at 1 and 3 (Refalo 2024,
doi 10.1519/JSC.0000000000004653). How people differ in it is judged from those rows."""
LONG_SET_REPS = 12
"""Above it the error of reps said to be left doubles: it grows by 0.06 a rep below, by 0.47 above (Halperin)."""
MOST_REPS = 40
"""Sets of more reps to failure say nothing: no curve was checked there."""
FARTHEST = 3.0
"""No load is looked at that is further from the maximum than this."""

# ---- from week to week ----

DRIFT_SD = 0.0084
"""Scatter of a week's change that all lifts share, per root of a week, in trained people. Fitted."""
OWN_DRIFT_SD = 0.0024
"""The same for each lift by itself. Fitted."""
GAIN_PER_LOG_WEEK = 0.10
GAIN_SETS_IN_WEEKS = 3.0
"""Gain of the typical trainee: strength goes with the logarithm of the weeks trained, 0.076 to 0.127 for each
factor e (Steele 2022, doi 10.1080/02701367.2022.2070592, 14,690 people), set in so that the first weeks bring 3 %
(3.2 to 3.5 in untrained men, Ogasawara 2011)."""
GAIN_CV = 0.57
"""How people differ in that gain, relative (Hubal 2005: 0.55 in men, 0.59 in women)."""
BREAK_DAYS = 14.0
"""A longer time between sessions is a break: gains stop at it, losses begin."""
LOSS_PER_WEEK, LOSS_SD_PER_WEEK = 0.004, 0.008
"""What a week of break beyond that costs: about 2 % in seven weeks and very uncertain. Three weeks off cost -1 to
2 % (Ogasawara); ten weeks cost what five bring back (Halonen 2024). Judged."""
LEARNING = 0.0098
LEARNING_SD = 0.035
LEARNING_SESSIONS = 2.0
"""What one learns of a new lift between its first two sessions, and its scatter; both die away with so many
sessions. Fitted."""

# ---- loads that people choose by themselves ----

CHOICE_SD = 0.065
"""A load that someone chose is one at which they expect their usual reps; how well they know. Fitted."""
JUMP = 1.25
"""A load that someone changed by much says that something else changed too: so much of the change, as a standard
deviation. Fitted."""
FARTHEST_CHOICE = 0.6
"""A load further from the last one, in log load, is mistyped or meant otherwise: its choice says nothing."""
USUAL_REPS = 8.3
USUAL_PULL = 0.6
"""Reps that people choose a load for: this far on the way from those of their latest sets to the common number."""
RECENT = 0.4
"""Weight of the latest set in those. Fitted, as the two above."""
FIRST_CHOICE_REPS, FIRST_CHOICE_SD = 12.5, 0.2
"""The same for the first set on a lift: chosen to be on the light side."""

NEAR_MAX_REPS = 3.0
"""Below so many reps the rest model is known to fail (second singles succeed that it calls impossible)."""
NEAR_MAX_DOUBT = 0.5
"""There, what is taken to be missing is doubted by this share of it."""


def gain_per_week(weeks: float) -> float:
    """Mean gain of a week after so many weeks of training.

    >>> round(gain_per_week(0.0), 3), round(gain_per_week(52.0), 4)
    (0.033, 0.0018)
    """
    return GAIN_PER_LOG_WEEK / (GAIN_SETS_IN_WEEKS + max(0.0, weeks))


def rir_error_reps(said: int, reps: int) -> float:
    """Standard deviation of the reps really left about those said, candour apart. [reps]

    said: reps said to be left. reps: done in the set.

    Judged from Zourdos 2021 (doi 10.1519/JSC.0000000000002995), Refalo 2024 and the rows of Halperin 2022.

    >>> rir_error_reps(1, 10), rir_error_reps(3, 10)
    (0.8, 1.2)
    """
    sd = round(0.6 + 0.2 * said, 6)
    return 2.0 * sd if reps > LONG_SET_REPS else sd


def candour_weight(said: float) -> float:
    """How much candour counts at so many reps said to be left."""
    return 0.5 * (1.0 + said)
