"""The protocol between a simulated lifter, the advice tried on it, and the season that brings them together.

A lifter knows its own strength; advice sees only what the lifter answers. Both sides are plain objects with the
methods named here; nothing needs to be inherited or registered. docs/proving.md shows a lifter that runs.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from importlib import import_module
from typing import Protocol, cast

from steelyard.errors import BrokenProtocol, offer
from steelyard.strength.model import Ended

TECHNIQUES = ("straight", "test", "drop", "rest-pause")
ENDINGS = (Ended.FAILURE, Ended.REPORTED, Ended.UNSAID)
MOST_REPS = 999
TEST_DAY = -3.0
"""When the test sets are done, in days from the first session. [days]"""
FIVE_OR_MORE = 5
"""The largest count of reps left that advice is told; it means five or more."""


@dataclass(frozen=True, slots=True)
class Ask:
    """One set that a lifter is asked to do.

    exercise:  an id of Steelyard's exercise list, or any other word from the lifter's own `exercises`.
    day:       days since the first session, the same for all sets of a session; the test day is -3.
    felt_kg:   load, as felt at the handle while raising, above 0. While advice still has to choose it, 0. [kg]
    rest_s:    time since the end of the lifter's set before, whatever exercise that was; None for the first set
               of the day, to which the lifter comes rested. How long a set itself lasts is up to the lifter. [s]
    reps_low, reps_high: the range that the load ought to lead to. Only a test set ends at reps_high; in all others
               the lifter goes on until it feels that `rir` reps are left, however many or few reps that takes.
    rir:       reps in reserve wanted: how many more it should feel able to do when it stops. 0: until it feels
               that none is left, or tries one more and fails.
    technique: "straight"; "test", a light set that ends at reps_high at the latest; "drop" or "rest-pause", a part
               that follows another part after `rest_s`. The load and the rest say all of it; a lifter may treat
               every technique but the test alike.

    >>> Ask("curl_cable", 3.0, 20.0, 120.0, 10, 12, 2, "straight").reps_high
    12
    """

    exercise: str
    day: float
    felt_kg: float
    rest_s: float | None
    reps_low: int
    reps_high: int
    rir: int
    technique: str


@dataclass(frozen=True, slots=True)
class Answer:
    """What came of a set, as the lifter writes it down: it may misjudge what was left, or mistype.

    reps:  whole reps completed, from 0 to 999; a rep that failed is not counted.
    ended: "failure", the next rep was tried and failed; "reported", it stopped and says how many were left;
           "unsaid", it stopped and does not say.
    rir:   reps said to be left: 0 or more with "reported", where 5 and all above mean five or more (advice is told
           5); None with "failure" and "unsaid".

    >>> Answer(11, "reported", 2)
    Answer(reps=11, ended='reported', rir=2)
    """

    reps: int
    ended: str
    rir: int | None


class Lifter(Protocol):
    """A simulated lifter. `do` is called in order of time, and what was done tires and trains it.

    exercises:       its exercises in the order of its session; at least one, none twice.
    training_months: months of regular training before the test day, 0 or more; told to the advice. [months]
    body_mass_kg:    told to the advice; a share of it is the first test load. [kg]

    Randomness is the lifter's own, seeded by its number, and best drawn so that a different load does not change
    the luck of later sets: then all advice meets the same days.
    """

    @property
    def exercises(self) -> Sequence[str]:
        """Its exercises in the order of its session."""

    @property
    def training_months(self) -> float:
        """Months of regular training before the test day. [months]"""

    @property
    def body_mass_kg(self) -> float:
        """Body mass. [kg]"""

    def do(self, ask: Ask) -> Answer:
        """Do one set and write down what came of it."""

    def best_kg(self, exercise: str, day: float) -> float | None:
        """The hidden truth: its one-rep maximum on that day, rested, without the luck of the day. [kg]

        That is the felt load which it could raise exactly once, and not twice, if it came to it fresh on a day of
        ordinary form. None if it won't say: then neither strength gained nor load left is scored. Asked only for
        the day of the session going on, any number of times; asking must change nothing.
        """


class Policy(Protocol):
    """Advice on how heavy next. One object serves one lifter for the whole season.

    Order of calls: `begin` once; the test sets, each only as `learn`; then for every work set `choose`,
    `interval`, `expected`, `learn`.
    """

    def begin(self, exercises: Sequence[str], training_months: float, body_mass_kg: float) -> None:
        """Meet a lifter: its exercises in order, its training age [months] and its body mass [kg]."""

    def choose(self, ask: Ask, loads_kg: Sequence[float]) -> float:
        """The load for the set described, `ask.felt_kg` being 0: one of `loads_kg`, which ascend. [kg]"""

    def interval(self, ask: Ask) -> tuple[int, int] | None:
        """Least and most reps that will be counted, to hold in 80 % of sets; None to say nothing.

        ask: the set as for `choose`, now with the load chosen.
        """

    def expected(self, ask: Ask) -> float | None:
        """The count of reps expected, whole or not; None to say nothing. Asked like `interval`."""

    def learn(self, ask: Ask, answer: Answer) -> None:
        """Take note of a set done. A `rir` of 5 means five or more."""


LifterFactory = Callable[[int], Lifter]
"""Makes lifter 0, 1, 2 and so on: the same number gives the same lifter, untrained by what earlier ones did."""
PolicyFactory = Callable[[], Policy]


def find_factory(spec: str) -> LifterFactory:
    """The factory that ``module:factory`` names; the module is imported.

    Raises: BrokenProtocol if there is no such module or factory, or it can't be called.

    >>> find_factory("steelyard.proving.lifters:lifter").__name__
    'lifter'
    """
    module_name, colon, name = spec.partition(":")
    if not (module_name and colon and name):
        raise BrokenProtocol(f"--lifters is '{spec}'; it must be module:factory, such as my_lifters:make")
    try:
        module = import_module(module_name)
    except Exception as problem:  # what stands in somebody else's module may fail in any way
        accepted = "it must name a module that can be imported from here or is installed"
        raise BrokenProtocol(f"--lifters is '{spec}'; {accepted}: {told(problem)}") from problem
    if not hasattr(module, name):
        known = [each for each, value in vars(module).items() if callable(value) and not each.startswith("_")]
        raise BrokenProtocol(f"--lifters is '{spec}'; {module_name} has no {name}; {offer(name, known)}")
    factory = getattr(module, name)
    if not callable(factory):
        raise BrokenProtocol(
            f"--lifters is '{spec}', a {type(factory).__name__}; it must name a function of a number"
        )
    return cast(LifterFactory, factory)


def made(factory: LifterFactory, number: int) -> Lifter:
    """Lifter `number`, looked over. Raises: BrokenProtocol if it lacks what the protocol asks for."""
    try:
        lifter = factory(number)
    except Exception as problem:
        raise BrokenProtocol(f"making lifter {number} fails: {told(problem)}; mend the factory") from problem
    for name in ("exercises", "training_months", "body_mass_kg", "do", "best_kg"):
        if not hasattr(lifter, name):
            raise BrokenProtocol(f"lifter {number} is a {type(lifter).__name__} without {name}; give it one")
    names = lifter.exercises
    if isinstance(names, str) or not names or not all(isinstance(name, str) for name in names):
        raise BrokenProtocol(
            f"exercises of lifter {number} are {names!r}; they must be a list of at least one word"
        )
    if len(set(names)) < len(names):
        raise BrokenProtocol(f"exercises of lifter {number} are {list(names)}; none may stand there twice")
    _check_amount(number, "training_months", lifter.training_months, least=0.0)
    _check_amount(number, "body_mass_kg", lifter.body_mass_kg, least=1.0)
    return lifter


def answer_to(lifter: Lifter, ask: Ask, number: int) -> Answer:
    """What the lifter answers, checked; more than five left are told as five.

    number: which lifter, for messages.

    Raises: BrokenProtocol if the lifter fails, or answers what the protocol does not know.
    """
    try:
        answer = lifter.do(ask)
    except Exception as problem:
        raise BrokenProtocol(f"lifter {number} fails at {ask}: {told(problem)}; mend its do") from problem
    if fault := _fault(answer):
        raise BrokenProtocol(f"lifter {number} answers {fault}")
    if answer.rir is not None and answer.rir > FIVE_OR_MORE:
        return replace(answer, rir=FIVE_OR_MORE)
    return answer


def best_of(lifter: Lifter, exercise: str, day: float, number: int) -> float | None:
    """Its hidden maximum, checked. [kg] Raises: BrokenProtocol."""
    try:
        best_kg = lifter.best_kg(exercise, day)
    except Exception as problem:
        raise BrokenProtocol(f"lifter {number} fails at best_kg: {told(problem)}; mend it") from problem
    if best_kg is not None:
        _check_amount(number, "best_kg", best_kg, least=0.01)
    return best_kg


def _fault(answer: object) -> str | None:
    """What is wrong with an answer, with what is accepted; None if nothing is."""
    if not isinstance(answer, Answer):
        return f"a {type(answer).__name__}; it must be an Answer of steelyard.proving.protocol"
    reps, rir = answer.reps, answer.rir
    if not _is_whole(reps) or not 0 <= reps <= MOST_REPS:
        return f"reps {reps!r}; they must be whole, from 0 to {MOST_REPS}: count only full reps"
    if answer.ended not in ENDINGS:
        return f"ended {answer.ended!r}; it must be one of {', '.join(ENDINGS)}"
    if answer.ended == Ended.REPORTED:
        if rir is None or not _is_whole(rir) or rir < 0:
            return f"rir {rir!r} with reported; it must be whole and at least 0, or the set ends unsaid"
    elif rir is not None:
        return f"rir {rir!r} with {answer.ended}; it must be None, or the set ends reported"
    return None


def _is_whole(value: object) -> bool:
    return isinstance(value, int) and not isinstance(value, bool)


def _check_amount(number: int, name: str, value: object, *, least: float) -> None:
    if not isinstance(value, int | float) or isinstance(value, bool) or not least <= value < float("inf"):
        raise BrokenProtocol(f"{name} of lifter {number} is {value!r}; it must be a number of at least {least:g}")


def told(problem: Exception) -> str:
    """A foreign exception in one line.

    >>> told(ValueError("too\\n heavy"))
    'ValueError: too heavy'
    """
    return f"{type(problem).__name__}: {' '.join(str(problem).split())}"[:200]
