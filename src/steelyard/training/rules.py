"""Rules of handbooks and of the trade, each a constant or a small function with its source.

"Common practice" marks what the trade does without a study behind it; "a choice" what this project decided within
what the sources leave open. None of it is medical advice.
"""

from __future__ import annotations

from collections.abc import Mapping

from steelyard.errors import OutOfRange
from steelyard.training.exercises import MUSCLES
from steelyard.training.model import Exercise, Outline

# ---- loads ----

ACSM_RISE = (0.02, 0.10)
"""Least and most by which to raise the load once one or two reps more than wanted are done. Source: American
College of Sports Medicine, position stand on progression models, 2009 (Ratamess and others, Med Sci Sports Exerc
41:687)."""
AUTOMATIC_RISE = ACSM_RISE[1]
"""A larger rise at once is never given unasked. A choice, from the upper end of `ACSM_RISE`."""
DROP_SHARE = 1 / 3
"""What a drop set takes off: about a third. Common practice; coaches write 20 to 30 %."""
REST_PAUSE_RANGE_S = (10.0, 15.0)
"""The pause of a rest-pause set. Common practice. [s]"""
REST_PAUSE_S = 12.0
"""The pause that is planned, inside that range. [s]"""


def rise_due(reps: int, target: int) -> tuple[float, float] | None:
    """Least and most by which to raise the load, relative; None while the target is not passed.

    reps: done at the present load. target: wanted.

    Source: as `ACSM_RISE`.

    >>> rise_due(13, 12), rise_due(12, 12)
    ((0.02, 0.1), None)
    """
    return ACSM_RISE if reps > target else None


def two_for_two(target: int, before: tuple[float, int], latest: tuple[float, int]) -> bool:
    """Whether the last sets of two consecutive sessions of one exercise call for more load.

    target:         reps wanted.
    before, latest: load [kg] and reps of each session's last set; both at one load, to the gram.

    Source: the two-for-two rule of the NSCA (Baechle and Earle, Essentials, read on a secondary page): two or more
    reps beyond the goal, in the last set, in two consecutive sessions.

    >>> two_for_two(10, (40.0, 12), (40.0, 12)), two_for_two(10, (40.0, 12), (42.5, 12))
    (True, False)
    """
    same_load = round(before[0] * 1000) == round(latest[0] * 1000)
    return same_load and min(before[1], latest[1]) >= target + 2


def after_break(days_off: float) -> tuple[float, float]:
    """Shares of the usual load and of the usual sets in the first week after so many days without training.

    A choice: 14 days cost next to nothing, ten weeks a part of the maximum that five weeks bring back (Halonen
    2024, read in a digest).

    >>> after_break(10), after_break(20), after_break(40)
    ((1.0, 1.0), (0.9, 0.5), (0.8, 0.5))
    """
    if days_off <= 14:
        return 1.0, 1.0
    return (0.9, 0.5) if days_off < 35 else (0.8, 0.5)


# ---- warm-up and rests ----


def warm_up_steps(reps: int) -> tuple[tuple[float, int], ...]:
    """The warm-up before a work set of so many reps: share of the work load and reps, step by step.

    A choice, steeper for heavier work, within trials of warm-up sets: 40 and 80 % of the work load served presses
    best, 80 % squats (Ribeiro and others 2020, doi 10.3390/ijerph17186882).

    Raises: OutOfRange if reps is less than 1.

    >>> warm_up_steps(10)
    ((0.5, 8), (0.8, 4))
    """
    if reps < 1:
        raise OutOfRange("reps", reps, "at least 1")
    if reps >= 13:
        return ((0.6, 8),)
    if reps >= 8:
        return (0.5, 8), (0.8, 4)
    climb = (0.4, 8), (0.6, 5), (0.8, 3)
    return climb if reps >= 5 else (*climb, (0.9, 1))


def default_rest_s(exercise: Exercise, reps: int) -> float:
    """Rest before a work set of so many reps where an outline names none. [s]

    A choice: growth gains a little from more than 60 s and nothing clear beyond 90 s (Singer and others 2024, doi
    10.3389/fspor.2024.1429789; the limits are from memory); handbooks rest 2 to 5 minutes for heavy sets.
    """
    if reps <= 6:
        return 180.0
    return 120.0 if exercise.compound else 75.0


SECONDS_PER_REP = 4.0
"""Two seconds up and two down, a usual tempo in studies ("regular" in PMC6006544; ACSM 2009 advises
1 to 2 s each way). [s]"""
WARM_UP_REST_S = 45.0
"""Between warm-up sets. Common practice: not longer than the plates take. [s]"""
BETWEEN_ARMS_S = 15.0
"""From one arm to the other. Common practice: long enough to change hands. [s]"""

LIGHT_RIR = 5
"""Said to be left from here on, reps are a least figure: guesses so far from failure miss by two and more, mostly
on the low side (Zourdos 2021, doi 10.1519/JSC.0000000000002995; Halperin and others 2022)."""

# ---- volume ----

HARD_RIR = 4
"""A set counts as hard up to so many reps in reserve. A choice."""


def fractional_sets(exercise: Exercise, *, rir: int | None = None, one_side: bool = False) -> dict[str, float]:
    """What one set adds to each muscle's hard sets: 1 if worked directly, 0.5 if indirectly.

    rir:      reps in reserve at its end; a set with more than `HARD_RIR` adds nothing; None counts as hard.
    one_side: only one arm or leg did it; both sides make one set.

    Upper chest counts into chest.

    Source: of three ways to count indirect sets, by half fitted growth best in 67 studies (Pelland and others, doi
    10.1007/s40279-025-02344-w, abstract read). It is an average: a one-arm row gave the elbow flexors 0.47 of what
    curls gave (Mannarino 2021), a pulldown 1.05 (Gentil 2015).

    >>> from steelyard.training.exercises import exercises
    >>> fractional_sets(exercises()["curl_cable"])
    {'elbow_flexors': 1.0, 'forearms': 0.5}
    """
    if rir is not None and rir > HARD_RIR:
        return {}
    whole = 0.5 if one_side else 1.0
    found = {_counted(muscle): whole for muscle in exercise.primary}
    for muscle in exercise.secondary:
        found.setdefault(_counted(muscle), whole / 2)
    return found


SESSION_SETS = 10.0
"""Hard sets of a muscle in one session, indirect ones by half, beyond which another day serves better. Source:
position stand of 2021 (Schoenfeld and others, doi 10.47206/ijsc.v1i1.81, read in a digest)."""


def sets_left(exercise: Exercise, planned: int, worked: Mapping[str, float]) -> int:
    """How many of the work sets planned are worth doing after what the session has worked so far; at least 1.

    worked: hard sets of each muscle in the session before this exercise, indirect ones by half.

    An exercise keeps its sets while one of the muscles that it works directly has room up to `SESSION_SETS`.

    >>> from steelyard.training.exercises import exercises
    >>> curl = exercises()["curl_cable"]
    >>> sets_left(curl, 3, {"elbow_flexors": 4.0}), sets_left(curl, 3, {"elbow_flexors": 8.5})
    (3, 1)
    """
    room = max(SESSION_SETS - worked.get(_counted(muscle), 0.0) for muscle in exercise.primary)
    return max(1, min(planned, int(room)))


STOP_FALL = 0.2
STOP_AFTER_SETS = 2
"""Where the next set would have to be so much lighter than the heaviest of today, after so many work sets, more of
the exercise is not worth its time. A choice: losing 20 to 25 % of the speed or the load within an exercise is
where trials of stopping rules end it (common practice)."""


def _counted(muscle: str) -> str:
    return "chest" if muscle == "chest_upper" else muscle


VOLUME_LABELS = (
    (4.0, "less than trials could see an effect of"),
    (5.0, "the least that shows"),
    (10.5, "most gain for the sets"),
    (20.5, "high"),
    (30.5, "very high: only after building up to it"),
)
"""Weekly fractional sets of a muscle: below each figure, what that amount is. Classes of Pelland and others, up to
ten sets read in a digest, beyond from memory; the words are ours."""


def volume_label(sets: float) -> str:
    """What a muscle's weekly fractional sets amount to. It informs; it forbids nothing.

    >>> volume_label(7.5)
    'most gain for the sets'
    """
    for limit, label in VOLUME_LABELS:
        if sets < limit:
            return label
    return "beyond what was studied"


# ---- safety ----

NOVICE_MONTHS = 1.0
RETURNING_DAYS = 35.0
FIRST_SESSION_SETS = 3
FIRST_SESSION_REPS = 60
BREAKDOWN = (
    "Dark urine, marked swelling or weakness in the days after training can be muscle breakdown: get medical help "
    "at once."
)
"""Sources: Khalil and Saab 2016, McKay and others 2017 (doi
10.1519/JSC.0000000000001824), Springer and Clarkson 2003 (doi 10.1249/01.MSS.0000084428.51143.8C), all read."""


def techniques_allowed(training_months: float, days_off: float) -> bool:
    """Whether drop sets and rest-pause may be given: not in the first month of training, nor after five weeks off.

    training_months: since the lifter began. days_off: latest break. [days]

    A choice, from case reports of muscle breakdown in novices and returning lifters; see `BREAKDOWN`.

    >>> techniques_allowed(0.5, 0), techniques_allowed(24, 3), techniques_allowed(24, 60)
    (False, True, False)
    """
    return training_months >= NOVICE_MONTHS and days_off < RETURNING_DAYS


def first_session_warnings(outline: Outline, exercises: Mapping[str, Exercise]) -> tuple[str, ...]:
    """Why an outline is too much for a first session, new or returning; empty if it is not.

    A choice: at most 3 sets an exercise and 60 reps a muscle, indirect ones by half. Case reports of muscle
    breakdown begin at 143 curls (McKay 2017); for novices 1 to 3 sets of 8 to 12 are advised (Khalil and Saab
    2016).
    """
    found = [
        f"{exercises[item.exercise].name}: {item.sets} sets are more than {FIRST_SESSION_SETS} in a first session."
        for item in outline.items
        if item.sets > FIRST_SESSION_SETS
    ]
    reps: dict[str, float] = {}
    for item in outline.items:
        for muscle, share in fractional_sets(exercises[item.exercise]).items():
            reps[muscle] = reps.get(muscle, 0.0) + share * item.sets * item.reps_high
    found += [
        f"{MUSCLES[muscle]}: {total:.0f} reps are more than {FIRST_SESSION_REPS} in a first session."
        for muscle, total in reps.items()
        if total > FIRST_SESSION_REPS
    ]
    return (*found, BREAKDOWN) if found else ()


def screening_advice(active: bool, disease: bool, symptoms: bool) -> str | None:
    """What the three screening answers call for, on the careful side; None if nothing.

    active:   trained regularly in the last three months.
    disease:  a known heart, vessel, metabolic or kidney disease.
    symptoms: signs such as chest pain, dizziness or breathlessness at rest or light effort.

    Source: American College of Sports Medicine screening, 2015 (doi 10.1249/MSS.0000000000001331, basis read; the
    branches are from memory, so the more careful one is taken). General information, not medical advice.
    """
    if symptoms:
        return "Don't train now. Have the symptoms looked at by a doctor, and train once cleared."
    if disease and not active:
        return "Get a doctor's clearance before you begin; then start light."
    if disease:
        return "Light to moderate sets only, none near failure, until a doctor has cleared you for hard ones."
    if not active:
        return "Start light, stay well short of failure, and build up over several weeks."
    return None


STOP_SIGNS = (
    "Pain or pressure in the chest, arm, neck or jaw",
    "Dizziness, near-fainting, confusion, or trouble seeing or walking",
    "Severe or unusual breathlessness, or wheezing",
    "An irregular, racing or pounding heartbeat",
    "Pale, blue or clammy skin, or nausea",
    "A sudden severe headache",
    "Sharp pain in a joint, or a cramp in the calf",
    "You want to stop",
)
"""When to stop at once. Sources: list of the American College of Sports Medicine (read on a secondary page); the
headache and the joint from memory."""

CAUTIONS = (
    "General information, not medical advice; figures are estimates. Maker's manual and local rules come first.",
    "Before loading: pins fully home, collars on, both sides equal, cable sheath and end fittings sound.",
    "Never more than the machine is rated for. Nobody under or beside the arm; children and pets away.",
    "Breathe out on the effort; don't hold your breath.",
)
"""Before every session. Sources: breath, Narloch 1995 (doi 10.1016/S0003-9993(95)80578-8: leg
press 311/284 mmHg with the breath held, 198/175 with slow exhaling); checks from owner's manuals; the rest common
practice."""

PAIN_CAUTION = (
    "{exercise} is over because it hurt. Do not train through pain; if it stays or is severe, see a licensed "
    "professional before you load it again."
)
SIGN_CAUTION = "A sign to stop: train no more today, and get medical help now."
"""After pain, and after one of `STOP_SIGNS`. Common practice, on the careful side; not medical advice."""

STOPS_CAUTION = "{exercise}: set the stops or catches first; don't go to failure alone without them."
"""For an exercise with `needs_stops`. Common practice."""
