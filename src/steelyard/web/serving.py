"""Serving the page until somebody stops it: to this machine or to the network, by http or by https."""

from __future__ import annotations

import asyncio
import socket
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from functools import partial
from pathlib import Path

import uvicorn
from starlette.applications import Starlette

from steelyard.errors import OutOfRange
from steelyard.service import Steelyard
from steelyard.web.addresses import Listening, bracketed, hosts, is_here_only
from steelyard.web.app import make_app
from steelyard.web.phone import Reach, make_first_visit

LOOK_AGAIN_S = 60
"""How often a server looks whether its certificate still fits the machine's addresses. [s]"""

END_WITHIN_S = 2
"""How long a server that was stopped waits for devices that no longer listen, such as a phone asleep. [s]"""


class EndingServer(uvicorn.Server):
    """A server that ends soon after it is told to."""

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        """Answer what is being asked, hang up on who does not listen, then end."""
        late = asyncio.get_running_loop().call_later(END_WITHIN_S, self._hang_up)
        await super().shutdown(sockets)
        late.cancel()

    def _hang_up(self) -> None:
        for connection in list(self.server_state.connections):
            connection.transport.abort()


class PageServer(EndingServer):
    """A server that tells when it answers, and may have another beside it that starts and ends with it."""

    def __init__(self, config: uvicorn.Config, ready: Callable[[], None]) -> None:
        super().__init__(config)
        self._ready = ready
        self._beside: list[tuple[BesideServer, asyncio.Task[None]]] = []
        self._waiting: list[tuple[BesideServer, socket.socket]] = []

    def put_beside(self, server: BesideServer, listener: socket.socket) -> None:
        """Let another server start and end with this one."""
        self._waiting.append((server, listener))

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        """Begin to listen, then say so."""
        await super().startup(sockets)
        for server, listener in self._waiting:
            serving = asyncio.create_task(server.serve([listener]))
            self._beside.append((server, serving))
            while not (server.started or serving.done()):
                await asyncio.sleep(0.01)
        self._ready()

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        """End what stands beside, then this."""
        for server, serving in self._beside:
            server.should_exit = True
            await serving
        await super().shutdown(sockets)


class BesideServer(EndingServer):
    """A server that leaves signals to the one it stands beside."""

    @contextmanager
    def capture_signals(self) -> Iterator[None]:
        """Capture none."""
        yield


def serve(steelyard: Steelyard, where: Listening, ready: Callable[[Reach], None]) -> None:
    """Serve the page until interrupted.

    ready: called once it answers, with how it is reached.

    Raises: OutOfRange if an address can't be had, or a name is not private; DamagedFile if the folder of the
        certificates is damaged or can't be written.
    """
    app = make_app(steelyard, demo=(steelyard.home.folder / "demo.txt").is_file(), where=where)
    with ExitStack() as sockets:
        listener = sockets.enter_context(listening(where.host, where.port))
        if where.https:
            beside = sockets.enter_context(listening(where.host, where.http_port, option="--http-port"))
            server = _by_https(app, steelyard.home.folder / "tls", where, (listener, beside), ready)
        else:
            server = _by_http(app, where, listener, ready)
        server.run(sockets=[listener])


def _by_http(
    app: Starlette, where: Listening, listener: socket.socket, ready: Callable[[Reach], None]
) -> PageServer:
    reach = partial(reach_by_http, where, _port(listener))
    app.state.reach = reach
    return PageServer(_config(app), lambda: ready(reach()))


def _by_https(
    app: Starlette,
    folder: Path,
    where: Listening,
    listeners: tuple[socket.socket, socket.socket],
    ready: Callable[[Reach], None],
) -> PageServer:
    from steelyard.web.secured import Secured  # noqa: PLC0415  only https needs certificates

    listener, beside = listeners
    secured = Secured(folder, where, (_port(listener), _port(beside)))
    app.state.reach = secured.reach
    config = _config(app)
    config.ssl_certfile = secured.chain
    config.callback_notify, config.timeout_notify = secured.renewing(lambda: config.ssl), LOOK_AGAIN_S
    server = PageServer(config, lambda: ready(secured.reach()))
    server.put_beside(BesideServer(_config(make_first_visit(app))), beside)
    return server


def _config(app: Starlette) -> uvicorn.Config:
    return uvicorn.Config(app, log_level="warning", lifespan="off", access_log=False)


def _port(listener: socket.socket) -> int:
    port: int = listener.getsockname()[1]
    return port


def reach_by_http(where: Listening, port: int) -> Reach:
    """How a page on plain http is reached.

    >>> reach_by_http(Listening("127.0.0.1", 0), 8417)
    Reach(address='http://127.0.0.1:8417/', others=(), here_only=True, trust=None)
    """
    told = [f"http://{bracketed(host)}:{port}/" for host in hosts(where)]
    here_only = is_here_only(where.host) or not told
    first, *others = told or [f"http://127.0.0.1:{port}/"]
    return Reach(first, tuple(others), here_only)


def listening(host: str, port: int, *, option: str = "--port") -> socket.socket:
    """A socket bound to an address of this machine.

    option: what the port was given with, for the message.

    Raises: OutOfRange.
    """
    try:
        family, kind, protocol, _, address = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
        listener = socket.socket(family, kind, protocol)
    except (OSError, UnicodeError) as problem:
        raise _refused(host, port, problem, option) from problem
    try:
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listener.bind(address)
    except OSError as problem:
        listener.close()
        raise _refused(host, port, problem, option) from problem
    return listener


def _refused(host: str, port: int, problem: Exception, option: str) -> OutOfRange:
    why = problem.strerror if isinstance(problem, OSError) else problem
    accepted = f"a free one of this machine; try {option} 0"
    if isinstance(problem, socket.gaierror | UnicodeError):
        accepted = "an address or a name of this machine; try --host 0.0.0.0"
    if isinstance(problem, PermissionError):
        accepted = f"one that this user may listen on, with a port above 1023; try {option} 0"
    return OutOfRange("address", f"{bracketed(host)}:{port} ({why})", accepted)
