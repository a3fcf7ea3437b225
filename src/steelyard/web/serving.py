"""Serving the page until somebody stops it."""

from __future__ import annotations

import socket
from collections.abc import Callable
from contextlib import suppress
from ipaddress import ip_address

import uvicorn

from steelyard.errors import OutOfRange
from steelyard.service import Steelyard
from steelyard.web.app import make_app

ELSEWHERE = ("192.0.2.1", 9)
"""An address for documentation (RFC 5737): connecting a datagram socket to it sends nothing, and tells which of
our addresses would be used."""


class ReadyServer(uvicorn.Server):
    """A server that tells when it answers."""

    def __init__(self, config: uvicorn.Config, ready: Callable[[], None]) -> None:
        super().__init__(config)
        self._ready = ready

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        """Begin to listen, then say so."""
        await super().startup(sockets)
        self._ready()


def serve(steelyard: Steelyard, host: str, port: int, ready: Callable[[str], None]) -> None:
    """Serve the page until interrupted.

    host:  address to listen on; 0.0.0.0 for the whole network. port: 0 for any that is free.
    ready: called with the page's address once it answers.

    Raises: OutOfRange if the address can't be had.
    """
    demo = (steelyard.home.folder / "demo.txt").is_file()
    config = uvicorn.Config(make_app(steelyard, demo=demo), log_level="warning", lifespan="off", access_log=False)
    with listening(host, port) as listener:
        address = f"http://{shown_host(host)}:{listener.getsockname()[1]}/"
        ReadyServer(config, lambda: ready(address)).run(sockets=[listener])


def listening(host: str, port: int) -> socket.socket:
    """A socket bound to an address of this machine. Raises: OutOfRange."""
    try:
        family, kind, protocol, _, address = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
        listener = socket.socket(family, kind, protocol)
    except (OSError, UnicodeError) as problem:
        raise _refused(host, port, problem) from problem
    try:
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listener.bind(address)
    except OSError as problem:
        listener.close()
        raise _refused(host, port, problem) from problem
    return listener


def _refused(host: str, port: int, problem: Exception) -> OutOfRange:
    why = problem.strerror if isinstance(problem, OSError) else problem
    return OutOfRange("address", f"{host}:{port} ({why})", "a free one of this machine; try --port 0")


def shown_host(host: str) -> str:
    """What to write in a browser on another device: this machine's address where all of them are listened on."""
    with suppress(ValueError):
        if ip_address(host).is_unspecified:
            return _own_address()
        if ip_address(host).version == 6:
            return f"[{host}]"
    return host


def _own_address() -> str:
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe, suppress(OSError):
        probe.connect(ELSEWHERE)
        return str(probe.getsockname()[0])
    return "127.0.0.1"
