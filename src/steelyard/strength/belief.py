"""What is believed of one lifter, as one joint normal distribution that every set moves.

The state holds a day's form, the scale of the load-repetition curve, how rest repays (two figures), how candid the
lifter's "so many left" is, and the logarithm of the fresh maximum on every lift. A set tells one figure of it, the
margin between what was able to be lifted and the load, and tells it as an interval, since reps are counted whole.
docs/model-strength.md states the model; tests/reference compares it with Markov chain sampling of the same model.

Everything is pure: to learn of a set gives a new belief and leaves the old one as it was.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from steelyard.errors import OutOfRange, UnknownName
from steelyard.strength import population as people
from steelyard.strength.fatigue import Pools
from steelyard.strength.gaussian import Direction, Figure, Row, along, between, either, following, variance_of
from steelyard.strength.lifts import CARRIED_SD, Lift, Lifts, covariance, together
from steelyard.strength.model import Ended, Observation
from steelyard.strength.outlook import Outlook, near_max_doubt
from steelyard.strength.recovery import MEN, Recovery

FORM, CURVE, FAST, SLOW, CANDOUR, FIRST_LIFT = range(6)
"""Places in the state: the day's form, ln of the curve's scale relative to a lift's own, logit of the fast share,
ln of the slow time constant, candour, and from there on the ln fresh maximum of each lift."""
SAME_DAY = 0.25
"""Sets less than so many days apart belong to one session. [days]"""
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
    days = day - belief.day
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
    slow_s = math.exp(belief.mean[SLOW])
    pools = {key: each.after_rest(seconds, belief.recovery.fast_s, slow_s) for key, each in belief.pools.items()}
    return _with_pools(belief, pools)


def spent(belief: Belief, lift: str, felt_kg: float, reps: float, *, side: str = "both") -> Belief:
    """The belief after a set of so many reps, without learning from it: it tires, and what it does not use rests.

    reps: done, 0 or more; expected ones for a set still to come.

    Raises: UnknownName for a lift that is not believed in.
    """
    place = belief.place(lift)
    scale = _scale(belief, place)
    maximum_kg = math.exp(belief.mean[FIRST_LIFT + place] + belief.mean[FORM])
    cost = reps * max(0.0, felt_kg) / (maximum_kg * scale)
    own = belief.pools.get((place, side), Pools()).after_set(cost)
    others = rested(belief, SECONDS_PER_REP * reps).pools
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


@dataclass(frozen=True, slots=True)
class _Now:
    """Where a lift stands: capacity as a share of today's maximum, how it depends on the state, and what is
    doubted.

    margin: mean logarithm of what can be lifted once, in kg. base: its direction, the curve apart; bend: weight of
    the curve in it through fatigue. doubt: variance of what other lifts have left in it.
    """

    margin: float
    base: Direction
    bend: float
    missing: float
    capacity: float
    doubt: float


LEAST_CAPACITY = 0.05
"""Capacity is never taken to be less: beyond this the model is only arithmetic."""


def _now(belief: Belief, place: int, side: str) -> _Now:
    at = FIRST_LIFT + place
    maximum = belief.mean[at] + belief.mean[FORM]
    if not belief.pools:
        return _Now(maximum, ((FORM, 1.0), (at, 1.0)), 0.0, 0.0, 1.0, 0.0)
    share = 1.0 / (1.0 + math.exp(-belief.mean[FAST]))
    fast = slow = slowing = foreign = 0.0
    for (source, worked), pools in belief.pools.items():
        part = _felt_share(belief.lifts, place, source, side, worked)
        if part:
            fast += part * pools.fast
            slow += part * pools.slow
            slowing += part * pools.slowing
            if source != place:
                foreign += part * (share * pools.fast + (1.0 - share) * pools.slow)
    missing = share * fast + (1.0 - share) * slow
    capacity = max(LEAST_CAPACITY, 1.0 - missing)
    lost = missing / capacity
    base = (
        (FORM, 1.0 + lost),
        (at, 1.0 + lost),
        (FAST, -(fast - slow) * share * (1.0 - share) / capacity),
        (SLOW, -(1.0 - share) * slowing / capacity),
    )
    return _Now(
        maximum + math.log(capacity), base, lost, missing, capacity, (CARRIED_SD * foreign / capacity) ** 2
    )


def _felt_share(lifts: Lifts, place: int, source: int, side: str, worked: str) -> float:
    """Share of a lift's fatigue that another lift or side feels: one arm is not tired by the other."""
    apart = "both" not in (side, worked) and side != worked
    return 0.0 if apart else lifts.carry[place][source]


def outlook(belief: Belief, lift: str, *, side: str = "both") -> Outlook:
    """What a lift promises now: the distribution of reps at any load.

    Raises: UnknownName.
    """
    belief = begun(belief, lift)
    place = belief.place(lift)
    now = _now(belief, place, side)
    return _outlook(belief, place, now, along(belief.covariance, now.base))


def _outlook(belief: Belief, place: int, now: _Now, with_base: Sequence[float]) -> Outlook:
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
    belief = _with_pools(belief, {}) if seen.rest_s is None else rested(belief, seen.rest_s)
    belief = begun(belief, seen.lift)
    place = belief.place(seen.lift)
    if seen.chosen:
        belief = _choice(belief, place, seen)
    now = _now(belief, place, seen.side)
    with_base = along(belief.covariance, now.base)
    before = _outlook(belief, place, now, with_base)
    belief, chance, odd = _told(belief, place, now, with_base, seen)
    reps = seen.reps + (0.5 if seen.ended is Ended.FAILURE else 0.0)
    belief = spent(belief, seen.lift, seen.felt_kg, reps, side=seen.side)
    return Lesson(_used_to(belief, place, seen), chance, odd, before)


def _used_to(belief: Belief, place: int, seen: Observation) -> Belief:
    """The belief with the habit that a set makes."""
    before = belief.habits.get(place)
    reps = float(seen.reps) if before is None else before.reps + people.RECENT * (seen.reps - before.reps)
    return replace(belief, habits={**belief.habits, place: Habit(math.log(seen.felt_kg), reps)})


def _choice(belief: Belief, place: int, seen: Observation) -> Belief:
    """The belief once it is known that the lifter chose this load: they think that it gives the reps they aim
    at."""
    habit = belief.habits.get(place)
    at = FIRST_LIFT + place
    log_load = math.log(seen.felt_kg)
    if habit is None:
        aim, sd, jump = people.FIRST_CHOICE_REPS, people.FIRST_CHOICE_SD, 0.0
    else:
        usual = habit.reps + people.USUAL_PULL * (people.USUAL_REPS - habit.reps)
        aim, sd, jump = usual, people.CHOICE_SD, people.JUMP * (log_load - habit.log_load)
    aim = aim if seen.aim_reps is None else seen.aim_reps
    rows = list(belief.covariance)
    row = list(rows[at])
    row[at] += jump * jump
    rows[at] = tuple(row)
    belief = replace(belief, covariance=tuple(rows))
    now = _now(belief, place, seen.side)
    able = aim + 0.5
    scale = _scale(belief, place)
    direction = (*now.base, (CURVE, now.bend + able / (scale + able)))
    with_figure = along(belief.covariance, direction)
    variance = variance_of(direction, with_figure)
    margin = now.margin - log_load - math.log1p(able / scale)
    total = variance + sd * sd
    after = Figure(1.0, margin - variance / total * margin, variance * sd * sd / total)
    mean, covariance_ = following(belief.mean, belief.covariance, with_figure, (margin, variance), after)
    return replace(belief, mean=mean, covariance=covariance_)


@dataclass(frozen=True, slots=True)
class _Reading:
    """What a set says of the reps that could have been done: from low on and below high, about so many.

    noise_reps: standard deviation of a person's own judgement in it. [reps] candour: weight of candour in it.
    """

    low: float
    high: float
    about: float
    noise_reps: float = 0.0
    candour: float = 0.0


def _read(seen: Observation, candour: float) -> _Reading:
    done = float(seen.reps - seen.helped)
    if seen.ended is Ended.FAILURE or seen.helped:
        return _Reading(done or -math.inf, done + 1.0, done + 0.5)
    if seen.ended is Ended.FORM:
        return _Reading(done, done + 1.0, done + 0.5, noise_reps=1.0)
    if seen.ended is Ended.UNSAID or seen.rir is None:
        return _Reading(done + (seen.rir or 0), math.inf, done + (seen.rir or 0))
    weight = people.candour_weight(seen.rir)
    low = done + seen.rir + weight * candour
    return _Reading(low, low + 1.0, low + 0.5, people.rir_error_reps(seen.rir, seen.reps), weight)


def _told(
    belief: Belief, place: int, now: _Now, with_base: Sequence[float], seen: Observation
) -> tuple[Belief, float, float]:
    """The belief once a set's reps are known, how probable they were, and how probable it is that the set was
    odd."""
    said = _read(seen, belief.mean[CANDOUR])
    if not math.isfinite(said.about) or said.about > people.MOST_REPS:
        return belief, 1.0, 0.0
    scale, log_load = _scale(belief, place), math.log(seen.felt_kg)
    about = _foreseen(now, scale, log_load)
    weight = now.bend + about / (scale + about)
    direction = [*now.base, (CURVE, weight)]
    with_figure = [at + weight * curve for at, curve in zip(with_base, belief.covariance[CURVE], strict=True)]
    if said.candour:
        tilt = -said.candour / (scale + about)
        direction.append((CANDOUR, tilt))
        with_figure = [
            at + tilt * other for at, other in zip(with_figure, belief.covariance[CANDOUR], strict=True)
        ]
    variance = variance_of(direction, with_figure)
    low = log_load + math.log1p(said.low / scale) if said.low > -scale else -math.inf
    high = log_load + math.log1p(said.high / scale) if said.high < math.inf else math.inf
    judged = said.noise_reps / (scale + about)
    stretch = (belief.lifts.each[place].reps_scale + about) / (scale + about)
    doubt = now.doubt + near_max_doubt(about, now.missing, now.capacity)
    noise = math.sqrt((stretch * people.SET_SD) ** 2 + judged * judged + seen.load_sd**2 + doubt)
    usual = between(now.margin, variance, noise, low, high)
    odd = between(now.margin, variance, math.hypot(noise, stretch * people.ODD_SD), low, high)
    after = either(usual, odd, people.ODD_SHARE)
    if not after.chance > 0.0:
        return belief, 0.0, 1.0
    share = people.ODD_SHARE * odd.chance / after.chance
    if after.variance <= 0.0:
        return belief, after.chance, share
    mean, covariance_ = following(belief.mean, belief.covariance, with_figure, (now.margin, variance), after)
    return replace(belief, mean=mean, covariance=covariance_), after.chance, share


def _foreseen(now: _Now, scale: float, log_load: float) -> float:
    """Reps to failure that were foreseen, where the curve is taken to be straight.

    Not those that came of it: the slope would follow the surprise, and the curve's scale would grow with every
    surprise, good or bad.
    """
    able = scale * math.expm1(min(now.margin - log_load, people.FARTHEST))
    return min(max(able, 0.5), float(people.MOST_REPS))
