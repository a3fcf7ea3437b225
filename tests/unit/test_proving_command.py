"""`steelyard proving run`: a table and one sentence, or JSON, and refusals in one line."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest

from steelyard.cli.commands import run
from steelyard.cli.proving import score_lines, verdict
from steelyard.proving.policies import POLICIES
from steelyard.proving.scores import Scores

MINE = """\
from steelyard.proving.protocol import Answer


class Strong:
    exercises = ["anvil_toss"]
    training_months = 3
    body_mass_kg = 90

    def do(self, ask):
        able = int(30 * (80 / ask.felt_kg - 1))
        reps = max(0, min(able - ask.rir, 8 if ask.technique == "test" else 99))
        return Answer(reps, "reported", max(0, able - reps))

    def best_kg(self, exercise, day):
        return None


def make(number):
    return Strong()


def wrong(number):
    strong = Strong()
    strong.do = lambda ask: Answer(-2, "failure", None)
    return strong
"""


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with lifters of somebody's own, where the command is typed."""
    (tmp_path / "lifters_of_this_test.py").write_text(MINE, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(sys, "path", list(sys.path))
    return tmp_path


def typed(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    code = run(["proving", "run", "--workers", "1", *words], serve_page=lambda *_: None)
    printed = capsys.readouterr()
    return code, printed.out, printed.err


def told(inside: float, error: float = 0.01) -> Scores:
    return Scores(100, inside, error, 0.1, 0.0, None, 0.03, 0.8, 1.5)


def test_the_shipped_lifters_make_a_table_and_a_sentence(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = typed(capsys, "--number", "3", "--weeks", "2")
    lines = out.splitlines()
    assert (code, err) == (0, "")
    assert lines[0].startswith(
        "3 lifters of steelyard.proving.lifters:lifter, 2 weeks, work sets of 10 to 12 reps"
    )
    assert [line.split("  ")[1] for line in lines[2 : 2 + len(POLICIES)]] == list(POLICIES)
    assert "of its work sets inside the range" in lines[-1]


def test_scores_come_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = typed(capsys, "--number", "2", "--weeks", "1", "--json")
    assert set(json.loads(out)) == set(POLICIES)


def test_lifters_are_found_in_the_folder_where_one_types(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = typed(capsys, "--lifters", "lifters_of_this_test:make", "--number", "2", "--weeks", "4")
    assert code == 0
    assert "2 lifters of lifters_of_this_test:make" in out


def test_sets_and_rest_can_be_chosen(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = (
        "--lifters",
        "lifters_of_this_test:make",
        "--number",
        "2",
        "--weeks",
        "3",
        "--sets",
        "2",
        "--rest",
        "60",
    )
    _, out, _ = typed(capsys, *words, "--json")
    assert {scores["sets"] for scores in json.loads(out).values()} == {2 * 3 * 2 * 2}


def test_a_wrong_answer_is_told_in_one_line(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = typed(capsys, "--lifters", "lifters_of_this_test:wrong", "--number", "1")
    accepted = "they must be whole, from 0 to 999: count only full reps"
    assert (code, out, err) == (1, "", f"steelyard: lifter 0 answers reps -2; {accepted}\n")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--number", "0"), "number of lifters is 0; it must be from 1 to 1000000"),
        (("--weeks", "0"), "weeks is 0; it must be from 1 to 520"),
        (("--sets", "0"), "sets is 0; it must be from 1 to 10"),
        (("--rest", "9999"), "rest is 9999 s; it must be from 0 to 3600 s"),
        (("--lifters", "mine"), "--lifters is 'mine'; it must be module:factory, such as my_lifters:make"),
    ],
)
def test_options_out_of_range_are_refused(
    words: tuple[str, ...], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert typed(capsys, *words) == (1, "", f"steelyard: {said}\n")


def test_the_sentence_says_how_far_ahead_the_best_is() -> None:
    said = verdict({"one": told(0.5), "two": told(0.4)})
    assert said == "One put 50.0 % of its work sets inside the range, 10.0 points more than the next best, two."


def test_the_sentence_says_when_lifters_are_too_few() -> None:
    assert verdict({"one": told(0.5), "two": told(0.49)}).endswith(
        "too little to tell them apart with so few lifters."
    )


def test_one_alone_is_compared_with_nobody() -> None:
    assert verdict({"one": told(0.5)}) == "One put 50.0 % of its work sets inside the range."


def test_what_was_not_told_is_a_dash() -> None:
    head, line = score_lines({"one": told(0.5)})
    assert head.split()[0] == "inside"
    assert line.split() == [
        "one",
        "50.0",
        "%",
        "10.0",
        "%",
        "0.0",
        "%",
        "-",
        "3.0",
        "%",
        "80.0",
        "%",
        "1.50",
        "reps",
    ]
