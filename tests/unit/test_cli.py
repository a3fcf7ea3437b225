"""The command line: every command, and every wrong input told in one line with the way out."""

from __future__ import annotations

import io
import os
import re
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from gyms import NOW, boathouse, lifter, outlines, strong
from steelyard.__main__ import main, serve_page
from steelyard.cli.commands import run
from steelyard.cli.listening import Ready, Wish
from steelyard.cli.text import session_lines
from steelyard.demo import ensure_demo
from steelyard.home import make_home, read_home
from steelyard.journal.events import BodyMassMeasured, Event, SessionStarted, SetCorrected
from steelyard.journal.sqlite import SqliteJournal
from steelyard.service import Steelyard
from steelyard.training.prepare import prepare
from steelyard.units import Unit
from steelyard.web import serving
from steelyard.web.addresses import Listening
from steelyard.web.phone import Reach
from unit.test_imports import HEAVY

Told = tuple[int, str, str]


def no_page(steelyard: Steelyard, wish: Wish, ready: Ready) -> None:
    """Serves nothing."""
    ready(Reach(f"http://{wish.host}:{wish.port}/"))


class Shell:
    """Types commands for one home and hands back the exit code and what was printed."""

    def __init__(self, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
        self.folder = folder
        self._capsys = capsys

    def __call__(self, *words: str) -> Told:
        code = run(["--home", str(self.folder), *words], serve_page=no_page)
        printed = self._capsys.readouterr()
        return code, printed.out, printed.err

    def good(self, *words: str) -> str:
        """What a command prints that must succeed without a word to standard error."""
        code, out, err = self(*words)
        assert (code, err) == (0, "")
        return out

    def refused(self, *words: str) -> str:
        """What a command says that must fail: one line on standard error, nothing on standard output."""
        code, out, err = self(*words)
        assert (code, out) == (1, "")
        assert err.startswith("steelyard: ")
        assert err.count("\n") == 1
        return err.removeprefix("steelyard: ").rstrip()


@pytest.fixture
def gym(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Shell:
    """A new home where nobody trains yet."""
    make_home(tmp_path / "gym")
    return Shell(tmp_path / "gym", capsys)


@pytest.fixture
def ida(gym: Shell) -> Shell:
    """A home where Ida trains, whose rows are known."""
    gym.good("lifter", "add", "ida", "--name", "Ida", "--months", "24")
    gym.good("lifter", "weigh", "ida", "70 kg")
    rows = "--exercise", "lever_row_chest", "--plates", "tip=20 kg,5 kg"
    gym.good("log", "ida", "--reps", "10", "--left", "1", *rows)
    return gym


def events(shell: Shell) -> list[Event]:
    with closing(SqliteJournal(shell.folder / "journal.db")) as journal:
        return journal.events()


# ---- every command ----


def test_a_newcomer_gets_from_setup_to_the_first_set(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    gym = Shell(tmp_path / "new", capsys)
    assert f"Made {tmp_path / 'new'}. Edit machine.toml" in gym.good("setup")
    assert gym.good("lifter", "add", "ida", "--name", "Ida", "--months", "0") == "Ida is on record as ida.\n"
    assert gym.good("lifter", "weigh", "ida", "154 lb") == "ida weighs 154 lb.\n"
    assert gym.good("lifter", "list") == "ida: Ida, 69.9 kg, reads kg\n"
    assert "light test set: 8 reps, stop while 4 or more are left" in gym.good("prepare")
    assert gym.good("log", "--reps", "8", "--left", "5").startswith("Saved: 8 reps of Belt squat")
    assert "A step heavier" in gym.good("prepare")


def test_a_home_starts_from_the_example_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    Shell(tmp_path / "new", capsys).good("setup", "--machine", "twin-arms")
    assert read_home(tmp_path / "new").gym.machine.name == "Twin-arm press and row"


def test_machine_lists_every_station_that_needs_no_body_mass(ida: Shell) -> None:
    out = ida.good("machine")
    assert out.startswith("Boathouse lever gym\n")
    assert "high-pulley: High pulley" in out
    assert "inverted-row:" not in out
    assert "inverted-row:" in ida.good("machine", "show", "--lifter", "ida")


def test_one_station_is_shown_with_its_resistance(ida: Shell) -> None:
    out = ida.good("machine", "show", "row")
    assert "over the range (arm angle, handle travel)" in out
    assert out.count(" deg,") == 7
    assert "over the range" not in ida.good("machine", "show", "handle")
    assert "row: Lever row" in ida.good("machine", "show", "row", "--one-arm")


def test_exercises_are_listed_by_id(gym: Shell) -> None:
    assert "curl_lever: " in gym.good("machine", "exercises")


def test_a_machine_file_can_be_checked_by_itself(gym: Shell, capsys: pytest.CaptureFixture[str]) -> None:
    file = gym.folder / "machine.toml"
    out = Shell(Path("/nowhere"), capsys).good("machine", "check", str(file))
    assert out == "machine.toml is sound: Boathouse lever gym, 14 stations.\n"


def test_plates_are_listed_as_they_are_called(gym: Shell) -> None:
    out = gym.good("plates")
    assert "  4 x 20 kg, 36 mm thick" in out
    assert "2 x 45 lb old, weighed 44.1 lb, 38 mm thick" in out


def test_a_station_has_a_ladder(gym: Shell) -> None:
    lines = gym.good("plates", "row").splitlines()
    assert lines[0] == "    8.0 kg   no plates"
    assert lines[1] == "   10.2 kg   1.25 kg each side"


def test_a_felt_load_is_built_in_the_lifters_unit(ida: Shell) -> None:
    ida.good("lifter", "add", "ida", "--name", "Ida", "--months", "24", "--unit", "lb")
    out = ida.good("plates", "row", "--felt", "100", "--within", "2", "--lifter", "ida")
    felt_lb = float(re.findall(r"([\d.]+) lb   ", out)[0])
    assert 98 <= felt_lb <= 102


def test_a_load_that_is_not_there_is_answered_with_the_two_around_it(gym: Shell) -> None:
    code, out, problem = gym("plates", "row", "--felt", "61 kg", "--within", "0.01 kg")
    assert code == 1
    assert [line.split("(")[1] for line in out.splitlines()] == ["0.3 % less)", "0.1 % more)"]
    assert problem == "steelyard: no loading makes 61 kg; nearest are 60.79 kg and 61.03 kg\n"


def test_above_the_heaviest_load_that_one_is_told(gym: Shell) -> None:
    code, out, problem = gym("plates", "row", "--felt", "900 kg")
    assert (code, out.split("   ")[0].strip(), out.count("\n")) == (1, "160.4 kg", 1)
    assert problem == "steelyard: no loading makes 900 kg; nearest is 160.4 kg\n"


def test_plates_that_are_missing_are_not_built_with(gym: Shell) -> None:
    assert "20 kg" in gym.good("plates", "row", "--felt", "61 kg", "--within", "2 kg")
    assert "20 kg" not in gym.good("plates", "row", "--felt", "61 kg", "--within", "2 kg", "--without", "20 kg")
    assert "  3 x 20 kg" in gym.good("plates", "--without", "20 kg*1")


def test_a_prepared_session_says_load_plates_and_reason(ida: Shell) -> None:
    out = ida.good("prepare", "ida", "--outline", "pull")
    assert out.startswith("Boathouse pull evening, for Ida, on Boathouse lever gym: about ")
    assert "set 1 of 3: 10 to 12 reps, 3 left," in out
    assert "Just now: 10 reps at " in out
    assert "Next up is " in out
    assert "General information, not medical advice" in out


def test_every_role_is_told_in_its_own_words() -> None:
    session = prepare(boathouse(), outlines()["pull"], lifter(), strong(), now=NOW)
    out = "\n".join(session_lines(session, boathouse(), Unit.KG, "Ida"))
    assert re.search(r"drop 1 of 1: about \d+ to \d+ reps, until form would go, [\d.]+ kg felt", out)
    assert re.search(r"rest-pause 1 of 1: about \d+ to \d+ reps, until form would go", out)
    assert re.search(r"set 2 of 2, right arm: 10 to 12 reps, 1 left", out)


def test_a_session_is_logged_set_by_set(ida: Shell) -> None:
    first = ida.good("log", "--reps", "8", "--outline", "pull")
    assert first.startswith("Saved: 8 reps of Lever row, chest supported.\nNext, Lever row, chest supported:")
    assert "warm-up 2 of 2" in first
    assert "set 1 of 3" in ida.good("log", "ida", "--reps", "4")
    assert "set 2 of 3" in ida.good("log", "ida", "--reps", "10", "--failed")
    assert "warm-up" not in ida.good("prepare").split("Front pulldown")[0]


def test_after_the_last_set_the_session_is_over(ida: Shell) -> None:
    (ida.folder / "outlines" / "rows.toml").write_text(
        'name = "rows"\n[[exercise]]\ndo = "lever_row_chest"\nreps = 15\nrir = [2]\n'
    )
    ida.good("log", "--reps", "8", "--outline", "rows")
    assert ida.good("log", "--reps", "15", "--left", "2").endswith("That was the last set of the session.\n")
    assert ida.good("log", "--reps", "8", "--outline", "pull").startswith(
        "Saved: 8 reps of Lever row, chest supported"
    )


def test_a_session_with_nothing_left_gives_way_to_the_one_named(ida: Shell) -> None:
    with closing(SqliteJournal(ida.folder / "journal.db")) as journal:
        home = read_home(ida.folder)
        (home.folder / "outlines" / "none.toml").write_text(
            'name = "none"\n[[exercise]]\ndo = "cable_row_seated"\nreps = 9\nrir = [1]\n'
        )
        now = events(ida)[-1].at
        journal.append(
            [Event("e" * 32, "test", now, SessionStarted("e" * 32, "ida", "none", home.gym.machine.name))]
        )
    told = ida.refused("log", "--reps", "8")
    assert (
        told == "the session is done to its end; it must be one with sets left; begin the next one with --outline"
    )
    assert ida.good("log", "--reps", "8", "--outline", "pull").startswith("Saved: 8 reps")


def test_a_set_by_itself_needs_exercise_and_plates(ida: Shell) -> None:
    out = ida.good(
        "log", "--reps", "12", "--exercise", "shrug_lever", "--station", "deadlift", "--plates", "tip=20 kg"
    )
    assert out == "Saved: 12 reps of shrug_lever.\n"


def test_review_says_what_was_done_and_what_comes_next(ida: Shell) -> None:
    out = ida.good("review")
    assert out.startswith("Ida\n1 training days on record, 1 of them in the last four weeks.\n")
    assert "estimated one-rep maximum" in out
    assert "Hard sets in the last seven days" in out


def test_review_of_nothing(gym: Shell) -> None:
    gym.good("lifter", "add", "ida", "--name", "Ida", "--months", "24")
    assert gym.good("review") == "Ida\nNothing has been logged on this machine yet.\n"
    assert gym.good("lifter", "list") == "ida: Ida, not weighed, reads kg\n"


def test_what_is_exported_can_be_brought_in_elsewhere(ida: Shell, tmp_path: Path) -> None:
    file = tmp_path / "out.ndjson"
    file.write_text(ida.good("journal", "export"), encoding="utf-8")
    make_home(tmp_path / "other")
    other = Shell(tmp_path / "other", ida._capsys)
    assert other.good("journal", "import", str(file)) == "3 events read, 3 of them new.\n"
    assert other.good("journal", "import", str(file)) == "3 events read, 0 of them new.\n"
    assert other.good("journal", "export") == ida.good("journal", "export")


def test_a_note_with_odd_line_ends_survives_the_way(ida: Shell, tmp_path: Path) -> None:
    with closing(SqliteJournal(ida.folder / "journal.db")) as journal:
        corrected = SetCorrected(events(ida)[-1].id, note="first\u2028second\u0085third")
        journal.append([Event("f" * 32, "test", NOW, corrected)])
    file = tmp_path / "out.ndjson"
    file.write_text(ida.good("journal", "export"), encoding="utf-8", newline="\n")
    make_home(tmp_path / "other")
    assert "4 of them new" in Shell(tmp_path / "other", ida._capsys).good("journal", "import", str(file))


def test_an_import_may_come_from_a_pipe(ida: Shell, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    text = ida.good("journal", "export").encode()
    make_home(tmp_path / "other")
    other = Shell(tmp_path / "other", ida._capsys)
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(text)))
    assert other.good("journal", "import", "-") == "3 events read, 3 of them new.\n"
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(b"\xff\n" + text)))
    assert other.refused("journal", "import", "-").startswith("standard input line 1: byte 0xff is not UTF-8")


def test_sets_can_be_exported_as_rows(ida: Shell) -> None:
    assert ida.good("journal", "export", "--csv").startswith("set,at_utc,origin")


def test_a_demo_is_made_once_and_served(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    demo = Shell(tmp_path / "demo", capsys)
    making, made = demo.good("demo", "--no-page").splitlines()
    assert making.startswith("Making the demo home in ")
    assert made.startswith("Made the demo home in ")
    assert (
        demo.good("demo", "--port", "0").splitlines()[1]
        == "Open http://127.0.0.1:0/ in a browser; stop with Ctrl+C."
    )
    assert demo.good("demo", "--no-page", "--afresh").startswith("Making the demo home in ")
    assert demo.refused("review") == "lifter is not named; it must be one of marek, tove"


def test_the_page_is_served_where_asked(gym: Shell) -> None:
    assert "Open http://0.0.0.0:9000/ in" in gym.good("serve", "--host", "0.0.0.0", "--port", "9000")


def test_version_and_help_need_no_home(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    nowhere = Shell(tmp_path / "nowhere", capsys)
    assert re.fullmatch(r"steelyard \d+\.\d+\.\d+\n", nowhere.good("--version"))
    assert "COMMAND" in nowhere.good()


# ---- where the home is ----


def test_the_home_may_be_named_by_the_environment(
    ida: Shell, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("STEELYARD_HOME", str(ida.folder))
    assert run(["lifter", "list"], serve_page=no_page) == 0
    monkeypatch.delenv("STEELYARD_HOME")
    monkeypatch.chdir(ida.folder)
    assert run(["lifter", "list"], serve_page=no_page) == 0
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("HOME", str(tmp_path))
    assert run(["lifter", "list"], serve_page=no_page) == 1
    assert str(tmp_path / "steelyard") in capsys.readouterr().err


# ---- wrong input ----


def test_a_bad_home_is_told_with_the_way_out(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "file").write_text("")
    for folder in (tmp_path, tmp_path / "nowhere", tmp_path / "file", tmp_path / "file" / "below"):
        for command in (["prepare"], ["log", "--reps", "8"], ["machine"], ["serve"], ["lifter", "list"]):
            assert Shell(folder, capsys).refused(*command).endswith("make one with: steelyard setup")


def test_no_home_is_made_where_none_can_be(gym: Shell, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "file").write_text("")
    assert "choose another with --home" in Shell(tmp_path / "file", capsys).refused("setup")
    assert "choose another with --home" in Shell(tmp_path / "file", capsys).refused("demo", "--no-page")
    assert "choose another with --home" in Shell(tmp_path / "file" / "below", capsys).refused("demo", "--no-page")
    assert "already a home folder" in gym.refused("setup")
    assert "something else than a demo home" in gym.refused("demo", "--no-page")


def test_a_damaged_machine_file_is_named(gym: Shell) -> None:
    text = (gym.folder / "machine.toml").read_text()
    (gym.folder / "machine.toml").write_text(text.replace('mass = "16 kg"', 'mass = "heavy"'))
    told = "machine.toml: arm.main.mass is 'heavy'; it must be a mass from "
    assert gym.refused("prepare").startswith(told)
    assert gym.refused("machine", "check", str(gym.folder / "machine.toml")).startswith(told)
    assert "is not readable (No such file" in gym.refused("machine", "check", "nowhere.toml")


def test_a_damaged_journal_is_told(gym: Shell) -> None:
    (gym.folder / "journal.db").write_bytes(b"not a journal at all" * 100)
    assert "journal.db is not a journal" in gym.refused("lifter", "list")


WRONG = [
    (("machine", "show", "rowing"), "station 'rowing' is not known; did you mean row?"),
    (("machine", "show", "inverted-row"), "body mass"),
    (("machine", "show", "--lifter", "otto"), "lifter 'otto' is not known; known: ida"),
    (("plates", "rowing"), "station 'rowing' is not known; did you mean row?"),
    (
        ("plates", "row", "--felt", "nonsense"),
        "mass is 'nonsense'; it must be a mass such as 20 kg, 45 lb or 1.25",
    ),
    (("plates", "row", "--felt", "1e9"), "mass is '1e9'; it must be a mass such as"),
    (("plates", "row", "--felt", "61 kg", "--within", "much"), "mass is 'much'; it must be a mass such as"),
    (("plates", "--without", "21 kg"), "plate '21 kg' is not known; did you mean 2"),
    (("plates", "row", "--without", "20 kg*9"), "it must be 4 or fewer, all there are"),
    (("plates", "--felt", "61 kg"), "--felt is given without a station (61 kg); it must be used with one"),
    (("prepare", "otto"), "lifter 'otto' is not known; known: ida"),
    (("prepare", "--outline", "pul"), "outline 'pul' is not known; did you mean pull? known: legs, press, pull"),
    (("review", "otto"), "lifter 'otto' is not known; known: ida"),
    (("log", "--reps", "-1"), "reps is -1; it must be a whole number from 0 to 200"),
    (("log", "--reps", "8", "--left", "99"), "reps left is 99; it must be a whole number from 0 to 20"),
    (("log", "--reps", "8", "--outline", "run"), "outline 'run' is not known; known: legs, press, pull"),
    (("log", "--reps", "8", "--station", "row-chest"), "--exercise is not given; it must be given with --station"),
    (("log", "--reps", "8", "--helped", "9"), "helped reps is 9; it must be from 0 to the 8 reps done"),
    (("log", "--reps", "8", "--plates", "tip=3 kg"), "plate '3 kg' is not known; did you"),
    (("prepare", "--minutes", "0"), "minutes left is 0; it must be at least 1"),
    (
        ("log", "--reps", "8", "--exercise", "curl_lever", "--plates", "20 kg"),
        "--plates is '20 kg'; it must be a horn,",
    ),
    (
        ("log", "--reps", "8", "--exercise", "curl_lever", "--plates", "tip=20 kg", "--plates", "tip=5 kg"),
        "--plates is given twice for tip; it must be given once a horn",
    ),
    (
        ("log", "--reps", "8", "--exercise", "curl_lever", "--plates", "tip=3 kg"),
        "plate '3 kg' is not known; did you",
    ),
    (
        ("log", "--reps", "8", "--exercise", "curl_levr"),
        "exercise 'curl_levr' is not known; did you mean curl_lever?",
    ),
    (
        ("log", "--reps", "8", "--exercise", "curl_lever", "--station", "row"),
        "station for curl_lever 'row' is not",
    ),
    (("lifter", "weigh", "ida", "fat"), "mass is 'fat'; it must be a mass such as 20 kg, 45 lb or"),
    (("lifter", "weigh", "ida", "200 kg"), "user mass would be 200.0 kg; it must not exceed 150.0 kg"),
    (("lifter", "weigh", "otto", "80 kg"), "lifter 'otto' is not known; known: ida"),
    (("lifter", "add", "otto", "--name", "Otto", "--months", "-1"), "months of training is -1; it must be"),
    (("serve", "--port", "70000"), "port is 70000; it must be from 0 to 65535"),
    (("journal", "import", "nowhere.ndjson"), "nowhere.ndjson is not readable (No such file or directory)"),
    (("journal", "import", "."), ". is not readable (Is a directory); it must be a readable file"),
]


@pytest.mark.parametrize(("words", "told"), WRONG, ids=[" ".join(words) for words, _ in WRONG])
def test_wrong_input_is_told_in_one_line(ida: Shell, words: tuple[str, ...], told: str) -> None:
    before = [event.id for event in events(ida) if not isinstance(event.body, SessionStarted)]
    assert told in ida.refused(*words)
    assert [event.id for event in events(ida) if not isinstance(event.body, SessionStarted)] == before


@pytest.mark.parametrize("name", ["", " ", "a\nb"])
def test_a_name_must_be_one(gym: Shell, name: str) -> None:
    gym.refused("lifter", "add", name, "--name", "Ida", "--months", "3")
    gym.refused("lifter", "add", "ida", "--name", name, "--months", "3")
    assert events(gym) == []


def test_before_anyone_joined(gym: Shell) -> None:
    told = "the list of lifters is empty; it must be one or more; add one with: steelyard lifter add"
    assert gym.refused("log", "--reps", "8") == told
    assert gym.refused("prepare") == told
    assert gym.good("lifter", "list") == ""


def test_of_several_lifters_one_must_be_named(ida: Shell) -> None:
    ida.good("lifter", "add", "otto", "--name", "Otto", "--months", "3")
    assert ida.refused("prepare") == "lifter is not named; it must be one of ida, otto"


def test_someone_heavier_than_a_new_machine_allows_is_refused(ida: Shell) -> None:
    with closing(SqliteJournal(ida.folder / "journal.db")) as journal:
        journal.append([Event("d" * 32, "test", events(ida)[-1].at, BodyMassMeasured("ida", 180.0))])
    text = (ida.folder / "machine.toml").read_text().replace('rated_user = "150 kg"', 'rated_user = "60 kg"')
    (ida.folder / "machine.toml").write_text(text)
    assert "it must not exceed 60.0 kg" in ida.refused("prepare")


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("nonsense\n", "bad.ndjson line 1"),
        ('{"kind": "lifter-joined"', "bad.ndjson line 1, the last one, is cut off"),
    ],
)
def test_a_damaged_export_is_told_by_its_line(gym: Shell, tmp_path: Path, text: str, told: str) -> None:
    (tmp_path / "bad.ndjson").write_text(text)
    assert told in gym.refused("journal", "import", str(tmp_path / "bad.ndjson"))
    assert events(gym) == []


@pytest.mark.parametrize("words", ["fly", "log", "log --reps many", "log --reps 8 --left 1 --failed"])
def test_what_is_not_understood_ends_with_two(words: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        run(words.split(), serve_page=no_page)
    assert ended.value.code == 2
    assert "hint: steelyard" in capsys.readouterr().err


def test_stopping_the_page_by_hand_is_no_error_of_ours(gym: Shell, capsys: pytest.CaptureFixture[str]) -> None:
    def interrupted(steelyard: Steelyard, wish: Wish, ready: Ready) -> None:
        raise KeyboardInterrupt

    assert run(["--home", str(gym.folder), "serve"], serve_page=interrupted) == 130
    assert capsys.readouterr().err == ""


# ---- as a program of its own ----


def test_the_program_passes_its_words_on(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "argv", ["steelyard", "--version"])
    assert main() == 0
    assert capsys.readouterr().out.startswith("steelyard ")


def test_the_page_is_served_by_the_web_face(gym: Shell, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[Listening] = []
    monkeypatch.setattr(serving, "serve", lambda steelyard, where, ready: asked.append(where))
    assert run(["--home", str(gym.folder), "serve", "--port", "0"], serve_page=serve_page) == 0
    assert asked == [Listening("127.0.0.1", 0)]


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("demo") / "home"
    ensure_demo(folder, NOW)
    return folder


def typed(*words: str | Path, **further: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "steelyard", *map(str, words)],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, **further},
    )


def test_the_program_prepares(demo: Path) -> None:
    done = typed("--home", demo, "prepare", "tove")
    assert (done.returncode, done.stderr) == (0, "")
    assert "for Tove Ambler (invented)" in done.stdout


def test_the_program_refuses_without_a_traceback(tmp_path: Path) -> None:
    done = typed("--home", tmp_path, "prepare")
    assert (done.returncode, done.stdout) == (1, "")
    assert re.fullmatch(r"steelyard: .* is not a home folder; it must be .*: steelyard setup\n", done.stderr)


def test_the_program_says_when_its_address_is_taken(demo: Path) -> None:
    done = typed("--home", demo, "serve", "--host", "203.0.113.1")  # RFC 5737: an address nobody has
    assert done.returncode == 1
    assert re.fullmatch(r"steelyard: address is 203\.0\.113\.1:8417 .*; it must be a free one .*\n", done.stderr)


def test_a_reader_that_goes_away_ends_nothing_badly(demo: Path) -> None:
    command = f"'{sys.executable}' -m steelyard --home '{demo}' plates row | head -n 1; echo ${{PIPESTATUS[0]}}"
    done = subprocess.run(["bash", "-c", command], capture_output=True, text=True, check=True)
    assert (done.stdout.splitlines()[-1], done.stderr) == ("0", "")


@pytest.mark.parametrize("words", [["prepare", "tove"], ["log", "tove", "--reps", "10", "--left", "2"]])
def test_preparing_and_logging_load_nothing_heavy(demo: Path, words: list[str]) -> None:
    code = (
        "import sys; from steelyard.cli.commands import run; "
        f"code = run(['--home', {str(demo)!r}, *{words!r}], serve_page=None); "
        f"print(' '.join(name for name in {HEAVY!r} if name in sys.modules), file=sys.stderr); sys.exit(code)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stderr.split() == []
