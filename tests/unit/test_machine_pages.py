"""The page of the machine and of each station: pictures, figures, a comparison, and what is not known."""

from __future__ import annotations

import re
import warnings
from html import unescape

import pytest

from gyms import boathouse, join, steelyard
from scale_person import Person
from steelyard.machine.examples import example_text
from steelyard.machine.file import read_machine
from steelyard.machine.model import Machine
from steelyard.training.gym import Gym
from steelyard.units import Unit
from steelyard.web.app import make_app
from steelyard.web.machine_words import increments
from steelyard.workshop.calibrating import bring
from steelyard.workshop.taking import Asked

with warnings.catch_warnings():  # Starlette would rather see another HTTP client under its test client
    warnings.simplefilter("ignore")
    from starlette.testclient import TestClient


@pytest.fixture
def page() -> TestClient:
    """The boathouse with Ida, who was weighed."""
    use = steelyard()
    join(use)
    return TestClient(make_app(use))


def read(page: TestClient, address: str) -> str:
    answer = page.get(address)
    assert answer.status_code == 200
    return unescape(answer.text)


def test_the_machine_is_shown_whole_with_a_link_to_every_station(page: TestClient) -> None:
    text = read(page, "/machine")
    assert "Boathouse lever gym from the side" in text
    assert all(f'href="/station/{name}?unit=kg"' in text for name in boathouse().machine.stations)


@pytest.mark.parametrize("station", list(boathouse().machine.stations))
def test_every_station_has_its_picture_its_curve_and_its_loads(page: TestClient, station: str) -> None:
    text = read(page, f"/station/{station}")
    title = boathouse().machine.stations[station].title
    assert all(
        words in text for words in (f"{title} from the side", f"{title}: force over the travel", "Every load")
    )


def test_a_load_asked_for_is_the_one_shown(page: TestClient) -> None:
    assert "Lever row at 80.1 kg felt is hardest" in read(page, "/station/row?felt=80")
    assert "Lever row at 176.6 lb felt is hardest" in read(page, "/station/row?felt=176.4&unit=lb")


def test_another_station_is_put_beside_it(page: TestClient) -> None:
    text = read(page, "/station/row?felt=40&beside=high-pulley")
    assert "Lever row and High pulley" in text
    assert "felt, Lever row is hardest" in text
    assert '<option value="high-pulley" selected>' in text


@pytest.mark.parametrize(
    ("address", "status", "said"),
    [
        ("/station/rwo", 404, "did you mean row?"),
        ("/station/row?beside=prss", 404, "did you mean press?"),
        ("/station/row?felt=heavy", 422, "ass is 'heavy'; it must be a mass such as"),
    ],
)
def test_what_is_not_there_is_said_with_a_way_out(page: TestClient, address: str, status: int, said: str) -> None:
    answer = page.get(address)
    assert answer.status_code == status
    assert said in unescape(answer.text)


def test_an_unknown_unit_leads_back_to_the_page(page: TestClient) -> None:
    answer = page.get("/station/row?unit=stone", follow_redirects=False)
    assert (answer.status_code, answer.headers["location"]) == (303, "/station/row")


def test_nothing_is_made_up_where_nobody_was_weighed() -> None:
    page = TestClient(make_app(steelyard()))
    assert "once somebody has been weighed" in read(page, "/machine")
    text = read(page, "/station/inverted-row")
    assert "Inverted row under the arm from the side" in text
    assert "its loads are known once somebody has been weighed" in text
    assert "can be compared once somebody has been weighed" in read(page, "/station/row?beside=inverted-row")


def test_the_curve_of_a_calibrated_station_has_its_band() -> None:
    use = steelyard()
    page = TestClient(make_app(use))
    assert "with 95 % probability" not in read(page, "/station/row")
    bring(use, Person().protocol(), "protocol", Asked(), scale_range_kg=None)
    page.post("/machine/calibrate/keep", data={"event": "b" * 32})
    text = read(page, "/station/row")
    assert "with 95 % probability" in text
    assert 'data-part="band"' in text


def said_of(machine: Machine, station: str) -> tuple[str, ...]:
    loads = Gym(machine, boathouse().inventory, boathouse().exercises).loads(machine.stations[station])
    return increments(loads.law, loads.ladder, boathouse().inventory, Unit.KG)


def test_horns_at_two_distances_are_said_to_make_fine_steps() -> None:
    outer, inner, fine = said_of(read_machine(example_text("twin-arms"), "twin-arms.toml"), "row")
    assert outer.startswith("A pair of 1.25 kg on the outer horns is felt as 1.6")
    assert inner.startswith("A pair of 1.25 kg on the inner horns is felt as 0.8")
    assert fine.startswith(
        "The horns lie at different distances, so the same plate makes different steps: half of"
    )


def test_a_horn_along_the_plane_counts_more_at_its_end() -> None:
    nose, *_ = said_of(read_machine(example_text("counterbeam"), "counterbeam.toml"), "row")
    assert nose.startswith("One 1.25 kg on the nose horn is felt as ")
    assert nose.endswith(" at its end.")


def test_one_horn_says_how_fine_its_steps_are() -> None:
    said = said_of(boathouse().machine, "row")
    assert said[-1].startswith("Half of the steps between its loads are ")


def test_a_single_load_has_no_steps() -> None:
    loads = boathouse().loads(boathouse().machine.stations["row"])
    assert len(increments(loads.law, loads.ladder[:1], boathouse().inventory, Unit.KG)) == 1


def test_a_station_in_motion_says_what_a_tempo_asks(page: TestClient) -> None:
    text = read(page, "/station/row")
    assert "Raising in 2 s: 40.0 kg felt on average" in text
    assert "Warning" not in text


def test_a_tempo_in_which_the_load_floats_is_warned_of_with_one_that_avoids_it(page: TestClient) -> None:
    text = read(page, "/station/row?tempo=1-0-0.4-0")
    assert 'class="warning">Warning, raising: the load floats' in text
    (steady,) = re.findall(r"Tempo (\S+) avoids it", text)
    assert "Warning" not in read(page, f"/station/row?tempo={steady}")


def test_what_is_no_tempo_is_answered_with_a_way_back_to_the_machine(page: TestClient) -> None:
    answer = page.get("/station/row?tempo=fast")
    assert answer.status_code == 422
    assert "empo is 'fast'; it must be four figures" in unescape(answer.text)
    assert 'href="/machine"' in answer.text


def test_a_free_weight_has_no_motion_of_an_arm(page: TestClient) -> None:
    assert "In motion" not in read(page, "/station/handle")
