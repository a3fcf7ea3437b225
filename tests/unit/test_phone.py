"""How a phone is told to come to the page: codes that another program reads, words that fit what is served."""

from __future__ import annotations

import re
import warnings
from collections.abc import Iterator
from datetime import date

import numpy as np
import pytest
import zxingcpp

from steelyard.cli.commands import run
from steelyard.cli.listening import Wish, drawn, tell
from steelyard.service import Steelyard
from steelyard.web.app import make_app
from steelyard.web.phone import Reach, Trust, draw_code, make_first_visit

with warnings.catch_warnings():  # Starlette would rather see another HTTP client under its test client
    warnings.simplefilter("ignore")
    from starlette.testclient import TestClient

TRUST = Trust(
    "http://192.168.1.20:8418/phone", "Steelyard 3f40 on garage", "AB " * 31 + "AB", date(2036, 3, 2), b"DER"
)
BY_HTTPS = Reach("https://192.168.1.20:8417/", ("https://garage.local:8417/",), False, TRUST)
BY_HTTP = Reach("http://192.168.1.20:8417/", (), False)
HERE = Reach("http://127.0.0.1:8417/", (), True)


def client_of(steelyard: Steelyard, reach: Reach) -> TestClient:
    app = make_app(steelyard)
    app.state.reach = lambda: reach
    return TestClient(app)


@pytest.fixture
def first_visit(steelyard: Steelyard) -> Iterator[TestClient]:
    app = make_app(steelyard)
    app.state.reach = lambda: BY_HTTPS
    with TestClient(make_first_visit(app), follow_redirects=False) as opened:
        yield opened


def read_code(rows: list[str]) -> str:
    """What a reader of codes sees in half blocks on a black terminal. Blocks are light."""
    upper, lower = {"█", "▀"}, {"█", "▄"}
    light = [[letter in half for letter in row] for row in rows for half in (upper, lower)]
    picture = np.kron(np.array(light, dtype=np.uint8) * 255, np.ones((6, 6), dtype=np.uint8))
    return zxingcpp.read_barcodes(picture)[0].text


@pytest.mark.parametrize(
    "address",
    [
        "http://127.0.0.1:8417/",
        "https://192.168.178.101:8417/",
        "https://[fd12::5]:8417/",
        f"https://{'a' * 60}.lan:65535/",
    ],
)
def test_the_code_in_the_terminal_is_the_address(address: str) -> None:
    assert read_code(list(drawn(address))) == address


def test_a_code_on_the_page_is_dark_on_white_with_room_round_it() -> None:
    code = draw_code("https://192.168.1.20:8417/")
    assert re.search(r'<path fill="#fff" d="M0 0h33v33h-33z"/><path stroke="#000" d="M4 4\.5h7', code)
    assert "style" not in code and "class" not in code


def test_the_first_page_leads_there(steelyard: Steelyard) -> None:
    assert 'href="/phone"' in client_of(steelyard, BY_HTTP).get("/").text


def test_plain_http_says_what_is_missing_and_how_to_get_it(steelyard: Steelyard) -> None:
    text = client_of(steelyard, BY_HTTP).get("/phone").text
    assert "Starting without the network" in text and "Keeping the screen on" in text
    assert (
        "start the program as before, with this added:" in text and "<code>--host 0.0.0.0 --https</code>" in text
    )
    assert "fingerprint" not in text


def test_a_page_for_this_machine_only_shows_no_code(steelyard: Steelyard) -> None:
    text = client_of(steelyard, HERE).get("/phone").text
    assert "served to this machine only" in text
    assert "<svg" not in text


def test_https_shows_both_codes_and_the_fingerprint(steelyard: Steelyard) -> None:
    text = client_of(steelyard, BY_HTTPS).get("/phone").text
    assert text.count("<svg") == 2
    assert TRUST.fingerprint in text and TRUST.name in text and "2036-03-02" in text


@pytest.mark.parametrize(
    "told", ["iPhone and iPad", "Android", "Chrome", "Firefox", "Safari", "Removing it", "ports 8417 and 8418"]
)
def test_trusting_is_explained_for_each_kind_of_device(steelyard: Steelyard, told: str) -> None:
    assert told in client_of(steelyard, BY_HTTPS).get("/phone").text


def test_the_authority_is_handed_out_as_what_it_is(steelyard: Steelyard) -> None:
    answer = client_of(steelyard, BY_HTTPS).get("/phone/authority.crt")
    assert (answer.content, answer.headers["content-type"]) == (b"DER", "application/x-x509-ca-cert")


def test_there_is_no_authority_on_plain_http(steelyard: Steelyard) -> None:
    answer = client_of(steelyard, BY_HTTP).get("/phone/authority.crt")
    assert answer.status_code == 404 and "no page /phone/authority.crt" in answer.text


def test_a_page_served_by_another_program_goes_by_the_address_asked_for(steelyard: Steelyard) -> None:
    assert "http://testserver/" in TestClient(make_app(steelyard)).get("/phone").text


def test_the_page_needs_no_inline_style_or_script(steelyard: Steelyard) -> None:
    text = client_of(steelyard, BY_HTTPS).get("/phone").text
    assert not re.search(r"<style|style=|<script(?![^>]*src=)|\son\w+=", text)


@pytest.mark.parametrize("method", ["GET", "HEAD", "POST", "PUT", "DELETE"])
@pytest.mark.parametrize("path", ["/", "/session/x/events", "/lifter/tove/start", "/phone/authority"])
def test_the_first_visit_leads_everything_to_the_page_on_trusting(
    first_visit: TestClient, method: str, path: str
) -> None:
    answer = first_visit.request(method, path)
    assert (answer.status_code, answer.headers["location"]) == (303, "/phone")


def test_the_first_visit_offers_the_file_and_the_way_on(first_visit: TestClient) -> None:
    text = first_visit.get("/phone").text
    assert 'href="/phone/authority.crt"' in text and 'href="https://192.168.1.20:8417/"' in text
    assert 'href="/machine"' not in text


def test_the_first_visit_keeps_the_guard_s_headers(first_visit: TestClient) -> None:
    assert "default-src 'none'" in first_visit.get("/phone").headers["content-security-policy"]


def said(capsys: pytest.CaptureFixture[str], reach: Reach, *, qr: bool = False) -> str:
    tell(reach, qr=qr)
    return capsys.readouterr().out


def test_a_program_that_is_no_terminal_gets_no_code_unasked(capsys: pytest.CaptureFixture[str]) -> None:
    assert "█" not in said(capsys, BY_HTTP)
    assert (
        read_code([line for line in said(capsys, BY_HTTP, qr=True).splitlines() if line[0] in "█▀▄"])
        == BY_HTTP.address
    )


def test_the_terminal_tells_where_a_first_visit_begins(capsys: pytest.CaptureFixture[str]) -> None:
    lines = said(capsys, BY_HTTPS).splitlines()
    assert lines[0] == "Open https://192.168.1.20:8417/ in a browser; stop with Ctrl+C."
    assert lines[1] == "It may also be at https://garage.local:8417/"
    assert lines[2].endswith("begins at http://192.168.1.20:8418/phone")
    assert lines[4].strip() == TRUST.fingerprint


def test_a_terminal_is_given_light_blocks_on_black(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sys.stdout.isatty", lambda: True)
    lines = said(capsys, BY_HTTP).splitlines()
    assert lines[1] == "The page:"
    assert all(line.startswith("\033[97;40m") and line.endswith("\033[0m") for line in lines[2:])


def test_a_terminal_that_serves_this_machine_alone_draws_nothing(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sys.stdout.isatty", lambda: True)
    told = said(capsys, HERE)
    assert "█" not in told and "serve with --host 0.0.0.0" in told


def test_a_terminal_without_such_letters_is_told_where_the_code_is(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("steelyard.cli.listening.drawn", lambda address: ["\udcff"])
    assert "the page shows it under /phone" in said(capsys, BY_HTTP, qr=True)


def wished(*words: str) -> tuple[int, list[Wish]]:
    """How a command line ends, and where it would have listened."""
    asked: list[Wish] = []
    return run(words, serve_page=lambda steelyard, wish, ready: asked.append(wish)), asked


def test_https_takes_the_next_port_for_first_visits(steelyard: Steelyard) -> None:
    code, asked = wished("--home", str(steelyard.home.folder), "serve", "--https", "--name", "Gym.LAN.")
    assert (code, asked) == (0, [Wish("127.0.0.1", 8417, ("gym.lan",), True, 8418)])


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--http-port", "9000"), "--http-port is 9000; it must be given with --https"),
        (("--https", "--http-port", "8417"), "http-port is 8417; it must be another one than --port"),
        (("--https", "--port", "65535"), "http-port is 65536; it must be from 0 to 65535"),
        (("--https", "--http-port", "-1"), "http-port is -1; it must be from 0 to 65535"),
        (("--name", "gym lan"), "--name is 'gym lan'; it must be a name of this machine"),
        (("--name", "http://gym.lan/"), "--name is 'http://gym.lan/'; it must be a name of this machine"),
        (("--name", ""), "--name is ''; it must be a name of this machine"),
    ],
)
def test_what_can_t_be_served_is_said_in_one_line(
    steelyard: Steelyard, capsys: pytest.CaptureFixture[str], words: tuple[str, ...], told: str
) -> None:
    assert wished("--home", str(steelyard.home.folder), "serve", *words) == (1, [])
    assert capsys.readouterr().err.startswith(f"steelyard: {told}")
