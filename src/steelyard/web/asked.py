"""Under which names the page answers: its own, and no other that is only pointed at this machine.

A browser lets the scripts of a page speak with whatever that page's name leads to. Whoever owns a name on the
internet can point it at a machine in a home, after a page of theirs is open there, and could then read and write
what that machine serves (DNS rebinding). The name they need stands in the request, so it is looked at first.
"""

from __future__ import annotations

import re
import socket
from contextlib import suppress
from pathlib import Path

from steelyard.errors import OutOfRange
from steelyard.web.addresses import Listening, hosts, is_here_only, own_name
from steelyard.web.private import address_of, is_name, is_private

IN_HOMES = ("home", "internal", "intranet", "private", "corp", "localdomain")
"""Further endings that networks use for themselves and nobody on the internet has: RFC 6762, appendix G; the last
by common practice."""
RESOLVER = Path("/etc/resolv.conf")
"""Where a system like Unix keeps the ending that its network gives to names."""


def check_asked(where: Listening, asked: str) -> None:
    """Refuse a request that was meant for another name.

    asked: the Host of the request, with or without a port.

    Raises: OutOfRange.

    >>> check_asked(Listening("127.0.0.1", 8417), "localhost:8417")
    >>> check_asked(Listening("0.0.0.0", 8417), "gym.example.com:8417")
    Traceback (most recent call last):
    ...
    steelyard.errors.OutOfRange: the name asked for is 'gym.example.com'; it must be localhost, a private \
address such as 192.168.1.20 or a name of the machine that serves; if gym.example.com is one, start the server \
with --name gym.example.com, and never for a name that somebody else gave you
    """
    host = host_of(asked)
    if host and _is_ours(where, host):
        return
    accepted = "localhost, a private address such as 192.168.1.20 or a name of the machine that serves"
    if is_name(host):
        accepted += (
            f"; if {host[:80]} is one, start the server with --name {host[:80]}, "
            "and never for a name that somebody else gave you"
        )
    raise OutOfRange("the name asked for", f"'{(host or asked)[:80]}'", accepted)


def host_of(asked: str) -> str:
    """The address or the name in the Host of a request, in small letters; empty if there is none.

    >>> host_of("Gym.lan.:8417"), host_of("[fd12::5]:8417"), host_of("fd12::5")
    ('gym.lan', 'fd12::5', '')
    """
    found = re.fullmatch(r"(?:\[([0-9a-f:.]+)\]|([a-z0-9._-]+?)\.?)(?::[0-9]*)?", asked.lower())
    return (found[1] or found[2]) if found else ""


def _is_ours(where: Listening, host: str) -> bool:
    if _is_of_homes(host) or host in (*where.names, where.host.lower()):
        return True
    if address_of(host) is not None:  # no name stands for it, so nobody can point one elsewhere
        return is_private(host) or host in hosts(where)
    # Whoever runs a network says what names in it lead to; a page for this machine alone needs none of them.
    return not is_here_only(where.host) and host in own_names()


def _is_of_homes(host: str) -> bool:
    """Whether nobody on the internet can have this name: it has no ending, or one that networks at home use."""
    return is_name(host) and ("." not in host or is_private(host) or host.rpartition(".")[2] in IN_HOMES)


def own_names() -> tuple[str, ...]:
    """Names of this machine that could be another's elsewhere: with the endings of its router, and in full."""
    label = own_name()
    if not label:
        return ()
    return (*(f"{label}.{ending}" for ending in _endings_here()), socket.gethostname().lower())


def _endings_here() -> list[str]:
    """Endings that the network gives to names, as its router told this machine."""
    with suppress(OSError):
        lines = [line.split() for line in RESOLVER.read_text("utf-8", "replace").splitlines()]
        kept = [line[1:] for line in lines if line and line[0] in ("search", "domain")]
        return [ending.strip(".").lower() for endings in kept for ending in endings]
    return []
