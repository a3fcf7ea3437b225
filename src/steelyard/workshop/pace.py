"""How slowly a prepared set must be moved, so that its load never floats."""

from __future__ import annotations

from collections.abc import Iterator

from steelyard.machine.extremes import evenly
from steelyard.machine.felt import BRISK_RAISE_S
from steelyard.machine.floating import steady_tempo
from steelyard.machine.strokes import LoadedLift, course_of, loaded_lift, strokes_of
from steelyard.machine.tempo import Tempo
from steelyard.plates.discs import discs_of
from steelyard.training.gym import Gym
from steelyard.training.model import PreparedSession, PreparedSet, Role

BRISK = Tempo(BRISK_RAISE_S, 0.0, BRISK_RAISE_S, 0.0)
"""One second up and one down: about as fast as a set for 8 to 12 reps is ever done."""

SHARES = evenly(0.0, 1.0, 33)


def pace_words(gym: Gym, one: PreparedSet) -> str:
    """What to say of the pace of a set: empty if its load stays in the hands even in a brisk repetition.

    Raises: OutOfRange if wheels of its cable overlap.
    """
    station = gym.machine.stations[one.station]
    if station.arm is None:
        return ""
    lift = loaded_lift(gym.machine, station, discs_of(one.loading), one_arm=gym.exercises[one.exercise].one_arm)
    if stays_well_above_zero(lift):
        return ""
    steady = steady_tempo(lift, BRISK)
    what = "the cable goes slack" if lift.on_cable else "the handle leaves the hand"
    if steady is None:
        return f"In part of the range {what} at any pace; keep hold, or put more plates on."
    if steady == BRISK:
        return ""
    return f"Move {' and '.join(_strokes(steady))}: faster, {what} and the load drops with a jerk."


def stays_well_above_zero(lift: LoadedLift) -> bool:
    """Whether a quick look at a brisk repetition settles it: the usual case, and asked for every exercise.

    Forces are smooth: what hides between two of the samples is far less than a tenth of the largest.
    """
    for stroke in strokes_of(lift, BRISK):
        course = course_of(lift, stroke, SHARES)
        least, most = min(*course.tension_n, *course.force_n), max(course.tension_n)
        if least < 0.1 * most:
            return False
    return True


def _strokes(steady: Tempo) -> Iterator[str]:
    for word, needed, brisk in (
        ("up", steady.raising_s, BRISK.raising_s),
        ("down", steady.lowering_s, BRISK.lowering_s),
    ):
        if needed is not None and needed != brisk:
            yield f"{word} in {needed:g} s or more"


def session_pace(gym: Gym, session: PreparedSession) -> dict[str, str]:
    """`pace_words` by exercise, of its first work set or of its first set; only those that say something."""
    firsts: dict[str, PreparedSet] = {}
    for one in session.sets:
        if one.exercise not in firsts or (one.role is Role.WORK and firsts[one.exercise].role is not Role.WORK):
            firsts[one.exercise] = one
    found = {exercise: pace_words(gym, one) for exercise, one in firsts.items()}
    return {exercise: words for exercise, words in found.items() if words}
