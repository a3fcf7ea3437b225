"""Where to serve the page, as it is typed; and what is said once it answers."""

from __future__ import annotations

import argparse
import io
import os
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from steelyard.cli.refusing import whole
from steelyard.errors import OutOfRange

if TYPE_CHECKING:
    from steelyard.service import Steelyard

WHITE_ON_BLACK, AS_BEFORE = "\033[97;40m", "\033[0m"


@dataclass(frozen=True, slots=True)
class Wish:
    """Where to listen; http_port is that of the page on trusting, beside https."""

    host: str
    port: int
    names: tuple[str, ...] = ()
    https: bool = False
    http_port: int = 0


class Trusting(Protocol):
    """What is said of the authority that a phone is asked to trust."""

    @property
    def page(self) -> str:
        """Address of the page that explains it."""

    @property
    def fingerprint(self) -> str:
        """Of its certificate."""


class Reached(Protocol):
    """How a page that answers is reached."""

    @property
    def address(self) -> str:
        """The address to open."""

    @property
    def others(self) -> tuple[str, ...]:
        """Further addresses that may lead there."""

    @property
    def here_only(self) -> bool:
        """Whether only this machine can."""

    @property
    def trust(self) -> Trusting | None:
        """With https, the authority."""


Ready = Callable[[Reached], None]
Serve = Callable[["Steelyard", Wish, Ready], None]


def add_listening(parser: argparse.ArgumentParser) -> None:
    """The options of a command that serves the page."""
    parser.add_argument("--host", default="127.0.0.1", help="address to listen on; 0.0.0.0 for the whole network")
    parser.add_argument("--port", type=whole, default=8417, help="port to listen on; 0 for any (default: 8417)")
    parser.add_argument("--https", action="store_true", help="by https, with an authority of this home's own")
    parser.add_argument(
        "--http-port",
        type=whole,
        metavar="PORT",
        help="with --https, port of the page on trusting it (default: next)",
    )
    parser.add_argument(
        "--name", action="append", default=[], metavar="NAME", help="a name of this machine, such as gym.lan"
    )
    parser.add_argument("--qr", action="store_true", help="print the QR code even where it is no terminal")


def wish_of(args: argparse.Namespace) -> Wish:
    """Where to listen, as typed. Raises: OutOfRange."""
    _check_port("port", args.port)
    if args.http_port is not None and not args.https:
        raise OutOfRange("--http-port", args.http_port, "given with --https; without it --port is plain http")
    beside = args.http_port if args.http_port is not None else args.port and args.port + 1
    if args.https:
        _check_port("http-port", beside)
        if beside == args.port != 0:
            raise OutOfRange("http-port", beside, "another one than --port")
    names = tuple(name.lower().rstrip(".") for name in args.name)
    for name in names:
        if not name or not set(name) <= set("abcdefghijklmnopqrstuvwxyz0123456789-."):
            raise OutOfRange("--name", f"'{name[:80]}'", "a name of this machine in the network, such as gym.lan")
    return Wish(args.host, args.port, names, args.https, beside)


def _check_port(name: str, port: int) -> None:
    if not 0 <= port <= 65535:
        raise OutOfRange(name, port, "from 0 to 65535")


def tell(reached: Reached, *, qr: bool) -> None:
    """Say on standard output how the page is reached.

    qr: draw the codes where it is no terminal, too.
    """
    trust = reached.trust
    print(f"Open {reached.address} in a browser; stop with Ctrl+C.")
    if reached.others:
        print(f"It may also be at {', '.join(reached.others)}")
    if reached.here_only:
        print("Only this machine can open it; for a phone, be in a network and serve with --host 0.0.0.0")
    if trust is not None:
        print(f"A device that opens it for the first time begins at {trust.page}")
        print(f"The authority to trust there has the SHA-256 fingerprint\n  {trust.fingerprint}")
    if qr or (sys.stdout.isatty() and not reached.here_only):
        if trust is not None:
            _draw("For the first time:", trust.page)
        _draw("The page:", reached.address)
    sys.stdout.flush()


def _draw(title: str, address: str) -> None:
    lines = drawn(address)
    try:
        "".join(lines).encode(sys.stdout.encoding or "ascii")
    except UnicodeEncodeError:
        print("This terminal can't draw the QR code; the page shows it under /phone")
        return
    coloured = sys.stdout.isatty() and os.name != "nt"
    print(title)
    for line in lines:
        print(f"{WHITE_ON_BLACK}{line}{AS_BEFORE}" if coloured else line)


def drawn(address: str) -> Sequence[str]:
    """The QR code of an address in half blocks, one row of text for two of modules: blocks are light."""
    import segno  # noqa: PLC0415  only serving draws one

    out = io.StringIO()
    segno.make(address, error="l", micro=False).terminal(out=out, border=2, compact=True)
    return out.getvalue().splitlines()
