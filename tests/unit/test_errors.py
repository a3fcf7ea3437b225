"""Errors: one line each, with the value, what is accepted and the way out; the facts are attributes too."""

from __future__ import annotations

import pytest

from steelyard.errors import (
    DamagedFile,
    DamagedJournal,
    JournalConflict,
    JournalUnavailable,
    LimitExceeded,
    NoLoading,
    OutOfRange,
    SteelyardError,
    UnknownName,
    offer,
)

EVERY = [
    OutOfRange("mass", "-5 kg", "0 kg or more"),
    UnknownName("horn", "tipp", ["tip", "back"]),
    DamagedFile("plates.toml", "plate[1].mass", "'20'", "a mass"),
    LimitExceeded("mass on horn tip", "95 kg", "90 kg", "take 5 kg off"),
    NoLoading("61 kg", ["60.2 kg", "62.4 kg"]),
    JournalConflict("two events carry the same id"),
    DamagedJournal("line 3 is cut off"),
    JournalUnavailable("the journal is locked"),
]


@pytest.mark.parametrize("error", EVERY, ids=lambda error: type(error).__name__)
def test_every_error_is_ours_and_one_line(error: SteelyardError) -> None:
    assert isinstance(error, SteelyardError)
    assert "\n" not in str(error)
    assert not str(error).endswith(".")


def test_a_value_out_of_range_is_a_value_error_with_its_facts() -> None:
    error = EVERY[0]
    assert isinstance(error, ValueError)
    assert str(error) == "mass is -5 kg; it must be 0 kg or more"
    assert (error.name, error.value, error.accepted) == ("mass", "-5 kg", "0 kg or more")


def test_an_unknown_name_is_a_key_error_without_the_quotes_of_one() -> None:
    error = EVERY[1]
    assert isinstance(error, KeyError)
    assert str(error) == "horn 'tipp' is not known; did you mean tip? known: tip, back"
    assert (error.kind, error.name, error.known) == ("horn", "tipp", ("tip", "back"))


def test_known_names_may_be_given_once_only() -> None:
    assert UnknownName("horn", "x", (name for name in ["tip"])).known == ("tip",)


def test_a_damaged_file_names_file_key_value_and_what_is_accepted() -> None:
    error = EVERY[2]
    assert isinstance(error, DamagedFile)
    assert str(error) == "plates.toml: plate[1].mass is '20'; it must be a mass"
    assert (error.source, error.key, error.value, error.accepted) == (
        "plates.toml",
        "plate[1].mass",
        "'20'",
        "a mass",
    )
    assert (
        str(DamagedFile("plates.toml", "", "a folder", "a file")) == "plates.toml is a folder; it must be a file"
    )


def test_a_limit_says_by_what_it_is_broken_and_the_way_out() -> None:
    error = EVERY[3]
    assert isinstance(error, LimitExceeded)
    assert str(error) == "mass on horn tip would be 95 kg; it must not exceed 90 kg: take 5 kg off"
    assert (error.limit, error.value, error.rated) == ("mass on horn tip", "95 kg", "90 kg")


def test_no_loading_offers_what_there_is() -> None:
    error = EVERY[4]
    assert isinstance(error, NoLoading)
    assert str(error) == "no loading makes 61 kg; nearest are 60.2 kg and 62.4 kg"
    assert (error.wanted, error.nearest) == ("61 kg", ("60.2 kg", "62.4 kg"))
    assert str(NoLoading("61 kg", [])) == "no loading makes 61 kg; no load at all can be built"


def test_an_offer_names_the_nearest_only_where_one_is_near() -> None:
    assert offer("rwo", ["row", "curl"]) == "did you mean row? known: row, curl"
    assert offer("zzz", ["row", "curl"]) == "known: row, curl"
    assert offer("zzz", []) == "known: none yet"
