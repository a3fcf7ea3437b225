"""Where to listen, and by which addresses and names that is reached, told without asking any other machine."""

from __future__ import annotations

import re
import socket
import struct
import sys
from contextlib import suppress
from dataclasses import dataclass
from ipaddress import ip_address

ELSEWHERE = ((socket.AF_INET, "192.0.2.1"), (socket.AF_INET6, "2001:db8::1"))
"""Addresses for documentation (RFC 5737, RFC 3849): connecting a datagram socket to one sends nothing, and tells
which of our own would be used."""
READ_ADDRESS = 0x8915
"""Linux's request for the address of an interface (SIOCGIFADDR)."""
LOOPBACK = ("127.0.0.1", "::1")


@dataclass(frozen=True, slots=True)
class Listening:
    """Where to listen.

    host:      address to listen on; 0.0.0.0 for the whole network.
    port:      of the page; 0 for any that is free.
    names:     names that lead to this machine, which nobody here can find out; the first is shown.
    https:     by https, with an authority of the home's own.
    http_port: with https, the port of the page on trusting; 0 for any that is free.
    """

    host: str
    port: int
    names: tuple[str, ...] = ()
    https: bool = False
    http_port: int = 0


def own_addresses() -> tuple[str, ...]:
    """Addresses of this machine in its networks, the one that others most likely reach first; without loopback."""
    found = [*filter(None, map(_towards, *zip(*ELSEWHERE, strict=True))), *_of_interfaces()]
    return tuple(dict.fromkeys(address for address in found if _is_reachable(address)))


def own_name() -> str:
    """The first part of this machine's host name, in small letters; empty if it is no name for a network.

    >>> own_name() == own_name().lower() and "." not in own_name()
    True
    """
    label = socket.gethostname().partition(".")[0].lower()
    fits = re.fullmatch("[a-z0-9](?:[a-z0-9-]{0,61}[a-z0-9])?", label)
    return label if fits and label != "localhost" else ""


def is_everywhere(host: str) -> bool:
    """Whether listening on this address is listening in every network.

    >>> is_everywhere("0.0.0.0"), is_everywhere("::"), is_everywhere("192.168.1.20")
    (True, True, False)
    """
    try:
        return ip_address(host).is_unspecified
    except ValueError:
        return False


def is_here_only(host: str) -> bool:
    """Whether only this machine can reach this address.

    >>> is_here_only("127.0.0.1"), is_here_only("localhost"), is_here_only("0.0.0.0")
    (True, True, False)
    """
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return host == "localhost" or host.endswith(".localhost")


def bracketed(host: str) -> str:
    """A host as it stands in an address.

    >>> bracketed("fd12::5"), bracketed("gym.lan")
    ('[fd12::5]', 'gym.lan')
    """
    return f"[{host}]" if ":" in host else host


def _towards(family: socket.AddressFamily, elsewhere: str) -> str | None:
    with suppress(OSError), socket.socket(family, socket.SOCK_DGRAM) as probe:
        probe.connect((elsewhere, 9))
        return str(probe.getsockname()[0])
    return None


def _of_interfaces() -> list[str]:
    """The IPv4 address of each network interface, where the system is Linux.

    A machine that opens a network of its own, with no way to the internet, has no route elsewhere to tell by.
    """
    if sys.platform != "linux":
        return []
    import fcntl  # noqa: PLC0415  not everywhere

    found = []
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        for _, name in socket.if_nameindex():
            with suppress(OSError):  # an interface without an address
                told = fcntl.ioctl(probe.fileno(), READ_ADDRESS, struct.pack("256s", name.encode()[:15]))
                found.append(socket.inet_ntoa(told[20:24]))
    return found


def _is_reachable(address: str) -> bool:
    """Whether others in the network can open it; a link-local IPv6 address can't be written into a browser."""
    known = ip_address(address)
    return not (known.is_loopback or known.is_unspecified or (known.version == 6 and known.is_link_local))


def hosts(where: Listening) -> tuple[str, ...]:
    """By which names and addresses what listens here may be reached, the best first; none without a network."""
    if not is_everywhere(where.host):
        return tuple(dict.fromkeys((*where.names, where.host)))
    version = ip_address(where.host).version  # 0.0.0.0 listens to IPv4 alone, :: to both
    own = (address for address in own_addresses() if version == 6 or ip_address(address).version == 4)
    label = own_name()
    return tuple(dict.fromkeys((*where.names, *own, *([f"{label}.local"] if label else []))))
