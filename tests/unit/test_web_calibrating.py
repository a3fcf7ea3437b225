"""The calibration page as a program and as a browser without script see it."""

from __future__ import annotations

import re
import warnings
from collections.abc import Iterator
from html import unescape
from typing import Any

import pytest

from gyms import boathouse, steelyard
from scale_person import Person
from steelyard.journal.events import MachineCalibrated
from steelyard.service import Steelyard
from steelyard.web.app import make_app
from steelyard.workshop.bands import calibration_of
from steelyard.workshop.calibrating import bring, logged_readings
from steelyard.workshop.taking import Asked
from unit.test_believed import changed_home

with warnings.catch_warnings():  # Starlette would rather see another HTTP client under its test client
    warnings.simplefilter("ignore")
    from starlette.testclient import TestClient

PAGE = "/machine/calibrate"
JSON = {"accept": "application/json"}


@pytest.fixture
def use() -> Steelyard:
    return steelyard()


@pytest.fixture
def client(use: Steelyard) -> Iterator[TestClient]:
    with TestClient(make_app(use), raise_server_exceptions=False) as opened:
        yield opened


def form(**changes: Any) -> dict[str, Any]:
    """A reading as the form sends it, changed as told."""
    usual = {
        "event": "a" * 32,
        "safe": "yes",
        "station": "row",
        "creep": "up",
        "by": "deg",
        "place": "10",
        "load": "tip=20 kg",
        "plates": "",
        "range": "",
        "scale": "41.2",
        "unit": "kg",
    }
    return usual | changes


def text(page: str) -> str:
    """What a page says, on one line."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", page)).split())


def readings_of(use: Steelyard) -> list[tuple[str, str, float, str]]:
    reads = [logged.read for logged in logged_readings(use)]
    return [(read.station, read.creep, round(read.scale_kg, 2), read.unit) for read in reads]


def tell(use: Steelyard) -> None:
    """A whole protocol is in the journal."""
    bring(use, Person().protocol(), "protocol", Asked(), scale_range_kg=None)


def test_the_page_asks_for_the_first_reading_behind_the_cautions(client: TestClient) -> None:
    page = client.get(PAGE).text
    assert '<details class="cautions" open>' in page
    assert 'name="safe" value="yes" required' in page
    assert "Lever row, reading 1 of " in text(page)
    assert re.search(r"<option selected>empty</option>", page)
    assert "What the readings say so far" not in page


def test_a_reading_from_the_form_is_on_disk_and_shown(client: TestClient, use: Steelyard) -> None:
    page = client.post(f"{PAGE}/reading", data=form()).text
    assert readings_of(use) == [("row", "up", 41.2, "kg")]
    assert "Saved row, 10.0 degrees, creeping up, tip=20 kg: 41.20 kg" in text(page)
    assert "What the readings say so far" in page
    assert '<details class="cautions">' in page


def test_a_double_tap_is_one_reading(client: TestClient, use: Steelyard) -> None:
    for _ in range(2):
        assert client.post(f"{PAGE}/reading", data=form()).status_code == 200
    assert len(logged_readings(use)) == 1


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        ({"scale": "90,8", "unit": "lb"}, ("row", "up", 41.19, "lb")),
        ({"scale": "404", "unit": "N", "creep": "down"}, ("row", "down", 41.2, "N")),
        ({"by": "height", "place": "60"}, ("row", "up", 41.2, "kg")),
        ({"by": "travel", "place": "12 in"}, ("row", "up", 41.2, "kg")),
        ({"place": "-3.5 deg", "plates": "tip=10 kg,10 kg"}, ("row", "up", 41.2, "kg")),
        ({"station": "low-pulley", "by": "travel", "place": "20"}, ("low-pulley", "up", 41.2, "kg")),
    ],
)
def test_units_heights_and_travels_are_understood(
    client: TestClient, use: Steelyard, changes: dict[str, str], expected: tuple[str, str, float, str]
) -> None:
    assert client.post(f"{PAGE}/reading", data=form(**changes)).status_code == 200
    assert readings_of(use) == [expected]


WRONG = [
    ({"safe": ""}, "the cautions is not confirmed; it must be confirmed below"),
    ({"scale": "much"}, "is not clear; it must be parts such as row"),
    ({"scale": "0"}, "what the scale showed is 0 kg; it must be above 0"),
    ({"place": "80"}, "the arm angle is 80.0 degrees; it must be from -29 to 29 degrees at station row"),
    ({"by": "height", "place": "900"}, "grip height is 9000 mm; it must be from"),
    ({"plates": "tip=3x20 kg"}, "it must not exceed 45 kg, half of its label, while you calibrate"),
    (
        {"range": "40 kg"},
        "what the scale showed is 41.2 kg; it must be above 0 and at most 40 kg, the scale's range",
    ),
    ({"range": "big"}, "mass is 'big'; it must be a mass such as"),
]


@pytest.mark.parametrize(("changes", "told"), WRONG)
def test_what_is_wrong_is_told_and_the_form_keeps_what_was_typed(
    client: TestClient, use: Steelyard, changes: dict[str, str], told: str
) -> None:
    answer = client.post(f"{PAGE}/reading", data=form(**changes))
    assert answer.status_code == 422
    assert told.lower() in text(answer.text).lower()
    typed = form(**changes)
    assert f'name="scale" value="{typed["scale"]}"' in answer.text
    assert f'name="place" value="{typed["place"]}"' in answer.text
    assert logged_readings(use) == ()


def test_a_program_is_told_in_json(client: TestClient, use: Steelyard) -> None:
    saved = client.post(f"{PAGE}/reading", json=form(), headers=JSON).json()
    assert saved["saved"] == "a" * 32
    refused = client.post(f"{PAGE}/reading", json=form(event="b" * 32, place="80"), headers=JSON)
    assert (refused.status_code, len(logged_readings(use))) == (422, 1)
    assert "the arm angle is 80.0 degrees" in refused.json()["error"]["message"]


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"creep": "sideways"}, "creep is 'sideways'; it must be up, down or held"),
        ({"unit": "stone"}, "unit is 'stone'; it must be kg, lb or N"),
        ({"event": "no"}, "event is 'no'; it must be 32 hexadecimal digits"),
        ({"scale": "4" * 61}, "it must be what the scale shows, such as 31.2"),
        ({"station": "<b>"}, "station with an arm '<b>' is not known"),
    ],
)
def test_a_tap_that_no_form_of_ours_sends_is_refused(
    client: TestClient, use: Steelyard, changes: dict[str, str], told: str
) -> None:
    answer = client.post(f"{PAGE}/reading", json=form(**changes), headers=JSON)
    assert answer.status_code in (404, 422)
    assert told in answer.json()["error"]["message"] or "is not clear" in answer.json()["error"]["message"]
    assert logged_readings(use) == ()


def test_a_wrong_reading_is_marked_in_words(client: TestClient, use: Steelyard) -> None:
    tell(use)
    shown = Person().shows(3, "up", "20 kg") / 0.45359237
    page = client.post(f"{PAGE}/reading", data=form(place="3", scale=f"{shown:.1f}")).text
    assert "That reading can't be right. The other readings expect " in text(page)
    assert page.count('<li class="wrong">') == 1
    assert "1 left out because it can't be right" in text(page)


def test_the_scale_itself_can_be_checked(client: TestClient, use: Steelyard) -> None:
    data = {"event": "c" * 32, "hung": "20 kg", "scale": "20.1", "unit": "kg", "range": ""}
    page = client.post(f"{PAGE}/check", data=data).text
    assert "Saved the scale itself with 20 kg hung on it: 20.10 kg" in text(page)
    assert client.post(f"{PAGE}/check", data=data | {"event": "d" * 32, "hung": "x"}).status_code == 422


def test_a_scale_near_its_end_is_warned_of(client: TestClient) -> None:
    page = client.post(f"{PAGE}/reading", data=form(range="50 kg")).text
    assert "41.2 kg is beyond 30.0 kg, 60 % of the scale's range" in text(page)
    assert 'name="range" value="50 kg"' in page
    assert "Before you pull: " in text(client.get(f"{PAGE}?range=10+kg").text)


def test_a_reading_is_undone_once(client: TestClient, use: Steelyard) -> None:
    client.post(f"{PAGE}/reading", data=form())
    for _ in range(2):
        tap = {"event": "e" * 32, "target": "a" * 32}
        assert client.post(f"{PAGE}/undo", data=tap).status_code == 200
    assert logged_readings(use) == ()
    assert client.post(f"{PAGE}/undo", data={"event": "f" * 32, "target": "1" * 32}).status_code == 404


def test_a_calibration_is_kept_once_and_used(client: TestClient, use: Steelyard) -> None:
    tell(use)
    for _ in range(2):
        page = client.post(f"{PAGE}/keep", data={"event": "b" * 32}).text
    assert "In use: the calibration of Wednesday 4 March." in text(page)
    assert len(use.state.calibrations[boathouse().machine.name]) == 1
    assert calibration_of(use) is not None


def test_without_readings_nothing_can_be_kept(client: TestClient, use: Steelyard) -> None:
    answer = client.post(f"{PAGE}/keep", data={"event": "b" * 32})
    assert answer.status_code == 422
    assert f'href="{PAGE}"' in answer.text
    assert dict(use.state.calibrations) == {}


def test_after_a_change_of_the_file_the_page_offers_to_fit_again(client: TestClient, use: Steelyard) -> None:
    tell(use)
    client.post(f"{PAGE}/keep", data={"event": "b" * 32})
    use.use(changed_home())
    for address in (PAGE, "/machine", "/station/row"):
        assert "is set aside, because the machine file was changed since" in text(client.get(address).text)
    page = client.post(f"{PAGE}/keep", data={"event": "c" * 32}).text
    assert "is set aside" not in page
    latest = use.state.calibrations[boathouse().machine.name][-1].made
    assert isinstance(latest, MachineCalibrated)
    assert use.believed.used is not None


def test_another_station_and_another_reading_can_be_asked_for(client: TestClient) -> None:
    page = client.get(f"{PAGE}?station=low-pulley&turn=2&safe=yes").text
    assert "Low pulley, reading 2 of " in text(page)
    assert client.get(f"{PAGE}?station=low-pulley&turn=nonsense").status_code == 200
    assert client.get(f"{PAGE}?station=inverted-row").status_code == 404


def test_text_from_outside_is_never_markup(client: TestClient) -> None:
    page = client.post(f"{PAGE}/reading", data=form(place="<b>x</b>", plates="<i>")).text
    assert "<b>x" not in page
    assert "<i>" not in page
