"""Serving by http and https: the addresses told, the page on trusting beside, renewal without a restart."""

from __future__ import annotations

import asyncio
import re
import signal
import socket
import ssl
import subprocess
import sys
import urllib.request
from collections.abc import Coroutine, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, closing, contextmanager
from dataclasses import dataclass
from http.client import HTTPConnection, HTTPSConnection
from ipaddress import ip_address
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest

from steelyard.errors import DamagedFile, OutOfRange
from steelyard.web import addresses, secured
from steelyard.web.addresses import Listening, hosts, own_addresses
from steelyard.web.secured import Secured
from steelyard.web.serving import listening, reach_by_http
from unit.test_tls import meet


def test_a_port_that_is_taken_is_told_in_one_line() -> None:
    with listening("127.0.0.1", 0) as first:
        first.listen()
        taken = first.getsockname()[1]
        told = rf"^address is 127\.0\.0\.1:{taken} \(.+\); it must be a free one .*; try --http-port 0$"
        with pytest.raises(OutOfRange, match=told):
            listening("127.0.0.1", taken, option="--http-port")


def test_a_host_that_is_none_is_told_in_one_line() -> None:
    told = r"address is 300\.1\.1\.1:0 .*; it must be an address or a name of this machine; try --host 0\.0\.0\.0$"
    with pytest.raises(OutOfRange, match=told):
        listening("300.1.1.1", 0)


def test_a_port_for_the_administrator_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    def forbidden(*_: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("socket.socket.bind", forbidden, raising=False)
    with pytest.raises(OutOfRange, match=r"127\.0\.0\.1:443 \(Permission denied\); .* a port above 1023"):
        listening("127.0.0.1", 443)


@pytest.fixture
def network(monkeypatch: pytest.MonkeyPatch) -> None:
    """A machine called garage with an address in two networks."""
    monkeypatch.setattr(addresses, "own_addresses", lambda: ("192.168.1.20", "fd12::5", "10.42.0.1"))
    monkeypatch.setattr(addresses, "own_name", lambda: "garage")


@pytest.mark.usefixtures("network")
@pytest.mark.parametrize(
    ("host", "names", "told"),
    [
        ("127.0.0.1", (), ("127.0.0.1",)),
        ("192.168.1.20", ("gym.lan",), ("gym.lan", "192.168.1.20")),
        ("0.0.0.0", (), ("192.168.1.20", "10.42.0.1", "garage.local")),
        ("::", ("gym.lan",), ("gym.lan", "192.168.1.20", "fd12::5", "10.42.0.1", "garage.local")),
    ],
)
def test_the_hosts_told_are_those_that_are_listened_on(host: str, names: tuple[str, ...], told: object) -> None:
    assert hosts(Listening(host, 8417, names)) == told


@pytest.mark.usefixtures("network")
def test_the_whole_network_is_told_as_addresses_to_open() -> None:
    reach = reach_by_http(Listening("::", 0), 8417)
    assert reach.address == "http://192.168.1.20:8417/"
    assert reach.others[0] == "http://[fd12::5]:8417/"
    assert not reach.here_only


def test_a_machine_without_a_network_says_that_it_is_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(addresses, "own_addresses", lambda: ())
    monkeypatch.setattr(addresses, "own_name", lambda: "")
    reach = reach_by_http(Listening("0.0.0.0", 0), 8417)
    assert (reach.address, reach.here_only) == ("http://127.0.0.1:8417/", True)


def test_own_addresses_are_addresses_that_others_could_open() -> None:
    known = [ip_address(address) for address in own_addresses()]
    assert not any(address.is_loopback or address.is_unspecified for address in known)
    assert len(known) == len(set(known))


def test_own_addresses_can_be_listened_on() -> None:
    for address in own_addresses():
        listening(address, 0).close()


def test_no_name_server_is_asked_for_the_own_name(monkeypatch: pytest.MonkeyPatch) -> None:
    def asked(*_: object, **__: object) -> None:
        raise AssertionError("another machine was asked")

    for question in ("getaddrinfo", "gethostbyname", "gethostbyname_ex", "gethostbyaddr", "getfqdn"):
        monkeypatch.setattr(socket, question, asked)
    own_addresses()
    assert addresses.own_name() == addresses.own_name().lower()


@pytest.mark.parametrize(
    ("host", "label"), [("Garage.fritz", "garage"), ("localhost", ""), ("my_pc", ""), ("", "")]
)
def test_only_a_host_name_fit_for_a_network_is_used(
    monkeypatch: pytest.MonkeyPatch, host: str, label: str
) -> None:
    monkeypatch.setattr(socket, "gethostname", lambda: host)
    assert addresses.own_name() == label


@pytest.fixture
def moving(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The addresses of a machine that is carried from one network to another."""
    now = ["192.168.1.20"]
    for module in (addresses, secured):
        monkeypatch.setattr(module, "own_addresses", lambda: tuple(now))
    monkeypatch.setattr(addresses, "own_name", lambda: "")
    return now


def run(renewal: Coroutine[Any, Any, None]) -> None:
    """A renewal to its end, in a thread of its own: tests in a browser leave a loop running in this one."""
    with ThreadPoolExecutor(max_workers=1) as thread:
        thread.submit(asyncio.run, renewal).result()


def test_a_server_that_moved_renews_without_a_restart(tmp_path: Path, moving: list[str]) -> None:
    served = Secured(tmp_path / "tls", Listening("0.0.0.0", 0, https=True), (8417, 8418))
    greeting = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    before = served.reach()
    moving[0] = "10.42.0.1"
    run(served.renewing(lambda: greeting)())
    after = served.reach()
    assert (before.address, after.address) == ("https://192.168.1.20:8417/", "https://10.42.0.1:8417/")
    assert after.trust is not None and after.trust.page == "http://10.42.0.1:8418/phone"
    meet(greeting, after.trust.authority, "10.42.0.1")


def test_a_renewal_that_fails_is_logged_and_the_server_goes_on(
    tmp_path: Path, moving: list[str], caplog: pytest.LogCaptureFixture
) -> None:
    served = Secured(tmp_path / "tls", Listening("0.0.0.0", 0, https=True), (8417, 8418))
    (tmp_path / "tls" / "authority.pem").write_bytes(b"nonsense")
    moving[0] = "10.42.0.1"
    with caplog.at_level("WARNING", logger="uvicorn.error"):
        run(served.renewing(lambda: None)())
    assert re.search(r"the certificate can't be renewed: .*authority\.pem is damaged", caplog.text)
    assert served.reach().here_only  # the old certificate does not cover where the machine is now


def test_a_network_without_a_private_address_reaches_this_machine_only(tmp_path: Path, moving: list[str]) -> None:
    moving[0] = "203.0.113.7"
    served = Secured(tmp_path / "tls", Listening("0.0.0.0", 0, https=True), (8417, 8418))
    assert (served.reach().address, served.reach().here_only) == ("https://127.0.0.1:8417/", True)


def test_a_public_address_to_listen_on_is_refused_with_https(tmp_path: Path) -> None:
    with pytest.raises(OutOfRange, match=r"name is '203\.0\.113\.7'"):
        Secured(tmp_path / "tls", Listening("203.0.113.7", 0, https=True), (8417, 8418))


def test_a_damaged_authority_stops_the_start(tmp_path: Path) -> None:
    (tmp_path / "tls").mkdir()
    (tmp_path / "tls" / "authority.pem").write_bytes(b"nonsense")
    with pytest.raises(DamagedFile, match=r"authority\.pem is damaged"):
        Secured(tmp_path / "tls", Listening("127.0.0.1", 0, https=True), (8417, 8418))


@dataclass(frozen=True)
class Served:
    """A program that serves by https, and what it said."""

    process: subprocess.Popen[str]
    said: list[str]

    @property
    def page(self) -> str:
        return self.said[0].split()[1]

    @property
    def first_visit(self) -> str:
        return next(line.split()[-1] for line in self.said if line.startswith("A device"))

    @property
    def fingerprint(self) -> str:
        return next(line.strip() for line in self.said if re.fullmatch(r"  ([0-9A-F]{2} ?){32}", line))


@contextmanager
def serving(home: Path) -> Iterator[Served]:
    """Serve by https until the test is done, then stop as Ctrl+C does; it has to end soon, without a complaint."""
    command = [sys.executable, "-m", "steelyard", "--home", str(home), "serve", "--https", "--port", "0"]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    assert process.stdout is not None
    try:
        yield Served(process, [process.stdout.readline().rstrip("\n") for _ in range(5)])
    finally:
        process.send_signal(signal.SIGINT)
        _, complaints = process.communicate(timeout=60)
    assert (process.returncode, complaints) == (130, "")


@pytest.fixture(scope="module")
def served(demo: Path) -> Iterator[Served]:
    with serving(demo) as one:
        yield one


def fetched(address: str, *, trusting: bytes = b"", method: str = "GET") -> tuple[str, bytes]:
    """Where an address leads, and what is there."""
    context = ssl.create_default_context(cadata=trusting) if trusting else None
    asked = urllib.request.Request(address, method=method)
    with urllib.request.urlopen(asked, context=context, timeout=60) as answer:
        return answer.url, answer.read()


def test_the_authority_taken_over_http_opens_the_page_by_https(served: Served) -> None:
    _, authority = fetched(served.first_visit.replace("/phone", "/phone/authority.crt"))
    _, body = fetched(served.page, trusting=authority)
    assert b"Whose turn?" in body


def test_the_page_needs_the_authority(served: Served) -> None:
    with pytest.raises(OSError, match="CERTIFICATE_VERIFY_FAILED"):
        fetched(served.page)


def test_terminal_and_page_show_the_same_fingerprint(served: Served) -> None:
    _, body = fetched(served.first_visit)
    assert served.fingerprint in body.decode()


@pytest.mark.parametrize("path", ["/", "/machine", "/lifter/tove", "/review/tove", "/session/x/state", "/nowhere"])
def test_plain_http_beside_https_shows_the_page_on_trusting_and_nothing_else(served: Served, path: str) -> None:
    led, body = fetched(served.first_visit.replace("/phone", path))
    assert led == served.first_visit
    assert b"Trust the authority" in body and b"Tove" not in body


def under_another_name(address: str, *, trusting: bytes = b"") -> tuple[int, bytes]:
    """What a page elsewhere gets whose name was pointed at this machine."""
    parts = urlsplit(address)
    assert parts.hostname is not None
    asking = HTTPConnection(parts.hostname, parts.port or 80, timeout=10)
    if trusting:
        context = ssl.create_default_context(cadata=trusting)
        asking = HTTPSConnection(parts.hostname, parts.port or 443, timeout=10, context=context)
    with closing(asking):
        asking.request("GET", "/", headers={"host": f"gym.example.com:{parts.port}"})
        answer = asking.getresponse()
        return answer.status, answer.read()


def test_neither_http_nor_https_answers_to_the_name_of_somebody_else(served: Served) -> None:
    _, authority = fetched(served.first_visit.replace("/phone", "/phone/authority.crt"))
    found = [under_another_name(served.page, trusting=authority), under_another_name(served.first_visit)]
    assert [status for status, _ in found] == [421, 421]
    assert all(b"--name gym.example.com" in body and b"Tove" not in body for _, body in found)


def test_nothing_can_be_recorded_beside_https(served: Served) -> None:
    led, _ = fetched(served.first_visit.replace("/phone", "/lifter/tove/start"), method="POST")
    assert led == served.first_visit


def test_a_phone_asleep_does_not_keep_the_server_from_ending(demo: Path) -> None:
    context = ssl.create_default_context()
    context.check_hostname, context.verify_mode = False, ssl.CERT_NONE
    with serving(demo) as one, ExitStack() as asleep:
        parts = urlsplit(one.page)
        line = asleep.enter_context(socket.create_connection((parts.hostname, parts.port)))
        asked = asleep.enter_context(context.wrap_socket(line))
        asked.sendall(b"GET /cautions HTTP/1.1\r\nhost: 127.0.0.1\r\n\r\n")
        assert asked.recv(12) == b"HTTP/1.1 200"
        one.process.send_signal(signal.SIGINT)
        one.process.wait(28)  # TLS alone would wait 30 s for the phone's goodbye


def test_a_machine_that_serves_itself_alone_says_how_to_serve_a_phone(served: Served) -> None:
    assert any("--host 0.0.0.0" in line for line in served.said)
