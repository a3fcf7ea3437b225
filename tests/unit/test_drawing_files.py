"""The drawings in docs are what the builder makes now, and the commands write theirs without surprises."""

from __future__ import annotations

import importlib.util
from functools import cache
from pathlib import Path
from types import ModuleType
from xml.etree import ElementTree

import pytest

from steelyard.cli.commands import run
from steelyard.home import make_home
from steelyard.machine.examples import example_text

ROOT = Path(__file__).parents[2]
SVG = "{http://www.w3.org/2000/svg}"


@cache
def builder() -> ModuleType:
    spec = importlib.util.spec_from_file_location("drawings", ROOT / "builders" / "drawings.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@cache
def built() -> dict[str, str]:
    found: dict[str, str] = builder().pictures()
    return found


def test_drawings_in_the_docs_are_what_the_builder_makes_now() -> None:
    folder = ROOT / "docs" / "pictures"
    stale = [name for name, text in built().items() if (folder / name).read_text(encoding="utf-8") != text]
    assert stale == []


def test_every_drawing_is_shown_on_its_page() -> None:
    page = (ROOT / "docs" / "machine-pictures.md").read_text(encoding="utf-8")
    assert [name for name in built() if f"pictures/{name}" not in page] == []


@pytest.fixture
def home(tmp_path: Path) -> Path:
    make_home(tmp_path / "home", "twin-arms")
    return tmp_path / "home"


def act(home: Path, *words: str) -> int:
    return run(["--home", str(home), "machine", *words], serve_page=lambda *_: None)


def test_a_drawing_of_a_station_with_plates_is_written(home: Path) -> None:
    there = home / "row.svg"
    assert act(home, "draw", "row", "--plates", "outer=20 kg,10 kg", "--unit", "lb", "--to", str(there)) == 0
    tree = ElementTree.parse(there).getroot()
    assert "outer: 20 kg + 10 kg, each side" in [text.text for text in tree.iter(f"{SVG}text")]


def test_a_drawing_of_the_whole_machine_is_written_on_paper(home: Path) -> None:
    assert act(home, "draw", "--to", str(home / "all.svg")) == 0
    sheet = ElementTree.parse(home / "all.svg").getroot().find(f"{SVG}rect")
    assert sheet is not None
    assert sheet.get("fill") == "#f3efe6"


def test_a_file_that_is_there_is_kept_unless_told(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    there = home / "mine.svg"
    there.write_text("mine", encoding="utf-8")
    assert act(home, "draw", "--to", str(there)) == 1
    assert there.read_text(encoding="utf-8") == "mine"
    assert "to replace it add --over" in capsys.readouterr().err
    assert act(home, "draw", "--to", str(there), "--over") == 0
    assert there.read_text(encoding="utf-8").startswith("<svg")


REFUSED = {
    "a name that is no picture": (("draw", "--to", "a.png"), "a file whose name ends in .svg"),
    "a folder that is not there": (("draw", "--to", "none/a.svg"), "none/a.svg (No such file or directory)"),
    "an unknown station": (("draw", "rwo", "--to", "a.svg"), "did you mean row?"),
    "an unknown horn": (("draw", "row", "--plates", "outr=20 kg", "--to", "a.svg"), "did you mean outer?"),
    "more than is rated": (
        ("draw", "row", "--plates", "inner=20 kg", "--to", "a.svg"),
        "it must not exceed 7.5 kg",
    ),
    "plates for all stations": (("curves", "--plates", "outer=20 kg", "--to", "a.svg"), "with a station alone"),
    "a felt load that is none": (("compare", "row", "press", "--felt", "much"), "mass is 'much'"),
    "a body that nobody weighed": (("compare", "row", "push-up"), "body mass at station push-up is not known"),
    "a machine file that is not there": (
        ("compare", "row", "row", "--machine", "no.toml"),
        "no.toml is not readable",
    ),
}


@pytest.mark.parametrize(("words", "said"), REFUSED.values(), ids=REFUSED)
def test_what_cannot_be_drawn_is_said_in_one_line(
    words: tuple[str, ...],
    said: str,
    home: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(home)
    assert act(home, *words) == 1
    told = capsys.readouterr().err
    assert said in told
    assert told.count("\n") == 1


def test_curves_of_all_stations_are_written_and_told(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert act(home, "curves", "--felt", "60 kg", "--to", str(home / "c.svg")) == 0
    told = capsys.readouterr().out.splitlines()
    assert len(told) == 6  # all but the push-up, where the body is the load
    assert told[1].startswith("Chest press at 59.9 kg felt is hardest at the start")


def test_the_curve_of_given_plates_is_written(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    there = str(home / "c.svg")
    assert act(home, "curves", "row", "--plates", "outer=20 kg", "--one-arm", "--to", there) == 0
    one = capsys.readouterr().out
    assert act(home, "curves", "row", "--plates", "outer=20 kg", "--to", there, "--over") == 0
    both = capsys.readouterr().out
    assert float(both.split(" at ")[1].split()[0]) == pytest.approx(
        2 * float(one.split(" at ")[1].split()[0]), abs=0.11
    )


def test_two_machines_are_compared_with_the_same_plates(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    other = home / "other.toml"
    other.write_text(example_text("boathouse"), encoding="utf-8")
    assert act(home, "compare", "press", "press", "--machine", str(other), "--to", str(home / "b.svg")) == 0
    told = capsys.readouterr().out
    assert "Chest press (Twin-arm press and row) is hardest at the start" in told
    assert (home / "b.svg").is_file()
