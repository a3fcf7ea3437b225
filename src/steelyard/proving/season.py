"""A season of training under advice: the same lifters, days and loads at hand for every policy."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import islice
from multiprocessing import get_context
from pickle import PicklingError, dumps

from steelyard.errors import BrokenProtocol, OutOfRange
from steelyard.proving.protocol import (
    FIVE_OR_MORE,
    TEST_DAY,
    Answer,
    Ask,
    Lifter,
    LifterFactory,
    Policy,
    PolicyFactory,
    answer_to,
    best_of,
    made,
    told,
)
from steelyard.proving.scores import Scores, Tally, scores
from steelyard.strength.model import Ended
from steelyard.training.decide import at_most
from steelyard.training.exercises import exercises
from steelyard.training.trial import (
    FIRST_SHARE_SMALL,
    MOST_TRIALS,
    TRIAL_REPS,
    TRIAL_REST_S,
    TRIAL_RIR,
    TRIAL_STEP,
    first_share,
    trial_step,
)

MOST_LIFTERS, MOST_WEEKS, MOST_SETS, MOST_WORKERS = 1_000_000, 520, 10, 256
CHUNK = 20
"""Lifters handed to a process at once, so that none waits long for another at the end."""


@dataclass(frozen=True)
class Season:
    """What every lifter is put through.

    weeks:     two sessions each, on days 0 and 3, 7 and 10, and so on.
    reps_low, reps_high: the range wanted.
    rir:       reps in reserve wanted, one for each work set of an exercise.
    rest_s:    before every work set but the first of the day. [s]
    least_kg, step_kg, most_kg: the loads at hand, as felt, a ladder of even steps. [kg]

    Raises: OutOfRange if there would be nothing to do, or no ladder.

    >>> Season(weeks=1).days, Season(weeks=1).loads_kg[:3]
    ((0.0, 3.0), (2.0, 3.0, 4.0))
    """

    weeks: int = 12
    reps_low: int = 10
    reps_high: int = 12
    rir: tuple[int, ...] = (2, 1, 1)
    rest_s: float = 120.0
    least_kg: float = 2.0
    step_kg: float = 1.0
    most_kg: float = 600.0

    def __post_init__(self) -> None:
        _check("weeks", self.weeks, 1, MOST_WEEKS)
        _check("reps_low", self.reps_low, 1, 50)
        _check("reps_high", self.reps_high, self.reps_low, 50)
        _check("sets", len(self.rir), 1, MOST_SETS)
        _check("rest", self.rest_s, 0, 3600, " s")
        _check("least load", self.least_kg, 0.1, 100, " kg")
        _check("step", self.step_kg, 0.1, 50, " kg")

    @cached_property
    def days(self) -> tuple[float, ...]:
        """The days of its sessions."""
        return tuple(7.0 * week + day for week in range(self.weeks) for day in (0.0, 3.0))

    @cached_property
    def loads_kg(self) -> tuple[float, ...]:
        """The loads at hand, ascending. [kg]"""
        count = int((self.most_kg - self.least_kg) / self.step_kg) + 1
        return tuple(self.least_kg + self.step_kg * place for place in range(count))


def prove(
    policies: Mapping[str, PolicyFactory],
    lifters: LifterFactory,
    number: int,
    *,
    season: Season | None = None,
    workers: int = 1,
) -> dict[str, Scores]:
    """Let policies advise lifters for a season, and score them; the same whatever the workers.

    policies: factories by name; each lifter gets a new object.
    lifters:  called with 0 to number - 1, once for every policy, so that all face the same untrained person.
    workers:  processes; with more than one, factories must be functions or classes at the top of a module.

    Raises: OutOfRange; BrokenProtocol if a lifter or a policy does not keep to the protocol.
    """
    season = season or Season()
    _check("number of lifters", number, 1, MOST_LIFTERS)
    _check("workers", workers, 1, MOST_WORKERS)
    chunks = [range(first, min(first + CHUNK, number)) for first in range(0, number, CHUNK)]
    jobs = [(dict(policies), lifters, chunk, season) for chunk in chunks]
    each = list(_pooled(jobs, workers)) if workers > 1 else [prove_chunk(job) for job in jobs]
    tallies: dict[str, list[Tally]] = {name: [] for name in policies}
    for chunk_tallies in each:
        for name, found in chunk_tallies.items():
            tallies[name].extend(found)
    return {name: scores(found) for name, found in tallies.items()}


Job = tuple[Mapping[str, PolicyFactory], LifterFactory, Sequence[int], Season]


def prove_chunk(job: Job) -> dict[str, list[Tally]]:
    """The tallies of some lifters, by policy: what one process does at a time."""
    policies, lifters, numbers, season = job
    return {
        name: [season_of(policy(), made(lifters, number), season, number) for number in numbers]
        for name, policy in policies.items()
    }


def _pooled(jobs: Sequence[Job], workers: int) -> Iterator[dict[str, list[Tally]]]:
    _check_can_travel(jobs[0])
    pool = ProcessPoolExecutor(min(workers, len(jobs)), mp_context=get_context("spawn"))
    try:
        yield from pool.map(prove_chunk, jobs)
    except BrokenProcessPool as problem:
        raise BrokenProtocol("a worker process died; try fewer lifters, or one worker to see why") from problem
    finally:
        pool.shutdown(cancel_futures=True)


def _check_can_travel(job: Job) -> None:
    # Found out here, since a pool whose queue meets it can wait for ever.
    try:
        dumps(job)
    except (PicklingError, AttributeError, TypeError) as problem:
        way_out = "put it at the top of a module, or use one worker"
        raise BrokenProtocol(
            f"a factory can't be handed to another process ({told(problem)}); {way_out}"
        ) from problem


def season_of(policy: Policy, lifter: Lifter, season: Season, number: int) -> Tally:
    """One lifter's season under one policy.

    number: which lifter, for messages.

    Raises: BrokenProtocol.
    """
    policy.begin(tuple(lifter.exercises), lifter.training_months, lifter.body_mass_kg)
    for ask, answer in trial_day(lifter, season, number):
        policy.learn(ask, answer)
    tally = Tally()
    first = _maxima(lifter, season.days[0], number)
    for day in season.days:
        session(policy, lifter, season, day, number, tally)
    for exercise, last_kg in _maxima(lifter, season.days[-1], number).items():
        first_kg = first[exercise]
        if first_kg is not None and last_kg is not None:
            tally.count_gain(first_kg, last_kg)
    return tally


def session(policy: Policy, lifter: Lifter, season: Season, day: float, number: int, tally: Tally) -> None:
    """One day: every exercise with all its work sets, counted."""
    rest_s = None
    for exercise in lifter.exercises:
        best_kg = best_of(lifter, exercise, day, number)
        for place, rir in enumerate(season.rir):
            wanted = Ask(exercise, day, 0.0, rest_s, season.reps_low, season.reps_high, rir, "straight")
            ask = work_set(policy, lifter, wanted, season.loads_kg, number, tally)
            rest_s = season.rest_s
            if place == 0 and best_kg is not None:
                tally.count_load(ask, best_kg)


def _maxima(lifter: Lifter, day: float, number: int) -> dict[str, float | None]:
    return {exercise: best_of(lifter, exercise, day, number) for exercise in lifter.exercises}


def work_set(
    policy: Policy, lifter: Lifter, wanted: Ask, loads_kg: Sequence[float], number: int, tally: Tally
) -> Ask:
    """Choose, forecast, do, count and learn one work set; returns it with the load chosen."""
    chosen_kg = policy.choose(wanted, loads_kg)
    if chosen_kg not in loads_kg:
        accepted = f"one of those at hand, {loads_kg[0]:g} to {loads_kg[-1]:g} kg"
        raise BrokenProtocol(
            f"{type(policy).__name__} chooses {chosen_kg!r} kg for lifter {number}; it must be {accepted}"
        )
    ask = replace(wanted, felt_kg=chosen_kg)
    interval, expected = policy.interval(ask), policy.expected(ask)
    answer = answer_to(lifter, ask, number)
    tally.count(ask, answer)
    tally.count_forecast(interval, expected, answer.reps)
    policy.learn(ask, answer)
    return ask


def trial_day(lifter: Lifter, season: Season, number: int) -> Iterator[tuple[Ask, Answer]]:
    """The test sets before the season: for each exercise light ones that climb until one tells enough."""
    rest_s = None
    for exercise in lifter.exercises:
        felt_kg: float | None = at_hand(season.loads_kg, first_trial_kg(exercise, lifter.body_mass_kg))
        for _ in range(MOST_TRIALS):
            if felt_kg is None:
                break
            ask = Ask(exercise, TEST_DAY, felt_kg, rest_s, TRIAL_REPS, TRIAL_REPS, TRIAL_RIR, "test")
            answer = answer_to(lifter, ask, number)
            yield ask, answer
            rest_s = TRIAL_REST_S
            felt_kg = after_trial(season.loads_kg, felt_kg, answer)


def after_trial(loads_kg: Sequence[float], felt_kg: float, answer: Answer) -> float | None:
    """The next test load; None if the last one told enough, or there is none. [kg]"""
    if answer.reps == 0:
        lighter_kg = at_hand(loads_kg, felt_kg / TRIAL_STEP)
        return lighter_kg if lighter_kg < felt_kg else None
    if answer.ended == Ended.FAILURE:
        return None
    if answer.rir is None:
        return felt_kg
    if answer.rir < FIVE_OR_MORE:
        return None
    heavier = islice((load_kg for load_kg in loads_kg if load_kg > felt_kg), 1)
    return max(at_hand(loads_kg, felt_kg * trial_step(min(answer.reps, TRIAL_REPS))), next(heavier, felt_kg))


def first_trial_kg(exercise: str, body_mass_kg: float) -> float:
    """A first test load that nearly everyone moves with ease; a word not listed counts as small. [kg]"""
    known = exercises().get(exercise)
    return body_mass_kg * (first_share(known) if known is not None else FIRST_SHARE_SMALL)


def at_hand(loads_kg: Sequence[float], wanted_kg: float) -> float:
    """The heaviest load that is not above the one wanted, or the lightest there is. [kg]"""
    return loads_kg[at_most(loads_kg, wanted_kg + 1e-9)]


def _check(name: str, value: float, least: float, most: float, unit: str = "") -> None:
    if not least <= value <= most:
        raise OutOfRange(name, f"{value:g}{unit}", f"from {least:g} to {most}{unit}")
