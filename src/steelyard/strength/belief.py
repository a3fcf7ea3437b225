"""What is believed of one lifter, as one joint normal distribution that every set moves.

The state holds a day's form, the scale of the load-repetition curve, how rest repays (two figures), how candid the
lifter's "so many left" is, and the logarithm of the fresh maximum on every lift. A set tells one figure of it, the
margin between what was able to be lifted and the load, and tells it as an interval, since reps are counted whole.
docs/model-strength.md states the model; tests/reference compares it with Markov chain sampling of the same model.

Everything is pure: to learn of a set gives a new belief and leaves the old one as it was.
"""

from __future__ import annotations

import math
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from steelyard.errors import OutOfRange, UnknownName
from steelyard.strength import population as people
from steelyard.strength.fatigue import Pools
from steelyard.strength.gaussian import Row, along, variance_of
from steelyard.strength.lifts import Lift, Lifts, covariance, together
from steelyard.strength.model import Ended, Observation
from steelyard.strength.outlook import Outlook
from steelyard.strength.recovery import MEN, Recovery
from steelyard.strength.standing import Standing, standing
from steelyard.strength.state import CANDOUR, CURVE, FIRST_LIFT, FORM, SLOW
from steelyard.strength.telling import choose, tell

SAME_DAY = 0.25
"""Sets less than so many days apart belong to one session. [days]"""
LONGEST_DAYS = 3653.0
"""More time between two sets tells no more, so that a clock that is off by centuries leaves the figures finite (a
choice). [days]"""
WEEKS_PER_MONTH = 4.348
SECONDS_PER_REP = 4.0
"""How long a rep of one lift lets the muscles of another rest: a usual tempo. [s]"""


@dataclass(frozen=True, slots=True)
class Habit:
    """The load last used on a lift, as a logarithm, and the reps it usually comes to."""

    log_load: float
    reps: float


@dataclass(frozen=True, slots=True)
class Belief:
    """What is believed of a lifter at one moment.

    mean, covariance: of the state. day: of the latest set or session [days]; None before the first.
    weeks:    of training so far. [weeks]
    pools:    what today's sets have left, by lift and side.
    sessions: on how many days each lift was done before today's; begun are those done today.
    habits:   by lift.

    What follows from a belief by rest and sets to come is kept with it: preparing asks the same again and again.
    """

    lifts: Lifts
    recovery: Recovery
    mean: Row
    covariance: tuple[Row, ...]
    day: float | None
    weeks: float
    pools: Mapping[tuple[int, str], Pools]
    sessions: tuple[int, ...]
    begun: frozenset[int]
    habits: Mapping[int, Habit]
    _following: dict[Hashable, Belief] = field(default_factory=dict, init=False, repr=False, compare=False)
    _outlooks: dict[tuple[str, str], Outlook] = field(default_factory=dict, init=False, repr=False, compare=False)

    def forget(self) -> None:
        """Let go of what was kept; it is worked out again when it is asked for."""
        self._following.clear()
        self._outlooks.clear()

    def place(self, lift: str) -> int:
        """Place of a lift among the lifts. Raises: UnknownName."""
        try:
            return self.lifts.place[lift]
        except KeyError:
            raise UnknownName("lift", lift, sorted(self.lifts.place)) from None


@dataclass(frozen=True, slots=True)
class Lesson:
    """What was learnt of one set.

    chance: how probable the set was. odd: how probable it now is that it was an odd one, miscounted or mistyped.
    before: the outlook that it was done with.
    """

    belief: Belief
    chance: float
    odd: float
    before: Outlook


def newcomer(lifts: Sequence[Lift], *, training_months: float = 0.0, recovery: Recovery = MEN) -> Belief:
    """What is believed of somebody of whom no set is known.

    lifts: all that are to be believed in together. training_months: of regular training so far.

    Raises: OutOfRange if two have one name.
    """
    known = together(lifts)
    if len(known.place) != len(lifts):
        raise OutOfRange("lifts", str([lift.name for lift in lifts]), "each with a name of its own")
    sds = (people.DAY_SD, people.REPS_SCALE_SD, people.FAST_SHARE_SD, people.SLOW_S_SD, people.CANDOUR_SD)
    size = FIRST_LIFT + len(lifts)
    rows = [[0.0] * size for _ in range(size)]
    for place, sd in enumerate(sds):
        rows[place][place] = sd * sd
    for row, one in enumerate(lifts):
        for column, other in enumerate(lifts):
            shared = one.sd_log**2 if one is other else covariance(one, other)
            rows[FIRST_LIFT + row][FIRST_LIFT + column] = shared
    logit = math.log(recovery.fast_share / (1.0 - recovery.fast_share))
    mean = (0.0, 0.0, logit, math.log(recovery.slow_s), people.CANDOUR, *(lift.log_max for lift in lifts))
    weeks = training_months * WEEKS_PER_MONTH
    nothing: tuple[int, ...] = (0,) * len(lifts)
    return Belief(known, recovery, mean, tuple(map(tuple, rows)), None, weeks, {}, nothing, frozenset(), {})


def on_day(belief: Belief, day: float) -> Belief:
    """The belief on a later day: rested, with a form of its own, and with what the time between may have done.

    day: on the calendar of the sets; an earlier one, or one of the same session, changes nothing. [days]
    """
    if belief.day is None:
        return replace(belief, day=day)
    days = min(day - belief.day, LONGEST_DAYS)
    if days < SAME_DAY:
        return belief
    gain, variance, own = _drift(belief.weeks, days)
    form = people.DAY_SD * people.DAY_SD
    rows = []
    for place, row in enumerate(belief.covariance):
        if place == FORM:
            rows.append((form, *([0.0] * (len(row) - 1))))
        elif place < FIRST_LIFT:
            rows.append((0.0, *row[1:]))
        else:
            moved = [0.0, *row[1:FIRST_LIFT], *[each + variance for each in row[FIRST_LIFT:]]]
            moved[place] += own
            rows.append(tuple(moved))
    mean = (0.0, *belief.mean[1:FIRST_LIFT], *[each + gain for each in belief.mean[FIRST_LIFT:]])
    sessions = tuple(count + 1 if place in belief.begun else count for place, count in enumerate(belief.sessions))
    weeks = belief.weeks + min(days, people.BREAK_DAYS) / 7.0
    return Belief(
        belief.lifts, belief.recovery, mean, tuple(rows), day, weeks, {}, sessions, frozenset(), belief.habits
    )


def _drift(weeks: float, days: float) -> tuple[float, float, float]:
    """Mean and variance of the change that all lifts share over so many days, and the variance of each one's
    own."""
    trained = min(days, people.BREAK_DAYS) / 7.0
    off = max(0.0, days - people.BREAK_DAYS) / 7.0
    gain = people.gain_per_week(weeks + trained / 2.0) * trained
    variance = (
        people.DRIFT_SD**2 * days / 7.0 + (people.GAIN_CV * gain) ** 2 + (people.LOSS_SD_PER_WEEK * off) ** 2
    )
    return gain - people.LOSS_PER_WEEK * off, variance, people.OWN_DRIFT_SD**2 * days / 7.0


def rested(belief: Belief, seconds: float) -> Belief:
    """The belief after a rest. seconds: 0 or more. [s]"""
    if not belief.pools or seconds <= 0.0:
        return belief
    known = belief._following.get(seconds)
    if known is None:
        known = belief._following[seconds] = _rested(belief, seconds)
    return known


def _rested(belief: Belief, seconds: float) -> Belief:
    if not belief.pools or seconds <= 0.0:
        return belief
    slow_s = math.exp(belief.mean[SLOW])
    pools = {key: each.after_rest(seconds, belief.recovery.fast_s, slow_s) for key, each in belief.pools.items()}
    return _with_pools(belief, pools)


def spent(belief: Belief, lift: str, felt_kg: float, reps: float, *, side: str = "both") -> Belief:
    """The belief after a set of so many reps, without learning from it: it tires, and what it does not use rests.

    reps: done, 0 or more; expected ones for a set still to come.

    Raises: UnknownName for a lift that is not believed in.
    """
    key = (belief.place(lift), side, felt_kg, reps)
    known = belief._following.get(key)
    if known is None:
        known = belief._following[key] = _spent(belief, key[0], felt_kg, reps, side)
    return known


def _spent(belief: Belief, place: int, felt_kg: float, reps: float, side: str) -> Belief:
    cost = reps * max(0.0, felt_kg) / belief.lifts.each[place].reps_scale
    own = belief.pools.get((place, side), Pools()).after_set(cost)
    others = _rested(belief, SECONDS_PER_REP * reps).pools
    return _with_pools(belief, {**others, (place, side): own})


def _with_pools(belief: Belief, pools: Mapping[tuple[int, str], Pools]) -> Belief:
    return Belief(
        belief.lifts,
        belief.recovery,
        belief.mean,
        belief.covariance,
        belief.day,
        belief.weeks,
        pools,
        belief.sessions,
        belief.begun,
        belief.habits,
    )


def _scale(belief: Belief, place: int) -> float:
    """Scale of the load-repetition curve on a lift. [reps]"""
    return belief.lifts.each[place].reps_scale * math.exp(belief.mean[CURVE])


def begun(belief: Belief, lift: str) -> Belief:
    """The belief with what was learnt of a young lift since it was last done, which its first set today will show.

    Raises: UnknownName.
    """
    place = belief.place(lift)
    done = belief.sessions[place]
    if place in belief.begun:
        return belief
    mean, covariance_ = belief.mean, belief.covariance
    if done:
        fading = math.exp(-(done - 1) / people.LEARNING_SESSIONS)
        at = FIRST_LIFT + place
        row = list(covariance_[at])
        row[at] += people.LEARNING_SD**2 * fading
        mean = (*mean[:at], mean[at] + people.LEARNING * fading, *mean[at + 1 :])
        covariance_ = (*covariance_[:at], tuple(row), *covariance_[at + 1 :])
    return replace(belief, mean=mean, covariance=covariance_, begun=belief.begun | {place})


def _standing(belief: Belief, place: int, side: str) -> Standing:
    fast_s = belief.recovery.fast_s
    return standing(belief.lifts, belief.mean, belief.covariance, belief.pools, fast_s, place, side)


def outlook(belief: Belief, lift: str, *, side: str = "both") -> Outlook:
    """What a lift promises now: the distribution of reps at any load.

    Raises: UnknownName.
    """
    known = belief._outlooks.get((lift, side))
    if known is None:
        ready = begun(belief, lift)
        place = ready.place(lift)
        now = _standing(ready, place, side)
        known = _outlook(ready, place, now, along(ready.covariance, now.base))
        belief._outlooks[lift, side] = known
    return known


def _outlook(belief: Belief, place: int, now: Standing, with_base: Sequence[float]) -> Outlook:
    rows = belief.covariance
    variance = variance_of(now.base, with_base)
    curve = with_base[CURVE]
    scale = _scale(belief, place)
    at = FIRST_LIFT + place
    return Outlook(
        log_able_kg=now.margin,
        variance=variance + 2.0 * now.bend * curve + now.bend**2 * rows[CURVE][CURVE] + now.doubt,
        with_curve=curve + now.bend * rows[CURVE][CURVE],
        curve_variance=rows[CURVE][CURVE],
        scale=scale,
        typical_scale=belief.lifts.each[place].reps_scale,
        missing=now.missing,
        capacity=now.capacity,
        candour=belief.mean[CANDOUR],
        candour_sd=math.sqrt(rows[CANDOUR][CANDOUR]),
        log_max=belief.mean[at] + math.log(scale / (scale + 1.0)),
        sd_log_max=math.sqrt(rows[at][at]),
    )


def learn(belief: Belief, seen: Observation) -> Lesson:
    """The belief once a set is known of, with how probable the set was; time passes to its day and its rest first.

    Raises: UnknownName for a lift that is not believed in; OutOfRange for a load or reps that no set has.
    """
    if not (math.isfinite(seen.felt_kg) and seen.felt_kg > 0.0):
        raise OutOfRange("felt load", f"{seen.felt_kg} kg", "above 0 kg")
    if not 0 <= seen.helped <= seen.reps:
        raise OutOfRange("helped reps", seen.helped, f"from 0 to the {seen.reps} reps done")
    belief = on_day(belief, seen.day)
    belief = _with_pools(belief, {}) if seen.rest_s is None else _rested(belief, seen.rest_s)
    belief = begun(belief, seen.lift)
    place = belief.place(seen.lift)
    if seen.chosen:
        belief = _choice(belief, place, seen)
    now = _standing(belief, place, seen.side)
    before = _outlook(belief, place, now, along(belief.covariance, now.base))
    typical_scale = belief.lifts.each[place].reps_scale
    told = tell(belief.mean, belief.covariance, now, _scale(belief, place), typical_scale, seen)
    belief = _with_state(belief, told.mean, told.covariance)
    reps = seen.reps + (0.5 if seen.ended is Ended.FAILURE else 0.0)
    belief = _spent(belief, place, seen.felt_kg, reps, seen.side)
    return Lesson(_used_to(belief, place, seen), told.chance, told.odd, before)


def _with_state(belief: Belief, mean: Row, covariance_: tuple[Row, ...]) -> Belief:
    """The belief with another state; what sets have left is seen with the slow time constant of now."""
    slow_s, other_s = math.exp(belief.mean[SLOW]), math.exp(mean[SLOW])
    pools = {key: each.at(slow_s, other_s) for key, each in belief.pools.items()}
    return replace(belief, mean=mean, covariance=covariance_, pools=pools)


def _used_to(belief: Belief, place: int, seen: Observation) -> Belief:
    """The belief with the habit that a set makes."""
    before = belief.habits.get(place)
    reps = float(seen.reps) if before is None else before.reps + people.RECENT * (seen.reps - before.reps)
    return replace(belief, habits={**belief.habits, place: Habit(math.log(seen.felt_kg), reps)})


def _choice(belief: Belief, place: int, seen: Observation) -> Belief:
    """The belief once it is known that the lifter chose this load: they think it gives the reps they aim at."""
    habit = belief.habits.get(place)
    at = FIRST_LIFT + place
    log_load = math.log(seen.felt_kg)
    if habit is None:
        aim, sd, jump = people.FIRST_CHOICE_REPS, people.FIRST_CHOICE_SD, 0.0
    elif abs(log_load - habit.log_load) > people.FARTHEST_CHOICE:
        return belief
    else:
        usual = habit.reps + people.USUAL_PULL * (people.USUAL_REPS - habit.reps)
        aim, sd, jump = usual, people.CHOICE_SD, people.JUMP * (log_load - habit.log_load)
    aim = aim if seen.aim_reps is None else seen.aim_reps
    rows = list(belief.covariance)
    row = list(rows[at])
    row[at] += jump * jump
    rows[at] = tuple(row)
    belief = replace(belief, covariance=tuple(rows))
    now, scale = _standing(belief, place, seen.side), _scale(belief, place)
    return _with_state(belief, *choose(belief.mean, belief.covariance, now, scale, log_load, (aim, sd)))
