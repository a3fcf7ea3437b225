"""The home folder: made from an example, read whole, refused where it is damaged."""

from __future__ import annotations

from pathlib import Path

import pytest

from steelyard.errors import DamagedFile, UnknownName
from steelyard.home import machine_examples, make_home, read_home, read_text

OWN = """
[exercise.row_towel]
name = "Row with a towel"
pattern = "horizontal_pull"
primary = ["lats"]
source = "our own"
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    make_home(tmp_path / "gym")
    return tmp_path / "gym"


@pytest.mark.parametrize("machine", machine_examples())
def test_a_home_can_start_from_every_example(tmp_path: Path, machine: str) -> None:
    make_home(tmp_path / "gym", machine)
    home = read_home(tmp_path / "gym")
    assert home.gym.machine.stations
    assert set(home.outlines) == {"legs", "press", "pull"}
    assert home.journal == tmp_path / "gym" / "journal.db"


def test_a_home_may_add_exercises_and_outlines(folder: Path) -> None:
    (folder / "exercises.toml").write_text(OWN)
    (folder / "outlines" / "towel.toml").write_text(
        'name = "towel"\n[[exercise]]\ndo = "row_towel"\nreps = 9\nrir = [1]\n'
    )
    home = read_home(folder)
    assert home.outlines["towel"].items[0].exercise == "row_towel"
    assert "lever_row_chest" in home.gym.exercises


def test_a_home_is_never_overwritten(folder: Path) -> None:
    (folder / "machine.toml").write_text("mine")
    with pytest.raises(DamagedFile, match="gym is already a home folder; it must be a new folder"):
        make_home(folder)
    assert (folder / "machine.toml").read_text() == "mine"


def test_an_unknown_example_leaves_nothing_behind(tmp_path: Path) -> None:
    with pytest.raises(UnknownName, match=r"did you mean boathouse\?"):
        make_home(tmp_path / "gym", "boathose")
    assert not (tmp_path / "gym").exists()


def test_a_folder_that_cannot_be_made_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(DamagedFile, match=r"file is not writable \(.*\); it must be a folder that can be made"):
        make_home(tmp_path / "file")


def test_any_other_folder_is_no_home(tmp_path: Path) -> None:
    with pytest.raises(DamagedFile, match=r"not a home folder; it must be .* make one with: steelyard setup$"):
        read_home(tmp_path)


def test_a_home_needs_an_outline(folder: Path) -> None:
    for path in (folder / "outlines").iterdir():
        path.unlink()
    with pytest.raises(DamagedFile, match="outlines is without any outline; it must be"):
        read_home(folder)


def test_a_home_needs_plates(folder: Path) -> None:
    (folder / "plates.toml").unlink()
    with pytest.raises(DamagedFile, match=r"plates.toml is not readable \(No such file or directory\)"):
        read_home(folder)


def test_a_damaged_outline_is_named(folder: Path) -> None:
    (folder / "outlines" / "pull.toml").write_text("name = 3")
    with pytest.raises(DamagedFile, match=r"^outlines/pull\.toml: name is 3; it must be a text"):
        read_home(folder)


def test_a_file_too_long_for_a_person_is_refused(tmp_path: Path) -> None:
    (tmp_path / "long.toml").write_bytes(b"#" * 1_000_001)
    with pytest.raises(DamagedFile, match="1000001 bytes long; it must be at most 1000000 bytes"):
        read_text(tmp_path / "long.toml")
    assert len(read_text(tmp_path / "long.toml", most=None)) == 1_000_001


def test_only_utf_8_is_text(tmp_path: Path) -> None:
    (tmp_path / "old.toml").write_bytes(b"# caf\xe9")
    with pytest.raises(DamagedFile, match=r"not text \(byte 5\); it must be text in UTF-8"):
        read_text(tmp_path / "old.toml")


def test_a_byte_order_mark_is_passed_over(tmp_path: Path) -> None:
    (tmp_path / "marked.toml").write_bytes(b"\xef\xbb\xbfname")
    assert read_text(tmp_path / "marked.toml") == "name"
