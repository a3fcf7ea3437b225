"""Describing the machine on the page: everything typed comes back, wrong answers are told in place, it saves."""

from __future__ import annotations

import re
import warnings
from collections.abc import Iterator
from html import unescape
from html.parser import HTMLParser
from pathlib import Path
from random import Random
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from machines_at_random import machines
from steelyard.home import machine_examples, read_home
from steelyard.journal.sqlite import SqliteJournal
from steelyard.machine.examples import example_text
from steelyard.machine.file import read_machine
from steelyard.machine.model import Machine
from steelyard.service import Steelyard
from steelyard.training.exercises import exercises
from steelyard.web.app import make_app
from steelyard.web.describe_form import Form, Problem
from steelyard.web.guard import LARGEST_BODY, LARGEST_DESCRIPTION
from steelyard.workshop.describing import described
from steelyard.workshop.draft import draft_of_form, drafted, form_of
from steelyard.workshop.sets import log_set
from unit.conftest import EVENING

with warnings.catch_warnings():  # Starlette would rather see another HTTP client under its test client
    warnings.simplefilter("ignore")
    from starlette.testclient import TestClient

JSON = {"accept": "application/json"}
DAMAGED = sorted((Path(__file__).parents[1] / "damaged" / "machine").glob("*.toml"))
SCRIPT = "<script>alert(1)</script>"
Pairs = list[tuple[str, str]]


class Filled(HTMLParser):
    """What a browser would send for the form of a page, and which fields a person does not see."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.pairs: Pairs = []
        self.ids: list[str] = []
        self.unlabelled: list[str] = []
        self._select = self._area = ""
        self._chosen: str | None = None
        self._labels: set[str] = set()
        self._text: list[str] = []
        self._in_label = False
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        self.ids += [given["id"]] if "id" in given else []
        if tag == "label":
            self._in_label = True
            self._labels.add(given.get("for", ""))
        asks = tag in ("input", "select", "textarea") and given.get("type") != "hidden"
        if asks and not self._in_label and given.get("id") not in self._labels:
            self.unlabelled.append(given.get("name", ""))
        if tag == "input" and given.get("type") not in ("file", "checkbox"):
            self.pairs.append((given["name"], given.get("value", "")))
        elif tag == "input" and given.get("type") == "checkbox" and "checked" in given:
            self.pairs.append((given["name"], given["value"]))
        elif tag == "select":
            self._select, self._chosen = given["name"], None
        elif tag == "option" and (self._chosen is None or "selected" in given):
            self._chosen = given["value"]
        elif tag == "textarea":
            self._area, self._text = given["name"], []

    def handle_data(self, data: str) -> None:
        self._text.append(data)

    def handle_endtag(self, tag: str) -> None:
        if tag == "label":
            self._in_label = False
        elif tag == "select":
            self.pairs.append((self._select, self._chosen or ""))
        elif tag == "textarea":
            self.pairs.append((self._area, "".join(self._text).removeprefix("\n")))


def answers(pairs: Pairs) -> Pairs:
    """Without the fields beside the description."""
    return [(name, text) for name, text in pairs if "." in name and not name.startswith("new.")]


@pytest.fixture
def own(steelyard: Steelyard) -> Iterator[TestClient]:
    """For tests that save."""
    with TestClient(make_app(steelyard), raise_server_exceptions=False) as opened:
        yield opened


@pytest.fixture(scope="module")
def client(demo: Path) -> Iterator[TestClient]:
    """For tests that save nothing."""
    reader = Steelyard(
        read_home(demo), SqliteJournal.memory(), clock=lambda: EVENING, random=Random(3), origin="test"
    )
    with TestClient(make_app(reader), raise_server_exceptions=False) as opened:
        yield opened


def post(client: TestClient, address: str, pairs: Pairs, **more: str) -> Any:
    """Send a form, some of its fields changed."""
    kept = [(name, text) for name, text in pairs if name not in more]
    data: dict[str, list[str]] = {}
    for name, text in [*kept, *more.items()]:
        data.setdefault(name, []).append(text)
    return client.post(address, data=data)


def opened(client: TestClient, address: str = "/machine/describe") -> Pairs:
    return Filled(client.get(address).text).pairs


def machine_in(page: str) -> Machine:
    """The machine that the form of a page describes."""
    return described(draft_of_form(answers(Filled(page).pairs)), exercises())[0]


def problem_of(client: TestClient, **wrong: str) -> dict[str, str]:
    told: dict[str, str] = post(client, "/machine/describe/drawing", opened(client), **wrong).json()["problem"]
    return told


def test_the_form_starts_as_the_machine_in_use(own: TestClient, steelyard: Steelyard) -> None:
    assert machine_in(own.get("/machine/describe").text) == steelyard.home.gym.machine


@pytest.mark.parametrize("name", machine_examples())
def test_the_form_can_start_as_every_example(client: TestClient, name: str) -> None:
    page = client.get("/machine/describe", params={"from": name})
    assert machine_in(page.text) == read_machine(example_text(name), name)


def test_an_example_that_there_is_not_is_told(client: TestClient) -> None:
    answer = client.get("/machine/describe", params={"from": "boathose"})
    assert answer.status_code == 404
    assert "did you mean boathouse?" in unescape(answer.text)


@settings(max_examples=15, deadline=None)
@given(machine=machines())
def test_any_machine_comes_back_from_the_page(client: TestClient, machine: Machine) -> None:
    page = post(client, "/machine/describe", form_of(drafted(machine)), do="draw")
    assert page.status_code == 200
    assert machine_in(page.text) == machine


@settings(max_examples=15, deadline=None)
@given(machine=machines(), data=st.data())
def test_nothing_typed_is_lost_however_wrong(client: TestClient, machine: Machine, data: st.DataObject) -> None:
    typed = [pair for pair in form_of(drafted(machine)) if not pair[0].endswith((".exercises", ".attachments"))]
    name = data.draw(st.sampled_from([name for name, _ in typed]))
    junk = data.draw(st.sampled_from(["", "a yard", "1e999", "-5", SCRIPT, '"><b>', "ä & ö"]))
    page = post(client, "/machine/describe", typed, **{name: junk, "do": "draw"})
    back = dict(answers(Filled(page.text).pairs))
    assert page.status_code in (200, 422)
    assert {key: back[key] for key, _ in typed} == dict(typed) | {name: junk}


def test_every_field_has_a_label_and_every_id_is_there_once(client: TestClient) -> None:
    found = Filled(client.get("/machine/describe").text)
    assert found.unlabelled == []
    assert len(found.ids) == len(set(found.ids))


def test_numbers_get_a_number_pad(client: TestClient) -> None:
    page = client.get("/machine/describe").text
    assert re.search(r'id="f-horn\.tip\.length_mm"[^>]*inputmode="decimal"', page)
    assert re.search(r'id="f-horn\.tip\.at_mm"[^>]*data-signed', page)
    assert not re.search(r'id="f-arm\.main\.mass"[^>]*inputmode', page)


def test_questions_that_do_not_apply_are_hidden_and_kept(client: TestClient) -> None:
    page = post(
        client, "/machine/describe", opened(client), **{"station.row.kind": "body", "station.row.share": "0.5"}
    )
    assert 'data-asked="station.row.hand_mm" data-when="kind=lever" hidden' in page.text
    assert ("station.row.hand_mm.0", "1050") in Filled(page.text).pairs
    assert machine_in(page.text).stations["row"].arm is None


def test_the_drawing_follows_the_form(client: TestClient) -> None:
    form = opened(client)
    was = post(client, "/machine/describe/drawing", form, show="row").json()
    now = post(client, "/machine/describe/drawing", form, show="row", **{"horn.tip.at_mm.0": "700"}).json()
    assert was["drawing"].startswith("<svg")
    assert was["drawing"] != now["drawing"]
    assert was["line"].startswith("Lever row: empty ")
    assert was["line"].partition(", with")[0] == now["line"].partition(", with")[0]
    assert was["line"] != now["line"]


def test_the_drawing_says_what_changes_against_the_machine_in_use(client: TestClient) -> None:
    told = post(client, "/machine/describe/drawing", opened(client), **{"arm.main.mass": "20 kg"}).json()
    assert "It comes to the same" not in told["felt"]
    assert re.search(r"<li>row: empty \d+\.\d → \d+\.\d kg", told["felt"])


PULLEY = "station.low-pulley.cable"
WRONG = [
    ("machine.name", " ", "machine.name", "Empty; it must be a text of 1 to 200 characters on one line."),
    ("machine.rated_user", "150", "machine.rated_user", "It is '150'; it must be a mass from 30 to 400 kg"),
    ("horn.tip.length_mm", "a foot", "horn.tip.length_mm", "It is 'a foot'; it must be a number from 20 to 1000."),
    ("horn.tip.at_mm.1", "", "horn.tip.at_mm", "It is [900, '']; it must be two numbers from -5000 to 5000."),
    ("station.row.kind", "", "station.row.kind", "Empty; it must be one of lever, cable, body, free."),
    ("station.row.arm", "", "station.row.arm", "Empty; it must be one of main."),
    ("station.row.range_deg.0", "40", "station.row.range_deg", "is it the wrong way round?"),
    (
        f"{PULLEY}.more_wheels_mm",
        "1 2",
        f"{PULLEY}.more_wheels_mm",
        "it must be a list of 2 points, one a line such as 1200 1900, each from -5000 to 5000.",
    ),
]


@pytest.mark.parametrize(("name", "text", "key", "words"), WRONG)
def test_a_wrong_answer_is_told_beside_its_field(
    client: TestClient, name: str, text: str, key: str, words: str
) -> None:
    told = problem_of(client, **{name: text})
    assert told["key"] == key
    assert told["target"] == f"f-{key}"
    assert words in told["words"]
    page = post(client, "/machine/describe", opened(client), **{name: text})
    beside = re.search(rf'data-asked="{re.escape(key)}".*?(?=data-asked|<h2)', page.text, re.DOTALL)
    assert beside is not None
    assert f'id="amiss-f-{key}"' in beside[0]
    assert words in unescape(beside[0])


def test_the_part_with_the_problem_is_open_and_the_way_to_it_is_a_link(client: TestClient) -> None:
    page = post(client, "/machine/describe", opened(client), **{"horn.tip.length_mm": "5"}).text
    assert page.count('<details class="part" id="part-horn.tip" data-part="horn.tip" open>') == 1
    assert '<a href="#f-horn.tip.length_mm">Horn tip: room on the post</a>' in page
    assert re.search(r'id="f-horn\.tip\.length_mm"[^>]*aria-invalid="true" autofocus', page)


def test_the_last_good_drawing_stays_without_script(client: TestClient) -> None:
    drawn = post(client, "/machine/describe", opened(client), **{"horn.tip.at_mm.0": "600", "show": "row"})
    good = re.findall(r"<svg.*?</svg>", drawn.text, re.DOTALL)
    page = post(client, "/machine/describe", Filled(drawn.text).pairs, **{"horn.tip.at_mm.0": "far"})
    assert re.findall(r"<svg.*?</svg>", page.text, re.DOTALL) == good


def test_without_any_good_drawing_the_page_still_comes(client: TestClient) -> None:
    page = client.post("/machine/describe", data={"machine.name": "Ours", "good": "[machine"})
    assert page.status_code == 422
    assert "Arms" in page.text
    assert "at least one; add one" in page.text


def test_a_horn_is_added_and_removed(client: TestClient) -> None:
    more = {"do": "add.horn", "new.horn.name": "inner", "new.horn.like": "tip"}
    page = post(client, "/machine/describe", opened(client), **more)
    assert machine_in(page.text).horns["inner"].length_m == 0.26
    assert 'data-opened="horn.inner"' in page.text
    page = post(client, "/machine/describe", Filled(page.text).pairs, do="remove.horn.inner")
    assert "inner" not in machine_in(page.text).horns


def test_a_name_that_is_taken_is_told_and_nothing_lost(client: TestClient) -> None:
    more = {"do": "add.horn", "new.horn.name": "tip", "horn.tip.length_mm": "270"}
    page = post(client, "/machine/describe", opened(client), **more)
    assert page.status_code == 422
    assert "It is 'tip'; it must be 1 to 40 small letters" in unescape(page.text)
    assert {("new.horn.name", "tip"), ("horn.tip.length_mm", "270")} <= set(Filled(page.text).pairs)


def test_a_new_station_is_shown_in_the_drawing(client: TestClient) -> None:
    page = post(client, "/machine/describe", opened(client), **{"do": "add.station", "new.station.name": "row-2"})
    assert "Lever row, another from the side" in page.text
    assert ("show", "row-2") in Filled(page.text).pairs


@pytest.mark.parametrize("what", ["remove.machine", "remove.horn.tip.on", "add.machine", "add.x.y"])
def test_what_cannot_be_done_is_refused(client: TestClient, what: str) -> None:
    answer = post(client, "/machine/describe", opened(client), do=what)
    assert answer.status_code == 422
    assert "That did not work" in answer.text


def test_a_field_of_no_form_is_refused(client: TestClient) -> None:
    answer = post(client, "/machine/describe/drawing", opened(client), **{"horn.tip.colour": "red"})
    assert answer.status_code == 422


def test_a_body_that_is_no_form_is_refused(client: TestClient) -> None:
    assert client.post("/machine/describe", content=b"\xff\xfe").status_code == 400
    assert client.post("/machine/describe/take", content=b"a=b").status_code == 400


def test_only_these_addresses_take_long_bodies(client: TestClient) -> None:
    long = {"machine.notes": "x" * (LARGEST_BODY + 1)}
    assert post(client, "/machine/describe", opened(client), **long).status_code == 422
    assert client.post("/machine/other", data=long).status_code == 413
    too_long = client.post("/machine/describe", data={"machine.notes": "x" * LARGEST_DESCRIPTION})
    assert too_long.status_code == 413
    assert f"at most {LARGEST_DESCRIPTION} bytes" in too_long.text


def test_a_long_body_of_no_announced_length_is_cut_off(client: TestClient) -> None:
    parts = (b"x" * 65_536 for _ in range(20))
    assert client.post("/machine/describe", content=parts).status_code == 422


@pytest.mark.parametrize("address", ["", "/drawing", "/save", "/take"])
def test_other_sites_cannot_post_here(own: TestClient, address: str) -> None:
    answer = own.post(f"/machine/describe{address}", headers={"sec-fetch-site": "cross-site"})
    assert answer.status_code == 403


def sent(client: TestClient, data: bytes, name: str = "theirs.toml", text: str = "") -> Any:
    return client.post("/machine/describe/take", files={"file": (name, data)}, data={"text": text})


def test_somebodys_file_becomes_the_form(client: TestClient) -> None:
    page = sent(client, example_text("counterbeam").encode())
    assert page.status_code == 200
    assert machine_in(page.text) == read_machine(example_text("counterbeam"), "theirs")
    assert "From the file theirs.toml" in page.text


def test_pasted_text_becomes_the_form(client: TestClient) -> None:
    page = sent(client, b"", name="", text=example_text("twin-arms").replace("\n", "\r\n"))
    assert machine_in(page.text) == read_machine(example_text("twin-arms"), "theirs")


@pytest.mark.parametrize("path", DAMAGED, ids=lambda path: path.stem)
def test_a_damaged_file_gets_one_line_and_keeps_the_page(client: TestClient, path: Path) -> None:
    page = sent(client, path.read_bytes(), name=path.name)
    expected = path.read_text(encoding="utf-8").splitlines()[0].removeprefix("# expect: ")
    (told,) = re.findall(r'<p class="amiss"[^>]*>(.*?)</p>', page.text, re.DOTALL)
    assert page.status_code == 422
    assert f"{path.name}: {expected}" in unescape(told)
    assert "\n" not in told
    assert ("text", path.read_text(encoding="utf-8")) in Filled(page.text).pairs


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"\xff\xfe\x00", "theirs.toml is not text; it must be text in UTF-8"),
        (b"# " + b"x" * 1_000_000, "theirs.toml is 1000002 bytes long; it must be at most 1000000 bytes"),
        (b"[machine", "theirs.toml: the file is not TOML"),
        (SCRIPT.encode(), "theirs.toml: the file is not TOML"),
    ],
)
def test_what_is_no_machine_file_is_told(client: TestClient, data: bytes, told: str) -> None:
    page = sent(client, data)
    assert page.status_code == 422
    assert told in unescape(page.text)
    assert SCRIPT not in page.text


def test_an_exercise_unknown_here_is_told(client: TestClient) -> None:
    page = sent(client, example_text("boathouse").replace('"lever_row_chest"', '"row_towel"').encode())
    assert "station.row-chest.exercises is 'row_towel'" in unescape(page.text)


def test_saving_is_used_at_once_and_keeps_the_former_file(own: TestClient, steelyard: Steelyard) -> None:
    folder, sets = steelyard.home.folder, len(list(steelyard.state.sets()))
    before = (folder / "machine.toml").read_bytes()
    page = post(own, "/machine/describe/save", opened(own), **{"arm.main.mass": "18 kg"})
    (former,) = folder.glob("machine-*.toml")
    assert former.read_bytes() == before
    assert f"kept as {former.name}" in page.text
    assert re.search(r"<li>row: empty \d+\.\d → \d+\.\d kg", page.text)
    assert steelyard.gym.machine.arms["main"].mass_kg == 18.0
    assert read_home(folder).gym.machine == steelyard.home.gym.machine
    assert len(list(steelyard.state.sets())) == sets


def test_saving_nothing_new_changes_nothing(own: TestClient, steelyard: Steelyard) -> None:
    before = (steelyard.home.folder / "machine.toml").read_bytes()
    page = post(own, "/machine/describe/save", opened(own))
    assert "nothing was changed" in page.text
    assert (steelyard.home.folder / "machine.toml").read_bytes() == before


def test_a_wrong_machine_is_not_saved_and_comes_back(own: TestClient, steelyard: Steelyard) -> None:
    page = post(own, "/machine/describe/save", opened(own), **{"arm.main.mass": "18 stone"})
    assert page.status_code == 422
    assert ("arm.main.mass", "18 stone") in Filled(page.text).pairs
    assert list(steelyard.home.folder.glob("machine-*.toml")) == []


def test_a_home_that_cannot_be_read_again_is_told_and_nothing_lost(own: TestClient, steelyard: Steelyard) -> None:
    (steelyard.home.folder / "plates.toml").write_text("[[plate]]\n")
    page = post(own, "/machine/describe/save", opened(own), **{"arm.main.mass": "18 kg"})
    assert page.status_code == 422
    assert "plates.toml: plate[1].mass is missing" in page.text
    assert ("arm.main.mass", "18 kg") in Filled(page.text).pairs


def test_outlines_that_miss_a_station_are_told(own: TestClient) -> None:
    page = post(own, "/machine/describe", opened(own), do="remove.station.row-chest")
    assert "Outline pull has no station any more for lever_row_chest." in page.text
    page = post(own, "/machine/describe/save", Filled(page.text).pairs)
    assert "Outline pull has no station any more for lever_row_chest." in page.text


def test_a_session_in_progress_goes_on(own: TestClient, steelyard: Steelyard) -> None:
    lifter = steelyard.lifters()[0].lifter
    session = steelyard.start_session(lifter, "pull")
    first = steelyard.session(session).current
    assert first is not None
    log_set(steelyard, session, first.slot, first.reps_low, rir=3)
    post(own, "/machine/describe/save", opened(own), **{"arm.main.mass": "18 kg", "machine.name": "Renamed"})
    page = own.get(f"/session/{session}")
    going = steelyard.session(session)
    assert page.status_code == 200
    assert going.current is not None
    assert f'"slot":"{going.current.slot}"' in page.text
    assert [logged.done.slot for logged in going.session.sets] == [first.slot]
    log_set(steelyard, session, going.current.slot, 8)
    assert len(steelyard.session(session).session.sets) == 2


def test_a_session_goes_on_when_its_station_is_gone(own: TestClient, steelyard: Steelyard) -> None:
    session = steelyard.start_session(steelyard.lifters()[0].lifter, "pull")
    page = post(own, "/machine/describe", opened(own), do="remove.station.row-chest")
    post(own, "/machine/describe/save", Filled(page.text).pairs)
    assert own.get(f"/session/{session}").status_code == 200


def test_a_former_file_is_named_by_its_date_only(client: TestClient) -> None:
    for name in ("../../etc/passwd", "plates.toml", "machine-20260305-183000.toml"):
        page = client.get("/machine/describe/saved", params={"former": name})
        assert page.status_code == 200
        assert name not in page.text


def test_names_with_markup_are_shown_as_text(client: TestClient) -> None:
    page = post(
        client, "/machine/describe", opened(client), **{"station.row.title": SCRIPT, "machine.name": SCRIPT}
    )
    assert page.status_code == 200
    assert SCRIPT not in page.text
    told = post(client, "/machine/describe/drawing", opened(client), **{"station.row.title": SCRIPT}).json()
    assert SCRIPT not in told["felt"]
    assert SCRIPT not in told["drawing"]


def test_the_cautions_stand_beside_saving(client: TestClient) -> None:
    page = client.get("/machine/describe").text
    assert "Limits come from the label on your machine" in unescape(page)
    assert "check every limit against your own label" in client.get("/machine/describe/start").text


def test_no_page_carries_inline_script_or_style(client: TestClient) -> None:
    for address in ("/machine/describe", "/machine/describe/start", "/machine/describe/saved"):
        page = client.get(address).text
        assert not re.search(r"<script(?! type=\"module\"[^>]* src=)|\sstyle=|\son\w+=", page)


def test_a_problem_of_a_whole_part_is_told_in_the_part() -> None:
    draft = drafted(read_machine(example_text("boathouse"), "boathouse.toml"))
    form = Form(draft, exercises(), Problem("horn.tip", "It is odd.", "part-horn.tip", "Horn tip"))
    told = {part.place: (part.open, part.amiss) for part in form.parts("horn")}
    assert told["horn.tip"] == (True, "It is odd.")
    assert told["horn.pin"] == (False, "")
