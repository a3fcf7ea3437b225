"""Describing a machine without writing its file: a question for every key, nothing typed lost, saving is safe."""

from __future__ import annotations

import re
import tomllib
from datetime import datetime
from pathlib import Path
from random import Random
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gyms import boathouse, outlines
from machines_at_random import machines
from steelyard.cli.commands import run
from steelyard.errors import DamagedFile, OutOfRange
from steelyard.home import keep_machine, make_home, read_home
from steelyard.journal.sqlite import SqliteJournal
from steelyard.machine.examples import example_names, example_text
from steelyard.machine.file import read_machine, write_machine
from steelyard.machine.model import Machine
from steelyard.service import Steelyard
from steelyard.training.exercises import exercises
from steelyard.workshop.describing import (
    Kept,
    checked,
    described,
    differences,
    felt_words,
    keep,
    limits,
    outlines_left_out,
    station_felts,
)
from steelyard.workshop.draft import (
    Draft,
    draft_of_form,
    drafted,
    form_of,
    tables_of,
    typed_number,
    with_part,
    without_part,
)
from steelyard.workshop.fields import OPTIONAL, SECTIONS, Kind, field_at

DOCS = Path(__file__).parents[2] / "docs" / "machine-file.md"
AT = datetime(2026, 3, 5, 18, 30, 7)  # noqa: DTZ001  only its digits count here


def example(name: str) -> Machine:
    return read_machine(example_text(name), f"{name}.toml")


def documented_keys() -> list[tuple[str, str]]:
    """Every key of the tables in docs/machine-file.md, with its section."""
    found = []
    for heading, body in re.findall(
        r"^### `\[(.+?)\]`.*?\n(.*?)(?=^#|\Z)", DOCS.read_text(), re.MULTILINE | re.DOTALL
    ):
        section = heading.replace(".NAME", "")
        found += [(section, key) for key in re.findall(r"^\| `(\w+)` \|", body, re.MULTILINE)]
    return found


def written_keys(table: dict[str, Any], section: str = "") -> set[tuple[str, str]]:
    """Every key that the writer of machine files writes, with its section."""
    found: set[tuple[str, str]] = set()
    for key, value in table.items():
        if key in ("arm", "horn", "station") and not section:
            found |= {each for part in value.values() for each in written_keys(part, key)}
        elif isinstance(value, dict):
            found |= written_keys(value, f"{section}.{key}".lstrip("."))
        else:
            found.add((section, key))
    return found


def test_every_documented_key_has_a_question() -> None:
    keys = documented_keys()
    assert len(keys) >= 50
    assert [key for key in keys if field_at(*key) is None] == []


@pytest.mark.parametrize("name", example_names())
def test_every_written_key_has_a_question(name: str) -> None:
    keys = written_keys(tomllib.loads(write_machine(example(name))))
    assert [key for key in keys if field_at(*key) is None] == []


def test_every_question_is_about_a_key_that_the_reader_knows() -> None:
    known = {*documented_keys(), *(("station.joint", key) for key in ("is", "at_mm", "upper_arm_deg"))}
    asked = {(section, field.key) for section, fields in SECTIONS.items() for field in fields}
    assert asked - known == set()


def test_every_measure_says_its_unit() -> None:
    for fields in SECTIONS.values():
        for field in fields:
            if field.key.endswith("_mm"):
                assert field.unit == "mm"
            elif field.key.endswith("_deg"):
                assert field.unit == "degrees"
            elif field.kind is Kind.MASS:
                assert field.unit == "kg or lb"


@pytest.mark.parametrize("name", example_names())
def test_an_example_comes_back_from_its_form_the_very_same(name: str) -> None:
    machine = example(name)
    again, text = described(draft_of_form(form_of(drafted(machine))), exercises())
    assert again == machine
    assert read_machine(text, "text") == machine


@given(machines())
def test_any_machine_comes_back_from_its_form_the_very_same(machine: Machine) -> None:
    again, _ = described(draft_of_form(form_of(drafted(machine))), exercises())
    assert again == machine


@given(machines(), st.randoms(use_true_random=False))
def test_what_was_typed_comes_back_however_wrong_it_is(machine: Machine, chance: Random) -> None:
    typed = dict(form_of(drafted(machine)))
    for name in chance.sample(sorted(typed), 3):
        typed[name] = chance.choice(["", "a yard", "1e999", "-", "[1]", '"', "ä\n"])
    draft = draft_of_form(typed.items())
    assert dict(form_of(draft)) == typed
    with_junk = tables_of(draft)
    assert with_junk["machine"].get("name", "") == typed["machine.name"].strip()


@given(machines(), st.data())
def test_junk_in_any_field_is_read_or_blamed_on_a_key(machine: Machine, data: st.DataObject) -> None:
    typed = dict(form_of(drafted(machine)))
    name = data.draw(st.sampled_from(sorted(typed)))
    typed[name] = data.draw(st.sampled_from(["", "nan", "1e999", "-5", "99999", "a yard", "5 kg", "[]"]))
    try:
        described(draft_of_form(typed.items()), exercises())
    except DamagedFile as refused:
        assert refused.source == "machine.toml"
        assert refused.key.split(".")[0] in SECTIONS


@pytest.mark.parametrize(
    ("text", "number"),
    [("52.5", 52.5), ("52,5", 52.5), ("−14", -14), ("+3", 3), ("1e-3", 0.001), (".5", 0.5), ("7.", 7.0)],
)
def test_a_number_is_read_as_people_type_it(text: str, number: float) -> None:
    assert typed_number(text) == number
    assert isinstance(typed_number(text), type(number))


@pytest.mark.parametrize("text", ["", "12 mm", "1.000,5", "nan", "inf", "0x10", "1_000", "٣", "9" * 30])
def test_what_is_no_number_stays_the_text_it_is(text: str) -> None:
    assert typed_number(text) == text


def changed(place: str, /, **answers: Any) -> Draft:
    """The boathouse with other answers in one table."""
    draft = drafted(boathouse().machine)
    table = draft
    for part in place.split("."):
        table = table[part]
    table |= answers
    return draft


WRONG = [
    ("machine", {"name": " "}, "machine.name", "missing"),
    ("machine", {"rated_user": "150"}, "machine.rated_user", "'150'"),
    ("arm.main", {"mass": "two"}, "arm.main.mass", "'two'"),
    ("arm.main", {"pivot_mm": ["0", ""]}, "arm.main.pivot_mm", "[0, '']"),
    ("arm.main", {"hinge_torque_n_m": "-1"}, "arm.main.hinge_torque_n_m", "-1"),
    ("horn.tip", {"length_mm": "5"}, "horn.tip.length_mm", "5"),
    ("horn.tip", {"length_mm": ""}, "horn.tip.length_mm", "missing"),
    ("horn.tip", {"collar_mm": "260"}, "horn.tip.collar_mm", "260"),
    ("horn.tip", {"on": "mian"}, "horn.tip.on", "'mian'"),
    ("horn.tip", {"lies": "along"}, "horn.tip.along_deg", "missing"),
    ("horn.pin", {"on": "main"}, "horn.pin.at_mm", "missing"),
    ("station.row", {"kind": "cable"}, "station.row.cable", "missing"),
    ("station.row", {"range_deg": ["14", "-14"]}, "station.row.range_deg", "[14, -14]"),
    ("station.row", {"hand_mm": ["10", "0"]}, "station.row.hand_mm", "[10, 0]"),
    ("station.row", {"attachments": "bar"}, "station.row.attachments", "'bar'"),
    ("station.row", {"exercises": ["row_in_the_air"]}, "station.row.exercises", "'row_in_the_air'"),
    ("station.row", {"setup_s": "soon"}, "station.row.setup_s", "'soon'"),
    ("station.inverted-row", {"share": "60"}, "station.inverted-row.share", "60"),
    ("station.handle", {"mass": ""}, "station.handle.mass", "missing"),
    ("station.high-pulley.cable", {"efficiency": "97"}, "station.high-pulley.cable.efficiency", "97"),
    ("station.high-pulley.cable", {"more_wheels": "1.5"}, "station.high-pulley.cable.more_wheels", "1.5"),
    ("station.high-pulley.cable", {"more_wheels_mm": "3"}, "station.high-pulley.cable.more_wheels_mm", "[[3]]"),
    (
        "station.low-pulley.cable.dead_end",
        {"anchor_mm": ["", ""]},
        "station.low-pulley.cable.dead_end.anchor_mm",
        "missing",
    ),
]


@pytest.mark.parametrize(("place", "answers", "key", "value"), WRONG)
def test_a_wrong_answer_is_blamed_on_its_own_key(
    place: str, answers: dict[str, Any], key: str, value: str
) -> None:
    with pytest.raises(DamagedFile) as met:
        described(changed(place, **answers), exercises())
    assert (met.value.key, str(met.value.value)) == (key, value)


def test_answers_of_another_kind_of_station_are_kept_but_not_written() -> None:
    draft = changed("station.row", kind="body", share="0.5")
    assert draft["station"]["row"]["hand_mm"] == ["1050", "-40"]
    assert tables_of(draft)["station"]["row"].keys() == {"title", "kind", "share", "exercises", "setup_s"}


def test_further_wheels_are_typed_one_a_line() -> None:
    draft = changed(
        "station.low-pulley.cable", more_wheels_mm="1680, 2150\n\n1790,5 120\n1, 2\n3,4", more_wheels="4"
    )
    wheels = tables_of(draft)["station"]["low-pulley"]["cable"]["more_wheels_mm"]
    assert wheels == [[1680, 2150], [1790.5, 120], [1, 2], [3, 4]]


@pytest.mark.parametrize(
    "name",
    [
        "",
        "horns.tip.on",
        "horn.tip",
        "horn.tip.colour",
        "arm.main.mass.0",
        "arm.main.pivot_mm",
        "arm.main.pivot_mm.2",
        "station.row.cable",
        "machine.name.first",
    ],
)
def test_a_field_that_the_form_does_not_have_is_refused(name: str) -> None:
    with pytest.raises(OutOfRange, match="it must be one that this form has"):
        draft_of_form([(name, "1")])


@pytest.mark.parametrize("name", example_names())
@pytest.mark.parametrize(
    ("place", "like"),
    [("horn", ""), ("arm", ""), ("station", ""), *(("station", f"={kind}") for kind in ("lever", "body", "free"))],
)
def test_a_further_part_is_sound_as_it_is_added(name: str, place: str, like: str) -> None:
    draft, made = with_part(drafted(example(name)), place, like=like)
    machine, _ = described(draft, exercises())
    assert made.split(".")[1] in {"horn": machine.horns, "arm": machine.arms, "station": machine.stations}[place]


def test_a_copied_station_does_nothing_until_told() -> None:
    draft, made = with_part(drafted(boathouse().machine), "station", name="row-2", like="row")
    machine, _ = described(draft, exercises())
    station = machine.stations["row-2"]
    assert made == "station.row-2"
    assert (station.title, station.exercises) == ("Lever row, another", ())
    assert station.drive == machine.stations["row"].drive


def test_a_cable_station_can_be_added_where_there_was_none() -> None:
    draft = drafted(boathouse().machine)
    for name in ("high-pulley", "low-pulley"):
        draft = without_part(draft, f"station.{name}")
    machine, _ = described(with_part(draft, "station", like="=cable")[0], exercises())
    assert [station.name for station in machine.stations.values()][-1] == "station-13"


@pytest.mark.parametrize("name", ["tip", "Tip", "2nd", "a b", "x" * 41])
def test_a_name_that_cannot_be_given_is_refused_beside_its_field(name: str) -> None:
    with pytest.raises(DamagedFile) as met:
        with_part(drafted(boathouse().machine), "horn", name=name)
    assert met.value.key == "new.horn.name"
    assert "not a name that is taken" in str(met.value)


@pytest.mark.parametrize(
    "place", ["arm.main.counterweight", "station.high-pulley.cable.dead_end", "station.row.joint"]
)
def test_a_part_that_may_be_left_out_comes_and_goes(place: str) -> None:
    before = drafted(boathouse().machine)
    more, made = with_part(before, place)
    assert made == place
    assert any(name.startswith(f"{place}.") for name, _ in form_of(more))
    assert without_part(more, place) == before


def test_a_counterweight_makes_the_arm_lighter() -> None:
    draft, _ = with_part(drafted(boathouse().machine), "arm.main.counterweight")
    machine, _ = described(draft, exercises())
    was, now = (station_felts(each)[0].empty_kg for each in (boathouse().machine, machine))
    assert now < was - 1


@pytest.mark.parametrize("place", ["machine", "machine.name", "horn.tip.on", "station.row.cable", "horn", "x"])
def test_what_must_stay_cannot_be_removed(place: str) -> None:
    with pytest.raises(OutOfRange):
        without_part(drafted(boathouse().machine), place)


@pytest.mark.parametrize(
    "place", ["", "machine", "horn.tip", "arm.nobody.counterweight", "station.x.cable.dead_end"]
)
def test_nothing_is_added_where_nothing_can_be(place: str) -> None:
    with pytest.raises(OutOfRange):
        with_part(drafted(boathouse().machine), place)


def test_every_optional_table_has_a_title() -> None:
    assert OPTIONAL.keys() == {"arm.counterweight", "station.cable.dead_end", "station.joint"}


def test_exercises_must_be_known_here() -> None:
    text = example_text("boathouse").replace('"lever_row_chest"', '"row_towel"')
    with pytest.raises(DamagedFile, match=r"station\.row-chest\.exercises is 'row_towel'; it must be ids of"):
        checked(text, "theirs.toml", exercises())


def test_felt_loads_are_told_empty_and_with_plates() -> None:
    told = {felt.station.name: felt_words(felt) for felt in station_felts(boathouse().machine)}
    assert told["handle"] == "empty 2.0 kg, with 20 kg on pin 22.0 kg"
    assert told["inverted-row"] == "empty 60 % of the lifter, with 20 kg on vest 60 % of the lifter + 20.0 kg"
    assert re.fullmatch(r"empty \d\.\d kg, with 20 kg on each tip post \d\d\.\d kg", told["row"])


def test_limits_are_told_as_the_label_says_them() -> None:
    told = limits(example("counterbeam"))
    assert told["lifter"] == "310 lb"
    assert told["cable of station low-row"] == "440 lb"
    assert limits(changed_machine("horn.tip", rated=""))["one post of horn tip"] == "not stated"


def changed_machine(place: str, /, **answers: Any) -> Machine:
    return described(changed(place, **answers), exercises())[0]


def test_the_same_machine_differs_in_nothing() -> None:
    assert differences(boathouse().machine, example("boathouse")) == ()


def test_a_moved_horn_changes_loaded_stations_only() -> None:
    told = differences(boathouse().machine, changed_machine("horn.tip", at_mm=["850", "40"]))
    assert told[0].startswith("row: with 20 kg on each tip post ")
    assert all("empty" not in line for line in told)


def test_a_heavier_arm_changes_what_the_hands_feel_empty() -> None:
    told = differences(boathouse().machine, changed_machine("arm.main", mass="18 kg"))
    assert re.match(r"row: empty \d\.\d → \d\.\d kg, with 20 kg on each tip post", told[0])


@pytest.mark.parametrize(
    ("place", "answers", "line"),
    [
        ("machine", {"name": "Ours"}, "name: Boathouse lever gym → Ours"),
        ("machine", {"rated_user": "300 lb"}, "limit, lifter: 150 kg → 300 lb"),
        ("arm.main", {"rated_plates": ""}, "limit, plates on arm main: 180 kg → not stated"),
        ("station.high-pulley.cable", {"rated": "240 kg"}, "limit, cable of station high-pulley: 250 kg → 240 kg"),
        ("horn.tip", {"length_mm": "240"}, "horn tip, room for plates: 220 → 200 mm"),
        (
            "station.handle",
            {"horn": ""},
            "handle: empty 2.0 kg, with 20 kg on pin 22.0 kg → empty 2.0 kg; takes no plates",
        ),
    ],
)
def test_what_changes_is_told(place: str, answers: dict[str, Any], line: str) -> None:
    draft = changed(place, **answers)
    if not answers.get("horn", "x"):
        draft = without_part(draft, "horn.pin")
    assert line in differences(boathouse().machine, described(draft, exercises())[0])


def test_parts_that_come_and_go_are_told() -> None:
    draft = without_part(drafted(boathouse().machine), "station.curl")
    draft, _ = with_part(draft, "horn", name="inner", like="tip")
    told = differences(boathouse().machine, described(draft, exercises())[0])
    assert {"horn inner is new", "station curl is gone", "limit, one post of horn inner, new: 90 kg"} <= set(told)


def test_an_outline_that_misses_a_station_is_told() -> None:
    machine = described(without_part(drafted(boathouse().machine), "station.row-chest"), exercises())[0]
    told = outlines_left_out(boathouse().machine, machine, outlines())
    assert told == ("outline pull has no station any more for lever_row_chest",)


def test_what_had_no_station_before_is_not_told_again() -> None:
    machine = described(without_part(drafted(boathouse().machine), "station.row-chest"), exercises())[0]
    assert outlines_left_out(machine, machine, outlines()) == ()
    assert outlines_left_out(None, machine, outlines()) != ()


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    make_home(tmp_path / "gym")
    return tmp_path / "gym"


def served(folder: Path) -> Steelyard:
    return Steelyard(
        read_home(folder), SqliteJournal.memory(), clock=datetime.now, random=Random(1), origin="test"
    )


def kept_with(steelyard: Steelyard, **answers: Any) -> Kept:
    machine, text = described(changed("arm.main", **answers), exercises())
    kept = keep(steelyard, text, AT)
    assert kept.home.gym.machine == machine
    return kept


def test_a_saved_machine_is_used_at_once_and_the_former_file_kept(folder: Path) -> None:
    steelyard, before = served(folder), (folder / "machine.toml").read_bytes()
    kept = kept_with(steelyard, mass="17 kg")
    assert kept.former == folder / "machine-20260305-183007.toml"
    assert kept.former.read_bytes() == before
    assert steelyard.gym.machine.arms["main"].mass_kg == 17.0
    assert read_home(folder).gym.machine == steelyard.gym.machine


def test_two_saves_in_one_second_keep_both_former_files(folder: Path) -> None:
    steelyard = served(folder)
    names = [kept_with(steelyard, mass=mass).former for mass in ("17 kg", "18 kg", "19 kg")]
    assert [path.name for path in names if path] == [
        "machine-20260305-183007.toml",
        "machine-20260305-183007-2.toml",
        "machine-20260305-183007-3.toml",
    ]


def test_a_file_that_says_the_same_stays_with_its_remarks(folder: Path) -> None:
    before = (folder / "machine.toml").read_bytes()
    kept = kept_with(served(folder), mass="16 kg")
    assert kept.former is None
    assert (folder / "machine.toml").read_bytes() == before


def test_everything_else_in_the_home_stays(folder: Path) -> None:
    before = {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    kept_with(served(folder), mass="17 kg")
    for path, data in before.items():
        assert path.name == "machine.toml" or path.read_bytes() == data
    assert len(list(folder.rglob("*.toml"))) == len(before) + 1


def test_nothing_is_saved_where_another_file_is_damaged(folder: Path) -> None:
    steelyard, before = served(folder), (folder / "machine.toml").read_bytes()
    (folder / "plates.toml").write_text("[[plate]]\n")
    with pytest.raises(DamagedFile, match=r"plates\.toml"):
        kept_with(steelyard, mass="17 kg")
    assert (folder / "machine.toml").read_bytes() == before
    assert [path.name for path in folder.glob("machine*")] == ["machine.toml"]


def test_a_write_that_fails_leaves_the_file_as_it_was(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = (folder / "machine.toml").read_bytes()

    def no_room(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", no_room)
    with pytest.raises(DamagedFile, match=r"not writable \(No space left on device\)"):
        keep_machine(folder, "something else", AT)
    assert (folder / "machine.toml").read_bytes() == before
    assert [path.name for path in folder.glob("machine*")] == ["machine.toml"]


def test_a_home_without_a_machine_file_gets_one(tmp_path: Path) -> None:
    assert keep_machine(tmp_path, "a text", AT) is None
    assert (tmp_path / "machine.toml").read_text() == "a text"


def typed(folder: Path, *arguments: str) -> int:
    return run(["--home", str(folder), "machine", "take", *arguments], serve_page=lambda *_: None)


def theirs(tmp_path: Path, name: str = "twin-arms") -> Path:
    path = tmp_path / "theirs.toml"
    path.write_text(f"# Somebody's own remark.\n{example_text(name)}")
    return path


def test_take_only_shows_unless_told(folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = (folder / "machine.toml").read_bytes()
    assert typed(folder, str(theirs(tmp_path))) == 0
    said = capsys.readouterr().out
    assert "Two-arm row (row): empty 10.2 kg, with 20 kg on each outer post 36.7 kg" in said
    assert "limit, lifter: 150 kg → 140 kg" in said
    assert "warning: outline pull has no station any more for" in said
    assert "caution: Limits come from the label" in said
    assert "Nothing was changed." in said
    assert (folder / "machine.toml").read_bytes() == before


def test_take_with_yes_replaces_and_keeps_the_former_file(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before, new = (folder / "machine.toml").read_bytes(), theirs(tmp_path)
    assert typed(folder, str(new), "--yes") == 0
    assert (folder / "machine.toml").read_bytes() == new.read_bytes()
    (former,) = folder.glob("machine-*.toml")
    assert former.read_bytes() == before
    assert f"The former file is kept as {former.name}." in capsys.readouterr().out


def test_take_makes_a_new_home(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert typed(tmp_path / "new", str(theirs(tmp_path)), "--yes") == 0
    assert "There is no machine in" in capsys.readouterr().out
    assert read_home(tmp_path / "new").gym.machine == example("twin-arms")


def test_taking_into_a_home_without_a_machine_overwrites_nothing(folder: Path, tmp_path: Path) -> None:
    (folder / "machine.toml").unlink()
    plates = (folder / "plates.toml").read_text() + "\n# Ours.\n"
    (folder / "plates.toml").write_text(plates)
    assert typed(folder, str(theirs(tmp_path)), "--yes") == 0
    assert (folder / "plates.toml").read_text() == plates


def test_take_says_what_is_wrong_with_a_file(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = theirs(tmp_path)
    path.write_text(path.read_text().replace("[arm.side]", "[arm.Side]"))
    assert typed(folder, str(path), "--yes") != 0
    said = capsys.readouterr()
    assert "theirs.toml: arm.Side is named 'Side'" in said.err
    assert said.out == ""
    assert [each.name for each in folder.glob("machine*")] == ["machine.toml"]


HUGE = "f" * 6000


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("collar_mm = 40", f"collar_mm = {'9' * 5000}", "the file is not TOML"),
        ("collar_mm = 40", f"collar_mm = 0x{HUGE}", "horn.tip.collar_mm is a number of thousands of digits"),
        ("[520, 10]", f"[520, 0x{HUGE}]", "arm.main.balance_mm is a number of thousands of digits"),
        ("sides = 2", f"sides = 0x{HUGE}", "horn.tip.sides is a number of thousands of digits"),
        ('mass = "16 kg"', f'mass = "{"9" * 5000} kg"', "arm.main.mass is '9999"),
        ("collar_mm = 40", "collar_mm = inf", "horn.tip.collar_mm is inf"),
    ],
)
def test_numbers_beyond_all_measure_are_refused_in_one_line(old: str, new: str, told: str) -> None:
    with pytest.raises(DamagedFile) as met:
        checked(example_text("boathouse").replace(old, new), "theirs.toml", exercises())
    assert told in str(met.value)
    assert len(str(met.value)) < 250


def test_more_parts_than_any_machine_has_are_refused_at_once() -> None:
    text = example_text("boathouse") + "".join(f'[station.s{n}]\ntitle = "x"\n' for n in range(9_990))
    with pytest.raises(DamagedFile, match=r"theirs\.toml: station is \d+ tables; it must be at most 100 tables"):
        checked(text, "theirs.toml", exercises())
    with pytest.raises(OutOfRange, match="the number of tables horn is 101"):
        draft_of_form((f"horn.h{n}.rated", "") for n in range(101))


def test_no_part_is_added_to_a_hundred() -> None:
    draft = draft_of_form((f"horn.h{n}.rated", "") for n in range(100))
    with pytest.raises(DamagedFile, match="is number 101; it must be at most number 100"):
        with_part(draft, "horn")
