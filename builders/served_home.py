"""A home that is really served, and the Chromium that looks at it, for tests and for takers of pictures."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from random import sample
from typing import TypeVar

FLAGS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--no-proxy-server",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
STARTS_WITHIN_S = 120
"""How long a server may take to answer on a machine that does much else meanwhile. [s]"""
SERVED_PORTS = range(20_000, 32_000)
"""Below 32768, from where Linux counts the ports of outgoing connections."""
Kind = TypeVar("Kind", bound="ServedHome")


def chromium() -> str | None:
    """Where Debian's Chromium is, or the one named by STEELYARD_CHROMIUM; None without any."""
    return os.environ.get("STEELYARD_CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")


@dataclass
class ServedHome:
    """A home whose server can be killed and started again. name: of this machine, under which it answers too."""

    folder: Path
    port: int
    name: str = ""
    process: subprocess.Popen[bytes] | None = None

    @property
    def address(self) -> str:
        """Where the page is."""
        return f"http://127.0.0.1:{self.port}"

    def start(self) -> None:
        """Serve; returns once the page answers. Raises: RuntimeError if it never does."""
        words = ["--home", str(self.folder), "serve", "--port", str(self.port)]
        words += ["--name", self.name] if self.name else []
        self.process = subprocess.Popen([sys.executable, "-m", "steelyard", *words], stdout=subprocess.DEVNULL)
        deadline = time.monotonic() + STARTS_WITHIN_S
        while not answers(f"{self.address}/cautions"):
            if self.process.poll() is not None:
                raise RuntimeError(f"the server on port {self.port} ended by itself")
            if time.monotonic() > deadline:
                raise RuntimeError(f"the server on port {self.port} did not come up in {STARTS_WITHIN_S} s")
            time.sleep(0.05)

    def kill(self) -> None:
        """End the server as a power cut would."""
        if self.process is not None:
            self.process.kill()
            self.process.wait()
            self.process = None


def answers(address: str) -> bool:
    """Whether there is a page, asked past any proxy."""
    direct = urllib.request.build_opener(urllib.request.ProxyHandler({}))
    try:
        with direct.open(address, timeout=STARTS_WITHIN_S):
            return True
    except OSError:
        return False


@contextmanager
def port_held() -> Iterator[int]:
    """A port for servers of this machine, one after another, that nobody else gets who looks for a free one.

    On Linux a socket that is bound and does not listen keeps it, also while a server is gone; one that sets
    SO_REUSEADDR, as servers do, may listen beside it.
    """
    with socket.socket() as held:
        port = _bound(held)
        if sys.platform == "linux":
            held.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)  # only now: two who look must not share
        else:
            held.close()
        yield port


def _bound(held: socket.socket) -> int:
    for port in sample(SERVED_PORTS, k=len(SERVED_PORTS)):
        with suppress(OSError):
            held.bind(("127.0.0.1", port))
            return port
    raise RuntimeError(f"no free port from {SERVED_PORTS[0]} to {SERVED_PORTS[-1]}")


@contextmanager
def serving(folder: Path, kind: type[Kind], *, name: str = "") -> Iterator[Kind]:
    """This home, served until the end."""
    with port_held() as port:
        served = kind(folder, port, name)
        try:
            served.start()
            yield served
        finally:
            served.kill()
