"""What the command line says when it does not understand: one line in the house's words, and code 2."""

from __future__ import annotations

import pytest

from steelyard.cli.parser import make_parser
from steelyard.cli.refusing import in_our_words


def refused(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    with pytest.raises(SystemExit) as ended:
        make_parser().parse_args(arguments)
    assert ended.value.code == 2
    said, blank, hint = capsys.readouterr().err.splitlines()
    assert not blank
    assert hint.startswith("hint: steelyard")
    return said


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("log", "--reps", "twelve"), "--reps is 'twelve'; it must be a whole number in figures, such as 10"),
        (("serve", "--port", "8e3"), "--port is '8e3'; it must be a whole number in figures"),
        (("log",), "--reps is missing; it must be given"),
        (("lifter", "add"), "ID, --name, --months are missing; they must be given"),
        (("lifter", "add", "li", "--name", "Li"), "--months is missing; it must be given: months of"),
        (("macine",), "COMMAND is 'macine'; it must be one of demo, setup"),
        (("lifter", "add", "a", "--unit", "st"), "--unit is 'st'; it must be one of kg, lb"),
        (("review", "ida", "otto"), "'otto' is not understood here"),
        (("log", "--reps", "8", "--left", "1", "--failed"), "--failed is given beside --left; it must be one"),
        (("log", "--reps"), "--reps is given without its value; it must be followed by one argument"),
    ],
)  # fmt: skip
def test_what_is_not_understood_is_shown_with_what_is(
    capsys: pytest.CaptureFixture[str], arguments: tuple[str, ...], told: str
) -> None:
    assert refused(capsys, *arguments).startswith(f"steelyard: {told}")


def test_a_near_miss_is_offered(capsys: pytest.CaptureFixture[str]) -> None:
    assert refused(capsys, "macine").endswith("did you mean machine?")


def test_the_hint_names_the_command_that_was_meant(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        make_parser().parse_args(["lifter", "weigh"])
    assert capsys.readouterr().err.endswith("hint: steelyard lifter weigh --help\n")


def test_a_long_value_is_cut() -> None:
    assert len(in_our_words(f"unrecognized arguments: {'x' * 500}")) < 160


def test_words_that_are_not_known_stay() -> None:
    assert in_our_words("something new") == "something new"
