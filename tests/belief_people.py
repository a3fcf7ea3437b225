"""People drawn from the very model that strength/belief.py states, who train as an adviser without the truth says.

Written from docs/model-strength.md and its constants, apart from the filter: the prior alone is shared. What
someone is (curve, fast share, slow time constant, candour, maxima) is drawn once, a day's form and what the days
between did are drawn anew, and every set is done with the truth: its fatigue, its scatter, now and then an odd
one.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from random import Random

from steelyard.strength import population as people
from steelyard.strength.belief import Belief, learn, newcomer, on_day, outlook, rested
from steelyard.strength.lifts import CARRIED_SD, Lift
from steelyard.strength.model import Ended, Observation
from steelyard.strength.outlook import near_max_doubt
from steelyard.strength.recovery import FAST_S

FORM, CURVE, FAST, SLOW, CANDOUR, FIRST_LIFT = range(6)
LIFTS = (
    Lift("row", math.log(55.0), 0.40, 30.0, {"lats": 1.0, "mid_back": 1.0, "elbow_flexors": 0.5}),
    Lift("curl", math.log(11.0), 0.40, 30.0, {"elbow_flexors": 1.0, "forearms": 0.5}),
    Lift("pulldown", math.log(52.0), 0.40, 36.6, {"lats": 1.0, "elbow_flexors": 0.5}),
)
"""Of the width and the kind that training/priors gives; curls are done one arm at a time."""
ONE_ARM = frozenset({"curl"})
MOST_REPS = 25
"""Nobody goes on for longer, light though the load may be."""
KNOWN_SD = 0.1
"""Who knows their lift better than this can be asked to stop with reps left."""
REP_S = 4.0
"""What a rep of one lift lets the others rest. [s]"""


@dataclass(frozen=True)
class History:
    """Somebody's sets in order, what they are at the end of them, and what is believed of them then.

    before: the belief of them before any. truth: in the order of a belief's state.
    """

    before: Belief
    sets: tuple[Observation, ...]
    truth: tuple[float, ...]
    after: Belief

    def below(self, place: int) -> float:
        """Share of the posterior that lies below the truth: uniform if the posterior is right."""
        sd = math.sqrt(self.after.covariance[place][place])
        return 0.5 * math.erfc((self.after.mean[place] - self.truth[place]) / sd / math.sqrt(2.0))


@dataclass
class _Cost:
    """What one set cost on one lift and side, and the seconds that it has had since."""

    place: int
    side: str
    reps: float
    load_kg: float
    rest_s: float = 0.0


class Person:
    """One person, who changes as the days pass and tires as the sets do."""

    def __init__(self, random: Random, before: Belief, *, training_months: float) -> None:
        self.random = random
        self.lifts = before.lifts
        self.state = _drawn(random, before)
        self.weeks = training_months * 4.348
        self.day: float | None = None
        self.costs: list[_Cost] = []
        self.sessions = [0] * len(before.sessions)
        self.begun: set[int] = set()

    def wakes(self, day: float) -> None:
        """A new day: rested, with a form of its own and what the days since have done."""
        if self.day is not None:
            self._drifts(day - self.day)
            self.state[FORM] = self.random.gauss(0.0, people.DAY_SD)
            for place in self.begun:
                self.sessions[place] += 1
        self.day, self.costs, self.begun = day, [], set()

    def _drifts(self, days: float) -> None:
        training, off = min(days, people.BREAK_DAYS) / 7.0, max(0.0, days - people.BREAK_DAYS) / 7.0
        gain = people.gain_per_week(self.weeks + training / 2.0) * training
        sds = (people.DRIFT_SD * math.sqrt(days / 7.0), people.GAIN_CV * gain, people.LOSS_SD_PER_WEEK * off)
        shared = self.random.gauss(gain - people.LOSS_PER_WEEK * off, math.hypot(*sds))
        for place in range(FIRST_LIFT, len(self.state)):
            self.state[place] += shared + self.random.gauss(0.0, people.OWN_DRIFT_SD * math.sqrt(days / 7.0))
        self.weeks += training

    def rests(self, seconds: float) -> None:
        for cost in self.costs:
            cost.rest_s += seconds

    def does(self, wish: Observation) -> Observation | None:
        """The set as it went: to failure, until so many are felt to be left, or to so many reps and no further.

        wish: with the most reps of it. None if the lifter wouldn't start on a set so heavy.
        """
        place = self.lifts.place[wish.lift]
        self._begins(place)
        left, judged = self._left(wish)
        reps = self._counted(wish, place, left, judged)
        if reps is None:
            return None
        done = replace(wish, reps=reps)
        if wish.ended is not Ended.REPORTED:
            done = replace(done, ended=Ended.UNSAID if reps == wish.reps else Ended.FAILURE)
        self._tires(done, place)
        return done

    def _begins(self, place: int) -> None:
        """The first set of a day shows what was learnt of a young lift since it was last done."""
        done = self.sessions[place]
        if place not in self.begun and done:
            fading = math.exp(-(done - 1) / people.LEARNING_SESSIONS)
            learnt = self.random.gauss(people.LEARNING * fading, people.LEARNING_SD * math.sqrt(fading))
            self.state[FIRST_LIFT + place] += learnt
        self.begun.add(place)

    def _left(self, wish: Observation) -> tuple[float, Callable[[int], float]]:
        """Reps really left where the lifter stops, and the error of that at so many reps."""
        said = wish.rir
        if said is None:
            return 0.0, lambda reps: 0.0
        left = said + 0.5 * (1.0 + said) * self.state[CANDOUR]
        return left, lambda reps: people.rir_error_reps(said, reps)

    def _counted(self, wish: Observation, place: int, left: float, judged: Callable[[int], float]) -> int | None:
        """Whole reps: at least r are done where the margin with its noise is above that of r and those left."""
        missing, foreign = self._missing(place, wish.side)
        capacity = max(0.05, 1.0 - missing)
        able = self.state[FIRST_LIFT + place] + self.state[FORM] + math.log(capacity)
        margin = able - math.log(wish.felt_kg)
        scale = self.scale(place)
        odd = people.ODD_SD if self.random.random() < people.ODD_SHARE else 0.0
        luck = self.random.gauss(0.0, 1.0)

        def manages(reps: int) -> bool:
            able = reps + left
            stretch = (self.lifts.each[place].reps_scale + able) / (scale + able)
            sds = (
                stretch * people.SET_SD,
                stretch * odd,
                CARRIED_SD * foreign / capacity,
                judged(reps) / (scale + able),
            )
            noise = math.sqrt(math.hypot(*sds) ** 2 + near_max_doubt(able, missing, capacity))
            return margin + noise * luck >= math.log1p(able / scale)

        if wish.rir is not None and not manages(0):
            return None
        return next((reps for reps in range(wish.reps) if not manages(reps + 1)), wish.reps)

    def _missing(self, place: int, side: str) -> tuple[float, float]:
        """Share of the fresh maximum that is missing, and how much of that other lifts have taken."""
        share, slow_s = 1.0 / (1.0 + math.exp(-self.state[FAST])), math.exp(self.state[SLOW])
        missing = foreign = 0.0
        for cost in self.costs:
            if "both" not in (side, cost.side) and side != cost.side:
                continue
            maximum_kg = math.exp(self.state[FIRST_LIFT + cost.place] + self.state[FORM])
            paid = share * math.exp(-cost.rest_s / FAST_S) + (1.0 - share) * math.exp(-cost.rest_s / slow_s)
            part = self.lifts.carry[place][cost.place] * paid
            part *= cost.reps * cost.load_kg / (maximum_kg * self.scale(cost.place))
            missing += part
            foreign += part if cost.place != place else 0.0
        return missing, foreign

    def scale(self, place: int) -> float:
        return self.lifts.each[place].reps_scale * math.exp(self.state[CURVE])

    def _tires(self, done: Observation, place: int) -> None:
        for cost in self.costs:
            if (cost.place, cost.side) != (place, done.side):
                cost.rest_s += REP_S * done.reps
        reps = done.reps + (0.5 if done.ended is Ended.FAILURE else 0.0)
        self.costs.append(_Cost(place, done.side, reps, done.felt_kg))


def _drawn(random: Random, belief: Belief) -> list[float]:
    """A state drawn from a belief, by Cholesky's triangle of its covariance."""
    triangle: list[list[float]] = []
    for row, each in enumerate(belief.covariance):
        line: list[float] = []
        for column in range(row + 1):
            above = triangle[column] if column < row else line
            rest = each[column] - sum(one * other for one, other in zip(line, above, strict=False))
            line.append(math.sqrt(rest) if column == row else rest / above[column])
        triangle.append(line)
    luck = [random.gauss(0.0, 1.0) for _ in triangle]
    moved = [sum(one * other for one, other in zip(line, luck, strict=False)) for line in triangle]
    return [mean + by for mean, by in zip(belief.mean, moved, strict=True)]


def trained(seed: str, *, lifts: Sequence[Lift] = LIFTS, sessions: int) -> History:
    """Somebody after so many sessions, each of 2 to 4 sets on two or three of the lifts."""
    random = Random(seed)
    months = random.choice((0.0, 3.0, 12.0, 60.0))
    before = belief = newcomer(lifts, training_months=months)
    person = Person(random, before, training_months=months)
    sets: list[Observation] = []
    day = 0.0
    for _ in range(sessions):
        person.wakes(day)
        for done in _session(random, person, belief, day):
            belief = learn(belief, done).belief
            sets.append(done)
        day += random.choice((2.0, 3.0, 4.0, 7.0, 7.0, 24.0))
    return History(before, tuple(sets), tuple(person.state), belief)


def _session(random: Random, person: Person, belief: Belief, day: float) -> Iterator[Observation]:
    """The sets of a session, each with a load that is sane by what is believed until then."""
    belief, rest_s = on_day(belief, day), None
    for lift in random.sample(person.lifts.each, random.choice((2, min(3, len(person.lifts.each))))):
        usual_s = random.choice((60.0, 90.0, 120.0, 180.0))
        for _ in range(random.randint(2, 4)):
            for side in ("left", "right") if lift.name in ONE_ARM else ("both",):
                if rest_s is not None:
                    person.rests(rest_s)
                done = person.does(_wish(random, belief, lift.name, side, rest_s))
                if done is None:
                    continue
                yield done
                belief = learn(belief, done).belief
                rest_s = usual_s if side != "left" else 20.0


def _wish(random: Random, belief: Belief, lift: str, side: str, rest_s: float | None) -> Observation:
    promised = outlook(rested(belief, rest_s or 0.0), lift, side=side)
    wanted, way = random.randint(6, 12), random.choice(("failure", "said", "said", "planned"))
    known = promised.variance < KNOWN_SD**2
    rir = random.randint(1, 3) if way == "said" and known else None
    load_kg = round(promised.load_for(wanted, 0.6 if known else 0.8, rir=rir or 0), 1)
    ended = Ended.UNSAID if rir is None else Ended.REPORTED
    reps = wanted if way == "planned" else MOST_REPS
    day = 0.0 if belief.day is None else belief.day
    return Observation(lift, max(load_kg, 0.5), reps, rir, ended, day, rest_s=rest_s, side=side)
