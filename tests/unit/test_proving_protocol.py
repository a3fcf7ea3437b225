"""What outside code may answer, and how it is told when it may not."""

from __future__ import annotations

import pickle
import sys
from pathlib import Path

import pytest

from steelyard.errors import BrokenProtocol
from steelyard.proving.protocol import Answer, Ask, Lifter, answer_to, best_of, find_factory, made, told

ASK = Ask("curl_cable", 0.0, 20.0, None, 10, 12, 2, "straight")


class Scripted:
    """Answers as it is told to."""

    def __init__(self, answer: object = None, best_kg: object = 40.0) -> None:
        self.exercises: object = ("curl_cable",)
        self.training_months: object = 6
        self.body_mass_kg: object = 70.0
        self._answer, self._best_kg = answer, best_kg

    def do(self, ask: Ask) -> Answer:
        if isinstance(self._answer, Exception):
            raise self._answer
        return self._answer  # type: ignore[return-value]

    def best_kg(self, exercise: str, day: float) -> float | None:
        return self._best_kg  # type: ignore[return-value]


def refused(answer: object) -> str:
    with pytest.raises(BrokenProtocol) as caught:
        answer_to(Scripted(answer), ASK, 7)  # type: ignore[arg-type]
    return str(caught.value)


def made_of(lifter: object) -> Lifter:
    return made(lambda number: lifter, 7)  # type: ignore[arg-type, return-value]


@pytest.mark.parametrize(
    "answer",
    [
        Answer(0, "failure", None),
        Answer(11, "reported", 2),
        Answer(11, "reported", 0),
        Answer(999, "unsaid", None),
    ],
)
def test_what_the_protocol_knows_is_passed_on(answer: Answer) -> None:
    assert answer_to(Scripted(answer), ASK, 0) == answer  # type: ignore[arg-type]


def test_more_than_five_left_are_told_as_five_or_more() -> None:
    assert answer_to(Scripted(Answer(3, "reported", 9)), ASK, 0).rir == 5  # type: ignore[arg-type]


@pytest.mark.parametrize("reps", [-1, 1000, 10.5, True, None, "ten"])
def test_reps_that_nobody_can_count_are_refused(reps: object) -> None:
    message = refused(Answer(reps, "failure", None))  # type: ignore[arg-type]
    assert message == f"lifter 7 answers reps {reps!r}; they must be whole, from 0 to 999: count only full reps"


def test_an_ending_must_be_one_of_three() -> None:
    message = refused(Answer(10, "bored", None))
    assert message == "lifter 7 answers ended 'bored'; it must be one of failure, reported, unsaid"


@pytest.mark.parametrize("ended", ["failure", "unsaid"])
def test_reps_left_are_said_only_with_a_report(ended: str) -> None:
    assert refused(Answer(10, ended, 2)).endswith(f"rir 2 with {ended}; it must be None, or the set ends reported")


@pytest.mark.parametrize("rir", [None, -1, 1.5, False])
def test_a_report_says_a_whole_count(rir: object) -> None:
    message = refused(Answer(10, "reported", rir))  # type: ignore[arg-type]
    assert f"rir {rir!r} with reported; it must be whole" in message


def test_an_answer_must_be_an_answer() -> None:
    assert "answers a tuple; it must be an Answer" in refused((10, "failure", None))


def test_a_lifter_that_breaks_off_is_told_in_one_line() -> None:
    message = refused(ValueError("first\nsecond"))
    assert message.startswith("lifter 7 fails at Ask(exercise='curl_cable'")
    assert message.endswith("ValueError: first second; mend its do")


@pytest.mark.parametrize(
    ("name", "value", "words"),
    [
        ("exercises", (), "must be a list of at least one word"),
        ("exercises", "curl", "must be a list of at least one word"),
        ("exercises", (1,), "must be a list of at least one word"),
        ("exercises", ("a", "a"), "none may stand there twice"),
        ("training_months", -1, "training_months of lifter 7 is -1; it must be a number of at least 0"),
        ("training_months", float("nan"), "it must be a number of at least 0"),
        ("body_mass_kg", "70 kg", "body_mass_kg of lifter 7 is '70 kg'; it must be a number of at least 1"),
        ("body_mass_kg", float("inf"), "it must be a number of at least 1"),
    ],
)
def test_a_lifter_is_looked_over_before_it_trains(name: str, value: object, words: str) -> None:
    lifter = Scripted()
    setattr(lifter, name, value)
    with pytest.raises(BrokenProtocol) as caught:
        made_of(lifter)
    assert words in str(caught.value)


def test_what_a_lifter_lacks_is_named() -> None:
    with pytest.raises(BrokenProtocol) as caught:
        made_of(object())
    assert str(caught.value) == "lifter 7 is a object without exercises; give it one"


def test_a_factory_that_fails_is_told_with_the_number() -> None:
    def fails(number: int) -> Lifter:
        raise ZeroDivisionError("nothing to share")

    with pytest.raises(BrokenProtocol) as caught:
        made(fails, 3)
    assert str(caught.value) == "making lifter 3 fails: ZeroDivisionError: nothing to share; mend the factory"


@pytest.mark.parametrize("best_kg", [0.0, -5.0, float("inf"), "strong"])
def test_a_hidden_maximum_is_a_mass(best_kg: object) -> None:
    with pytest.raises(BrokenProtocol, match="best_kg of lifter 7 is"):
        best_of(Scripted(best_kg=best_kg), "curl_cable", 0.0, 7)  # type: ignore[arg-type]


def test_a_hidden_maximum_may_stay_hidden() -> None:
    assert best_of(Scripted(best_kg=None), "curl_cable", 0.0, 7) is None  # type: ignore[arg-type]


@pytest.mark.parametrize("spec", ["", "lifters", ":make", "lifters:"])
def test_a_factory_is_named_by_module_and_name(spec: str) -> None:
    with pytest.raises(BrokenProtocol) as caught:
        find_factory(spec)
    assert str(caught.value) == f"--lifters is '{spec}'; it must be module:factory, such as my_lifters:make"


def test_a_module_that_is_not_there_is_told() -> None:
    with pytest.raises(BrokenProtocol, match="ModuleNotFoundError: No module named 'nowhere_at_all'"):
        find_factory("nowhere_at_all:make")


def test_a_module_that_fails_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "broken_lifters_of_a_test.py").write_text("raise RuntimeError('half done')\n", encoding="utf-8")
    monkeypatch.setattr(sys, "path", [str(tmp_path), *sys.path])
    with pytest.raises(BrokenProtocol, match="RuntimeError: half done"):
        find_factory("broken_lifters_of_a_test:make")


def test_a_name_near_the_one_given_is_offered() -> None:
    with pytest.raises(BrokenProtocol, match="has no lifters; did you mean lifter"):
        find_factory("steelyard.proving.lifters:lifters")


def test_a_factory_must_be_callable() -> None:
    with pytest.raises(BrokenProtocol, match="a float; it must name a function of a number"):
        find_factory("steelyard.proving.lifters:REP_S")


def test_a_refusal_comes_back_whole_from_another_process() -> None:
    before = BrokenProtocol("lifter 7 answers nothing")
    assert str(pickle.loads(pickle.dumps(before))) == str(before)


def test_a_long_complaint_is_cut() -> None:
    assert len(told(ValueError("x" * 1000))) == 200
