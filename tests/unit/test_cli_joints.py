"""`steelyard machine joints`: the table, the sentences, the drawing, and every wrong input told in one line."""

from __future__ import annotations

import os
from pathlib import Path
from xml.etree import ElementTree

import pytest

from steelyard.home import make_home
from unit.test_cli import Shell

WHO = ("--stature", "180 cm", "--body-mass", "80 kg")
JOINTS = ("machine", "joints")


@pytest.fixture
def gym(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Shell:
    """A new home where Ida of 70 kg trains."""
    make_home(tmp_path / "gym")
    shell = Shell(tmp_path / "gym", capsys)
    shell.good("lifter", "add", "ida", "--name", "Ida", "--unit", "lb", "--months", "24")
    shell.good("lifter", "weigh", "ida", "154 lb")
    return shell


def test_a_curl_is_shown_over_its_range_and_told(gym: Shell) -> None:
    out = gym.good(*JOINTS, "curl", *WHO, "--plates", "tip=20 kg")
    assert out.startswith("Curl pad, 20 kg each side, 36.0 kg felt\n   flexion  hand force")
    assert out.count(" deg ") == 9
    assert "Curl pad: hardest at 22 degrees of elbow flexion" in out
    assert "no medical advice" in out


def test_a_second_station_is_laid_beside_it_at_the_same_felt_load(gym: Shell) -> None:
    out = gym.good(*JOINTS, "curl", *WHO, "--plates", "tip=20 kg", "--with", "low-pulley")
    assert "Low pulley, " in out
    assert "35.8 kg felt" in out
    assert "Curl pad is hardest with the straighter arm" in out


def test_a_press_is_shown_over_its_travel(gym: Shell) -> None:
    out = gym.good(*JOINTS, "press", *WHO, "--felt", "40 kg")
    assert "    travel  hand force" in out
    assert out.count(" cm  ") == 9
    assert "torque only" in out


def test_a_row_is_told_as_context(gym: Shell) -> None:
    out = gym.good(*JOINTS, "row", *WHO, "--felt", "60 kg")
    assert "kN of compression" in out
    assert "here: Chest-supported row" in out
    assert "hand force" not in out


def test_the_lifters_body_mass_and_unit_serve_where_none_is_given(gym: Shell) -> None:
    out = gym.good(*JOINTS, "curl", "--stature", "5 ft 9 in", "--lifter", "ida", "--felt", "66 lb")
    assert " lb felt" in out
    assert "46 to 63 N m at this body mass" in out


def test_one_arm_bears_it_all(gym: Shell) -> None:
    two = gym.good(*JOINTS, "curl", *WHO, "--plates", "tip=20 kg")
    one = gym.good(*JOINTS, "curl", *WHO, "--plates", "tip=20 kg", "--one-arm")
    assert "51 N m in each arm at work" in two
    assert "99 N m in each arm at work" in one


def test_a_table_of_segments_can_be_chosen(gym: Shell) -> None:
    out = gym.good(*JOINTS, "curl", *WHO, "--segments", "women")
    assert "(the table measured on women)" in out


def test_the_drawing_is_written_where_it_is_wanted(gym: Shell) -> None:
    file = gym.folder / "curl.svg"
    gym.good(*JOINTS, "curl", *WHO, "--plates", "tip=20 kg", "--to", str(file))
    assert ElementTree.fromstring(file.read_text(encoding="utf-8")).get("role") == "img"


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (
            ("curl", "--stature", "tall", "--body-mass", "80 kg"),
            "length is 'tall'; it must be a length such as 180 cm",
        ),
        (("curl", "--stature", "180", "--body-mass", "80 kg"), "length is '180'; it must be"),
        (
            ("curl", "--stature", "90 cm", "--body-mass", "80 kg"),
            "stature is 90 cm; it must be from 120 to 230 cm",
        ),
        (
            ("curl", "--stature", "180 cm", "--body-mass", "9 kg"),
            "body mass is 9 kg; it must be from 25 to 300 kg",
        ),
        (("curl", "--stature", "180 cm"), "body mass is not known; it must be given: --body-mass"),
        (("curl", "--stature", "180 cm", "--lifter", "bo"), "lifter 'bo' is not known"),
        (("squat", *WHO), "station squat is no curl, press or bent-over row"),
        (("culr", *WHO), "station 'culr' is not known; did you mean curl?"),
        (("curl", *WHO, "--with", "squat"), "station squat is no curl"),
        (("curl", *WHO, "--plates", "20 kg"), "--plates is '20 kg'; it must be a horn"),
        (("curl", *WHO, "--plates", "nose=20 kg"), "horn 'nose' is not known"),
        (("curl", *WHO, "--plates", "tip=99 kg"), "plate '99 kg' is not known"),
        (("curl", *WHO, "--felt", "much"), "mass is 'much'"),
        (
            ("row", *WHO, "--to", "row.svg"),
            "--to is given for Lever row; it must be given for a curl or a press",
        ),
    ],
)
def test_what_is_wrong_is_told_in_one_line(gym: Shell, words: tuple[str, ...], told: str) -> None:
    assert gym.refused(*JOINTS, *words).startswith(told)


def test_a_lifter_over_the_rated_mass_is_refused(gym: Shell) -> None:
    told = gym.refused(*JOINTS, "curl", "--stature", "180 cm", "--body-mass", "160 kg")
    assert told.startswith("user mass would be 160.0 kg; it must not exceed 150.0 kg")


def test_a_place_that_cannot_be_written_is_told(gym: Shell) -> None:
    file = os.fspath(gym.folder / "nowhere" / "curl.svg")
    told = gym.refused(*JOINTS, "curl", *WHO, "--to", file)
    assert told.startswith("--to is ") and told.endswith("it must be a file that can be written")


def test_a_picture_that_is_there_is_replaced_only_when_told_so(gym: Shell) -> None:
    file = gym.folder / "curl.svg"
    file.write_text("mine")
    told = gym.refused(*JOINTS, "curl", *WHO, "--to", str(file))
    assert told.endswith("which is there already; it must be a new file; to replace it add --over")
    assert file.read_text() == "mine"
    gym.good(*JOINTS, "curl", *WHO, "--to", str(file), "--over")
    assert file.read_text(encoding="utf-8").startswith("<svg")


def test_a_picture_is_a_drawing_by_its_name(gym: Shell) -> None:
    told = gym.refused(*JOINTS, "curl", *WHO, "--to", "curl.png")
    assert told == "--to is 'curl.png'; it must be a file whose name ends in .svg"


def test_a_missing_stature_is_asked_for(gym: Shell, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        gym(*JOINTS, "curl")
    assert capsys.readouterr().err.startswith("steelyard: --stature is missing; it must be given")
