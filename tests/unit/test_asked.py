"""To which names the page answers: a page of somebody else whose name is pointed here reads and writes nothing."""

from __future__ import annotations

import socket
import warnings
from pathlib import Path

import pytest

from steelyard.errors import OutOfRange
from steelyard.service import Steelyard
from steelyard.web import addresses, asked
from steelyard.web.addresses import Listening
from steelyard.web.app import make_app
from steelyard.web.asked import check_asked, host_of
from steelyard.web.phone import Reach, make_first_visit

with warnings.catch_warnings():  # Starlette would rather see another HTTP client under its test client
    warnings.simplefilter("ignore")
    from starlette.testclient import TestClient

EVERYWHERE = Listening("0.0.0.0", 8417, ("gym.lan", "gym.example.com"))
HERE = Listening("127.0.0.1", 8417)


@pytest.fixture(autouse=True)
def garage(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """A machine called garage, whose router calls it garage.router.example; returns where that is written."""
    monkeypatch.setattr(socket, "gethostname", lambda: "Garage.house.example")
    monkeypatch.setattr(addresses, "own_addresses", lambda: ("192.168.1.20", "2001:db8::5"))
    resolver = tmp_path / "resolv.conf"
    resolver.write_text("# told by the router\nnameserver 192.168.1.1\nsearch Router.example.\n")
    monkeypatch.setattr(asked, "RESOLVER", resolver)
    return resolver


@pytest.mark.parametrize(
    "host",
    [
        *("localhost", "LOCALHOST:8417", "gym.localhost:8417"),
        *("127.0.0.1:8417", "192.168.1.20:8417", "10.0.0.9", "172.31.0.1", "169.254.7.7", "0.0.0.0:8417"),
        *("[::1]:8417", "[fd12::5]", "[fe80::1]:8417"),
        *("garage:8417", "garage.local", "Garage.Lan:8417", "garage.home.arpa.", "garage.internal", "garage.home"),
        *("garage.house.example", "garage.router.example:8417"),
        *("gym.lan", "gym.example.com:443"),
    ],
)
def test_own_names_and_addresses_are_answered(host: str) -> None:
    check_asked(EVERYWHERE, host)


@pytest.mark.parametrize("where", [EVERYWHERE, HERE], ids=["everywhere", "here"])
@pytest.mark.parametrize("host", ["gym", "other.lan", "lan", "gym.test:8417", "gym.corp", "gym.localdomain"])
def test_names_that_nobody_on_the_internet_can_have_are_answered(where: Listening, host: str) -> None:
    check_asked(where, host)


@pytest.mark.parametrize(
    "host",
    [
        *("", ":8417", "example.com", "lan.example", "router.example", "corp.example.com"),
        *("garage.example.com", "localhost.example.com", "192.168.1.20.example.com", "127.0.0.1.nip.example"),
        *("8.8.8.8:8417", "172.32.0.1", "[2001:db8::6]:8417", "[2606:4700::1]"),
        *("fd12::5", "[garage]", "[::1", "127.0.0.1:8417:1", "gym.lan@example.com", "gym.lan/x", "gym.lan\n"),
    ],
)
def test_any_other_is_refused(host: str) -> None:
    with pytest.raises(OutOfRange, match=r"^the name asked for is "):
        check_asked(EVERYWHERE, host)


def test_an_address_of_the_machine_is_answered_though_it_is_no_private_one() -> None:
    check_asked(Listening("::", 8417), "[2001:db8::5]:8417")


def test_an_address_that_is_listened_on_is_answered() -> None:
    check_asked(Listening("203.0.113.7", 8417), "203.0.113.7:8417")


@pytest.mark.parametrize("host", ["garage.router.example", "garage.house.example"])
def test_for_this_machine_alone_no_network_says_what_its_name_is(host: str) -> None:
    with pytest.raises(OutOfRange, match=f"is '{host}'"):
        check_asked(HERE, host)


def test_for_this_machine_alone_addresses_and_names_given_are_answered() -> None:
    for host in ("localhost:8417", "127.0.0.1:8417", "[::1]:8417", "192.168.1.20"):
        check_asked(HERE, host)
    check_asked(Listening("127.0.0.1", 8417, ("gym.lan",)), "gym.lan")


def test_a_system_without_a_list_of_endings_knows_the_others(garage: Path) -> None:
    garage.unlink()
    check_asked(EVERYWHERE, "garage.lan")
    with pytest.raises(OutOfRange, match=r"garage\.router\.example"):
        check_asked(EVERYWHERE, "garage.router.example")


def test_a_machine_without_a_name_fit_for_a_network_has_none(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(socket, "gethostname", lambda: "localhost.house.example")
    with pytest.raises(OutOfRange):
        check_asked(EVERYWHERE, "localhost.house.example")


def test_the_way_out_names_the_option_and_its_danger() -> None:
    with pytest.raises(OutOfRange, match=r"--name den\.example, and never for a name that somebody else gave you"):
        check_asked(EVERYWHERE, "den.example:8417")


def test_what_is_no_name_is_not_offered_as_one() -> None:
    with pytest.raises(OutOfRange) as told:
        check_asked(EVERYWHERE, "a b;rm")
    assert "--name" not in str(told.value)


def test_a_long_host_is_cut_in_the_message() -> None:
    with pytest.raises(OutOfRange) as told:
        check_asked(EVERYWHERE, "a" * 5000)
    assert len(str(told.value)) < 400


def test_the_host_is_read_without_its_port() -> None:
    assert [host_of(each) for each in ("a.b:1", "[::1]:1", "A.", "::1", "")] == ["a.b", "::1", "a", "", ""]


@pytest.mark.parametrize("path", ["/", "/lifter/tove", "/session/x/state", "/static/x/steelyard.css", "/nowhere"])
def test_nothing_is_served_under_another_name(steelyard: Steelyard, path: str) -> None:
    client = TestClient(make_app(steelyard, where=HERE), base_url="http://gym.example.com:8417")
    answer = client.get(path)
    assert answer.status_code == 421
    assert "does not answer to this name" in answer.text and "--name gym.example.com" in answer.text
    assert "href" not in answer.text and "<script" not in answer.text and "Tove" not in answer.text


def test_under_another_name_even_its_own_origin_records_nothing(steelyard: Steelyard) -> None:
    """What a page does whose name was pointed here: to the browser it is all one origin."""
    before = len(steelyard.events)
    client = TestClient(make_app(steelyard, where=HERE), base_url="http://gym.example.com:8417")
    same = {"origin": "http://gym.example.com:8417", "sec-fetch-site": "same-origin"}
    answer = client.post(f"/lifter/{steelyard.lifters()[0].lifter}/start", headers=same)
    assert (answer.status_code, len(steelyard.events)) == (421, before)


def test_a_program_is_told_so_in_json(steelyard: Steelyard) -> None:
    client = TestClient(make_app(steelyard, where=HERE), base_url="http://gym.example.com")
    answer = client.get("/session/x/state", headers={"accept": "application/json"})
    assert answer.json()["error"]["message"].startswith("the name asked for is 'gym.example.com'; it must be ")


@pytest.mark.parametrize(
    "origin", ["http://gym.example.com", "http://localhost:8418", "https://localhost", "null"]
)
def test_another_origin_records_nothing_under_an_own_name(steelyard: Steelyard, origin: str) -> None:
    client = TestClient(make_app(steelyard, where=HERE), base_url="http://localhost:8417")
    answer = client.post("/lifter/x/start", headers={"origin": origin})
    assert (answer.status_code, "came from another site" in answer.text) == (403, True)


def test_the_page_on_trusting_answers_to_own_names_alone(steelyard: Steelyard) -> None:
    app = make_app(steelyard, where=EVERYWHERE)
    app.state.reach = lambda: Reach("https://gym.lan:8417/")
    first_visit = make_first_visit(app)
    found = [
        TestClient(first_visit, base_url=f"http://{name}:8418").get("/phone") for name in ("gym.lan", "x.example")
    ]
    assert [each.status_code for each in found] == [200, 421]
