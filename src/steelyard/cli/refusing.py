"""A parser that refuses in the house's words: the value, what is accepted, the way out; no page of usage."""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Callable
from difflib import get_close_matches
from typing import NoReturn


def _choice(found: re.Match[str]) -> str:
    known = [word.strip("' ") for word in found["known"].split(",")]
    near = get_close_matches(found["value"], known, n=1)
    hint = f"; did you mean {near[0]}?" if near else ""
    return f"{found['name']} is '{found['value'][:60]}'; it must be one of {', '.join(known)}{hint}"


def _missing(found: re.Match[str]) -> str:
    are, they = ("are", "they") if "," in found["names"] else ("is", "it")
    return f"{found['names']} {are} missing; {they} must be given"


def _extra(found: re.Match[str]) -> str:
    way_out = "leave it out, or quote words that belong together"
    return f"'{found['extra'][:60]}' is not understood here; {way_out}"


PHRASES: dict[str, Callable[[re.Match[str]], str]] = {
    r"argument (?P<name>\S+): invalid choice: '(?P<value>[^']*)' \(choose from (?P<known>.*)\)": _choice,
    r"the following arguments are required: (?P<names>.*)": _missing,
    r"unrecognized arguments: (?P<extra>[\s\S]*)": _extra,
    r"argument (?P<name>\S+): not allowed with argument (?P<other>\S+)": (
        lambda found: f"{found['name']} is given beside {found['other']}; it must be one of the two"
    ),
    r"argument (?P<name>\S+): expected (?P<wanted>.*)": (
        lambda found: f"{found['name']} is given without its value; it must be followed by {found['wanted']}"
    ),
    r"argument (?P<name>\S+): (?P<told>is [\s\S]*)": lambda found: f"{found['name']} {found['told']}",
}
"""What the standard parser says, as a pattern, and how we put it."""


class Parser(argparse.ArgumentParser):
    """As the standard one, but for what it says when it does not understand."""

    def error(self, message: str) -> NoReturn:
        """Say in one line what was not understood, with a hint, and leave with code 2."""
        print(
            f"steelyard: {in_our_words(message)}{self._what_is_missing(message)}\n\nhint: {self.prog} --help",
            file=sys.stderr,
        )
        raise SystemExit(2)

    def _what_is_missing(self, message: str) -> str:
        """What an option is for that must be given, if it is the only one."""
        _, _, name = message.partition("the following arguments are required: ")
        helps = [action.help for action in self._actions if name in action.option_strings and action.help]
        return "".join(f": {told}" for told in helps)


def in_our_words(message: str) -> str:
    """A message of the standard parser as we would put it; one that is not known stays as it is.

    >>> in_our_words("the following arguments are required: --reps")
    '--reps is missing; it must be given'
    """
    for pattern, phrase in PHRASES.items():
        if found := re.fullmatch(pattern, message):
            return phrase(found)
    return message


def whole(text: str) -> int:
    """A whole number, for `type=`. Raises: ArgumentTypeError, with the value and what is accepted."""
    try:
        return int(text)
    except ValueError:
        raise argparse.ArgumentTypeError(
            f"is '{text[:60]}'; it must be a whole number in figures, such as 10"
        ) from None
